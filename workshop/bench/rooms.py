"""The rooms off the bench."""

from __future__ import annotations

from workshop.bench.looks import Row
from workshop.bench.pane import Pane


class _Empty(Pane):
    def rows(self, width: int, height: int) -> list[Row]:
        return []


class Rack(_Empty):
    """All blades."""

    where = "rack"


class StartForm(_Empty):
    """Begin a blade."""

    where = "start"


class Wall(_Empty):
    """The clocks, large."""

    where = "wall"


class CallPane(_Empty):
    """A mark has come."""

    where = "call"


class DrawerPane(_Empty):
    """The calculators."""

    where = "drawer"
