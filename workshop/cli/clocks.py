"""Clocks on the command line: starting one, how all stand or will stand, answering, the shop's air."""

from __future__ import annotations

from argparse import Namespace
from dataclasses import replace
from datetime import datetime, timedelta

from workshop import measure
from workshop.build import changes, standing, timekeeping
from workshop.build.blade import Blade, State
from workshop.build.clock import Batch, Clock, StoreEntry, due, most_urgent, urgency
from workshop.build.route import ClockPlan, Step
from workshop.cli import moment
from workshop.cli.clock_text import air_lines, celsius_of, clock_data, clock_lines, mark_lines
from workshop.cli.follow import follow
from workshop.cli.text import dump, say, utc
from workshop.cli.together import right
from workshop.errors import ShopError
from workshop.paper.times import near
from workshop.shelf import air_keeping
from workshop.shelf.air_feed import read_feed
from workshop.shelf.places import laptop_file
from workshop.shelf.shelf import Shelf
from workshop.shelf.shop_file import Shop
from workshop.shelf.store_file import find_entry

LONG = timedelta(hours=1)
"""From a mark so far ahead on, the laptop may be asleep when it comes."""

OLD_AIR = timedelta(hours=2)
"""After this a reading of the shop's air is too old to be taken without a word."""


def clock(args: Namespace, shelf: Shelf, now: datetime) -> None:
    """Start a clock of a blade's step, now or some time ago."""
    blade = shelf.find(args.blade)
    step, plan = _planned(blade, args.name, args.step, now)
    mixed = standing.latest_clock(blade, plan.since) if plan.since else None
    entry = entry_for(args.store or (mixed.store if mixed else ""), plan, shelf)
    ago_s = _ago(args.ago)
    air_K = typed_air(args.air, entry)
    batch = _batch(args, shelf, entry)
    air = air_keeping.air_of(shelf)
    changed = shelf.change(
        blade.key,
        lambda one: changes.start_clock(
            one, step.id, plan.id, now, ago_s=ago_s, entry=entry, air_K=air_K, air=air, batch=batch
        ),
    )
    made = list(changed.clocks.values())[-1]
    if args.json:
        dump(clock_data(changed, made, now))
        return
    say(f"{blade.name}: {made.title} ({made.id}) runs since {near(made.started, now)}.")
    say(*air_lines(made), *mark_lines(made, now))
    shop = shelf.shop()
    if made.air_K is not None and not args.air and shop.read_at and now - shop.read_at > OLD_AIR:
        say(f"The air is as read {near(shop.read_at, now)}; give it as it is now with --air.")
    if any(mark.harm > 1 and mark.opens > now + LONG for mark in made.marks):
        say(
            "A laptop that sleeps calls nobody: leave it awake, or take the windows along: workshop calendar."
        )
    if plan.ends and changed.progress(step.id).state is not State.RESTING:
        say(f"{step.id} {step.title} is not in hand, so it does not rest on this clock.")


def clocks(args: Namespace, shelf: Shelf, now: datetime) -> None:
    """List the running clocks of all blades as they stand, or will stand at a time."""
    at = moment.when(args.at, now) if args.at else now
    if args.follow:
        if args.at or args.json:
            raise ShopError("--follow tells what comes as it comes; right would be without --at and --json.")
        follow(shelf)
        return
    pairs = pairs_at(shelf, now, at)
    if args.json:
        dump({"at": utc(at), "clocks": [clock_data(blade, one, at) for blade, one in pairs]})
        return
    if args.at:
        say(f"As they {'stood' if at < now else 'will stand'} at {near(at, now)}:")
    say(*clock_lines(pairs, at))
    say(*(one.says() for one in shelf.blades()[1]))


def pairs_at(shelf: Shelf, now: datetime, at: datetime) -> list[tuple[Blade, Clock]]:
    """Return the clocks that run at a moment, worked out from the air as now known, most urgent first."""
    air = air_keeping.air_of(shelf)
    good = [timekeeping.rework(blade, air, now) for blade in shelf.blades()[0]]
    pairs = [(blade, one) for blade in good for one in blade.running() if one.started <= at]
    return sorted(pairs, key=lambda pair: urgency(pair[1], at))


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
    if args.json:
        dump(clock_data(changed, changed.clocks[one.id], now))
        return
    say(f"{blade.name}: {changed.log[-1].says}.")


