"""Stock, drawing out and pattern cuts: what is kept, and what is refused."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from workshop.errors import ShopError
from workshop.trade import billet

sizes = st.floats(0.005, 0.2)


def test_stock_worked_case():
    # common practice, rounded there: 185 g finished, about 250 forged, about 450 raw
    forged = billet.before_loss(0.185, 0.25)
    assert forged == pytest.approx(0.250, abs=0.005)
    assert billet.before_loss(forged, 0.45) == pytest.approx(0.450, abs=0.005)


def test_blank_weight():
    # worked: 200 × 30 × 4 mm of steel at 7.85 g/cm³ is 188.4 g
    assert billet.cut_length(0.1884, 0.004, 0.030) == pytest.approx(0.2, rel=1e-9)


def test_carbon_worked_case():
    # common practice: 7 × 3.2 mm of 0.84 % and 6 × 1.25 mm of 0.75 % average 0.82 %
    assert billet.average([(0.0224, 0.0084), (0.0075, 0.0075)]) == pytest.approx(0.0082, abs=0.00005)


def test_draw_out_worked_case():
    # common practice: 45 × 40 × 110 mm to 35 × 12 mm is 471 mm, without scale
    ratio = billet.section_ratio(0.045, 0.040, 0.035, 0.012)
    assert billet.drawn_length(0.110, ratio, 0) == pytest.approx(0.471, abs=0.0005)


@given(length=sizes, width=sizes, height=sizes, thinner=st.floats(0.1, 1), lower=st.floats(0.1, 1))
def test_volume_is_kept(length, width, height, thinner, lower):
    ratio = billet.section_ratio(width, height, width * thinner, height * lower)
    drawn = billet.drawn_length(length, ratio, 0)
    assert drawn * width * thinner * height * lower == pytest.approx(length * width * height, rel=1e-9)


@given(length=sizes, first=st.floats(1, 5), second=st.floats(1, 5))
def test_drawing_twice_is_drawing_once(length, first, second):
    twice = billet.drawn_length(billet.drawn_length(length, first, 0.05), second, 0)
    assert twice == pytest.approx(billet.drawn_length(length, first * second, 0.05), rel=1e-9)


@given(kept=st.floats(0.001, 10), loss=st.floats(0, 0.95))
def test_losing_the_loss_leaves_what_was_wanted(kept, loss):
    assert billet.before_loss(kept, loss) * (1 - loss) == pytest.approx(kept, rel=1e-9)


@given(st.lists(st.tuples(st.floats(0.001, 0.05), st.floats(0, 0.02)), min_size=1, max_size=6))
def test_a_mean_lies_among_its_parts(parts):
    mean = billet.average(parts)
    assert min(s for _, s in parts) - 1e-12 <= mean <= max(s for _, s in parts) + 1e-12


def test_a_hair_short_is_a_whole_piece():
    assert billet.whole_pieces(0.3, 0.1) == 3
    assert billet.whole_pieces(0.2999, 0.1) == 2


@given(final=st.floats(0.001, 0.02), depth=st.floats(0.01, 1 / 3))
def test_thirds_never_fail_up_to_a_third(final, depth):
    # Three times the thickness, a third off each face: exactly the finished thickness is left.
    cut = billet.pattern_cut(final, None, depth, 0.010, 0.006)
    assert cut.meet
    assert not cut.fails
    assert cut.left_m >= final - 1e-9


def test_the_other_practice_fails_at_a_third_where_cuts_overlap():
    # 2 × 4 + 1 = 9 mm; a third off each face leaves 3 of the 4 mm wanted
    assert billet.pattern_cut(0.004, 0.001, 1 / 3, 0.010, 0.006).fails
    assert not billet.pattern_cut(0.004, 0.001, 1 / 3, 0.010, 0.003).fails
    assert not billet.pattern_cut(0.004, 0.001, 1 / 4, 0.010, 0.006).fails


def test_one_face_alone_can_fail():
    assert billet.pattern_cut(0.004, 0.0, 0.49, 0.010, 0.006).fails


@given(density=st.floats(100, 5000), drawn=st.floats(0.1, 1), height=st.floats(0.03, 0.2))
def test_a_feather_keeps_its_layers(density, drawn, height):
    start, whole = billet.feather_stack(density, drawn, height)
    assert start * height == pytest.approx(density * drawn)
    assert whole - 1 < density * drawn + 1e-6 <= whole + 2e-6


def test_feather_worked_case():
    # a worked case of the trade, inches throughout: 50 × 12 / 3 = 200
    start, whole = billet.feather_stack(50 / 0.0254, 12 * 0.0254, 3 * 0.0254)
    assert start * 0.0254 == pytest.approx(200)
    assert whole == 600


@pytest.mark.parametrize(
    ("call", "field"),
    [
        (lambda: billet.before_loss(1, 1.0), "loss"),
        (lambda: billet.before_loss(1, math.nan), "loss"),
        (lambda: billet.cut_length(1, 0, 0.03), "bars"),
        (lambda: billet.section_ratio(0.03, 0.01, 0.04, 0.01), "to-width"),
        (lambda: billet.pattern_cut(0.004, None, 0.5, 0.01, 0.003), "depth"),
        (lambda: billet.pattern_cut(0.004, None, 0.25, 0.003, 0.003), "groove-width"),
    ],
)
def test_refused_by_name(call, field):
    with pytest.raises(ShopError, match=f"^{field}"):
        call()
