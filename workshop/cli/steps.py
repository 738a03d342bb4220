"""Steps on the command line: listing them, walking them, and writing values down."""

from __future__ import annotations

from argparse import Namespace
from datetime import datetime
from typing import Any

from workshop.build import changes, standing
from workshop.build.blade import Blade, Slip, State
from workshop.build.ledger import last_said
from workshop.build.route import Entry, Step
from workshop.build.slip import in_words, stale
from workshop.build.values import read_entry
from workshop.cli.blades import value_data
from workshop.cli.minding import before_start
from workshop.cli.text import columns, dump, say, utc
from workshop.cli.together import Change, as_one, pair, right
from workshop.errors import ShopError
from workshop.paper.times import lasting, near
from workshop.shelf.shelf import Shelf

EXAMPLE = "NAME=TEXT, such as ricasso-thickness=4.75mm"


def steps(args: Namespace, shelf: Shelf, now: datetime) -> None:
    """List a blade's steps with states and times."""
    blade = shelf.find(args.blade)
    if args.json:
        listed = [step_data(blade, step, now) for step in blade.own_steps()]
        dump({"blade": blade.name, "key": blade.key, "route": blade.route.id, "steps": listed})
        return
    for phase in blade.route.phases:
        own = [step for step in blade.own_steps() if step.phase == phase.id]
        if own:
            say(f"{phase.id}  {phase.title}")
            for line, step in zip(columns((_row(blade, one, now) for one in own), "   "), own, strict=True):
                say(line, *_slip_lines(blade, step.id))
    if loose := _slip_lines(blade, ""):
        say("Worked out for no step", *loose)


def step(args: Namespace, shelf: Shelf, now: datetime) -> None:
    """Start, finish, leave out or do over a step: one change, whatever it takes with it."""
    blade = shelf.find(args.blade)
    one = changes.step_named(blade, args.step)
    if args.unchecked and not (args.action == "finish" and args.why.strip()):
        raise ShopError('--unchecked goes with finish and a reason: --unchecked --why "…".')
    if args.looked and not (args.action == "start" and one.one_way):
        raise ShopError(
            f"--looked goes with the start of a one-way step; {one.id} {one.title} asks no last look here."
        )
    acts = {"start": _start, "finish": _finish, "leave-out": _leave_out, "do-over": _do_over}
    typed = [pair(text, "--value", EXAMPLE) for text in args.value]
    if typed and args.action not in ("start", "finish"):
        raise ShopError(f"--value goes with start or finish; with {args.action} nothing is measured.")
    values = [written(shelf, blade, named, one, args.why, now) for named in typed]
    minds = before_start(shelf, blade, one, now) if args.action == "start" else []
    if not args.json:
        say(*(f"Mind: {line}" for line in minds))
    made, also = acts[args.action](args, blade, one, values, now)
    changed = shelf.change(blade.key, as_one(made, now))
    if args.json:
        data = step_data(changed, changed.route.by_id[one.id], now)
        dump({"blade": blade.name, "key": blade.key, **data, "minds": minds})
        return
    say(f"{blade.name}: {one.id} {one.title} is {standing.state_of(changed, one, now)}.", *also)
    _say_next(changed, one, args.action, now)


def value(args: Namespace, shelf: Shelf, now: datetime) -> None:
    """Write values of a blade down, each at the step that asks for it."""
    blade = shelf.find(args.blade)
    at = changes.step_named(blade, args.step) if args.step else None
    named = [pair(text, "value", EXAMPLE) for text in args.values]
    made = [written(shelf, blade, one, at, args.why, now) for one in named]
    changed = shelf.change(blade.key, as_one(made, now))
    if args.json:
        kept = {name.lower(): value_data(changed.values[name.lower()]) for name, _ in named}
        dump({"blade": blade.name, "key": blade.key, "values": kept})
        return
    say(
        f"{blade.name}: {last_said(blade, changed)}."
        if len(made) == 1
        else f"{blade.name}: {len(made)} values kept."
    )


def _slip_lines(blade: Blade, step_id: str) -> list[str]:
    """Return the slips kept at a step ("" for those of no step), each with what has changed since."""
    lines = []
    for slip in blade.slips.values():
        if slip.step == step_id:
            lines.append(f"          slip {slip.id}  {in_words(slip)}")
            lines += [f"                  changed since: {change}" for change in stale(slip, blade)]
    return lines


Made = tuple[list[Change], list[str]]


def _start(args: Namespace, blade: Blade, step: Step, values: list[Change], now: datetime) -> Made:
    made: list[Change] = []
    also: list[str] = []
    unseen = standing.unlooked(blade, step) if step.one_way else []
    if args.looked:
        made += [_look(step, line, now) for line in unseen]
        also = [f"Last look, said true: {line}" for line in step.last_look]
    elif unseen and args.why.strip():
        also = [f"Last look, NOT said true: {line}" for line in unseen]
    elif unseen:
        say(
            f"{step.id} {step.title} has no way back. The last look:",
            *(f"  {line}" for line in step.last_look),
        )
        say(*(f"  caution: {line}" for line in step.cautions))
        raise ShopError(
            f"{step.id} {step.title} is not started: say that each line of its last look is true with "
            '--looked, or give the reason with --why "…".'
        )
    made.append(lambda one: changes.start_step(one, step.id, now, args.why))
    made += values
    return made, [*also, *(f"Caution: {line}" for line in step.cautions)]


