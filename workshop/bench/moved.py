"""What moved: in words, which marks ahead the air, the witness or the hours have put elsewhere."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime

from workshop.bench import times
from workshop.build.blade import Blade
from workshop.build.clock import Mark

WORTH_SAYING_S = 60.0
MOST_TOLD = 3


def moved_marks(before: Blade, after: Blade) -> Iterator[tuple[str, Mark, Mark]]:
    """Yield the marks of running clocks that stand elsewhere than before: the clock's title, old, new."""
    for key, one in after.clocks.items():
        former = before.clocks.get(key)
        if former is None or former is one or not one.running:
            continue
        for mark in one.marks:
            old = former.mark(mark.id)
            if old is None or mark.acknowledged is not None:
                continue
            if abs((mark.opens - old.opens).total_seconds()) >= WORTH_SAYING_S:
                yield one.title, old, mark


def moved_words(before: Blade, after: Blade, now: datetime) -> str:
    """Return which marks moved, the most harmful first: "Heron: trim or pull 18:51 is now 19:20"."""
    found = sorted(moved_marks(before, after), key=lambda one: (-one[2].harm, one[2].opens))
    if not found:
        return ""
    texts = []
    for _, old, new in found[:MOST_TOLD]:
        was = "which stood still" if old.stands_still else times.when(old.opens, now)
        if new.stands_still:
            texts.append(f"{new.says} {was} stands still: too cold")
        else:
            texts.append(f"{new.says} {was} is now {times.when(new.opens, now)}")
    more = f" and {len(found) - MOST_TOLD} more" if len(found) > MOST_TOLD else ""
    return f"{after.name}: {'; '.join(texts)}{more}"
