"""The billet, grinding, paper, speed, bath and price calculators, as a maker meets them."""

import tomllib
from importlib import import_module
from pathlib import Path

import pytest

from workshop import measure
from workshop.drawer.run import PLAIN_KINDS, taken_from, work_out
from workshop.errors import ShopError

STORES = Path(__file__).parents[2] / "recipes" / "stores"
MODULES = (
    "layers",
    "stock",
    "billet",
    "grind",
    "guard_slot",
    "edge_lift",
    "abrasives",
    "speeds",
    "bath",
    "price",
)
KNOWN = {
    one.name: one for module in MODULES for one in import_module(f"workshop.drawer.{module}").CALCULATORS
}
FIELDS = [(name, field) for name, one in KNOWN.items() for field in one.fields]


def store(name):
    return tomllib.loads((STORES / f"{name}.toml").read_text(encoding="utf-8"))


def work(name, **typed):
    return work_out(KNOWN[name], {key.replace("_", "-"): text for key, text in typed.items()}, store)


def found(name, **typed):
    return {row.name: row.value for row in work(name, **typed).rows}


def cautions(name, **typed):
    worked = work(name, **typed)
    return " | ".join((*worked.notices, *worked.answer.cautions, *KNOWN[name].cautions))


def test_all_are_there():
    assert set(KNOWN) == {
        "layers", "stock", "draw-out", "pattern-cut", "feather", "bevel", "distal", "guard-slot", "grits",
        "bath", "belt-speed", "drill-speed", "edge-lift", "price",
    }  # fmt: skip


@pytest.mark.parametrize("name", KNOWN)
def test_worked_example(name):
    example = KNOWN[name].example
    rows = found(name, **dict(example.given))
    for key, expected in example.found.items():
        if isinstance(expected, str):
            assert rows[key] == expected
        else:
            assert rows[key] == pytest.approx(expected, abs=example.within), key


@pytest.mark.parametrize("name", KNOWN)
def test_declaration_is_whole(name):
    one = KNOWN[name]
    worked = work(name, **dict(one.example.given))
    assert one.purpose
    assert one.valid
    assert one.sources
    assert worked.answer.working
    assert all(len(line) <= 60 for line in worked.answer.figure)
    assert len(worked.answer.figure) <= 12
    assert len({field.name for field in one.fields}) == len(one.fields)


@pytest.mark.parametrize(("name", "field"), FIELDS, ids=lambda each: getattr(each, "name", each))
def test_limits_and_defaults_can_be_read(name, field):
    if field.kind in PLAIN_KINDS:
        assert field.hard == (None, None)
        return
    kind = "length" if field.kind == "drill" else field.kind
    low, high = (float(measure.read(text, kind, unit=field.unit)) for text in field.hard)
    assert low < high
    for text in (*field.likely, field.default):
        if text is not None:
            assert low <= float(measure.read(text, kind, unit=field.unit)) <= high


@pytest.mark.parametrize(("name", "field"), FIELDS, ids=lambda each: getattr(each, "name", each))
@pytest.mark.parametrize("junk", ["junk!", "12 parsecs", "-5", "1e999", "9" * 150, "\x1b[31m7", "٣"])
def test_bad_input_is_one_sentence_that_names_the_field(name, field, junk):
    given = {**KNOWN[name].example.given, field.name: junk}
    if name == "edge-lift" and field.name == "lift":
        given.pop("angle")
    with pytest.raises(ShopError) as refused:
        work(name, **given)
    said = str(refused.value)
    assert field.name in said
    assert "\n" not in said
    assert "\x1b" not in said
    assert len(said) < 300


@pytest.mark.parametrize(
    ("name", "field"),
    [(name, field) for name, field in FIELDS if field.kind not in (*PLAIN_KINDS, "drill")],
    ids=lambda each: getattr(each, "name", each),
)
def test_outside_the_hard_limits_is_refused(name, field):
    high = float(measure.read(field.hard[1], field.kind, unit=field.unit))
    past = measure.in_unit(high * 1.5, field.kind, field.unit) if field.unit else high * 2
    given = {**KNOWN[name].example.given, field.name: f"{past:.6f} {field.unit}".strip()}
    if field.kind == "count":
        given[field.name] = f"{past:.0f}"
    with pytest.raises(ShopError, match=field.name):
        work(name, **given)


