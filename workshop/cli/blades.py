"""Blades on the command line: starting one, listing all, notes, and taking the last change back."""

from __future__ import annotations

from argparse import Namespace
from datetime import datetime
from typing import Any

from workshop.build import changes, standing, timekeeping
from workshop.build.blade import CLOSED, Blade, LogEntry, Value
from workshop.build.clock import due, most_urgent, next_moment
from workshop.cli.text import columns, dump, say, utc
from workshop.cli.together import pair
from workshop.paper.times import lasting, near
from workshop.shelf.air_keeping import air_of
from workshop.shelf.shelf import Shelf


def start(args: Namespace, shelf: Shelf, now: datetime) -> None:
    """Start a new blade on a route, with the choices that were set."""
    chosen = dict(pair(one, "--set", 'CHOICE=OPTION, such as steel="one steel"') for one in args.set)
    blade = shelf.begin(
        args.name, args.route, now, choices=chosen, maker_for=args.maker_for.strip(), about=args.about.strip()
    )
    if args.json:
        dump(blade_data(blade, now))
        return
    say(f"{blade.name} is begun on the route: {blade.route.title}.")
    say("; ".join(f"{choice.ask}: {blade.choices[choice.id]}" for choice in blade.route.choices) + ".")
    first = standing.in_hand(blade, now)
    if first is not None:
        say(
            f"First: {first.id} {first.title}. To take it in hand: workshop step {blade.key} {first.id} start"
        )


def blades(args: Namespace, shelf: Shelf, now: datetime) -> None:
    """List all blades: phase, step in hand, next mark."""
    good, bad = shelf.blades()
    if args.json:
        dump(
            {
                "blades": [blade_data(blade, now) for blade in good],
                "unread": [one.data(shelf.path(one.key)) for one in bad],
            }
        )
        return
    say(*rack_lines(good, now))
    say(*(one.says() for one in bad))


def note(args: Namespace, shelf: Shelf, now: datetime) -> None:
    """Write a line into a blade's log."""
    blade = shelf.find(args.blade)
    step = changes.step_named(blade, args.step).id if args.step else ""
    text = " ".join(args.text)
    changed = shelf.change(blade.key, lambda one: changes.note(one, text, now, step))
    if args.json:
        dump({"blade": blade.name, "key": blade.key, **_entry_data(changed, "note")})
        return
    say(f"Noted on {blade.name}.")


def back(args: Namespace, shelf: Shelf, now: datetime) -> None:
    """Take the last change on a blade back."""
    blade = shelf.find(args.blade)
    air = air_of(shelf)  # what comes back goes by the air as now known

    def back_to(one: Blade) -> Blade:
        return timekeeping.rework(changes.take_back(one, now), air, now)

    changed = shelf.change(blade.key, back_to)
    if args.json:
        dump({"blade": blade.name, "key": blade.key, **_entry_data(changed, "take back")})
        return
    say(f"{blade.name}: {_newest(changed, 'take back').says}.")


def _newest(blade: Blade, did: str) -> LogEntry:
    return next(entry for entry in reversed(blade.log) if entry.did == did)


def _entry_data(blade: Blade, did: str) -> dict[str, str | None]:
    """Return the newest entry of the log of a kind, as data."""
    entry = _newest(blade, did)
    return {"step": entry.step or None, "says": entry.says, "at": utc(entry.at)}


def rack_lines(blades: list[Blade], now: datetime) -> list[str]:
    """Return the rack as lines of text."""
    if not blades:
        return ["No blades yet. Start one with: workshop start NAME --route hidden-tang"]
    rows = []
    for blade in blades:
        step = standing.in_hand(blade, now)
        done, of = _count(blade)
        at = "all steps done"
        if step is not None:
            phase = blade.route.phase_title(step.phase)
            at = f"{phase}: {step.id} {step.title} ({standing.state_of(blade, step, now)})"
        rows.append((blade.name, f"{done} of {of}", at, next_mark(blade, now)))
    return columns(rows)


def next_mark(blade: Blade, now: datetime) -> str:
    """Return in words what a blade's clocks do next: a mark that has come, else the next moment."""
    for clock in most_urgent(blade.clocks.values(), now):
        waiting = due(clock, now)
        if waiting:
            mark = waiting[0]
            shut = f", shut {near(mark.shuts, now)}" if mark.shuts and mark.shuts <= now else ""
            return f"{clock.title}: {mark.says} since {near(mark.opens, now)}{shut}"
        moment = next_moment(clock, now)
        if moment is not None:
            ahead = lasting((moment.at - now).total_seconds())
            return f"{clock.title}: {moment.mark.says} {moment.verb} {near(moment.at, now)}, in {ahead}"
    return ""


def blade_data(blade: Blade, now: datetime) -> dict[str, Any]:
    """Return what the rack shows of a blade, as data."""
    step = standing.in_hand(blade, now)
    done, of = _count(blade)
    return {
        "name": blade.name,
        "key": blade.key,
        "for": blade.maker_for,
        "about": blade.about,
        "route": blade.route.id,
        "choices": dict(blade.choices),
        "started": utc(blade.started),
        "done": done,
        "steps": of,
        "phase": blade.route.phase_title(step.phase) if step else None,
        "step": step_brief(blade, step.id, now) if step else None,
        "next_mark": next_mark(blade, now) or None,
        "clocks_running": len(blade.running()),
        "values": {name: value_data(one) for name, one in blade.values.items()},
    }


def value_data(one: Value) -> dict[str, Any]:
    """Return a measurement of a blade, as data."""
    known = {"text": one.text, "kind": one.kind, "si": one.si, "step": one.step}
    return {**known, "at": utc(one.at), "why": one.why}


def step_brief(blade: Blade, step_id: str, now: datetime) -> dict[str, str]:
    """Return a step's id, title and state, as data."""
    step = blade.route.by_id[step_id]
    return {"id": step.id, "title": step.title, "state": str(standing.state_of(blade, step, now))}


def _count(blade: Blade) -> tuple[int, int]:
    own = blade.own_steps()
    return sum(blade.progress(step.id).state in CLOSED for step in own), len(own)
