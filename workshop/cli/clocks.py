"""Clocks on the command line: starting one, how all stand or will stand, answering, the shop's air."""

from __future__ import annotations

from argparse import Namespace
from dataclasses import replace
from datetime import datetime, timedelta
from typing import Any

from workshop import measure
from workshop.build import changes, standing
from workshop.build.blade import Blade, State
from workshop.build.clock import Clock, Mark, StoreEntry, due, most_urgent, next_moment, urgency
from workshop.build.route import ClockPlan, Step
from workshop.cli import moment
from workshop.cli.text import columns, dump, say, utc
from workshop.cli.together import right
from workshop.errors import ShopError
from workshop.paper.times import lasting, near
from workshop.shelf.shelf import Shelf
from workshop.shelf.shop_file import Shop
from workshop.shelf.store_file import find_entry

OLD_AIR = timedelta(hours=2)
"""A reading of the shop's air older than this is said to be old where it moves a clock."""


def clock(args: Namespace, shelf: Shelf, now: datetime) -> None:
    """Start a clock of a blade's step, now or some time ago."""
    blade = shelf.find(args.blade)
    step, plan = _planned(blade, args.name, args.step, now)
    mixed = standing.latest_clock(blade, plan.since) if plan.since else None
    entry = _entry(args.store or (mixed.store if mixed else ""), plan, shelf)
    ago_s = _ago(args.ago)
    air_K = mixed.air_K if mixed and not args.air else _air(args.air, shelf.shop(), entry)
    changed = shelf.change(
        blade.key,
        lambda one: changes.start_clock(one, step.id, plan.id, now, ago_s=ago_s, entry=entry, air_K=air_K),
    )
    made = list(changed.clocks.values())[-1]
    if args.json:
        dump(clock_data(changed, made, now))
        return
    say(f"{blade.name}: {made.title} ({made.id}) runs since {near(made.started, now)}.")
    say(*_air_lines(made), *mark_lines(made, now))
    shop = shelf.shop()
    if made.air_K is not None and not args.air and shop.read_at and now - shop.read_at > OLD_AIR:
        say(f"The air is as read {near(shop.read_at, now)}; give it as it is now with --air.")
    if plan.ends and changed.progress(step.id).state is not State.RESTING:
        say(f"{step.id} {step.title} is not in hand, so it does not rest on this clock.")


def clocks(args: Namespace, shelf: Shelf, now: datetime) -> None:
    """List the running clocks of all blades as they stand, or will stand at a time."""
    at = moment.when(args.at, now) if args.at else now
    good, bad = shelf.blades()
    pairs = [(blade, one) for blade in good for one in blade.running() if one.started <= at]
    pairs.sort(key=lambda pair: urgency(pair[1], at))
    if args.json:
        dump({"at": utc(at), "clocks": [clock_data(blade, one, at) for blade, one in pairs]})
        return
    if args.at:
        say(f"As they {'stood' if at < now else 'will stand'} at {near(at, now)}:")
    say(*clock_lines(pairs, at))
    say(*(f"{one.key}: cannot be read and is left as it is: {one.why}" for one in bad))


def answer(args: Namespace, shelf: Shelf, now: datetime) -> None:
    """Answer a mark that has come: it stops calling."""
    blade = shelf.find(args.blade)
    one = _running(blade, args.clock, now)
    mark = args.mark
    if not mark:
        waiting = due(one, now)
        if not waiting:
            raise ShopError(f"No mark of {one.title} has come that is not answered yet.")
        mark = waiting[0].id
    elif one.mark(mark) is None:
        ids = ", ".join(known.id for known in one.marks)
        raise ShopError(f"The clock {one.title} has no mark '{mark}'; it has: {ids}.")
    changed = shelf.change(blade.key, lambda known: changes.answer_mark(known, one.id, mark, now))
    say(f"{blade.name}: {changed.log[-1].says}.")


def stop(args: Namespace, shelf: Shelf, now: datetime) -> None:
    """Stop a clock before its last mark."""
    blade = shelf.find(args.blade)
    one = _running(blade, args.clock, now)
    shelf.change(blade.key, lambda known: changes.stop_clock(known, one.id, now, args.why))
    say(f"{blade.name}: {one.title} is stopped.")


def air(args: Namespace, shelf: Shelf, now: datetime) -> None:
    """Keep the shop's air as read now, or show it as last read."""
    shop = shelf.shop()
    if args.temperature:
        air_K = float(measure.read(args.temperature, "temperature", unit="°C", field="air", example="17.5C"))
        humidity = shop.humidity
        if args.humidity:
            humidity = float(
                measure.read(args.humidity, "humidity", unit="%", field="humidity", example="61%")
            )
        shop = shelf.keep_shop(lambda was: replace(was, air_K=air_K, humidity=humidity, read_at=now))
    if args.json:
        dump({"temperature_C": _celsius(shop.air_K), "humidity": shop.humidity, "read": utc(shop.read_at)})
        return
    say(air_line(shop, now))


def air_line(shop: Shop, now: datetime) -> str:
    """Return the shop's air in words."""
    if shop.air_K is None:
        return "The shop's air was not read yet; keep it with: workshop air 17.5C 61%"
    damp = "" if shop.humidity is None else f", {measure.write(shop.humidity, 'humidity', '%')}"
    read = "" if shop.read_at is None else f", read {near(shop.read_at, now)}"
    return f"Air: {measure.show(shop.air_K, 'temperature', shop.prefer)}{damp}{read}"


def clock_lines(pairs: list[tuple[Blade, Clock]], at: datetime) -> list[str]:
    """Return clocks as lines of text, each with its marks below it."""
    if not pairs:
        return ["No clock runs."]
    lines = []
    for blade, one in pairs:
        lines.append(f"{blade.name}  {one.step}  {one.title} ({one.id}), since {near(one.started, at)}")
        lines += [f"   {line}" for line in (*_air_lines(one), *mark_lines(one, at))]
    return lines