@pytest.mark.parametrize("name", KNOWN)
def test_what_must_be_given_is_asked_for(name):
    for field in KNOWN[name].fields:
        if field.default is None and not field.optional:
            given = {key: text for key, text in KNOWN[name].example.given.items() if key != field.name}
            with pytest.raises(ShopError, match=f"needs {field.name}"):
                work(name, **given)


@pytest.mark.parametrize(
    ("name", "metric", "inch"),
    [
        (
            "draw-out",
            {
                "length": "101.6 mm",
                "width": "50.8 mm",
                "height": "25.4 mm",
                "to_width": "25.4",
                "to_height": "12.7",
            },
            {"length": "4 in", "width": "2 in", "height": "1 in", "to_width": "1 in", "to_height": "1/2 in"},
        ),
        (
            "bevel",
            {"spine": "3.175 mm", "edge": "0.508 mm", "height": "19.05 mm", "wheel": "254 mm"},
            {"spine": "1/8 in", "edge": "20 thou", "height": "3/4 in", "wheel": "10 in"},
        ),
        (
            "feather",
            {"density": "20/cm", "drawn_length": "304.8 mm", "split_height": "76.2 mm"},
            {"density": "50.8/in", "drawn_length": "12 in", "split_height": "3 in"},
        ),
        ("edge-lift", {"height": "25.4", "angle": "15 deg"}, {"height": "1 in", "angle": "15 deg"}),
        (
            "belt-speed",
            {"wheel": "101.6 mm", "rpm": "1725 rpm", "hertz": "30 Hz"},
            {"wheel": "4 in", "rpm": "1725 rpm", "hertz": "30 Hz"},
        ),
    ],
)
def test_units_do_not_change_an_answer(name, metric, inch):
    one, other = found(name, **metric), found(name, **inch)
    assert {k: v for k, v in one.items() if isinstance(v, float)} == pytest.approx(
        {k: v for k, v in other.items() if isinstance(v, float)}
    )


def test_layers_worked_table():
    # common practice, worked cases
    assert found("layers", start="16", repeats="f4")["true"] == 241
    rows = found("layers", start="150", repeats="none", final_thickness="4 mm", bevel="3.2 deg")
    assert rows["layer"] == pytest.approx(26.7, abs=0.05)
    assert rows["shown"] == pytest.approx(0.48, abs=0.005)


def test_layers_for_a_target():
    worked = work("layers", start="13; 15; 25", target="300", welds="4")
    rows = {row.name: row.value for row in worked.rows}
    plans = [rows[name] for name in rows if name.startswith("plans ")]
    assert 2 <= len(plans) <= 5
    assert f"true {rows['true']:.0f}" in plans[0]
    assert f"nominal {rows['nominal']:.0f}" in plans[0]
    assert all("welds" in plan for plan in plans)
    assert abs(rows["true"] - 300) <= 3


def test_layers_says_what_does_not_go_together():
    with pytest.raises(ShopError, match=r"^start: several stacks"):
        work("layers", start="13; 15")
    with pytest.raises(ShopError, match=r"^repeats: give either"):
        work("layers", start="13", repeats="4", target="100")
    with pytest.raises(ShopError, match=r"^start: 13 stacks"):
        work("layers", start=";".join("5" * 13), target="100")
    assert "does not end on" in cautions("layers", start="16", ends="same")
    assert "dissolves" in cautions("layers", start="25", repeats="4x4x4", final_thickness="4 mm")
    assert found("layers", start="1", ends="different", target="2")["true"] >= 1


