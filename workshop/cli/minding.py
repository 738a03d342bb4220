"""What must be minded before a step starts: work that overlaps, windows nobody would be there for."""

from __future__ import annotations

from datetime import datetime

from workshop.build import standing
from workshop.build.blade import Blade
from workshop.build.clock import AS_STORED
from workshop.build.conflicts import conflicts
from workshop.build.day_plan import plan_against_day
from workshop.build.moves import last_rehearsal, rehearsal_says, rehearsed_step
from workshop.build.route import Step
from workshop.shelf import air_keeping
from workshop.shelf.shelf import Shelf


def before_start(shelf: Shelf, blade: Blade, step: Step, now: datetime) -> list[str]:
    """Return what a maker must know before he starts a step, one line each; nothing: no lines.

    Work that must not overlap comes first, then the windows of the step's clocks that would fall where
    nobody is there with the better start, then a rehearsal that took too long for the day's air.
    """
    lines = conflicts(shelf.blades()[0], blade, step, now)
    air, entries = air_keeping.air_of(shelf), shelf.clock_entries()
    hours = shelf.shop().settings.hours
    for plan in step.clocks:
        if plan.optional or plan.since:
            continue
        entry = entries.get(standing.clock_store(blade, plan)) if plan.store else None
        batch = AS_STORED if entry is None else air_keeping.batch_for(shelf, entry)
        made = plan_against_day(plan, entry, air, hours, now, batch=batch)
        if made.missed:
            lines += [f"{plan.title}: {line}" for line in made.says]
        moving, last = rehearsed_step(blade, step), air.last(now)
        if entry is not None and last is not None and last_rehearsal(blade, moving.id) is not None:
            says = rehearsal_says(blade, moving.id, entry, last.air_K, now, batch.pace)
            lines += [says] if says else []
    return lines
