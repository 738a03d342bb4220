"""A route with glue on it, and a maker's hand on the keyboard, for the screens of the clocks."""

from __future__ import annotations

from collections.abc import AsyncIterator, Callable
from contextlib import asynccontextmanager
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
from textual import events
from textual.pilot import Pilot

from workshop.bench.alarm import Silent
from workshop.bench.app import BenchApp
from workshop.bench.desk import Desk
from workshop.build.blade import Blade
from workshop.build.timekeeping import Anchor
from workshop.drawer import registry
from workshop.shelf.shelf import Shelf

ROUTE = """
schema = 1
id = "glued"
title = "Glued knife"

[[phase]]
id = "K"
title = "Glue"

[[step]]
id = "K1"
title = "Glue up"
purpose = "One piece."
one_way = true
last_look = ["Rag stays white"]
checks = ["Clamped true"]
hands_full = true
makes = ["pot life"]
[[step.clock]]
id = "mix"
title = "glue-up"
kind = "adhesive"
store = "adhesives/slow"
minds = ["dust"]
[[step.move]]
says = "slot filled from the bottom"
by = "10 min"
scaled = true
[[step.move]]
says = "block home, one twist"
by = "20 min"
scaled = true
[[step.move]]
says = "clamped"

[[step]]
id = "K2"
title = "Grind the guard"
purpose = "Flush."
hands_on = ["2 h"]
makes = ["dust", "loud"]
[[step.clock]]
id = "in-oil"
title = "count in oil"
kind = "count"
fills = "oil-count"
[[step.record]]
name = "oil-count"
says = "Count in the oil"
kind = "time"
unit = "s"
"""


@dataclass
class Hand:
    """A maker at the keyboard, and the present."""

    app: BenchApp
    pilot: Pilot[None]
    at: list[datetime]
    desk: Desk = field(init=False)

    def __post_init__(self) -> None:
        self.desk = self.app.desk

    async def press(self, *keys: str) -> None:
        for key in keys:
            self.app.on_key(events.Key(key, " " if key == "space" else key if len(key) == 1 else None))
            await self.pilot.pause()

    async def later(self, **by: float) -> None:
        self.at[0] += timedelta(**by)
        self.app.tick()
        await self.pilot.pause()

    def blade(self) -> Blade:
        assert self.desk.key is not None
        return Shelf(self.desk.shelf.folder, registry.NAMES).blade(self.desk.key)

    async def screen(self) -> str:
        await self.pilot.pause()
        lines = self.app.screen._compositor.render_strips()
        return "\n".join("".join(segment.text for segment in line) for line in lines)


@pytest.fixture
def glue(tmp_path: Path, now: datetime) -> Shelf:
    (tmp_path / "routes").mkdir()
    (tmp_path / "routes" / "glued.toml").write_text(ROUTE, encoding="utf-8")
    shelf = Shelf(tmp_path, registry.NAMES)
    shelf.begin("Heron", "glued", now)
    desk = Desk(shelf, lambda: now)
    desk.read_air("22 °C", "50 %")
    return shelf


@asynccontextmanager
async def at_the_bench(
    shelf: Shelf, now: datetime, anchoring: Callable[[datetime], Anchor] | None = None
) -> AsyncIterator[Hand]:
    at = [now]
    desk = Desk(shelf, lambda: at[0])
    desk.open("heron")
    seconds = iter(range(10**9))
    app = BenchApp(desk, Silent(), running_s=lambda: float(next(seconds)), anchoring=anchoring)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        yield Hand(app, pilot, at)


@pytest.fixture
def at_glue() -> Any:
    """Return what opens the bench on the shelf with glue."""
    return at_the_bench
