"""Layer counts against worked cases, and against stacking a list piece by piece.

Source of the worked cases: common practice among makers who count true layers; each was
worked again by hand. The list below is independent of the formula: it lays steel on steel
and lets two faces of like steel that meet become one layer.
"""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from workshop.trade import layers


def weld(pieces):
    """Lay pieces on one another; like steel on like steel becomes one layer."""
    bar = []
    for piece in pieces:
        for steel in piece:
            if not bar or bar[-1] != steel:
                bar.append(steel)
    return bar


def stack_by_hand(start, moves):
    bar = weld([[("dark", "bright")[i % 2]] for i in range(start)])
    for move in moves:
        if move.how == "fold":
            # The bar's far half comes over onto the near half, upside down.
            bar = weld([bar, bar[::-1]])
        elif move.how == "turned":
            bar = weld([bar if i % 2 == 0 else bar[::-1] for i in range(move.pieces)])
        else:
            bar = weld([bar] * move.pieces)
    return bar


moves = st.lists(
    st.one_of(
        st.builds(layers.Move, st.just("stack"), st.integers(2, 5)),
        st.builds(layers.Move, st.just("turned"), st.integers(2, 5)),
        st.just(layers.Move("fold", 2)),
    ),
    max_size=4,
).map(tuple)


@given(start=st.integers(1, 30), rounds=moves)
def test_the_formula_counts_what_stacking_a_list_counts(start, rounds):
    bar = stack_by_hand(start, rounds)
    last = layers.count_layers(start, layers.alternating_ends_alike(start), rounds)[-1]
    assert last.true == len(bar)
    assert last.ends_alike == (bar[0] == bar[-1])


@pytest.mark.parametrize(
    ("start", "rounds", "nominal", "true"),
    [
        # common practice, worked cases
        (15, "4x4", 240, 225),
        (25, "4x3", 300, 289),
        (13, "4x2x2", 208, 193),
        (16, "f1", 32, 31),
        (16, "f2", 64, 61),
        (16, "f3", 128, 121),
        (16, "f4", 256, 241),
        # by hand: unlike ends stay unlike, nothing merges until the fold: 16 × 4 = 64, 2 × 64 − 1
        (16, "4", 64, 64),
        (16, "4xf1", 128, 127),
        # by hand: every second piece turned, like meets like: 4 × 16 − 3
        (16, "4t", 64, 61),
    ],
)
def test_worked_counts(start, rounds, nominal, true):
    last = layers.count_layers(start, layers.alternating_ends_alike(start), layers.read_moves(rounds))[-1]
    assert (last.nominal, last.true) == (nominal, true)


@pytest.mark.parametrize(
    ("count", "thick_um", "shown_mm"),
    # common practice, worked for 4 mm at 3.2°; the table gives two figures
    [(60, 67, 1.2), (150, 27, 0.48), (300, 13, 0.24)],
)
def test_thickness_and_shown_width(count, thick_um, shown_mm):
    layer_m = layers.layer_thickness(0.004, count)
    assert layer_m * 1e6 == pytest.approx(thick_um, abs=0.5)
    # sin, tan and the angle itself agree at 3.2° to better than the table is rounded
    assert layers.shown_width(layer_m, 0.05585) * 1e3 == pytest.approx(shown_mm, abs=0.01)
