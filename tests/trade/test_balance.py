"""Properties of weights and balances."""

from math import pi

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from scipy.integrate import quad

from workshop.errors import ShopError
from workshop.trade.balance import (
    FILLS,
    Body,
    Solid,
    Station,
    body,
    common,
    holes_in,
    sticks_out,
    without,
)

sizes = st.floats(0.001, 0.06)
densities = st.floats(500, 9000)


@st.composite
def solids(draw):
    places = sorted(draw(st.lists(st.integers(-200, 200), min_size=2, max_size=5, unique=True)))
    stations = tuple(Station(place / 1000, draw(sizes), draw(sizes)) for place in places)
    return Solid(stations, draw(st.sampled_from(sorted(FILLS.values()))))


@given(solids(), densities, st.floats(0.05, 0.95))
def test_the_balance_of_two_halves_is_the_balance_of_the_whole(solid, density, share):
    cut = solid.back_m + share * (solid.front_m - solid.back_m)
    halves = [solid.between(solid.back_m, cut), solid.between(cut, solid.front_m)]
    together = common(body(half, density) for half in halves if half is not None)
    whole = body(solid, density)
    assert together.mass_kg == pytest.approx(whole.mass_kg, rel=1e-9)
    assert together.x_m == pytest.approx(whole.x_m, rel=1e-9, abs=1e-12)


@given(solids())
def test_volume_and_moment_are_the_integrals(solid):
    def section(x):
        found = solid.at(x)
        return solid.fill * found.height_m * found.thick_m

    volume, moment = solid.measure()
    pieces = [(a.x_m, b.x_m) for a, b in zip(solid.stations, solid.stations[1:], strict=False)]
    assert volume == pytest.approx(sum(quad(section, a, b)[0] for a, b in pieces), rel=1e-9)
    by_steps = sum(quad(lambda x: x * section(x), a, b)[0] for a, b in pieces)
    assert moment == pytest.approx(by_steps, rel=1e-7, abs=1e-12)


@given(solids(), densities)
def test_a_solid_balances_inside_itself(solid, density):
    assert solid.back_m <= body(solid, density).x_m <= solid.front_m


@given(solids(), densities, st.floats(-0.5, 0.5))
def test_moving_it_moves_its_balance(solid, density, by_m):
    there = body(solid.moved(by_m), density)
    assert there.x_m == pytest.approx(body(solid, density).x_m + by_m, abs=1e-9)
    assert there.mass_kg == pytest.approx(body(solid, density).mass_kg, rel=1e-9)


bodies = st.builds(Body, st.floats(0.001, 1), st.floats(-0.3, 0.3))


@given(st.lists(bodies, min_size=2, max_size=6))
def test_order_and_grouping_do_not_matter(parts):
    whole = common(parts)
    assert common(reversed(parts)).x_m == pytest.approx(whole.x_m, abs=1e-12)
    grouped = common((common(parts[:1]), common(parts[1:])))
    assert grouped.x_m == pytest.approx(whole.x_m, abs=1e-12)
    assert min(each.x_m for each in parts) - 1e-12 <= whole.x_m <= max(each.x_m for each in parts) + 1e-12


@given(bodies, bodies)
def test_what_is_put_in_comes_out_again(one, other):
    back = without(common((one, other)), other)
    assert back.mass_kg == pytest.approx(one.mass_kg)
    assert back.x_m == pytest.approx(one.x_m, abs=1e-8)


@given(solids(), densities, st.floats(0.05, 0.65), st.floats(-0.1, 0.1))
def test_a_hole_filled_again_is_the_whole(solid, density, share, by_m):
    smaller = tuple(Station(at.x_m, share * at.height_m, share * at.thick_m) for at in solid.stations)
    hole = Solid(smaller).moved(by_m)
    assume(hole.between(solid.back_m, solid.front_m) is not None and sticks_out(hole, solid) is None)
    left = body(solid, density, [hole])
    filling = body(hole.between(solid.back_m, solid.front_m), density)
    assert common((left, filling)).x_m == pytest.approx(body(solid, density).x_m, abs=1e-9)


def test_too_large_a_hole_is_refused():
    part = Solid((Station(0, 0.01, 0.01), Station(0.02, 0.01, 0.01)))
    hole = Solid((Station(-1, 0.02, 0.01), Station(1, 0.02, 0.01)))
    assert sticks_out(hole, part) == 0
    with pytest.raises(ShopError, match="larger than the part"):
        body(part, 1000, [hole])


def test_holes_lie_in_the_rear_half_and_take_their_cylinders():
    tang = Solid((Station(-0.1, 0.02, 0.002), Station(0.0, 0.02, 0.004)))
    holes = holes_in(tang, 0.004, 2)
    assert [place for place, _ in holes] == pytest.approx([-0.0875, -0.0625])
    assert holes[0][1] == pytest.approx(pi * 0.002**2 * 0.00225)


@pytest.mark.parametrize(
    ("hole", "count", "says"),
    [(0.008, 1, "too large for the tang"), (0.005, 8, "do not go into the rear half")],
)
def test_holes_that_do_not_fit_are_refused(hole, count, says):
    tang = Solid((Station(-0.1, 0.02, 0.002), Station(0.0, 0.02, 0.004)))
    with pytest.raises(ShopError, match=says):
        holes_in(tang, hole, count)


@pytest.mark.parametrize(
    "stations",
    [
        (Station(0, 1, 1),),
        (Station(0, 1, 1), Station(0, 1, 1)),
        (Station(1, 1, 1), Station(0, 1, 1)),
        (Station(0, 1, -1), Station(1, 1, 1)),
    ],
)
def test_solids_that_cannot_be_are_refused(stations):
    with pytest.raises(ShopError):
        Solid(stations)


def test_nothing_has_no_balance():
    with pytest.raises(ShopError, match="weigh nothing"):
        common(())
