"""The drawer on the command line: listing calculators, saying what one asks for, working one out."""

from __future__ import annotations

from argparse import Namespace
from collections.abc import Iterable, Mapping
from datetime import datetime
from typing import Any

from workshop.build import changes, standing
from workshop.build.blade import Blade
from workshop.cli.text import columns, dump, say
from workshop.cli.together import pair
from workshop.drawer import registry
from workshop.drawer.declare import Calculator, Field, Limits
from workshop.drawer.run import Taken, Worked, work_out
from workshop.errors import ShopError
from workshop.shelf import slips
from workshop.shelf.shelf import Shelf

EXAMPLE = "FIELD=VALUE, such as pin=5/32in"


def calc(args: Namespace, shelf: Shelf, now: datetime) -> None:
    """List the calculators, say what one asks for, or work one out and keep it if wished."""
    if not args.name:
        if args.keep or args.blade or args.step:
            raise ShopError("calc needs a calculator for that; 'workshop calc' lists them.")
        _list(as_data=args.json)
        return
    if args.step and not args.keep:
        raise ShopError("--step names where a slip is kept; it goes with --keep.")
    asked = registry.calculator(args.name)
    typed = dict(pair(one, asked.name, EXAMPLE) for one in args.fields)
    blade = shelf.find(args.blade) if args.blade else None
    taken = slips.fills(asked, blade, shelf.shop())
    stands = {**{name: one.text for name, one in taken.items()}, **typed}
    wanted = bool(typed) or args.keep or blade is not None
    if args.help or (not wanted and _lacking(asked, taken)):
        _explain(asked, taken, slips.last_time(shelf.blades()[0], asked, stands), as_data=args.json)
        return
    if args.keep and blade is None:
        raise ShopError("--keep puts the slip on a blade; name it with --blade.")
    worked = work_out(asked, typed, shelf.store, taken=taken, now=now.timestamp(), later=True)
    kept = _keep(args, shelf, blade, worked, now) if args.keep and blade is not None else ""
    if args.json:
        dump({**worked.data(), **({"kept": {"blade": args.blade, "slip": kept}} if kept else {})})
        return
    say(*worked_lines(worked, slips.last_time(shelf.blades()[0], asked, stands)))
    if kept:
        say(f"Kept on {blade.name if blade else ''} as slip {kept}.")


def worked_lines(worked: Worked, before: Mapping[str, Taken] | None = None) -> list[str]:
    """Return an answer as lines: found first, then what it rests on.

    before: what was given last time, by field; said where the answer had to assume something else.
    """
    asked = worked.calculator
    lines = [asked.title, *columns(((row.says, row.shown()) for row in worked.shown()), indent="  ")]
    lines += [f"  {line}" for line in worked.answer.figure]
    says = {one.name: one.says for one in asked.fields}
    if worked.given:
        lines.append("Given")
        lines += columns(
            (
                (name, text, _origin(worked.taken.get(name)) or says[name])
                for name, text in worked.given.items()
            ),
            "  ",
        )
    if worked.assumed or worked.answer.assumed:
        lines.append("Assumed")
        lines += columns(((name, text, says[name]) for name, text in worked.assumed.items()), "  ")
        lines += [f"  {line}" for line in worked.answer.assumed]
    lines += _under("Last time", _offered(worked, before or {}))
    lines += _under("Worked", worked.answer.working)
    lines += _under("Mind", (*worked.notices, *worked.answer.cautions, *asked.cautions))
    lines.append(f"Holds for: {asked.valid}")
    lines += _under("From", (f"{source.text} ({source.standing})" for source in asked.sources))
    return lines


def _offered(worked: Worked, before: Mapping[str, Taken]) -> list[str]:
    return [
        f"{name}={_quoted(one.text)}  {one.where.removeprefix(slips.LAST_TIME)}"
        for name, one in before.items()
        if name not in worked.given and one.text != worked.assumed.get(name)
    ]


def _origin(taken: Taken | None) -> str:
    return "" if taken is None else f"from {taken.where}"


def _under(title: str, lines: Iterable[str]) -> list[str]:
    found = [f"  {line}" for line in lines]
    return [title, *found] if found else []


