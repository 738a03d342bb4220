"""Every calculator once more by another way: closed forms, numerical integration or a reference library.

The points lie far from the calculators' own examples. What is worked here uses nothing of the product but the
answer; where a formula stands, its source stands beside it.
"""

from __future__ import annotations

import math
import tomllib
from collections.abc import Callable
from datetime import UTC, datetime
from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest
from psychrolib import SI, GetTDewPointFromRelHum, SetUnitSystem
from scipy import integrate, optimize

from workshop.drawer import registry, run
from workshop.shelf.shelf import Shelf

STORES = Path(__file__).parents[2] / "recipes" / "stores"
NOW = datetime(2026, 3, 2, 8, 30, tzinfo=UTC).timestamp()
Work = Callable[..., dict[str, float | str]]


@pytest.fixture(scope="module")
def work(tmp_path_factory: pytest.TempPathFactory) -> Work:
    stores = Shelf(tmp_path_factory.mktemp("shelf"), registry.NAMES).store

    def worked(name: str, **typed: str) -> dict[str, float | str]:
        given = {key.strip("_").replace("_", "-"): text for key, text in typed.items()}
        made = run.work_out(registry.calculator(name), given, stores, now=NOW)
        return {row.name: row.value for row in made.rows}

    return worked


def store(name: str) -> dict:
    return tomllib.loads((STORES / f"{name}.toml").read_text(encoding="utf-8"))


near = pytest.approx


def test_convert(work: Work) -> None:
    # 1 in = 25.4 mm exactly, 1 lb = 0.45359237 kg exactly (NIST SP 811, appendix B).
    assert work("convert", value="2' 3 1/2\"", to="mm")["value"] == near(27.5 * 25.4)
    assert work("convert", value="1 lb 3 oz", to="g")["value"] == near(19 / 16 * 453.59237)
    found = work("convert", value="7.3 mm", to="in")
    sixtyfourths = round(7.3 / 25.4 * 64)
    assert found["error"] == near(1000 * (7.3 / 25.4 - sixtyfourths / 64))
    assert work("convert", value="1450 F", to="°C")["value"] == near((1450 - 32) * 5 / 9)


@pytest.mark.parametrize("inches", [0.0995, 0.141, 0.1875, 0.2344, 0.3125])
def test_pin_drill_is_the_first_of_the_published_sizes_that_is_large_enough(
    work: Work, inches: float
) -> None:
    table = (STORES / "drills.toml").read_text(encoding="utf-8")
    assert "B94.11M" in table
    # Number and letter sizes near these pins, in inches (ASME B94.11M), and the 64ths.
    sizes = {
        "#37": 0.104, "#36": 0.1065, "#27": 0.144, "#26": 0.147, "#10": 0.1935, "#11": 0.191, "B": 0.238,
        "C": 0.242, "O": 0.316, "P": 0.323, "#38": 0.1015, "#12": 0.189, "A": 0.234, "N": 0.302,
        **{f"{n}/64": n / 64 for n in range(1, 40)},
    }  # fmt: skip
    first = min(size for size in sizes.values() if size >= inches + 0.004 - 1e-9)
    found = work("pin-drill", pin=f"{inches} in", clearance="4 thou")
    assert found["hole"] == near(first)
    assert found["clearance"] == near(1000 * (first - inches), abs=1e-6)
    assert found["under-clearance"] < 4 <= found["over-clearance"]


@pytest.mark.parametrize("form", ["dome", "flat", "countersunk"])
def test_pin_head_by_integrating_the_head(work: Work, form: str) -> None:
    """The metal of the head and of the gap, summed disc by disc, is what the stick-out holds."""
    pin, hole, head, rise, grip = 4.76, 4.978, 8.2, 1.9, 23.0
    found = work(
        "pin-head", pin=f"{pin} mm", hole=f"{hole} mm", head=f"{head} mm", rise=f"{rise} mm",
        grip=f"{grip} mm", form=form,
    )  # fmt: skip
    section = math.pi * pin**2 / 4
    gap = math.pi * (hole**2 - pin**2) / 4
    if form == "dome":
        ball = ((head / 2) ** 2 + rise**2) / (2 * rise)
        metal = integrate.quad(lambda y: math.pi * (ball**2 - y**2), ball - rise, ball)[0]
    elif form == "flat":
        metal = math.pi * head**2 / 4 * rise
    else:  # a cone of 90° from the head's width down to the hole, flush, with the pin in its middle
        deep = (head - hole) / 2
        metal = integrate.quad(lambda y: math.pi * (head / 2 - y) ** 2 - section, 0, deep)[0]
        metal += gap * (grip / 2 - deep) - gap * grip / 2
    wanted = (metal + gap * grip / 2) / section
    assert found["stick-out"] == near(wanted, rel=1e-6)
    assert found["length"] == near(grip + 2 * wanted, rel=1e-6)


