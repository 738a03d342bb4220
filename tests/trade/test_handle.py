"""Properties of handle sections."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from workshop.errors import ShopError
from workshop.trade import handle

sizes = st.floats(0.005, 0.1)


def girths(height, width):
    yield handle.ellipse_girth(height, width), handle.ellipse_area(height, width)
    yield handle.egg_girth(height, width, 0.4), handle.ellipse_area(height, width)
    yield handle.octagon(height, width, None)
    yield handle.octagon(height, width, min(height, width) / 5)
    yield handle.rectangle(height, width, min(height, width) / 4)


@given(sizes, sizes)
def test_no_girth_beats_the_circle_of_its_area(height, width):
    for girth, area in girths(height, width):
        assert girth * (1 + 1e-12) >= 2 * math.sqrt(math.pi * area)


@given(sizes, sizes)
def test_every_section_lies_in_its_rectangle(height, width):
    for girth, area in girths(height, width):
        assert girth <= 2 * (height + width) * (1 + 1e-12)
        assert 0.5 * height * width <= area <= height * width


@given(sizes, sizes, st.floats(0.1, 10))
def test_twice_the_size_is_twice_the_girth(height, width, times):
    for (small, area), (large, wide) in zip(
        girths(height, width), girths(times * height, times * width), strict=True
    ):
        assert large == pytest.approx(times * small)
        assert wide == pytest.approx(times**2 * area)


@given(sizes, sizes)
def test_an_egg_widest_at_the_middle_is_an_ellipse(height, width):
    assert handle.egg_girth(height, width, 0.5) == pytest.approx(handle.ellipse_girth(height, width))


@given(sizes, sizes, st.floats(0.05, 0.95))
def test_an_egg_does_not_care_which_end_is_up(height, width, widest):
    there, back = handle.egg_girth(height, width, widest), handle.egg_girth(height, width, 1 - widest)
    assert there == pytest.approx(back)


@given(st.floats(0.075, 0.097), st.floats(0, 0.01))
def test_a_larger_palm_is_never_advised_less(palm, more):
    first, second = handle.advised_oval(palm), handle.advised_oval(min(palm + more, 0.098))
    assert first is not None
    assert second is not None
    assert handle.ellipse_girth(*second) >= handle.ellipse_girth(*first)


@pytest.mark.parametrize("palm", [0.0749, 0.0981])
def test_no_advice_outside_the_table(palm):
    assert handle.advised_oval(palm) is None


@pytest.mark.parametrize(
    ("work", "says"),
    [
        (lambda: handle.ellipse_girth(0, 0.02), "height is 0 mm"),
        (lambda: handle.octagon(0.03, 0.02, 0.010), "less than half of the narrower face, 10 mm"),
        (lambda: handle.rectangle(0.03, 0.02, 0.011), "at most half of the narrower side, 10 mm"),
        (lambda: handle.egg_girth(0.03, 0.02, 1.0), "between 0 % and 100 %"),
    ],
)
def test_impossible_sections_are_refused(work, says):
    with pytest.raises(ShopError, match=says):
        work()
