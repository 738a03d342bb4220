"""The record of a blade: all that was done, measured, worked out and decided, as Markdown for its folder."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from datetime import datetime

from workshop import measure
from workshop.build import standing
from workshop.build.blade import CLOSED, Blade, Slip, State
from workshop.build.clock import Clock, Mark
from workshop.build.route import Step
from workshop.build.slip import stale
from workshop.drawer import registry
from workshop.drawer.declare import Calculator
from workshop.errors import ShopError
from workshop.paper.times import lasting, stamp
from workshop.showable import showable

_MARKUP = re.compile(r"([\\`*_\[\]<>|#~])")


def record_of(blade: Blade, now: datetime) -> str:
    """Return the whole record as Markdown; times are local, with their offset.

    Everything that was typed is shown as written, save that nothing in it can act as markup or mislead a
    screen. `now` is the moment the record is written.
    """
    parts = [
        _head(blade, now),
        _against_rules(blade),
        _measured(blade),
        _done(blade, now),
        _hours(blade, now),
        _slips(blade),
        _clocks(blade),
        _log(blade),
    ]
    return "\n\n".join(part for part in parts if part) + "\n"


def _head(blade: Blade, now: datetime) -> str:
    own = blade.own_steps()
    closed = sum(blade.progress(step.id).state in CLOSED for step in own)
    facts = [("For", blade.maker_for), ("What it is", blade.about), ("Route", blade.route.title)]
    facts += [(choice.ask, blade.choices.get(choice.id, "")) for choice in blade.route.choices]
    facts += [("Begun", stamp(blade.started)), ("Steps closed", f"{closed} of {len(own)}")]
    ends = [one.finished for step in own if (one := blade.progress(step.id)).finished is not None]
    if closed == len(own) and ends:
        facts.append(("Finished", stamp(max(ends))))
    facts.append(("Record written", stamp(now)))
    lines = "\n".join(f"- **{_text(name)}:** {_text(value)}" for name, value in facts if value)
    return f"# {_text(blade.name)}\n\n{lines}"


def _against_rules(blade: Blade) -> str:
    lines = [
        f"- {stamp(one.at)}: {_text(one.says)}. Reason: {_text(one.why)}" for one in blade.log if one.why
    ]
    return _part("Decided against a rule, and why", lines)


def _measured(blade: Blade) -> str:
    says = {(step.id, entry.name): entry.says for step in blade.route.steps for entry in step.records}
    anywhere = {name: words for (_, name), words in says.items()}
    rows = [
        (
            says.get((value.step, name), anywhere.get(name, name)),
            f"{value.text} (outside the usual: {value.why})" if value.why else value.text,
            value.step,
            "" if value.at is None else stamp(value.at),
        )
        for name, value in sorted(blade.values.items(), key=lambda pair: _order(blade, pair[1].step))
    ]
    return _part("Measured and written down", _table(("What", "Value", "Step", "When"), rows))


def _order(blade: Blade, step_id: str) -> int:
    return next((place for place, step in enumerate(blade.route.steps) if step.id == step_id), -1)


def _done(blade: Blade, now: datetime) -> str:
    lines: list[str] = []
    for phase in blade.route.phases:
        begun = [
            step
            for step in blade.own_steps()
            if step.phase == phase.id and blade.progress(step.id).state is not None
        ]
        if begun:
            lines += ["", f"### {phase.id} {_text(phase.title)}", ""]
            lines += [line for step in begun for line in _step_lines(blade, step, now)]
    return _part("What was done", lines[1:])


def _step_lines(blade: Blade, step: Step, now: datetime) -> list[str]:
    was = blade.progress(step.id)
    state = standing.state_of(blade, step, now)
    no_way = "; no way back from it" if step.one_way else ""
    rounds = f", {was.rounds} times" if was.rounds > 1 else ""
    lines = [f"- **{step.id} {_text(step.title)}**: {state}{rounds}{no_way}"]
    times = [f"started {stamp(was.started)}"] if was.started else []
    if was.finished:
        times.append(f"{'left out' if state is State.LEFT_OUT else 'finished'} {stamp(was.finished)}")
    whole_s = (was.finished - was.started).total_seconds() if was.started and was.finished else 0
    if whole_s > was.hand_s:
        times.append(f"{lasting(whole_s)} from start to finish")
    if was.hand_s:
        times.append(f"{lasting(was.hand_s)} by hand")
    lines += [f"  - {'; '.join(times)}"] if times else []
    lines += [f"  - checked: {_text(check)}" for check in was.ticked]
    lines += [f"  - last look, said true: {_text(line)}" for line in was.looked]
    lines += [f"  - reason: {_text(was.why)}"] if was.why else []
    return lines


def _hours(blade: Blade, now: datetime) -> str:
    rows: list[tuple[str, ...]] = []
    total = 0
    for phase in blade.route.phases:
        own = [step for step in blade.own_steps() if step.phase == phase.id]
        by_hand = sum(_by_hand(blade, step, now) for step in own)
        if by_hand:
            rows.append((f"{phase.id} {phase.title}", lasting(by_hand)))
            total += by_hand
    if not rows:
        return ""
    return _part("Hours by hand", _table(("Phase", "By hand"), [*rows, ("All", lasting(total))]))


def _by_hand(blade: Blade, step: Step, now: datetime) -> int:
    was = blade.progress(step.id)
    running = 0 if was.since is None else max(0, round((now - was.since).total_seconds()))
    return was.hand_s + running


def _slips(blade: Blade) -> str:
    lines: list[str] = []
    for slip in blade.slips.values():
        lines += ["", *_slip_lines(slip, blade)]
    return _part("Worked out", lines[1:])


def _slip_lines(slip: Slip, blade: Blade) -> list[str]:
    known = _calculator(slip.calculator)
    at = f", for step {slip.step}" if slip.step else ""
    says = {one.name: one.says for one in known.fields} if known else {}
    lines = [f"### {_text(known.title if known else slip.calculator)}", "", f"{stamp(slip.at)}{at}.", ""]
    rows: list[tuple[str, ...]] = []
    for name, text in slip.given.items():
        origin = f"given, from {slip.taken[name][0]}" if name in slip.taken else "given"
        rows.append((says.get(name, name), text, origin))
    rows += [(says.get(name, name), text, "assumed") for name, text in slip.assumed.items()]
    rows += [_result_row(known, name, value, unit) for name, (value, unit) in slip.found.items()]
    lines += [*_table(("What", "Value", ""), rows), ""]
    lines += [f"- Changed since: {_text(line)}" for line in stale(slip, blade)]
    lines += [f"- Assumed: {_text(line)}" for line in _lines_of(slip.extra, "also-assumed")]
    lines += [f"- Working: {_text(line)}" for line in _lines_of(slip.extra, "working")]
    lines += [f"- Mind: {_text(line)}" for line in slip.cautions]
    return lines + [f"- Source: {_text(line)}" for line in slip.sources]


def _lines_of(extra: Mapping[str, object], key: str) -> list[str]:
    lines = extra.get(key)
    return [str(line) for line in lines] if isinstance(lines, list) else []


def _calculator(name: str) -> Calculator | None:
    try:
        return registry.calculator(name)
    except ShopError:  # a slip outlives the calculator it was made with
        return None


def _result_row(known: Calculator | None, name: str, value: float | str, unit: str) -> tuple[str, ...]:
    """Return what a result is called and its value, with the decimals its calculator declares."""
    says, digits = name, None
    for result in known.results if known else ():
        if result.name == name or (result.family and name.startswith(f"{result.name} ")):
            says = f"{result.says} {name.removeprefix(result.name).strip()}".strip()
            digits = result.digits
    if isinstance(value, str):
        return says, f"{value} {unit}".strip(), "found"
    number = f"{value:.6g}" if digits is None else f"{value:.{digits}f}"
    return says, f"{number} {unit}".strip(), "found"


def _clocks(blade: Blade) -> str:
    lines: list[str] = []
    for clock in sorted(blade.clocks.values(), key=lambda one: one.started):
        lines += ["", *_clock_lines(clock)]
    return _part("Clocks", lines[1:])


def _clock_lines(clock: Clock) -> list[str]:
    ended = f", ended {stamp(clock.ended)}" if clock.ended else ", still running"
    lines = [
        f"### {_text(clock.title)}",
        "",
        f"Step {clock.step}; started {stamp(clock.started)}{ended}.",
        "",
    ]
    if clock.air_K is not None:
        air = measure.write(clock.air_K, "temperature", "°C", 1)
        lines += [f"Air {air}: every time of the label times {clock.pace:.2f}.", ""]
    if clock.caution:
        lines += [f"Mind: {_text(clock.caution)}", ""]
    rows = [(mark.says, stamp(mark.opens), _until(mark), _answered(mark)) for mark in clock.marks]
    return lines + _table(("Mark", "Opens", "Shuts", "Answered"), rows)


def _until(mark: Mark) -> str:
    return stamp(mark.shuts) if mark.shuts else ""


def _answered(mark: Mark) -> str:
    if mark.acknowledged is None:
        return "no"
    late = ", after it had shut" if mark.shuts is not None and mark.acknowledged >= mark.shuts else ""
    return f"{stamp(mark.acknowledged)}{late}"


def _log(blade: Blade) -> str:
    lines = [
        f"- {stamp(one.at)}: {_text(one.says)}{f' (reason: {_text(one.why)})' if one.why else ''}"
        for one in blade.log
    ]
    return _part("The log, line by line", lines)


def _part(title: str, lines: Iterable[str]) -> str:
    body = "\n".join(lines)
    return f"## {title}\n\n{body}" if body else ""


def _table(head: Sequence[str], rows: Sequence[Sequence[str]]) -> list[str]:
    if not rows:
        return []
    lines = [f"| {' | '.join(head)} |", f"|{' --- |' * len(head)}"]
    return lines + [f"| {' | '.join(_text(cell) for cell in row)} |" for row in rows]


def _text(text: str) -> str:
    """Return text as it reads, with nothing left in it that Markdown would act on."""
    return _MARKUP.sub(r"\\\1", showable(" ".join(text.split()), 2000))