def test_slot_fill_by_counting_points(work: Work) -> None:
    """A row of drilled holes by a fine grid; a tang that tapers both ways by its integral."""
    holes, hole, pitch, deep, long = 4, 7.5, 5.2, 92.0, 84.0
    found = work(
        "slot-fill", holes=str(holes), hole=f"{hole} mm", pitch=f"{pitch} mm", slot_depth=f"{deep} mm",
        tang_length=f"{long} mm", tang_height_front="15.2 mm", tang_height_end="7.1 mm",
        tang_thick_front="4.4 mm", tang_thick_end="2.3 mm", extra="40 %", ratio="100:38", ratio_by="volume",
        density_resin="1.17 g/ml", density_hardener="0.96 g/ml", scale_step="0.1 g",
    )  # fmt: skip
    xs, step = np.linspace(-hole / 2, (holes - 1) * pitch + hole / 2, 200_001, retstep=True)
    high = np.zeros_like(xs)
    for number in range(holes):
        high = np.maximum(high, np.sqrt(np.maximum(hole**2 / 4 - (xs - number * pitch) ** 2, 0)))
    area = float(2 * high.sum() * step)
    tang = integrate.quad(lambda x: (15.2 - 8.1 * x / long) * (4.4 - 2.1 * x / long), 0, long)[0]
    void_ml = (area * deep - tang) / 1000
    assert found["void"] == near(void_ml, rel=1e-4)
    by_weight = 100 * 1.17 / (38 * 0.96)
    batch_ml = void_ml * 1.4
    assert found["resin-volume"] == near(batch_ml * 100 / 138, rel=1e-4)
    assert found["hardener-volume"] == near(batch_ml * 38 / 138, rel=1e-4)
    assert found["resin"] == near(batch_ml * 100 / 138 * 1.17, rel=1e-4)
    assert found["resin"] / found["hardener"] == near(by_weight, rel=1e-6)


@pytest.mark.parametrize(("parts", "step"), [((10, 1), 0.1), ((100, 27), 0.01), ((1, 1), 1.0)])
def test_mix_split_worst_error_by_trying_the_corners(
    work: Work, parts: tuple[float, float], step: float
) -> None:
    """Each pan is off by half a step at most; the worst of the four corners is the ratio's error."""
    mix = 23.0
    found = work(
        "mix-split", mix=f"{mix} g", ratio=f"{parts[0]}:{parts[1]}", ratio_by="weight", scale_step=f"{step} g"
    )
    hardener = mix * parts[1] / sum(parts)
    resin = mix - hardener
    assert (found["resin"], found["hardener"]) == (near(resin), near(hardener))

    def worst(batch: float) -> float:
        h, r = batch * parts[1] / sum(parts), batch * parts[0] / sum(parts)
        corners = [(r + a * step / 2) / (h + b * step / 2) for a in (-1, 1) for b in (-1, 1)]
        return max(abs(one / (r / h) - 1) for one in corners)

    assert found["ratio-error"] == near(100 * worst(mix), rel=0.02)
    least = optimize.brentq(
        lambda batch: worst(batch) - 0.03, step * 2 * sum(parts) / min(parts) / 2 + 1e-6, 1e5
    )
    assert found["least-batch"] == near(least, rel=0.02)