def test_stock_from_sizes_and_from_the_store():
    # worked: a blank of 200 × 30 × 4 mm weighs 188.4 g
    assert found("stock", length="200 mm", height="30 mm", thickness="4 mm")[
        "finished-mass"
    ] == pytest.approx(188.4)
    rows = found("stock", mass="185 g", bars="7 x 3.2 mm 1084; 6 x 1/16 in 15n20", width="1 1/2 in")
    stack = 7 * 3.2 + 6 * 1.5875
    assert rows["stack-height"] == pytest.approx(stack)
    assert rows["cut-length 1084"] == rows["cut-length 15n20"]
    assert rows["from-bar 1084"] == pytest.approx(7 * rows["cut-length 1084"])
    weighed = rows["cut-length 1084"] * 38.1 * stack * 7.85e-3
    assert weighed == pytest.approx(rows["billet-mass"])
    # about 2 % nickel in its share of the height, and carbon near 0.8 %
    assert rows["nickel"] == pytest.approx(2 * 6 * 1.5875 / stack, abs=0.05)
    assert 0.75 < rows["carbon"] < 0.87
    assert rows["carbon-low"] < rows["carbon-high"] < rows["carbon"]


def test_stock_with_a_steel_nobody_knows():
    worked = work("stock", mass="185 g", bars="7 x 3.2 mm rasp; 6 x 1.2 mm 1095", width="38 mm")
    rows = {row.name for row in worked.rows}
    assert "carbon" not in rows
    assert "cut-length rasp" in rows
    assert any("rasp" in note for note in worked.answer.assumed)


def test_stock_two_bars_of_one_steel_stay_apart():
    rows = found("stock", mass="185 g", bars="3 x 3 mm 1084; 2 x 5 mm 1084", width="38 mm")
    assert rows["from-bar 1084"] == pytest.approx(1.5 * rows["from-bar 1084 (2)"])


@pytest.mark.parametrize(
    ("typed", "sentence"),
    [
        ({}, r"^mass: "),
        ({"length": "200 mm", "height": "30 mm"}, r"^mass: "),
        ({"mass": "185 g", "bars": "7 x 3.2 mm 1084"}, r"^width: "),
        ({"mass": "185 g", "bars": "1084", "width": "38 mm"}, r"^bars: .*like 7 x 3.2 mm"),
        ({"mass": "185 g", "bars": "7 x 3.2 1084", "width": "38 mm"}, r"^bars: .*like 7 x 3.2 mm"),
        ({"mass": "185 g", "bars": "7 x 3.2 mm", "width": "38 mm"}, r"^bars: .*no steel"),
        ({"mass": "185 g", "bars": "0 x 3.2 mm 1084", "width": "38 mm"}, r"^bars: "),
        ({"mass": "185 g", "bars": "7 x 3.2 mm 1084 c=84", "width": "38 mm"}, r"^bars: .*c=0.84"),
        ({"mass": "185 g", "bars": ";;", "width": "38 mm"}, r"^bars: "),
    ],
)
def test_stock_refuses(typed, sentence):
    with pytest.raises(ShopError, match=sentence):
        work("stock", **typed)


def test_draw_out():
    # common practice, worked case: 471 mm before scale; 5 % off is 448 mm, four pieces of 110
    case = {"length": "110", "width": "45", "height": "40", "to_width": "35", "to_height": "12"}
    rows = found("draw-out", **case, piece="110 mm")
    assert rows["length"] == pytest.approx(471.43 * 0.95, abs=0.01)
    assert rows["pieces"] == 4
    assert rows["left-over"] == pytest.approx(rows["length"] - 440)
    assert "too short to restack" in cautions("draw-out", **case, piece="400 mm")
    with pytest.raises(ShopError, match=r"^to-width, to-height: "):
        work("draw-out", **{**case, "to_width": "80", "to_height": "40"})


