"""Clocks as lines of text and as data."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from workshop import measure
from workshop.build.blade import Blade
from workshop.build.clock import Clock, Mark, due, next_moment, stage_of
from workshop.cli.text import columns, utc
from workshop.paper.times import lasting, near

COLD = "stands still: too cold"


def clock_lines(pairs: list[tuple[Blade, Clock]], at: datetime) -> list[str]:
    """Return clocks as lines of text, each with its marks below it."""
    if not pairs:
        return ["No clock runs."]
    lines = []
    for blade, one in pairs:
        round_of = f", {one.round_of}" if one.round_of else ""
        begun = near(one.started, at)
        lines.append(f"{blade.name}  {one.step}  {one.title}{round_of} ({one.id}), since {begun}")
        lines += [f"   {line}" for line in (*air_lines(one), *mark_lines(one, at))]
    return lines


def mark_lines(clock: Clock, at: datetime) -> list[str]:
    """Return a clock's marks as lines: what, when its window opens and shuts, and how it stands."""
    if not clock.marks:
        return [f"  {lasting(clock.elapsed_s(at))} so far"]
    return columns((_mark_row(mark, at) for mark in clock.marks), indent="  ")


def air_lines(clock: Clock) -> list[str]:
    """Return what the air and the batch make of a clock's times."""
    lines = []
    if clock.air_K is not None:
        air_says = measure.write(clock.air_K, "temperature", "°C", 1)
        box = ", in a warm box" if clock.kept_K is not None else ""
        lines.append(f"at {air_says}{box} its times are {clock.pace:.2f} times the label's")
    if clock.quick != 1.0:
        lines.append(f"this batch is {clock.quick:.2f} times as quick as the store says")
    if clock.caution:
        lines.append(f"caution: {clock.caution}")
    return lines


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
        "air_C": celsius_of(clock.air_K),
        "pace": clock.pace,
        "batch_pace": clock.quick,
        "round": clock.round or None,
        "round_of": clock.round_of or None,
        "caution": clock.caution,
        "marks": [_mark_data(clock, mark, at) for mark in clock.marks],
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


def _mark_data(clock: Clock, mark: Mark, at: datetime) -> dict[str, Any]:
    still = mark.stands_still
    return {
        "id": mark.id,
        "says": mark.says,
        "opens": None if still else utc(mark.opens),
        "shuts": None if still else utc(mark.shuts),
        "stands_still": still,
        "state": mark.state(at),
        "stage": str(stage_of(clock, mark, at)),
        "do": mark.do,
        "late": mark.late,
        "harm": mark.harm,
        "answered": utc(mark.acknowledged),
    }


def celsius_of(air_K: float | None) -> float | None:
    """Return a temperature for data, or None."""
    return None if air_K is None else round(measure.in_unit(air_K, "temperature", "°C"), 3)


def window(mark: Mark, at: datetime) -> str:
    """Return when a mark opens and shuts, in words."""
    if mark.stands_still:
        return COLD
    return near(mark.opens, at) + (f" to {near(mark.shuts, at)}" if mark.shuts else "")


def _mark_row(mark: Mark, at: datetime) -> tuple[str, str, str]:
    falls = window(mark, at)
    state = mark.state(at)
    if mark.acknowledged is not None:
        return mark.says, falls, f"answered {near(mark.acknowledged, at)}"
    if state == "ahead":
        return (
            mark.says,
            falls,
            "" if mark.stands_still else f"in {lasting((mark.opens - at).total_seconds())}",
        )
    if state == "open" and mark.shuts is not None:
        left = lasting((mark.shuts - at).total_seconds())
        return mark.says, falls, f"OPEN, shuts in {left}. {mark.do}".rstrip()
    if state == "shut" and mark.shuts is not None:
        past = lasting((at - mark.shuts).total_seconds())
        return mark.says, falls, f"SHUT {past} ago. {mark.late}".rstrip()
    return mark.says, falls, f"REACHED {lasting((at - mark.opens).total_seconds())} ago. {mark.do}".rstrip()