def test_cure_through_a_warming_day_by_adding_minutes(work: Work) -> None:
    """The equivalent age of ASTM C1074, summed minute by minute with the store's own energy."""
    entry = next(one for one in store("adhesives")["adhesive"] if one["id"] == "slow")
    energy = 1000 * float(entry["activation"].removesuffix(" kJ/mol"))
    reference = 273.15 + float(entry["reference"].removesuffix(" °C"))
    assert (
        50e3 <= energy <= 60e3
    )  # amine-cured epoxy, Thermochimica Acta 447(2), 167-177 (2006), and makers' 2×
    found = work("cure", store="slow", air="0 h 15 °C; 3 h 19 °C; 10 h 24 °C", mixed_at="2026-03-02 08:00")
    still = work("cure", store="slow", air=entry["reference"], mixed_at="2026-03-02 08:00")
    for mark in ("gel", "pull"):
        aged = minute = 0.0
        while aged < float(still[f"opens-after {mark}"]):
            air = 273.15 + (15 if minute < 180 else 19 if minute < 600 else 24)
            aged += math.exp(-energy / 8.314462618 * (1 / air - 1 / reference))
            minute += 1
        assert found[f"opens-after {mark}"] == near(minute, abs=2)


def test_arc_and_the_nearest_wheel(work: Work) -> None:
    found = work("arc", chord="140 mm", rise="3.1 mm", wheels="1 m; 1.6 m; 0.8 m")
    radius = optimize.brentq(lambda r: r - math.sqrt(r**2 - 70**2) - 3.1, 71, 5000)
    assert found["radius"] == near(radius)
    assert found["arc-length"] == near(2 * radius * math.asin(70 / radius))
    sag = {wheel: wheel / 2 - math.sqrt(wheel**2 / 4 - 70**2) for wheel in (1000, 1600, 800)}
    nearest = min(sag, key=lambda wheel: abs(sag[wheel] - 3.1))
    assert found["wheel"] == near(nearest)
    assert found["wheel-off"] == near(sag[nearest] - 3.1)


def test_taper_distal_and_bevel(work: Work) -> None:
    found = work("taper", front="19 mm", end="33 mm", length="95 mm", step="40 mm")
    assert abs(found["angle"]) == near(math.degrees(math.atan2(7, 95)))
    for place in (0, 40, 80, 95):
        assert found[f"width {place} mm"] == near(np.interp(place, [0, 95], [19, 33]))
    found = work("distal", heel="6.2 mm", tip="2/5", length="230 mm", step="100 mm")
    for place in (0, 100, 200, 230):
        assert found[f"thickness {place} mm"] == near(np.interp(place, [0, 230], [6.2, 6.2 * 0.4]))
    found = work("bevel", spine="3.1 mm", edge="1 mm", height="52 mm", wheel="900 mm")
    assert found["half-angle"] == near(math.degrees(math.atan(2.1 / 2 / 52)))
    assert found["included"] == near(2 * found["half-angle"])
    assert found["offset"] == near(2.1 / 2)
    slant = math.hypot(52, 2.1 / 2)
    sag = 450 - math.sqrt(450**2 - slant**2 / 4)
    assert found["hollow"] == near(sag, rel=1e-6)
    # The thinnest place of two equal arcs by walking along them: distance from the middle plane, twice.
    middle = np.array([26.0, (3.1 + 1) / 4])
    along = np.array([52, 2.1 / 2]) / slant
    out = np.array([-along[1], along[0]])
    centre = middle + out * (450 - sag)
    turns = np.linspace(-math.asin(slant / 900), math.asin(slant / 900), 20_001)
    points = centre[:, None] - 450 * (np.cos(turns) * out[:, None] - np.sin(turns) * along[:, None])
    assert found["thinnest"] == near(2 * points[1].min(), abs=2e-4)


@pytest.mark.parametrize("form", ["ellipse", "egg", "octagon", "rectangle"])
def test_handle_section_by_walking_round_it(work: Work, form: str) -> None:
    high, wide = 37.0, 21.0
    found = work(
        "handle-section", height=f"{high} mm", width=f"{wide} mm", form=form, widest="45 %", radius="7 mm"
    )
    turn = np.linspace(0, 2 * math.pi, 400_001)
    if form == "ellipse":
        x, y = wide / 2 * np.cos(turn), high / 2 * np.sin(turn)
    elif form == "egg":
        x = wide / 2 * np.cos(turn)
        y = np.where(np.sin(turn) > 0, 0.45 * high, 0.55 * high) * np.sin(turn)
    elif form == "octagon":
        cut = 1 - math.sqrt(0.5)
        a, b = high / 2, wide / 2
        x = np.array([b, b, b - cut * wide, -b + cut * wide, -b, -b, -b + cut * wide, b - cut * wide, b])
        y = np.array(
            [-a + cut * high, a - cut * high, a, a, a - cut * high, -a + cut * high, -a, -a, -a + cut * high]
        )
    else:
        x = np.sign(np.cos(turn)) * (wide / 2 - 7) + 7 * np.cos(turn)
        y = np.sign(np.sin(turn)) * (high / 2 - 7) + 7 * np.sin(turn)
        x, y = np.append(x, x[0]), np.append(y, y[0])
    assert found["girth"] == near(float(np.hypot(np.diff(x), np.diff(y)).sum()), rel=1e-4)
    assert found["area"] == near(abs(float((x[:-1] * np.diff(y) - y[:-1] * np.diff(x)).sum()) / 2), rel=1e-4)


