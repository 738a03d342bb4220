"""Papers, belt and drill speeds, the etch bath and the price, case by case."""

import tomllib
from importlib import import_module
from pathlib import Path

import pytest

from workshop.drawer.run import work_out
from workshop.errors import ShopError

STORES = Path(__file__).parents[2] / "recipes" / "stores"
KNOWN = {
    one.name: one
    for module in ("abrasives", "speeds", "bath", "price")
    for one in import_module(f"workshop.drawer.{module}").CALCULATORS
}


def store(name):
    return tomllib.loads((STORES / f"{name}.toml").read_text(encoding="utf-8"))


def work(name, **typed):
    return work_out(KNOWN[name], {key.replace("_", "-"): text for key, text in typed.items()}, store)


def found(name, **typed):
    return {row.name: row.value for row in work(name, **typed).rows}


def cautions(name, **typed):
    worked = work(name, **typed)
    return " | ".join((*worked.notices, *worked.answer.cautions, *KNOWN[name].cautions))


@pytest.mark.parametrize(
    ("typed", "first", "last"),
    [
        ({"from": "P80", "to": "P2000"}, "P80", "P2000"),
        ({"from": "80", "to": "2000"}, "P80", "P2000"),
        ({"from": "p 80", "to": "P-2000"}, "P80", "P2000"),
        ({"from": "80", "to": "600", "scale": "ANSI"}, "ANSI 80", "ANSI 600"),
        ({"from": "P80", "to": "ANSI 600"}, "P80", "P1200"),
        ({"from": "300", "to": "6", "scale": "micron"}, "300 micron", "6 micron"),
        ({"from": "200 micron", "to": "15 µm"}, "P80", "P1200"),
        ({"from": "400", "to": "6000", "scale": "stone"}, "JIS 400", "JIS 6000"),
    ],
)
def test_grits_reads_papers(typed, first, last):
    rows = found("grits", **typed)
    run = [text for name, text in rows.items() if name.startswith("run ")]
    assert run[0].startswith(f"{first} (")
    assert run[-1].startswith(f"{last} (")
    assert len(run) == rows["papers"]


def test_grits_says_where_it_cannot_keep_the_ratio():
    assert "no paper between" in cautions("grits", **{"from": "16", "to": "6", "scale": "micron"})
    assert "from memory" in cautions("grits", **{"from": "400", "to": "1000", "scale": "stone"})
    # common practice: at least 1000 grit before the etch; each step at most twice finer
    rows = found("grits", **{"from": "P220", "to": "P1000"})
    assert rows["papers"] == 3
    assert rows["equal"] == "about ANSI 500 (20 µm)"


@pytest.mark.parametrize(
    ("typed", "sentence"),
    [
        ({"from": "P90", "to": "P400"}, r"^from: 'P90' is not made .*P80.*P100|^from: .*P100.*P80"),
        ({"from": "P400", "to": "P80"}, r"^to: .*coarse to fine"),
        ({"from": "P400", "to": "P400"}, r"^to: "),
        ({"from": "fine", "to": "P400"}, r"^from: .*write P400"),
        ({"from": "P80", "to": "0 micron"}, r"^to: "),
    ],
)
def test_grits_refuses(typed, sentence):
    with pytest.raises(ShopError, match=sentence):
        work("grits", **typed)


def test_belt_speed_both_ways():
    # worked: 4 in at 3450 rpm is 3613 ft/min, 18 m/s
    rows = found("belt-speed", wheel="4 in", rpm="3450 rpm")
    assert rows["speed"] == pytest.approx(18.35, abs=0.01)
    back = found("belt-speed", wheel="4 in", rpm="3450 rpm", speed="9.18 m/s")
    assert back["hertz"] == pytest.approx(30, abs=0.05)
    assert back["rpm"] == pytest.approx(1725, abs=2)
    assert back["suits"] == "after heat treat, handle wood"
    assert "hertz" not in found("belt-speed", wheel="4 in", speed="9 m/s")