def _finish(args: Namespace, blade: Blade, step: Step, values: list[Change], now: datetime) -> Made:
    open_checks = [] if args.unchecked else standing.unticked(blade, step)
    made = [*values, *(_tick(step, check, now) for check in open_checks)]
    made.append(lambda one: changes.finish(one, step.id, now, args.why))
    also = []
    if open_checks:
        count = "1 check" if len(open_checks) == 1 else f"{len(open_checks)} checks"
        also.append(f"Ticked on your word: {count}.")
    return made, also


def _leave_out(args: Namespace, blade: Blade, step: Step, values: list[Change], now: datetime) -> Made:
    return [lambda one: changes.leave_out(one, step.id, now, args.why)], []


def _do_over(args: Namespace, blade: Blade, step: Step, values: list[Change], now: datetime) -> Made:
    spoilt = changes.spoilt(blade, step.id)
    named = ", ".join(f"{one.id} {one.title}" for one in spoilt)
    also = [f"It spoils, and these are to be done over too: {named}."] if spoilt else []
    return [lambda one: changes.do_over(one, step.id, now, args.why)], also


def _look(step: Step, line: str, now: datetime) -> Change:
    return lambda blade: changes.look(blade, step.id, line, now)


def _tick(step: Step, check: str, now: datetime) -> Change:
    return lambda blade: changes.tick(blade, step.id, check, now)


def written(
    shelf: Shelf, blade: Blade, named: tuple[str, str], at: Step | None, why: str, now: datetime
) -> Change:
    """Return the change that writes one value down.

    at: the step it is for; without one, the step in hand that asks for it, else the last one begun that
    does, else the first of the route. Raises ShopError for a name no step of this blade asks for.
    """
    name, text = named
    step, entry = _asked(blade, name, at, now)
    read = read_entry(entry, text, step.id, why, shelf.drills)
    return lambda one: changes.write_down(one, entry.name, read, entry.says, now)


def _asked(blade: Blade, name: str, at: Step | None, now: datetime) -> tuple[Step, Entry]:
    places = [at] if at is not None else list(blade.own_steps())
    asking = [(step, entry) for step in places for entry in step.records if entry.name == name.lower()]
    if not asking:
        where = f"{at.id} {at.title}" if at is not None else blade.name
        names = sorted({entry.name for step in places for entry in step.records})
        listed = "'workshop steps BLADE --json' names those of each step"
        raise ShopError(f"{where} asks for no value '{name}'; {right(name, names, listed)}.")
    in_hand = [
        one for one in asking if standing.state_of(blade, one[0], now) in (State.IN_HAND, State.RESTING)
    ]
    begun = [one for one in asking if blade.progress(one[0].id).started is not None]
    return (in_hand or begun[-1:] or asking)[0]


def step_data(blade: Blade, step: Step, now: datetime) -> dict[str, Any]:
    """Return a step as it stands, as data: every time stamp in UTC."""
    was = blade.progress(step.id)
    waiting = standing.state_of(blade, step, now) is State.WAITING
    return {
        "id": step.id,
        "title": step.title,
        "phase": step.phase,
        "state": str(standing.state_of(blade, step, now)),
        "one_way": step.one_way,
        "started": utc(was.started),
        "finished": utc(was.finished),
        "by_hand_s": _by_hand(blade, step, now),
        "rounds": was.rounds,
        "checked": list(was.ticked),
        "unchecked": standing.unticked(blade, step),
        "looked": list(was.looked),
        "why": was.why,
        "waits_for": [one.says for one in standing.waits_for(blade, step, now)] if waiting else [],
        "values": {
            entry.name: blade.values[entry.name].text if entry.name in blade.values else None
            for entry in step.records
        },
        "clocks": [clock.id for clock in blade.step_clocks(step.id)],
        "slips": [_slip_data(blade, slip) for slip in blade.slips.values() if slip.step == step.id],
    }


def _slip_data(blade: Blade, slip: Slip) -> dict[str, Any]:
    return {
        "id": slip.id,
        "calculator": slip.calculator,
        "at": utc(slip.at),
        "found": {name: {"value": value, "unit": unit} for name, (value, unit) in slip.found.items()},
        "changed_since": list(stale(slip, blade)),
    }


def _by_hand(blade: Blade, step: Step, now: datetime) -> int:
    was = blade.progress(step.id)
    return was.hand_s + (max(0, round((now - was.since).total_seconds())) if was.since else 0)


def _row(blade: Blade, step: Step, now: datetime) -> tuple[str, ...]:
    was = blade.progress(step.id)
    state = standing.state_of(blade, step, now)
    times = ""
    if was.finished:
        times = near(was.finished, now)
    elif was.started:
        times = f"since {near(was.started, now)}"
    by_hand = _by_hand(blade, step, now)
    if by_hand:
        times = f"{times}, {lasting(by_hand)} by hand".removeprefix(", ")
    again = f", round {was.rounds}" if was.rounds > 1 else ""
    why = f"  because: {was.why}" if was.why else ""
    return step.id, "!" if step.one_way else " ", step.title, f"{state}{again}", f"{times}{why}"


def _say_next(blade: Blade, step: Step, action: str, now: datetime) -> None:
    if action == "start":
        say(*(f"Check: {line}" for line in step.checks))
        for needed, says in ((True, "To write down"), (False, "May be written down")):
            asked = [f"{entry.name} ({entry.says})" for entry in step.records if entry.needed is needed]
            if asked:
                say(f"{says}: {'; '.join(asked)}.")
        if step.clocks:
            say(f"Its clocks: {', '.join(plan.id for plan in step.clocks)}.")
        return
    following = standing.in_hand(blade, now)
    say("Every step is done." if following is None else f"Next: {following.id} {following.title}.")