def test_octagon_and_square_up(work: Work) -> None:
    found = work("octagon", width="27 mm", height="27 mm")
    # A regular octagon of width w has sides of w·(√2 − 1) (Machinery's Handbook, regular polygons).
    assert found["flats width"] == near(27 * (math.sqrt(2) - 1))
    assert found["flats corner"] == near(27 * (math.sqrt(2) - 1))
    assert found["off-corner"] == near((27 * math.sqrt(2) - 27) / 2)
    found = work("square-up", width="51 mm", length="95 mm", out="1.3 mm")
    assert found["angle"] == near(math.degrees(math.atan(1.3 / 51)))
    assert found["packing"] == near(95 * 1.3 / math.hypot(1.3, 51))
    assert found["removed"] == near(1.3)


@pytest.mark.parametrize(("fahrenheit", "humidity"), [(41, 0.22), (59, 0.66), (86, 0.81), (104, 0.35)])
def test_wood_moisture_by_the_other_half_of_the_handbook(
    work: Work, fahrenheit: int, humidity: float
) -> None:
    # Wood Handbook, FPL-GTR-282, eq. 4-5 with its coefficients in °F; the product works in °C.
    t, h = fahrenheit, humidity
    w = 330 + 0.452 * t + 0.00415 * t**2
    k = 0.791 + 0.000463 * t - 0.000000844 * t**2
    k1 = 6.34 + 0.000775 * t - 0.0000935 * t**2
    k2 = 1.09 + 0.0284 * t - 0.0000904 * t**2
    kh = k * h
    emc = 1800 / w * (kh / (1 - kh) + (k1 * kh + 2 * k1 * k2 * kh**2) / (1 + k1 * kh + k1 * k2 * kh**2))
    found = work("wood-moisture", air=f"{t} °F", humidity=f"{h * 100} %")
    assert found["moisture"] == near(emc, abs=0.02)


def test_wood_swing_past_the_range_of_the_coefficients(work: Work) -> None:
    # Wood Handbook, ch. 13: coefficients 6 to 14 % moisture; beyond, D(Mf − Mi)/(30·100/S − 30 + Mi).
    low = work("wood-moisture", air="25 °C", humidity="33 %")["moisture"]
    high = work("wood-moisture", air="25 °C", humidity="60 %")["moisture"]
    found = work(
        "wood-swing", species="persimmon", width="41 mm", grain="radial",
        humidity_low="33 %", humidity_high="60 %", air="25 °C",
    )  # fmt: skip
    assert 6 <= low < high <= 14
    assert found["swing"] == near(41 * 0.00278 * (high - low), rel=1e-3)
    wet = work("wood-moisture", air="25 °C", humidity="92 %")["moisture"]
    found = work(
        "wood-swing", species="persimmon", width="41 mm", grain="tangential",
        humidity_low="60 %", humidity_high="92 %", air="25 °C",
    )  # fmt: skip
    assert found["swing"] == near(41 * (wet - high) / (3000 / 11.2 - 30 + high), rel=1e-3)


def test_wall_by_measuring_to_every_point_of_the_section(work: Work) -> None:
    found = work(
        "wall", handle_width="24 mm", handle_height="35 mm", slot_width="5 mm", slot_height="21 mm",
        offset="-2.2 mm", offset_height="3 mm", form="ellipse",
    )  # fmt: skip
    turn = np.linspace(0, 2 * math.pi, 200_001)
    x, y = 12 * np.cos(turn), 17.5 * np.sin(turn)
    across = np.maximum(np.abs(x + 2.2) - 2.5, 0)
    along = np.maximum(np.abs(y - 3) - 10.5, 0)
    assert found["thinnest-wall"] == near(float(np.hypot(across, along).min()), abs=1e-4)


