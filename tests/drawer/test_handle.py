"""The handle section calculator as it is declared."""

import pytest

from workshop.drawer.declare import Given
from workshop.drawer.handle import HANDLE_SECTION
from workshop.trade import handle

USUAL = {
    "height": 0.032,
    "width": 0.024,
    "form": "ellipse",
    "widest": 0.4,
    "corner": None,
    "radius": 0.004,
    "palm": None,
    "glove": "none",
}
FORMS = ("ellipse", "egg", "octagon", "rectangle")


def section(**changed):
    return HANDLE_SECTION.work(Given({**USUAL, **changed}))


def test_the_oval_for_a_large_palm():
    found = section(palm=0.095, glove="thin").found
    assert 1000 * found["girth"] == pytest.approx(88.4, abs=0.05)
    assert 1000 * found["advised-girth"] == pytest.approx(91.4, abs=0.05)
    assert 1000 * found["over-advised"] == pytest.approx(-3.0, abs=1e-9)


def test_without_a_palm_nothing_is_advised():
    assert "advised-girth" not in section().found


def test_a_palm_outside_the_table_is_said():
    answer = section(palm=0.12)
    assert "advised-girth" not in answer.found
    assert any("120 mm" in line for line in answer.cautions)


def test_the_two_habits_are_said_where_they_part():
    assert any("two habits" in line for line in section(palm=0.078).cautions)
    assert not any("two habits" in line for line in section(palm=0.095).cautions)


def test_a_round_handle_is_flagged():
    assert any("usual is 1.25 to 1.4" in line for line in section(height=0.024).cautions)
    assert section(height=0.032).cautions == ()


@pytest.mark.parametrize("form", FORMS)
@pytest.mark.parametrize(("height", "width"), [(0.032, 0.024), (0.2, 0.001), (0.001, 0.2), (0.024, 0.024)])
def test_the_figure_fits_and_has_the_form(form, height, width):
    figure = section(form=form, height=height, width=width, radius=0.0005).figure
    assert 0 < len(figure) <= 12
    assert max(map(len, figure)) <= 60
    assert all(line.isascii() for line in figure)
    assert any("#" in line for line in figure)


def test_the_egg_is_widest_above_its_middle():
    lines = [line[:26] for line in section(form="egg", widest=0.3).figure[:10]]
    widths = [len(line.strip()) for line in lines]
    assert sum(widths[:5]) > sum(widths[5:])


@pytest.mark.parametrize("form", FORMS)
def test_the_drawn_form_covers_the_area(form):
    # The character grid and the formula are two ways to the same area.
    from workshop.drawer import handle as drawn

    height, width = 0.032, 0.024
    made = {
        "ellipse": drawn._oval(height, width, 0.5, False),
        "egg": drawn._oval(height, width, 0.4, True),
        "octagon": drawn._octagon(height, width, None),
        "rectangle": drawn._rectangle(height, width, 0.006),
    }[form]
    steps = 400
    hits = sum(
        made.inside((i + 0.5) * width / steps - width / 2, (j + 0.5) * height / steps)
        for i in range(steps)
        for j in range(steps)
    )
    assert hits / steps**2 * height * width == pytest.approx(made.area_m2, rel=2e-3)


def test_gloves_add_what_the_shop_adds():
    advised = [section(palm=0.095, glove=each).found["advised-girth"] for each in ("none", "thin", "thick")]
    assert [round(1000 * (each - advised[0])) for each in advised] == [0, 3, 5]
    assert advised[0] == pytest.approx(handle.ellipse_girth(0.032, 0.024))
