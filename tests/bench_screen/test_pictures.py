"""The command that draws the pictures: it runs, says what is on the screen, and draws the same twice."""

from __future__ import annotations

import asyncio
import importlib.util
import sys
from pathlib import Path
from types import ModuleType
from xml.etree import ElementTree

import pytest

from workshop.cli.demo import make_demo

DRAW = Path(__file__).parents[2] / "screenshots" / "draw.py"

pytestmark = pytest.mark.screen


@pytest.fixture(scope="module")
def draw() -> ModuleType:
    spec = importlib.util.spec_from_file_location("draw_screens", DRAW)
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    sys.modules[spec.name] = module
    spec.loader.exec_module(module)
    return module


def words_of(svg: str) -> str:
    root = ElementTree.fromstring(svg)
    return " ".join(" ".join(text.itertext()) for text in root.iter("{http://www.w3.org/2000/svg}text"))


def test_the_wall_is_drawn_as_a_picture_and_the_same_each_time(draw: ModuleType, tmp_path: Path) -> None:
    wall = next(one for one in draw.PICTURES if one.name == "wall")
    made = []
    for number in range(2):
        folder = tmp_path / str(number)
        folder.mkdir()
        strips = asyncio.run(draw.drawn(wall, make_demo(folder, draw.AT), (80, 24)))
        made.append(draw.svg(strips, wall.title, (80, 24)))
    assert made[0] == made[1]
    assert "Heron · bedding" in words_of(made[0])
    assert made[0].count("<rect") > 30, "the digits are drawn"


def test_text_is_safe_and_on_its_grid(draw: ModuleType) -> None:
    from rich.segment import Segment
    from rich.style import Style
    from textual.strip import Strip

    strip = Strip([Segment("  <a> & 木", Style(bold=True)), Segment("x", Style(reverse=True))])
    picture = draw.svg([strip], "<t>", (20, 1))
    assert "<a> & 木" in words_of(picture)
    texts = list(ElementTree.fromstring(picture).iter("{http://www.w3.org/2000/svg}text"))
    assert texts[0].get("x") == str(draw.EDGE + 2 * draw.CELL_W)
    assert texts[1].get("x") == str(draw.EDGE + 10 * draw.CELL_W)


def test_each_screen_that_is_told_of_is_drawn_at_both_sizes(draw: ModuleType) -> None:
    assert {"bench", "rack", "drawer", "lastlook", "wall"} <= {one.name for one in draw.PICTURES}
    assert draw.SIZES == ((80, 24), (120, 40))