def test_balance_by_integrating_every_part(work: Work) -> None:
    found = work(
        "balance", blade="170 x 36>12 x 5>1.5 wedge of 7.8 g/cm3", tang="80 x 14>6 x 4>2 of 7.8 g/cm3",
        guard="8 x 30 x 12 of 8.5 g/cm3", handle="118 x 30>26 x 22>18 oval of 0.9 g/cm3", slot="85 x 16 x 6",
    )  # fmt: skip

    def sums(section: Callable[[float], float], start: float, end: float) -> tuple[float, float]:
        return (
            integrate.quad(section, start, end)[0],
            integrate.quad(lambda x: x * section(x), start, end)[0],
        )

    def along(x: float, first: float, last: float, long: float) -> float:
        return first + (last - first) * x / long

    blade = sums(lambda x: 7.8e-3 * along(x, 36, 12, 170) * along(x, 5, 1.5, 170) / 2, 0, 170)
    tang = sums(lambda x: 7.8e-3 * along(x, 14, 6, 80) * along(x, 4, 2, 80), 0, 80)
    filled = sums(lambda x: 8.5e-3 * (30 * 12 - along(x, 14, 6, 80) * along(x, 4, 2, 80)), 0, 8)
    wood = sums(
        lambda x: 0.9e-3 * math.pi / 4 * along(x - 8, 30, 26, 118) * along(x - 8, 22, 18, 118), 8, 126
    )
    hole = sums(lambda x: 0.9e-3 * 16 * 6, 8, 93)
    mass = blade[0] + tang[0] + filled[0] + wood[0] - hole[0]
    moment = blade[1] - tang[1] - filled[1] - wood[1] + hole[1]
    assert found["mass"] == near(mass, rel=1e-5)
    assert found["balance"] == near(moment / mass, abs=1e-3)


@pytest.mark.parametrize(("air", "humidity"), [(5, 0.9), (13, 0.35), (27, 0.72), (33, 0.5)])
def test_dew_point_by_the_reference_library(work: Work, air: float, humidity: float) -> None:
    SetUnitSystem(SI)
    found = work("dew-point", air=f"{air} °C", humidity=f"{humidity * 100} %", steel=f"{air - 4} °C")
    dew = GetTDewPointFromRelHum(air, humidity)
    if dew > 0:  # below, the library gives the frost point
        assert found["dew-point"] == near(dew, abs=0.1)
        assert found["margin"] == near(air - 4 - dew, abs=0.1)


def test_layers_by_stacking_a_list(work: Work) -> None:
    def merged(stack: list[str]) -> list[str]:
        return [one for n, one in enumerate(stack) if n == 0 or stack[n - 1] != one]

    stack = [("A", "B")[n % 2] for n in range(17)]
    for times in (3, 5):
        stack = merged(stack * times)
    stack = merged([*stack, *stack[::-1]])
    found = work("layers", start="17", repeats="3x5xf1", final_thickness="5.5 mm", bevel="6 deg")
    assert found["true"] == len(stack)
    assert found["nominal"] == 17 * 15 * 2
    assert found["layer"] == near(5500 / len(stack))
    assert found["shown"] == near(5.5 / len(stack) / math.sin(math.radians(6)))


def test_stock_and_drawing_out_keep_the_volume(work: Work) -> None:
    found = work(
        "stock", length="310 mm", height="41 mm", thickness="5.1 mm", fill="55 %", grind_loss="20 %",
        weld_loss="50 %", width="32 mm", bars="9 x 4 mm 1095 c=0.9; 8 x 1.6 mm 15N20 c=0.7 ni=2",
    )  # fmt: skip
    finished = 310 * 41 * 5.1 * 0.55 * 7.85e-3
    billet = finished / 0.8 / 0.5
    assert found["billet-mass"] == near(billet)
    tall = 9 * 4 + 8 * 1.6
    cut = [value for name, value in found.items() if name.startswith("cut-length")]
    assert cut == [near(billet / 7.85e-3 / tall / 32)] * 2
    assert found["carbon"] == near((36 * 0.9 + 12.8 * 0.7) / tall)
    assert found["nickel"] == near(12.8 * 2 / tall)
    found = work(
        "draw-out", length="95 mm", width="52 mm", height="61 mm", to_width="30 mm", to_height="14 mm",
        scale_loss="8 %", piece="140 mm",
    )  # fmt: skip
    assert found["length"] == near(95 * 52 * 61 / (30 * 14) * 0.92)
    assert found["pieces"] == int(95 * 52 * 61 / (30 * 14) * 0.92 / 140)


