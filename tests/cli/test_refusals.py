"""Whatever is typed wrong: exit 2, one clear line on standard error, nothing changed, never a traceback."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from workshop.cli.parser import COMMANDS


@pytest.mark.parametrize(
    ("words", "says"),
    [
        ("blase", "'blades' may be meant"),
        ("step", "BLADE"),
        ("step Heron H1", "start|finish"),
        ("step Heron H1 begin", "'begin'"),
        ("step Heron Z9 start", "Z9"),
        ("step Nobody A1 start", "Heron"),
        ("step Heron A1 finish", "ready"),
        ("step Heron A1 start --looked", "last look"),
        ("step Heron A1 leave-out --value blade-length=155mm", "leave-out"),
        ("start Heron --route small", "already"),
        ("start Wren --route none", "small"),
        ("start Wren --route small --set steel=gold", "one steel"),
        ("start Wren --route small --set steel", "CHOICE=OPTION"),
        ("clock Heron bedding --air cold", "temperature"),
        ("clock Heron bedding --ago=-5min", "less than nothing"),
        ("clock Heron bedding --store adhesives/none", "adhesives/slow"),
        ("clock Heron beding", "'bedding'"),
        ("clock Heron drying --store adhesives/slow", "leave --store out"),
        ("clock Heron drying --air 14C", "--air"),
        ("clocks --at never", "07:00"),
        ("answer Heron bedding", "no clock"),
        ("stop Heron bedding", "no clock"),
        ("back Heron", "nothing to take back"),
        ("value Heron blade-length", "NAME=TEXT"),
        ("value Heron blade-length=", "empty"),
        ("value Heron blade-length=long", "length"),
        ("air hot", "temperature"),
        ("air 20C 140%", "100 %"),
        ("calc nothing", "pin-drill"),
        ("calc pin-drill pim=3mm", "pin"),
        ("calc pin-drill pin=4furlongs", "furlongs"),
        ("calc pin-drill clearance=0.1mm", "needs pin"),
        ("calc pin-drill pin=4mm --keep", "--blade"),
        ("calc pin-drill pin=4mm --step A1", "--keep"),
        ("calc --keep", "calculator"),
        ("record Nobody", "Heron"),
        ("record Heron -o /nowhere/at/all.md", "not saved"),
        ("check /nowhere.toml", "/nowhere.toml: cannot be read"),
        ("blades --colour", "--colour"),
        ("--shelf", "--shelf"),
        ("note Heron", "TEXT"),
    ],
)
def test_each_mistake_is_one_sentence(heron: Any, words: str, says: str) -> None:
    assert says in heron.refused(*words.split())


def test_text_that_is_not_utf8_is_refused(heron: Any) -> None:
    assert "UTF-8" in heron.refused("note", "Heron", "\udcff")


def test_what_is_typed_cannot_act_on_the_terminal(heron: Any) -> None:
    assert "\x1b" not in heron.refused("step", "Heron", "\x1b[2J", "start")
    heron.well("note", "Heron", "red \x1b[31m and \u202ereversed")
    for words in (("record", "Heron"), ("blades", "--json"), ("record", "Heron", "--json")):
        out = heron.well(*words).out
        assert "\x1b" not in out
        assert "\u202e" not in out


def test_a_blades_name_cannot_act_on_the_terminal(workshop: Any) -> None:
    workshop.well("start", "Red \x1b[31m\u202e", "--route", "small")
    for words in (("blades",), ("blades", "--json"), ("steps", "Red"), ("note", "Red", "x"), ()):
        out = workshop.well(*words).out
        assert not {"\x1b", "\u202e"} & set(out)


@pytest.mark.parametrize(
    "words", [["check", "\0"], ["record", "Heron", "-o", "a\0b"], ["blades", "--shelf", "\0"]]
)
def test_a_sign_no_file_can_be_called_by_is_refused(heron: Any, words: list[str]) -> None:
    assert "type it again" in heron.refused(*words)


TYPED = (
    "Heron A1 H1 start finish do-over --why --json --value bedding --air 14C --at +3h "
    "pin-drill pin=4mm --keep --blade --"
)
WORDS = st.one_of(st.sampled_from([*COMMANDS, *TYPED.split()]), st.text(max_size=12))


@settings(max_examples=150, suppress_health_check=[HealthCheck.function_scoped_fixture], deadline=None)
@given(words=st.lists(WORDS, max_size=6))
def test_no_command_line_ends_in_anything_but_0_or_2(heron: Any, words: list[str]) -> None:
    if "demo" in words or any(word.startswith(("-o", "--o")) for word in words):
        return
    said = heron(*words)
    assert said.code in (0, 2), (words, said.err)
    assert said.err.count("\n") == (1 if said.code else 0)


def run(*words: str, shelf: Path, **kinds: Any) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "-m", "workshop", *words],
        env={**os.environ, "WORKSHOP_SHELF": str(shelf), "TERM": "dumb"},
        text=True,
        timeout=60,
        check=False,
        **kinds,
    )


def test_a_closed_pipe_is_no_noise(tmp_path: Path) -> None:
    made = subprocess.run(
        ["bash", "-c", f"{sys.executable} -m workshop calc pin-drill --help | true; echo ${{PIPESTATUS[0]}}"],
        env={**os.environ, "WORKSHOP_SHELF": str(tmp_path)},
        capture_output=True,
        text=True,
        timeout=60,
        check=False,
    )
    assert (made.stdout.strip(), made.stderr) == ("0", "")


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="needs a device that is always full")
def test_a_full_disk_under_the_output_is_one_line(tmp_path: Path) -> None:
    with Path("/dev/full").open("w") as full:
        made = run("calc", shelf=tmp_path, stdout=full, stderr=subprocess.PIPE)
    assert made.returncode == 2
    assert made.stderr.count("\n") == 1
    assert "Traceback" not in made.stderr


def test_without_a_terminal_the_state_comes_as_text(tmp_path: Path) -> None:
    assert run("start", "Heron", shelf=tmp_path, capture_output=True).returncode == 0
    made = run(shelf=tmp_path, capture_output=True)
    assert (made.returncode, made.stderr) == (0, "")
    assert "A1 Enquiry to written spec" in made.stdout
    assert "No clock runs" in made.stdout


def test_help_and_version_are_printed_whole(heron: Any) -> None:
    assert "examples:" in heron.well("--help").out
    assert heron.well("--version").out.startswith("workshop ")
    for command in COMMANDS:
        assert f"workshop {command}" in heron.well(command, "--help").out


def test_keeping_a_slip_without_what_it_needs_is_refused(heron: Any) -> None:
    assert "slot-fill needs" in heron.refused("calc", "slot-fill", "--blade", "Heron", "--keep")


def test_a_field_may_stand_after_an_option(heron: Any) -> None:
    said = heron.well("calc", "pin-drill", "--blade", "Heron", "pin=5/32in", "--json")
    assert said.data()["found"]["drill"]["value"] == "#20"
    assert "does not take '--kep'" in heron.refused("calc", "pin-drill", "pin=5/32in", "--kep")


def test_a_value_outside_its_limits_is_refused_in_whole_sentences(heron: Any) -> None:
    said = heron.refused("value", "Heron", "blade-length=1551mm")
    assert ".." not in said
    assert said.endswith('--why "…".\n')


def test_many_names_are_not_read_out_in_one_line(tmp_path: Path, typist: Any, now: Any) -> None:
    shop = typist(tmp_path / "own", now)
    shop.well("start", "Heron")
    said = shop.refused("value", "Heron", "nonesuch=3mm")
    assert len(said) < 200
    assert "workshop steps" in said


def test_only_what_can_come_later_is_refused_for_now(heron: Any) -> None:
    heron.well("step", "Heron", "A1", "start")
    assert "cannot be left out: " in heron.refused("step", "Heron", "A2", "leave-out")
    assert "cannot be started yet: " in heron.refused("step", "Heron", "H2", "start")


def test_how_many_more_stand_against_it_is_counted(heron: Any) -> None:
    assert "it waits for A2 " in (said := heron.refused("step", "Heron", "H1", "start", "--looked"))
    assert "(and 1 more)" in said