def test_belt_speed_flags():
    assert "OVER THE RATING" in cautions("belt-speed", wheel="4 in", rpm="3450 rpm", hertz="75 Hz")
    assert "OVER THE RATING" in cautions("belt-speed", wheel="4 in", rpm="3450 rpm", wheel_limit="3000 rpm")
    assert "OVER THE RATING" not in cautions("belt-speed", wheel="4 in", rpm="3450 rpm", hertz="60 Hz")
    assert "hardly cools" in cautions("belt-speed", wheel="4 in", rpm="3450 rpm", hertz="12 Hz")
    assert "5500 ft/min" in cautions("belt-speed", wheel="10 in", rpm="3450 rpm")
    with pytest.raises(ShopError, match=r"^speed, hertz: "):
        work("belt-speed", wheel="4 in", rpm="3450 rpm", hertz="30 Hz", speed="9 m/s")
    with pytest.raises(ShopError, match=r"^rpm: "):
        work("belt-speed", wheel="4 in")


def test_drill_speed_names_and_tools():
    # a number drill by its name: #30 is 0.1285 in (ASME B94.11M)
    by_name = found("drill-speed", diameter="#30", metal="carbon")
    assert by_name["rpm-low"] == pytest.approx(12 * 60 / (3.14159265 * 0.1285), rel=1e-6)
    hss, carbide = (found("drill-speed", diameter="3 mm", metal="brass", tool=t) for t in ("HSS", "carbide"))
    assert carbide["rpm-high"] == pytest.approx(2 * hss["rpm-high"])
    assert work("drill-speed", diameter="3 mm", metal="brass", tool="cobalt").answer.assumed
    assert found("drill-speed", diameter="3 mm", metal="nickel silver") == found(
        "drill-speed", diameter="3 mm", metal="nickel-silver"
    )
    assert found("drill-speed", diameter="4 mm", metal="wood")["rpm-high"] == 2500
    capped = found("drill-speed", diameter="3.2 mm", metal="brass", fastest="2500 rpm")
    assert capped == {"rpm-low": 2500, "rpm-high": 2500}


def test_drill_speed_refuses_what_will_not_cut():
    with pytest.raises(ShopError, match=r"^tool: HSS has no speed .*carbide"):
        work("drill-speed", diameter="3 mm", metal="hardened", tool="HSS")
    assert "chips" in cautions("drill-speed", diameter="3 mm", metal="hardened", tool="carbide")
    with pytest.raises(ShopError, match=r"^metal: 'cheese' .*brass"):
        work("drill-speed", diameter="3 mm", metal="cheese")


def test_every_stored_cutting_speed_answers():
    for metal in store("cutting")["metal"]:
        for speed in metal["speed"]:
            rows = found("drill-speed", diameter="5 mm", metal=metal["id"], tool=speed["tool"])
            assert 0 < rows["rpm-low"] <= rows["rpm-high"]
            assert speed["source"]
            assert speed["standing"] in ("published", "secondary", "common practice", "from memory")


def test_bath_round_and_square():
    blade = {"blade_length": "150 mm", "blade_height": "30 mm", "blade_thickness": "4 mm"}
    box = found("bath", width="60 mm", depth="40 mm", **blade, cover="30 mm")
    # by hand: 24 cm² × 18 cm − 18 ml; 18 / 24 cm
    assert box["volume"] == pytest.approx(414)
    assert box["rise"] == pytest.approx(7.5)
    with pytest.raises(ShopError, match=r"^blade-height: .*wider"):
        work("bath", diameter="30 mm", **blade)
    with pytest.raises(ShopError, match=r"^diameter: give either"):
        work("bath", diameter="50 mm", width="60 mm", **blade)
    with pytest.raises(ShopError, match=r"^diameter: "):
        work("bath", width="60 mm", **blade)
    assert "Concentrate into water" in cautions("bath", diameter="50 mm", **blade)


def test_price_adds_stages_and_materials():
    rows = found("price", hours="1 h; 30 min; 5.5 h", rate="20", materials="12.5; 3; 6", consumables="20")
    # by hand: (7 × 20 + 21.5 × 1.3 + 20) × 1.15
    assert rows["price"] == pytest.approx((140 + 27.95 + 20) * 1.15)
    assert rows["floor"] == pytest.approx((140 + 21.5 + 20) * 1.15)
    assert sum(v for k, v in rows.items() if k.startswith("shares ")) == pytest.approx(100)
    assert "under-priced" in cautions("price", hours="30 h", rate="20")
