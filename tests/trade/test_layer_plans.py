"""The little language of restacks, and the search for a wanted count."""

import itertools

import pytest
from hypothesis import given
from hypothesis import strategies as st

from workshop.errors import ShopError
from workshop.trade import layers


@pytest.mark.parametrize(
    ("text", "written"),
    [
        ("4x3", "4x3"),
        (" 4 X 3 ", "4x3"),
        ("4×3", "4x3"),
        ("4, 3", "4x3"),
        ("f4", "fxfxfxf"),
        ("4xf1", "4xf"),
        ("4xF", "4xf"),
        ("4t", "4t"),
        ("", "none"),
        ("none", "none"),
        ("0", "none"),
    ],
)
def test_rounds_read(text, written):
    assert layers.write_moves(layers.read_moves(text)) == written


@pytest.mark.parametrize(
    "text",
    ["4x", "x4", "1", "4x0", "f0", "-4", "4.5", "four", "f99", "101", "4f", "tt", "4x4 x", "٤", "4" * 200],
)
def test_rounds_refused_by_name(text):
    with pytest.raises(ShopError, match=r"^repeats: .*(like|write)"):
        layers.read_moves(text)


def test_what_was_written_reads_back():
    for rounds in itertools.product(("2", "5t", "f"), repeat=3):
        moves = layers.read_moves("x".join(rounds))
        assert layers.read_moves(layers.write_moves(moves)) == moves


def test_no_runaway_count():
    with pytest.raises(ShopError, match="passes 1e"):
        layers.count_layers(50, True, layers.read_moves("x".join(["100"] * 10)))
    with pytest.raises(ShopError, match="at most 20"):
        layers.read_moves("x".join(["2"] * 21))


def every_way(starts, welds, pieces):
    """Every order of every round: slow, and with none of the search's shortcuts."""
    choices = [layers.Move("stack", k) for k in range(2, pieces + 1)] + [layers.Move("fold", 2)]
    for start, alike in starts:
        for rounds in range(welds):
            for moves in itertools.product(choices, repeat=rounds):
                yield start, layers.count_layers(start, alike, moves)[-1].true


@given(
    starts=st.lists(st.integers(2, 25), min_size=1, max_size=3),
    target=st.integers(2, 500),
    welds=st.integers(1, 4),
)
def test_search_comes_as_near_as_trying_everything(starts, target, welds):
    known = [(start, layers.alternating_ends_alike(start)) for start in starts]
    plans = layers.find_plans(known, target, welds, 4)
    nearest = min(abs(true - target) for _, true in every_way(known, welds, 4))
    assert abs(plans[0].count.true - target) == nearest


@given(
    starts=st.lists(st.integers(1, 40), min_size=1, max_size=4),
    target=st.integers(2, 2000),
    welds=st.integers(1, 6),
    pieces=st.integers(2, 8),
)
def test_plans_are_what_they_say(starts, target, welds, pieces):
    known = [(start, layers.alternating_ends_alike(start)) for start in starts]
    plans = layers.find_plans(known, target, welds, pieces)
    assert 1 <= len(plans) <= 5
    off = [abs(plan.count.true - target) for plan in plans]
    assert off == sorted(off)
    for plan in plans:
        assert plan.welds <= welds
        assert all(move.pieces <= pieces for move in plan.moves)
        again = layers.count_layers(plan.start, layers.alternating_ends_alike(plan.start), plan.moves)[-1]
        assert again == plan.count
    assert len({(plan.start, plan.moves) for plan in plans}) == len(plans)


def test_fewer_welds_come_first_among_equals():
    # 13 pieces reach 193 by 4x2x2 or by 16 at once; one weld fewer is worth more than fewer pieces.
    plans = layers.find_plans([(13, True)], 193, 4, 8)
    assert [plan.count.true for plan in plans[:2]] == [193, 193]
    assert plans[0].welds < 4


@pytest.mark.parametrize("angle", [0.0, -0.1, 1.6])
def test_no_bevel_no_width(angle):
    with pytest.raises(ShopError, match=r"^bevel: "):
        layers.shown_width(1e-5, angle)
