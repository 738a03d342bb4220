"""What the help promises: it fits a terminal, its examples run, and its shapes are those that are printed."""

from __future__ import annotations

import json
import re
import shlex
from datetime import datetime, timedelta
from pathlib import Path

import pytest

from workshop.cli import main
from workshop.cli.parser import COMMANDS, build
from workshop.cli.shapes import SHAPES
from workshop.shelf.places import recipes_folder

ROUTE = (recipes_folder() / "routes" / "hidden-tang.toml").read_text(encoding="utf-8")


def help_of(command: str, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> str:
    monkeypatch.setenv("COLUMNS", "80")
    assert main([command, "--help"] if command else ["--help"]) == 0
    return capsys.readouterr().out


@pytest.mark.parametrize("command", ["", *COMMANDS])
def test_help_fits_eighty_columns(
    command: str, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    for line in help_of(command, capsys, monkeypatch).splitlines():
        assert len(line) <= 80, line


@pytest.mark.parametrize("command", ["", *COMMANDS])
def test_every_example_of_the_help_can_be_typed(command: str) -> None:
    top = build()
    epilog = (top.commands[command] if command else top).epilog or ""
    examples = re.findall(r"^  workshop (.*)$", epilog, re.MULTILINE)
    assert examples or not command
    for example in examples:
        words = re.split(r" {3,}", example)[0]
        assert top.parse_args(shlex.split(words)).command in COMMANDS or not words


def test_an_example_that_takes_the_last_look_names_a_step_that_has_one() -> None:
    top = build()
    for command in COMMANDS:
        for step in re.findall(r"workshop step \S+ (\S+) start --looked", top.commands[command].epilog or ""):
            card = ROUTE.split(f'\nid = "{step}"\n')[1].split("\n[[step]]\n")[0]
            assert "last_look" in card, step


def keys(says: str) -> set[str]:
    """The names on the outermost level of a shape."""
    flat = re.sub(r"\{[^{}]*(\{[^{}]*\}[^{}]*)*\}", "", says.replace("\n", " "))
    flat = re.sub(r"\([^()]*\)", "", flat)
    flat = re.sub(r"\[(?:[^\[\]]|\[[^\[\]]*\])*\]", "", flat)
    flat = re.sub(r"^one (blade|clock):|and the (step|clock):", "", flat)
    return {part.replace("or null", "").strip() for part in flat.split(",") if part.strip()}


SHELF = [
    ("start", "start", "Heron"),
    ("blades", "blades"),
    ("steps", "steps", "Heron"),
    ("step", "step", "Heron", "A1", "start"),
    ("air", "air", "17.5C", "61%"),
    ("clock", "clock", "Heron", "bedding", "--air", "20C"),
    ("value", "value", "Heron", "blade-length=105mm"),
    ("note", "note", "Heron", "grain runs true"),
    ("stop", "stop", "Heron", "bedding", "--why", "mixed too little"),
    ("back", "back", "Heron"),
    ("clocks", "clocks"),
    ("when", "when", "H7"),
    ("record", "record", "Heron"),
    ("where", "where"),
]


def test_what_is_printed_has_the_keys_the_help_names(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], now: datetime
) -> None:
    for command, *words in SHELF:
        now += timedelta(minutes=1)
        assert main(["--shelf", str(tmp_path / "shelf"), *words, "--json"], now=now) == 0, words
        printed = json.loads(capsys.readouterr().out)
        assert set(printed) == keys(SHAPES[command]), command


README = Path(__file__).parents[2] / "README.md"


@pytest.mark.skipif(not README.exists(), reason="an install without the checkout carries no README")
def test_the_commands_of_the_readme_can_be_typed_one_after_another(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch, now: datetime
) -> None:
    text = README.read_text(encoding="utf-8")
    listed = re.findall(
        r"^    (workshop .*)$", text.split("## Without a screen")[1].split("\n## ")[0], re.MULTILINE
    )
    assert len(listed) > 8
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("WORKSHOP_SHELF", str(tmp_path / "shelf"))
    for line in listed:
        now += timedelta(minutes=1)
        code = main(shlex.split(line)[1:], now=now)
        assert code == 0, (line, capsys.readouterr().err)
