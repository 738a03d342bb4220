"""When to start a step: where its windows would fall, and the starts that suit the maker's hours."""

from __future__ import annotations

from argparse import Namespace
from datetime import datetime

from workshop.build import changes, conflicts, standing
from workshop.build.blade import Blade
from workshop.build.clock import AS_STORED, StoreEntry, pace
from workshop.build.day_plan import DayPlan, Fall, plan_against_day
from workshop.build.moves import rehearsal_says
from workshop.build.route import ClockPlan, Route, Step
from workshop.cli import moment
from workshop.cli.clock_text import celsius_of, window
from workshop.cli.clocks import entry_for, typed_air
from workshop.cli.text import columns, dump, say, utc
from workshop.errors import ShopError
from workshop.paper.times import near
from workshop.shelf import air_keeping
from workshop.shelf.shelf import Shelf

_WORDS = {
    "inside": "while you are there",
    "asleep": "WHILE YOU SLEEP",
    "shop shut": "SHOP SHUT",
    "stands still": "does not come while it is so cold",
    "any time": "any time after",
}


def when(args: Namespace, shelf: Shelf, now: datetime) -> None:
    """Say where a step's windows would fall if its clock started now, and the latest and best start."""
    blade = shelf.find(args.blade) if args.blade else None
    step = _step(args.step, blade, None if blade else shelf.route(args.route))
    plan = _clock(args.clock, step)
    named = args.store or (standing.clock_store(blade, plan) if blade else plan.store)
    entry = entry_for(named if plan.store else args.store, plan, shelf)
    air, settings = air_keeping.air_of(shelf), shelf.shop().settings
    air_K = typed_air(args.air, entry)
    start = moment.when(args.start, now) if args.start else None
    batch = AS_STORED if entry is None else air_keeping.batch_for(shelf, entry)
    made = plan_against_day(plan, entry, air, settings.hours, now, start=start, air_K=air_K, batch=batch)
    known = air_K if air_K is not None else (last.air_K if (last := air.last(now)) else None)
    clashes = conflicts.conflicts(shelf.blades()[0], blade, step, now) if blade else []
    rehearsed = ""
    if blade and entry is not None and known is not None and step.moves:
        rehearsed = rehearsal_says(blade, step.id, entry, known, now, batch.pace)
    if args.json:
        dump(_data(step, plan, entry, made, known, clashes))
        return
    begin = "now" if start is None else near(start, now)
    say(f"{step.id} {step.title}, {plan.title}, if it is started {begin}:")
    say(*columns((_row(fall, now) for fall in made.falls), indent="  "))
    say(*_air_says(entry, known, batch.pace))
    if not settings.hours.known and settings.hours.sleep is None:
        say(f"No shop hours are set, so no window is too late; set [hours] in {shelf.folder / 'shop.toml'}.")
    say(*(f"  {line}" for line in (*made.says, *clashes, *([rehearsed] if rehearsed else []))))
    if not made.missed and made.latest is not None and settings.hours.known:
        say("Every window falls while you are there.")


def _step(name: str, blade: Blade | None, route: Route | None) -> Step:
    if blade is not None:
        return changes.step_named(blade, name)
    step = None if route is None else route.by_id.get(name.strip().upper())
    if step is None or route is None:
        raise ShopError(f"There is no step '{name}' on that route; right would be an id such as H7.")
    return step


def _clock(name: str, step: Step) -> ClockPlan:
    plans = [plan for plan in step.clocks if plan.marks or plan.store]
    if name:
        plan = step.clock(name.strip().lower())
        if plan is None:
            known = ", ".join(one.id for one in step.clocks) or "none"
            raise ShopError(f"{step.id} {step.title} has no clock '{name}'; it has: {known}.")
        return plan
    if not plans:
        raise ShopError(f"{step.id} {step.title} has no clock, so any time will do.")
    return next((plan for plan in plans if plan.ends), plans[0])


def _row(fall: Fall, now: datetime) -> tuple[str, str, str]:
    words = _WORDS.get(str(fall.verdict), "")
    if str(fall.verdict) == "partly" and fall.there is not None:
        words = f"you are there {near(fall.there[0], now)} to {near(fall.there[1], now)}"
    return fall.mark.says, window(fall.mark, now), words


def _air_says(entry: StoreEntry | None, air_K: float | None, own_pace: float) -> list[str]:
    if entry is None:
        return []
    if air_K is None:
        return ["The air was not read, so these are the label's times; keep it with: workshop air 17.5C"]
    stretch, caution = pace(entry, air_K)
    own = f", your own batches {own_pace:.2f} times as quick" if own_pace != 1 else ""
    says = [f"At {air_K - 273.15:.1f} °C its times are {stretch:.2f} times the label's{own}."]
    return [*says, caution] if caution else says


def _data(
    step: Step,
    plan: ClockPlan,
    entry: StoreEntry | None,
    made: DayPlan,
    air_K: float | None,
    clashes: list[str],
) -> dict[str, object]:
    return {
        "step": step.id,
        "clock": plan.id,
        "store": entry.key if entry else None,
        "air_C": celsius_of(air_K),
        "start": utc(made.start),
        "marks": [
            {
                "id": fall.mark.id,
                "says": fall.mark.says,
                "opens": None if fall.mark.stands_still else utc(fall.mark.opens),
                "shuts": None if fall.mark.stands_still else utc(fall.mark.shuts),
                "meets": str(fall.verdict),
                "missed": fall.missed,
            }
            for fall in made.falls
        ],
        "missed": [fall.mark.id for fall in made.missed],
        "earliest_start": utc(made.earliest),
        "latest_start": utc(made.latest),
        "best_start": utc(made.best),
        "says": list(made.says),
        "conflicts": clashes,
    }