def test_pattern_cut_and_feather(work: Work) -> None:
    found = work("pattern-cut", final_thickness="3 mm", allowance="1.4 mm", depth="0.3", pitch="5 mm")
    assert found["cut-thickness"] == near(7.4)
    assert found["depth"] == near(2.22)
    assert found["left"] == near(7.4 - 4.44)
    assert found["overlap"].startswith("yes")  # faces half a pitch apart, 2.5 mm, under the 3 mm groove
    assert found["fails"].startswith("yes")
    found = work("feather", density="25/cm", drawn_length="40 cm", split_height="80 mm")
    assert found["stack"] == near(25 * 40, abs=1)
    assert found["start"] == near(25 * 40 / (80 / 25.4), rel=0.01)


def test_guard_slot(work: Work) -> None:
    # Common practice: start 0.8 to 1 mm under, pressed fit 0.01 to 0.03 mm under, slot 0.05 to 0.1 mm longer.
    found = work("guard-slot", ricasso="6.3 mm", tang_height="22 mm", later_loss="0.05 mm")
    assert 6.2 - 1.0 - 1e-9 <= found["start"] <= 6.2 - 0.8
    assert found["last-file"] == near(6.15)
    assert 6.2 - 0.03 - 1e-9 <= found["final"] <= 6.2 - 0.01
    assert 22.05 - 1e-9 <= found["slot-length"] <= 22.1


def test_etch_mix_by_mass_balance(work: Work) -> None:
    """Stock and water by weight, the bath's density read again from the published table."""
    table = {8: 1.068, 10: 1.086, 12: 1.105, 16: 1.143, 20: 1.183, 36: 1.364, 40: 1.415, 44: 1.469}
    # Ferric chloride at 20 °C, a maker's density table; water 0.9982 g/ml.
    stock_density = float(np.interp(38, list(table), list(table.values())))
    found = work("etch-mix", stock="38 %", parts="2.5", volume="1.5 l")
    mass = stock_density + 2.5 * 0.9982
    percent = 38 * stock_density / mass
    assert found["percent"] == near(percent, abs=0.05)
    density = float(np.interp(percent, list(table), list(table.values())))
    assert found["density"] == near(density, abs=0.002)
    assert found["made"] == near(1500)
    assert found["stock-volume"] == near(1500 * density / mass, rel=0.003)
    assert found["water-volume"] == near(2.5 * found["stock-volume"], rel=1e-6)


def test_bath_edge_lift_belt_drill(work: Work) -> None:
    found = work(
        "bath", width="45 mm", depth="95 mm", blade_length="210 mm", 
        blade_height="40 mm", blade_thickness="5 mm", cover="30 mm",
    )  # fmt: skip
    assert found["volume"] == near((45 * 95 * 240 - 210 * 40 * 5) / 1000)
    assert found["rise"] == near(210 * 40 * 5 / (45 * 95))
    assert work("edge-lift", height="51 mm", angle="11 deg")["lift"] == near(51 * math.sin(math.radians(11)))
    found = work("belt-speed", wheel="10 in", rpm="1725 rpm")
    # Surface speed in feet a minute is the diameter in inches × turns / 3.82 (Machinery's Handbook).
    assert found["speed"] / 0.00508 == near(10 * 1725 / 3.8197, rel=1e-4)
    found = work("belt-speed", wheel="150 mm", rpm="2850 rpm", rated_hertz="50 Hz", speed="15 m/s")
    assert found["rpm"] == near(15 / (math.pi * 0.15) * 60)
    assert found["hertz"] == near(found["rpm"] / 2850 * 50)
    # 200 ft/min for a high-speed drill in brass: 12 V / πD (Machinery's Handbook).
    found = work("drill-speed", diameter="F", metal="brass", tool="HSS")
    assert found["rpm-low"] <= 12 * 200 / (math.pi * 0.257) <= found["rpm-high"] * 1.001


