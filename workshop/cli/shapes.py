"""What `--json` prints, one shape a command: shown in each command's help. The tests hold them to it."""

from __future__ import annotations

from collections.abc import Mapping

_BLADE = (
    "name, key, for, about, route, choices, started, done, steps,\n"
    "phase, step {id, title, state} or null, next_mark, clocks_running,\n"
    "values {NAME: {text, kind, si, step, at, why}}"
)

_STEP = (
    "id, title, phase, state, one_way, started, finished, by_hand_s, rounds,\n"
    "checked, unchecked, looked, why, waits_for, values {NAME: text or null},\n"
    "clocks, slips"
)

_CLOCK = (
    "blade, key, clock, title, step, kind, started, store, air_C, pace,\n"
    "batch_pace, round, round_of, caution, marks [{id, says, opens, shuts,\n"
    "stands_still, state, stage, do, late, harm, answered}], due [mark ids],\n"
    "next {mark, verb, at, in_s} or null"
)

SHAPES: Mapping[str, str] = {
    "start": f"one blade: {_BLADE}",
    "blades": f"blades [of each:\n{_BLADE}],\nunread",
    "steps": f"blade, key, route, steps [of each:\n{_STEP}]",
    "step": f"blade, key, minds, and the step:\n{_STEP}",
    "value": "blade, key, values {NAME: {text, kind, si, step, at, why}}",
    "note": "blade, key, step or null, says, at",
    "back": "blade, key, step or null, says, at",
    "answer": f"one clock: {_CLOCK}",
    "stop": f"one clock: {_CLOCK}",
    "clock": f"one clock: {_CLOCK}",
    "clocks": f"at, clocks [of each:\n{_CLOCK}]",
    "witness": f"says, and the clock:\n{_CLOCK}",
    "air": "temperature_C, humidity, read",
    "when": (
        "step, clock, store, air_C, start, marks [{id, says, opens, shuts, meets,\n"
        "missed}], missed, earliest_start, latest_start, best_start, says, conflicts"
    ),
    "calendar": "file, events",
    "calc": (
        "calculator, given, assumed, found (each {FIELD: {value, unit}}), cautions,\n"
        "sources; with --keep also kept {blade, slip}. Nothing given: what the\n"
        "calculator asks for. No calculator: a list of {name, title, purpose}"
    ),
    "record": "blade, key, record (the Markdown)",
    "check": "files [{file, is, fault}]",
    "where": (
        "version, shelf, there, blades, not_taken, shop, laptop, kept_routes,\n"
        "own_routes, own_stores, recipes, routes"
    ),
    "restore": "blade, key, from; with --list: key, older [{name, kept, fault}]",
    "pack": "file, files, left_out",
    "unpack": "written, same, beside",
}
"""By command, the keys of the object that is printed; commands that are not here print words only."""


def shape(command: str) -> str:
    """Return the lines of a command's help that say what --json prints, or "" where it prints words only."""
    says = SHAPES.get(command, "")
    lines = "".join(f"  {line}\n" for line in says.splitlines())
    return f"\n\nwith --json:\n{lines.rstrip()}" if says else ""
