"""What is typed at a step: kept with its unit, within its limits or with a reason, and read back the same."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from workshop import measure
from workshop.build.changes import NeedsReason
from workshop.build.route import Entry
from workshop.build.values import read_entry, unlikely, with_unit
from workshop.errors import ShopError

TANG = Entry("tang-thick-front", "Tang thickness at the shoulder", "length", "mm", "1.5 mm", "9 mm")


@pytest.mark.parametrize(
    ("text", "kept", "si"),
    [  # the inch is 25.4 mm exactly (NIST Handbook 44, Appendix C)
        ("4.75", "4.75 mm", 0.00475),
        ("4.75mm", "4.75mm", 0.00475),
        ("5/32", "5/32 in", 0.00396875),
        ("5/32 in", "5/32 in", 0.00396875),
        ("4,5", "4,5 mm", 0.0045),
        ("120 thou", "120 thou", 0.003048),
    ],
)
def test_a_measure_is_kept_as_written_with_its_unit(text: str, kept: str, si: float) -> None:
    value = read_entry(TANG, text, "D5")
    assert (value.text, value.kind, value.step, value.why) == (kept, "length", "D5", "")
    assert value.si == pytest.approx(si, rel=1e-12)


@pytest.mark.parametrize(
    ("kind", "unit", "text", "kept"),
    [
        ("temperature", "°C", "17.5", "17.5 °C"),
        ("temperature", "°C", "-5", "-5 °C"),
        ("humidity", "%", "61", "61 %"),
        ("count", "layers", "320 layers", "320"),
        ("count", "", "15x4", "15x4"),
        ("time", "min", "1:30", "1:30"),
        ("hardness", "HRC", "60.5", "60.5 HRC"),
        ("money", "EUR", "450", "450 EUR"),
        ("ratio", "", "100:27 by weight", "100:27 by weight"),
    ],
)
def test_each_kind_reads_back_from_what_is_kept(kind: str, unit: str, text: str, kept: str) -> None:
    assert with_unit(text, kind, unit) == kept
    first = measure.read(text, kind, unit=unit, negative=True)
    assert measure.read(kept, kind, negative=True).value == first.value


@given(
    number=st.decimals(min_value="0.01", max_value="999", places=3),
    unit=st.sampled_from(["mm", "in", "thou"]),
)
def test_any_bare_number_keeps_its_value(number: object, unit: str) -> None:
    kept = with_unit(str(number), "length", unit)
    assert measure.read(kept, "length").value == measure.read(str(number), "length", unit=unit).value


def test_outside_its_limits_it_takes_a_reason_which_is_kept() -> None:
    with pytest.raises(NeedsReason, match="9 mm at most"):
        read_entry(TANG, "12", "D5")
    assert read_entry(TANG, "12", "D5", "a splitting knife").why == "a splitting knife"
    assert read_entry(TANG, "4", "D5", "no need of one").why == ""


def test_options_and_words() -> None:
    skates = Entry("file-skates", "File skates", "choice", options=("yes", "no"))
    assert read_entry(skates, "Y", "E5").text == "yes"
    assert read_entry(Entry("wood", "Wood", "word"), "  bog\n oak ", "H1").text == "bog oak"
    for entry, text in ((skates, "perhaps"), (skates, ""), (Entry("wood", "Wood", "word"), " \n ")):
        with pytest.raises(ShopError, match="right would be"):
            read_entry(entry, text, "H1")


HOLE = Entry("pin-hole", "Hole in the block", "length", "mm", "2 mm", "8.5 mm", drill=True)
DRILLS = {"#21": 0.159 * 0.0254, "#5": 0.2055 * 0.0254, "F": 0.257 * 0.0254, "5/32 in": 0.0254 * 5 / 32}
# ASME B94.11M (twist drills), as given in Machinery's Handbook: #21 is 0.159 in, #5 0.2055 in, F 0.257 in.


@pytest.mark.parametrize(
    ("typed", "text", "name"),
    [
        ("#21", "0.159 in", "#21"),
        ("No. 21", "0.159 in", "#21"),
        ("no 5", "0.2055 in", "#5"),
        ("f", "0.257 in", "F"),
    ],
)
def test_a_drill_s_name_is_kept_as_its_size_with_the_name_beside_it(typed: str, text: str, name: str) -> None:
    value = read_entry(HOLE, typed, "H6", drills=lambda: DRILLS)
    assert value.text == text
    assert value.extra == {"drill": name}
    assert value.si == pytest.approx(DRILLS[name], abs=1e-9)


def test_a_plain_number_stays_a_length_and_a_name_counts_only_where_a_drill_is_wanted() -> None:
    assert read_entry(HOLE, "5", "H6", drills=lambda: DRILLS).text == "5 mm"
    assert read_entry(HOLE, "5/32", "H6", drills=lambda: DRILLS).text == "5/32 in"
    with pytest.raises(ShopError, match="pin-hole"):
        read_entry(HOLE, "#99", "H6", drills=lambda: DRILLS)
    with pytest.raises(ShopError, match="no drill in the list"):
        read_entry(HOLE, "#999", "H6", drills=lambda: DRILLS)
    with pytest.raises(ShopError, match="cannot be read as a length"):
        read_entry(replace(HOLE, drill=False), "#21", "H6", drills=lambda: DRILLS)
    with pytest.raises(NeedsReason):
        read_entry(replace(HOLE, most="3 mm"), "#21", "H6", drills=lambda: DRILLS)


def test_a_value_put_outside_its_limits_by_hand_is_not_taken_silently() -> None:
    inside = read_entry(TANG, "4.75", "D5")
    assert unlikely(TANG, inside) == ""
    by_hand = replace(inside, text="4.75 m", si=4.75)
    assert unlikely(TANG, by_hand) == (
        "Tang thickness at the shoulder: 4750 mm is more than is likely here, 9 mm at most; "
        "check it before you go on."
    )
    assert unlikely(TANG, replace(by_hand, why="a sword")) == ""