def _keep(args: Namespace, shelf: Shelf, blade: Blade, worked: Worked, now: datetime) -> str:
    step = changes.step_named(blade, args.step).id if args.step else _step_for(blade, worked.calculator, now)
    kept: list[str] = []

    def keep(one: Blade) -> Blade:
        kept.append(changes.next_slip_id(one))
        return changes.keep_slip(one, slips.slip_of(worked, kept[-1], step, now), now)

    shelf.change(blade.key, keep)
    return kept[-1]


def _step_for(blade: Blade, calculator: Calculator, now: datetime) -> str:
    """Return the step in hand when this calculator serves it, else "" (the slip is the blade's)."""
    step = standing.in_hand(blade, now)
    return step.id if step is not None and calculator.name in step.calculators else ""


def _lacking(asked: Calculator, taken: dict[str, Taken]) -> bool:
    return any(not one.optional and one.default is None and one.name not in taken for one in asked.fields)


def _list(*, as_data: bool) -> None:
    every = [registry.calculator(name) for name in registry.NAMES]
    if as_data:
        dump([{"name": one.name, "title": one.title, "purpose": one.purpose} for one in every])
        return
    say(*columns((one.name, one.purpose) for one in every))
    say("What one asks for: workshop calc NAME --help")


def _explain(asked: Calculator, taken: dict[str, Taken], before: dict[str, Taken], *, as_data: bool) -> None:
    """Say from the declaration what a calculator asks for and gives, and where its numbers come from."""
    if as_data:
        dump(declared(asked))
        return
    say(f"{asked.name}: {asked.title}", f"  {asked.purpose}", "", "It asks for")
    for one in asked.fields:
        offered = taken.get(one.name) or before.get(one.name)
        say(f"  {one.name}  {one.says}")
        say(f"      {_field_says(one)}" + (f"; {offered.where}: {offered.text}" if offered else ""))
    say("", "It finds", *columns(((one.name, one.says, one.unit) for one in asked.results), "  "))
    given = " ".join(f"{name}={_quoted(text)}" for name, text in asked.example.given.items())
    found = ", ".join(f"{name} {text}" for name, text in asked.example.found.items())
    say("", "For example", f"  workshop calc {asked.name} {given}", f"  finds {found}")
    say(f"  ({asked.example.source.text}; {asked.example.source.standing})", "", f"Holds for: {asked.valid}")
    say(
        *_under("Mind", asked.cautions),
        *_under("From", (f"{one.text} ({one.standing})" for one in asked.sources)),
    )


def _field_says(one: Field) -> str:
    parts = [_kind_says(one)]
    parts.append(
        "needed" if not one.optional and one.default is None else "may stay empty" if one.optional else ""
    )
    parts.append(f"without it {one.default}" if one.default is not None else "")
    parts += [_limits("likely", one.likely), _limits("possible", one.hard)]
    return "; ".join(part for part in parts if part)


def _kind_says(one: Field) -> str:
    if one.kind == "choice":
        return "one of: " + ", ".join(one.choices)
    bare = f", a bare number is in {one.unit}" if one.unit else ""
    many = ", several with ; between" if one.many else ""
    names = {"word": "a word", "text": "text", "drill": "a drill's size or name", "count": "a whole number"}
    return f"{names.get(one.kind, one.kind)}{bare}{many}"


def _limits(says: str, limits: Limits) -> str:
    least, most = limits
    if least and most:
        return f"{says} {least} to {most}"
    return f"{says} at least {least}" if least else f"{says} at most {most}" if most else ""


def _quoted(text: str) -> str:
    return f'"{text}"' if any(letter in " ;#&|()<>*?" for letter in text) else text


def declared(asked: Calculator) -> dict[str, Any]:
    """Return a calculator's declaration as data."""
    return {
        "calculator": asked.name,
        "title": asked.title,
        "purpose": asked.purpose,
        "fields": [
            {
                "name": one.name,
                "kind": one.kind,
                "says": one.says,
                "unit": one.unit,
                "default": one.default,
                "needed": not one.optional and one.default is None,
                "choices": list(one.choices),
                "likely": list(one.likely),
                "hard": list(one.hard),
                "fills_from": list(one.fills_from),
            }
            for one in asked.fields
        ],
        "results": [
            {"name": one.name, "kind": one.kind, "says": one.says, "unit": one.unit} for one in asked.results
        ],
        "example": {"given": dict(asked.example.given), "found": dict(asked.example.found)},
        "valid": asked.valid,
        "cautions": list(asked.cautions),
        "sources": [f"{one.text} ({one.standing})" for one in asked.sources],
    }