def mark_lines(clock: Clock, at: datetime) -> list[str]:
    """Return a clock's marks as lines: what, when its window opens and shuts, and how it stands."""
    return columns((_mark_row(mark, at) for mark in clock.marks), indent="  ")


def clock_data(blade: Blade, clock: Clock, at: datetime) -> dict[str, Any]:
    """Return a clock as it stands at a moment, as data."""
    ahead = next_moment(clock, at)
    return {
        "blade": blade.name,
        "key": blade.key,
        "clock": clock.id,
        "title": clock.title,
        "step": clock.step,
        "kind": clock.kind,
        "started": utc(clock.started),
        "store": clock.store or None,
        "air_C": _celsius(clock.air_K),
        "pace": clock.pace,
        "caution": clock.caution,
        "marks": [
            {
                "id": mark.id,
                "says": mark.says,
                "opens": utc(mark.opens),
                "shuts": utc(mark.shuts),
                "state": mark.state(at),
                "do": mark.do,
                "late": mark.late,
                "harm": mark.harm,
                "answered": utc(mark.acknowledged),
            }
            for mark in clock.marks
        ],
        "due": [mark.id for mark in due(clock, at)],
        "next": None
        if ahead is None
        else {
            "mark": ahead.mark.id,
            "verb": ahead.verb,
            "at": utc(ahead.at),
            "in_s": round((ahead.at - at).total_seconds()),
        },
    }


def _mark_row(mark: Mark, at: datetime) -> tuple[str, str, str]:
    window = near(mark.opens, at) + (f" to {near(mark.shuts, at)}" if mark.shuts else "")
    state = mark.state(at)
    if mark.acknowledged is not None:
        return mark.says, window, f"answered {near(mark.acknowledged, at)}"
    if state == "ahead":
        return mark.says, window, f"in {lasting((mark.opens - at).total_seconds())}"
    if state == "open" and mark.shuts is not None:
        left = lasting((mark.shuts - at).total_seconds())
        return mark.says, window, f"OPEN, shuts in {left}. {mark.do}".rstrip()
    if state == "shut" and mark.shuts is not None:
        past = lasting((at - mark.shuts).total_seconds())
        return mark.says, window, f"SHUT {past} ago. {mark.late}".rstrip()
    return mark.says, window, f"REACHED {lasting((at - mark.opens).total_seconds())} ago. {mark.do}".rstrip()


def _air_lines(clock: Clock) -> list[str]:
    lines = []
    if clock.air_K is not None:
        air_says = measure.write(clock.air_K, "temperature", "°C", 1)
        lines.append(f"at {air_says} its times are {clock.pace:.2f} times the label's")
    if clock.caution:
        lines.append(f"caution: {clock.caution}")
    return lines


def _planned(blade: Blade, name: str, step_id: str, now: datetime) -> tuple[Step, ClockPlan]:
    places = [changes.step_named(blade, step_id)] if step_id else list(blade.own_steps())
    having = [(step, plan) for step in places for plan in step.clocks if plan.id == name.strip().lower()]
    if not having:
        where = f"{places[0].id} {places[0].title}" if step_id else blade.name
        known = list(dict.fromkeys(plan.id for step in places for plan in step.clocks))
        raise ShopError(f"{where} has no clock '{name}'; {right(name, known)}.")
    hot = [one for one in having if standing.state_of(blade, one[0], now) in (State.IN_HAND, State.RESTING)]
    if len(having) > 1 and len(hot) != 1:
        steps = ", ".join(step.id for step, _ in having)
        raise ShopError(f"Several steps have a clock '{name}'; name the step with --step: {steps}.")
    return (hot or having)[0]


def _entry(named: str, plan: ClockPlan, shelf: Shelf) -> StoreEntry | None:
    if not plan.store:
        if named:
            raise ShopError(
                f"The clock {plan.title} takes its times from the route, not from a store; leave --store out."
            )
        return None
    entry = find_entry(shelf.clock_entries(), named or plan.store)
    wanted = [*plan.chosen, *([plan.ends] if plan.ends else [])]
    have = {mark.id for mark in (*entry.marks, *plan.marks)}
    lacking = next((one for one in wanted if one not in have), None)
    if lacking is not None:
        raise ShopError(
            f"{entry.key} has no mark '{lacking}', which the clock {plan.title} needs; right would be an "
            f"entry such as {plan.store}."
        )
    return entry


def _air(typed: str, shop: Shop, entry: StoreEntry | None) -> float | None:
    if typed:
        if entry is None:
            raise ShopError(
                "--air moves only what cures or dries; this clock keeps its times at any temperature."
            )
        return float(measure.read(typed, "temperature", unit="°C", field="--air", example="14C"))
    return shop.air_K if entry is not None else None


def _ago(typed: str) -> float | None:
    return float(measure.read(typed, "time", unit="min", field="--ago", example="5min")) if typed else None


def _running(blade: Blade, name: str, now: datetime) -> Clock:
    """Return the clock meant: by its own name ("bedding-1"), or the most urgent running one of its kind."""
    exact = blade.clocks.get(name.strip().lower())
    if exact is not None:
        return exact
    same = [one for one in blade.clocks.values() if one.plan == name.strip().lower()]
    found = most_urgent(same, now) or same[-1:]
    if not found:
        known = ", ".join(blade.clocks) or "none"
        raise ShopError(f"{blade.name} has no clock '{name}'; it has: {known}.")
    return found[0]


def _celsius(air_K: float | None) -> float | None:
    return None if air_K is None else round(measure.in_unit(air_K, "temperature", "°C"), 3)