def test_grits_steps_are_no_longer_than_asked(work: Work) -> None:
    found = work("grits", **{"from": "P100", "to": "P1500", "scale": "P", "ratio": "1.6"})
    # FEPA grades, ISO 6344, in micron.
    names = "P100 P120 P150 P180 P220 P240 P280 P320 P360 P400 P500 P600 P800 P1000 P1200 P1500"
    micron = (162, 125, 100, 82, 68, 58.5, 52.2, 46.2, 40.5, 35, 30.2, 25.8, 21.8, 18.3, 15.3, 12.6)
    grain = dict(zip(names.split(), micron, strict=True))
    papers = [str(found[f"run {n}"]).split()[0] for n in range(1, int(found["papers"]) + 1)]
    assert (papers[0], papers[-1]) == ("P100", "P1500")
    sizes = [grain[one] for one in papers]
    assert all(1 < a / b <= 1.6 for a, b in pairwise(sizes))
    # as few papers as can be: by trying, from each the farthest within the step
    at, count = 162.0, 1
    while at > 12.6:
        at = min(size for size in grain.values() if at / size <= 1.6)
        count += 1
    assert found["papers"] == count


def test_critical_by_the_published_sums(work: Work) -> None:
    # Andrews, JISI 203 (1965) 721; Grange 1961 in °F.
    found = work("critical", composition="c=0.35, mn=1.1, si=0.4, cr=0.6, ni=1.2, mo=0.3")
    ac1 = 723 - 10.7 * 1.1 - 16.9 * 1.2 + 29.1 * 0.4 + 16.9 * 0.6
    ac3 = 910 - 203 * math.sqrt(0.35) - 15.2 * 1.2 + 44.7 * 0.4 + 31.5 * 0.3
    a1 = (1333 - 25 * 1.1 + 40 * 0.4 + 42 * 0.6 - 26 * 1.2 - 32) / 1.8
    a3 = (1570 - 323 * 0.35 - 25 * 1.1 + 80 * 0.4 - 3 * 0.6 - 32 * 1.2 - 32) / 1.8
    wanted = {"ac1-andrews": ac1, "ac3-andrews": ac3, "ac1-grange": a1, "ac3-grange": a3}
    assert {name: found[name] for name in wanted} == {name: near(value) for name, value in wanted.items()}


def test_temper_by_the_published_sum(work: Work) -> None:
    found = work("temper", steel="O1", temperature="420 °F", time="75 min", cycles="3")
    kelvin = (420 - 32) / 1.8 + 273.15
    parameter = kelvin * (20 + math.log10(3 * 1.25)) / 1000
    assert found["parameter"] == near(parameter, rel=1e-6)
    assert found["one-hour"] == near(parameter * 1000 / 20 - 273.15, abs=0.01)
    # Three published ladders (suppliers and a producer): 400 °F 60 to 63, 450 °F 60 to 62.
    assert 59 <= found["hardness-low"] <= found["hardness-high"] <= 63


def test_quench_by_the_heat_that_is_given_up(work: Work) -> None:
    """What the steel gives up by EN 1993-1-2's specific heat is what the oil takes."""
    found = work(
        "quench",
        mass="520 g",
        **{"from": "800 °C"},
        oil_volume="9 l",
        oil_start="40 °C",
        flash_point="170 °C",
    )

    def specific(t: float) -> float:
        if t < 600:
            return 425 + 0.773 * t - 1.69e-3 * t**2 + 2.22e-6 * t**3
        return 666 + 13002 / (738 - t) if t < 735 else 545 + 17820 / (t - 731)

    def surplus(after: float) -> float:
        heat = 0.52 * integrate.quad(specific, after, 800, points=[600, 735], limit=200)[0]
        return heat - 9 * 0.87 * 1884 * (after - 40)

    after = optimize.brentq(surplus, 40, 300)
    assert found["oil-after"] == near(after, abs=0.5)
    assert found["margin"] == near(170 - after, abs=0.5)


def test_price_by_hand(work: Work) -> None:
    found = work(
        "price", hours="12.5 h; 90 min", rate="41", materials="60; 15.5", markup="1.4", consumables="18",
        machine="7", sheath="25", reserve="20 %", tax="8 %",
    )  # fmt: skip
    before = 14 * 41 + 75.5 * 1.4 + 18 + 7 + 25
    assert found["price"] == near(round(before * 1.2 * 1.08, 2), abs=0.01)
    shares = [value for name, value in found.items() if name.startswith("shares ")]
    assert sum(float(one) for one in shares) == near(100)
