"""Slips: what a calculator found, made into something a blade keeps; and what can be said of it later."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import datetime

from workshop import measure
from workshop.build.blade import Blade, Slip
from workshop.build.slip import LAST_TIME, SHOP_AIR, stale
from workshop.build.values import with_unit
from workshop.drawer.declare import Calculator, Field
from workshop.drawer.run import Taken, Worked, taken_from
from workshop.errors import ShopError
from workshop.shelf.shop_file import Shop

__all__ = ["LAST_TIME", "SHOP_AIR", "fills", "last_time", "slip_of", "stale"]


def slip_of(worked: Worked, slip_id: str, step: str, now: datetime) -> Slip:
    """Return a worked calculation as a slip, with every measure's unit beside it.

    slip_id: from `changes.next_slip_id`. step: the step it was worked out for, or "". What the calculator
    assumed in words, and its working, are kept with it.
    """
    data = worked.data()
    also = {"also-assumed": list(worked.answer.assumed), "working": list(worked.answer.working)}
    return Slip(
        id=slip_id,
        calculator=worked.calculator.name,
        step=step,
        at=now,
        given=_texts(worked.calculator, worked.given),
        assumed=_texts(worked.calculator, worked.assumed),
        found={row.name: (row.value, row.unit) for row in worked.shown()},
        taken={name: (taken.where, taken.text) for name, taken in worked.taken.items()},
        cautions=tuple(data["cautions"]),
        sources=tuple(data["sources"]),
        extra={key: lines for key, lines in also.items() if lines},
    )


def fills(calculator: Calculator, blade: Blade | None, shop: Shop | None = None) -> dict[str, Taken]:
    """Return what is known already for a calculator's fields: the blade's measurements, then the shop's air.

    The blade's choices count as known too ("steel", "pin"), below its measurements.
    """
    known: dict[str, str] = {}
    if blade is not None:
        known.update(blade.choices)
        known.update({name: value.text for name, value in blade.values.items()})
    found = taken_from(calculator, known)
    for asked in calculator.fields:
        air = "" if shop is None or asked.name in found else _air(asked, shop)
        if air:
            found[asked.name] = Taken(air, SHOP_AIR)
    return found


def last_time(blades: Iterable[Blade], calculator: Calculator, alike: Mapping[str, str]) -> dict[str, Taken]:
    """Return what this maker gave last for a calculator's fields, each with the blade's name, to be offered.

    alike: the texts that stand there, typed or taken from the blade; a slip counts only if its fields that
    make a use "the same again" (species, adhesive, metal) say the same. What came from another blade's
    measurements is its own and is not offered. Nothing here is taken without the maker's word.
    """
    same = [asked.name for asked in calculator.fields if asked.alike and alike.get(asked.name, "").strip()]
    slips = [(slip, blade.name) for blade in blades for slip in blade.slips.values()]
    fitting = [
        (slip, name)
        for slip, name in sorted(slips, key=lambda pair: pair[0].at, reverse=True)
        if slip.calculator == calculator.name and all(_agrees(slip, one, alike[one]) for one in same)
    ]
    offered: dict[str, Taken] = {}
    for slip, name in fitting:
        for asked in calculator.fields:
            if asked.name in slip.given and asked.name not in slip.taken and asked.name not in offered:
                offered[asked.name] = Taken(slip.given[asked.name], f"{LAST_TIME}{name}")
    return offered


def _texts(calculator: Calculator, texts: Mapping[str, str]) -> dict[str, str]:
    by_name = {asked.name: asked for asked in calculator.fields}
    return {name: _full(by_name[name], text) for name, text in texts.items()}


def _full(asked: Field, text: str) -> str:
    """Return a field's text with its unit; one that only the calculator itself can read stays as typed."""
    kind = "length" if asked.kind == "drill" else asked.kind
    if kind not in measure.KINDS:
        return text
    try:
        if asked.many:
            return "; ".join(with_unit(part, kind, asked.unit) for part in text.split(";") if part.strip())
        return with_unit(text, kind, asked.unit)
    except ShopError:  # a drill's name, such as #20
        return text


def _air(asked: Field, shop: Shop) -> str:
    if "air" in asked.fills_from and shop.air_K is not None:
        return measure.write(shop.air_K, "temperature", "°C", 1)
    if "humidity" in asked.fills_from and shop.humidity is not None:
        return measure.write(shop.humidity, "humidity", "%", 0)
    return ""


def _agrees(slip: Slip, field: str, text: str) -> bool:
    was = slip.given.get(field, slip.assumed.get(field, ""))
    return was.strip().casefold() == text.strip().casefold()