def test_pattern_cut():
    assert found("pattern-cut", final_thickness="4 mm", depth="1/3")["left"] == pytest.approx(4)
    rows = found("pattern-cut", final_thickness="4 mm", allowance="1 mm", depth="1/3", groove_width="6 mm")
    assert rows["cut-thickness"] == pytest.approx(9)
    assert rows["fails"].startswith("yes: where cuts")
    assert "staggered" in cautions("pattern-cut", final_thickness="4 mm", allowance="1 mm", depth="1/3")
    assert "cold shuts" in cautions("pattern-cut", final_thickness="4 mm", kind="raindrop")
    with pytest.raises(ShopError, match=r"^groove-width: "):
        work("pattern-cut", final_thickness="4 mm", pitch="6 mm", groove_width="6 mm")


def test_bevel_hollow_is_shown_and_warned_of():
    flat = work("bevel", spine="4 mm", edge="0.6 mm", height="20 mm")
    ground = work("bevel", spine="4 mm", edge="0.6 mm", height="20 mm", wheel="250 mm")
    assert "hollow" not in {row.name for row in flat.rows}
    rows = {row.name: row.value for row in ground.rows}
    # by hand: chord² = 400 + 2.89, s = 125 − √(15625 − 100.7225) = 0.4035
    assert rows["hollow"] == pytest.approx(0.4035, abs=0.0001)
    assert rows["thinnest"] <= 0.6
    assert ground.answer.figure != flat.answer.figure
    assert "thinner than the edge" in cautions(
        "bevel", spine="4 mm", edge="0.6 mm", height="30 mm", wheel="300 mm"
    )
    with pytest.raises(ShopError, match=r"^edge: "):
        work("bevel", spine="4 mm", edge="4 mm", height="30 mm")


def test_distal_stations_in_inches_too():
    rows = found("distal", heel="4 mm", length="6 in", step="2 in")
    assert list(rows) == [f"thickness {x} mm" for x in ("0", "50.8", "101.6", "152.4")]
    late = found("distal", heel="4 mm", tip="0.3", length="150", step="25", starts="25", tip_at="25")
    assert late["thickness 25 mm"] == 4
    assert late["thickness 125 mm"] == pytest.approx(1.2)


def test_guard_slot_with_later_loss():
    rows = found("guard-slot", ricasso="4.2 mm", tang_height="14 mm", later_loss="0.1 mm")
    assert rows["final"] == pytest.approx(3.97)
    assert rows["final-most"] == pytest.approx(3.99)
    assert "will not go on" in cautions(
        "guard-slot", ricasso="4.2 mm", tang_height="14 mm", later_loss="0.1 mm"
    )


def test_edge_lift_one_of_two():
    assert found("edge-lift", height="30 mm", lift="7.765 mm")["angle"] == pytest.approx(15, abs=0.01)
    assert found("edge-lift", height="30 mm", angle="22.5 deg")["fold"].endswith("the same")
    assert found("edge-lift", height="30 mm", angle="40 deg")["fold"].endswith("45°, 5.00° steeper")
    assert found("edge-lift", height="30 mm", angle="15 deg")["fold"].endswith("11.25°, 3.75° flatter")
    for both in ({}, {"angle": "15 deg", "lift": "8 mm"}):
        with pytest.raises(ShopError, match=r"^angle, lift: "):
            work("edge-lift", height="30 mm", **both)


def test_a_blade_fills_what_it_knows():
    knows = {
        "ricasso-thickness": "4 mm",
        "blade-height": "30 mm",
        "edge-thickness": "0.6 mm",
        "start-layers": "15",
    }
    filled = {name: set(taken_from(KNOWN[name], knows)) for name in KNOWN}
    assert filled["bevel"] == {"spine", "edge", "height"}
    assert filled["layers"] == {"start", "final-thickness"}
    assert filled["guard-slot"] == {"ricasso"}


@pytest.mark.parametrize(
    ("name", "words"),
    [
        ("belt-speed", "Never run a wheel over its rated turns"),
        ("drill-speed", "Clamp the work"),
        ("bevel", "dust mask"),
        ("stock", "zinc fume"),
        ("edge-lift", "Tape the point"),
    ],
)
def test_the_usual_cautions_stand_by(name, words):
    assert words in " ".join(KNOWN[name].cautions)