def stop(args: Namespace, shelf: Shelf, now: datetime) -> None:
    """Stop a clock before its last mark."""
    blade = shelf.find(args.blade)
    one = _running(blade, args.clock, now)
    changed = shelf.change(blade.key, lambda known: changes.stop_clock(known, one.id, now, args.why))
    if args.json:
        dump(clock_data(changed, changed.clocks[one.id], now))
        return
    say(f"{blade.name}: {one.title} is stopped.")


def witness(args: Namespace, shelf: Shelf, now: datetime) -> None:
    """Say what a clock's witness blob does; the batch's pace is corrected and its marks move."""
    blade = shelf.find(args.blade)
    if args.clock:
        one = _running(blade, args.clock, now)
    else:
        with_blob = [clock for clock in most_urgent(blade.clocks.values(), now) if clock.blob]
        if not with_blob:
            raise ShopError(f"{blade.name} has no glue that cures, so there is no witness to press.")
        one = with_blob[0]
    changed = air_keeping.press_witness(shelf, blade.key, one.id, args.state, now)
    made = changed.clocks[one.id]
    if args.json:
        dump({**clock_data(changed, made, now), "says": changed.log[-1].says})
        return
    say(f"{blade.name}: {changed.log[-1].says}.", *mark_lines(made, now))


def air(args: Namespace, shelf: Shelf, now: datetime) -> None:
    """Keep the shop's air as read now, or show it as last read."""
    read: tuple[float, float | None] | None = None
    if args.feed:
        if args.temperature:
            raise ShopError("--feed reads the air itself; right would be without a temperature.")
        read = read_feed(shelf.laptop())
        if read is None:
            raise ShopError(
                'No thermometer is set; right would be file = "…" or command = ["…"] under [air] in '
                f"{laptop_file()}."
            )
    elif args.temperature:
        humidity = None
        if args.humidity:
            humidity = float(
                measure.read(args.humidity, "humidity", unit="%", field="humidity", example="61%")
            )
        read = (_temperature(args.temperature, "air", "17.5C"), humidity)
    moved = [] if read is None else _keep(shelf, now, *read)
    shop = shelf.shop()
    if args.json:
        dump({"temperature_C": celsius_of(shop.air_K), "humidity": shop.humidity, "read": utc(shop.read_at)})
        return
    say(air_line(shop, now))
    say(*(f"{blade.name}: its clocks go by it now." for blade in moved))


def _keep(shelf: Shelf, now: datetime, air_K: float, humidity: float | None) -> list[Blade]:
    """Keep a reading; one without humidity keeps the humidity read last."""
    return air_keeping.keep_reading(
        shelf, now, air_K, shelf.shop().humidity if humidity is None else humidity
    )


def air_line(shop: Shop, now: datetime) -> str:
    """Return the shop's air in words."""
    if shop.air_K is None:
        return "The shop's air was not read yet; keep it with: workshop air 17.5C 61%"
    damp = "" if shop.humidity is None else f", {measure.write(shop.humidity, 'humidity', '%')}"
    read = "" if shop.read_at is None else f", read {near(shop.read_at, now)}"
    return f"Air: {measure.show(shop.air_K, 'temperature', shop.prefer)}{damp}{read}"


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


def _batch(args: Namespace, shelf: Shelf, entry: StoreEntry | None) -> Batch:
    """Return how this batch differs, as typed, at this maker's own pace for it."""
    for_s = (
        float(measure.read(args.for_, "time", unit="min", field="--for", example="8min"))
        if args.for_
        else None
    )
    if entry is None:
        if args.box or args.mass or args.thin:
            raise ShopError(
                "--box, --mass and --thin are for what cures or dries; this clock keeps its times."
            )
        return Batch(for_s=for_s)
    mass_kg = (
        float(measure.read(args.mass, "mass", unit="g", field="--mass", example="12g")) if args.mass else None
    )
    kept_K = _temperature(args.box, "--box", "38C") if args.box else None
    return replace(
        air_keeping.batch_for(shelf, entry, mass_kg=mass_kg, thin=args.thin, kept_K=kept_K), for_s=for_s
    )


def _temperature(typed: str, field: str, example: str) -> float:
    return float(measure.read(typed, "temperature", unit="°C", field=field, example=example))


def typed_air(typed: str, entry: StoreEntry | None) -> float | None:
    """Return the shop's temperature as typed with --air, None where it was not."""
    if not typed:
        return None
    if entry is None:
        raise ShopError(
            "--air moves only what cures or dries; this clock keeps its times at any temperature."
        )
    return _temperature(typed, "--air", "14C")


def entry_for(named: str, plan: ClockPlan, shelf: Shelf) -> StoreEntry | None:
    """Return the store entry a clock runs on, as named or as the route has it; None for one without."""
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
