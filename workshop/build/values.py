"""From what a maker types at a step to a measurement that can be kept."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import replace

from workshop import measure
from workshop.build.blade import DRILL, Blade, Value
from workshop.build.changes import NeedsReason
from workshop.build.route import Entry
from workshop.errors import ShopError

LONGEST_WORDS = 400
"""Characters: what is written down in words is a line or two, not a page."""

_BARE = re.compile(r"[0-9\s.,/½¼¾⅓⅔⅛⅜⅝⅞⁄+−-]+")
_WITHOUT_UNIT = frozenset({"ratio", "number", "count", "coefficient"})


def with_unit(text: str, kind: str, unit: str) -> str:
    """Return a measure as typed, with its unit always.

    "4.75" in mm becomes "4.75 mm", "5/32" becomes "5/32 in". A text that carries its unit, and a kind that
    has none, is given back as typed, save for a label that counts things ("320 layers" becomes "320").
    Raises ShopError for a text that is no measure of this kind.
    """
    read = measure.read(text, kind, unit=unit, negative=True)
    bare = kind not in _WITHOUT_UNIT and read.unit and _BARE.fullmatch(read.text)
    full = f"{read.text} {read.unit}" if bare else read.text
    try:  # what is kept is read again from the file, where nothing tells the unit but the text itself
        same = measure.read(full, kind, negative=True).value == read.value
    except ShopError:
        same = False
    return full if same else measure.write(read.value, kind, "" if kind in _WITHOUT_UNIT else read.unit)


def read_entry(
    entry: Entry,
    text: str,
    step_id: str,
    why: str = "",
    drills: Callable[[], Mapping[str, float]] | None = None,
) -> Value:
    """Return what was typed for an entry of a step as a measurement of the blade.

    A number is kept as written, with its unit always. Raises ShopError with one sentence for what cannot be
    read, and NeedsReason for a measure outside the entry's likely limits unless `why` gives a reason, which
    is then kept with it; a reason that was not needed is not kept with the value. drills: where a drill's
    name is meant ("#21", "No. 21", "F"), its size in metres by name; the value is its size, the name is kept.
    """
    plain = text.strip()
    if entry.drill and drills is not None and measure.is_drill_name(plain):
        name, size_m = measure.read_drill(plain, drills(), unit=entry.unit, field=entry.name)
        sized = read_entry(entry, measure.precise(size_m, "length", "in"), step_id, why)
        return replace(sized, extra={DRILL: name})
    if entry.kind == "word":
        return Value(_words(entry, plain), entry.kind, step=step_id)
    if entry.kind == "choice":
        return Value(_option(entry, plain), entry.kind, step=step_id)
    negative = any(limit.lstrip().startswith(("-", "−")) for limit in (entry.least, entry.most))
    example = entry.least or entry.most
    read = measure.read(
        plain, entry.kind, unit=entry.unit, field=entry.name, example=example, negative=negative
    )
    kept = with_unit(plain, entry.kind, entry.unit)
    notice = _unlikely(entry, replace(read, text=kept))
    if notice and not why.strip():
        raise NeedsReason(f"{notice.rstrip('.')}. With a reason it can be kept.")
    return Value(kept, entry.kind, float(read), step=step_id, why=why.strip() if notice else "")


def _unlikely(entry: Entry, value: measure.Measure | float) -> str:
    limits = (entry.least or None, entry.most or None)
    return measure.check_likely(value, entry.kind, *limits, entry.says, unit=entry.unit) or ""


def unlikely(entry: Entry, value: Value) -> str:
    """Return a notice of a value that is outside its entry's likely limits with no reason kept, else "".

    Typed at the program such a value is refused without a reason; in the file it can be changed by hand.
    """
    if value.si is None or value.why or value.kind != entry.kind:
        return ""
    return _unlikely(entry, value.si)


def unlikely_values(blade: Blade) -> list[str]:
    """Return the notices of all values of a blade, each by the limits of the step it was written at."""
    found = []
    for name, value in blade.values.items():
        step = blade.route.by_id.get(value.step)
        entry = step.entry(name) if step is not None else None
        if entry is not None and (notice := unlikely(entry, value)):
            found.append(notice)
    return found


def _words(entry: Entry, text: str) -> str:
    words = " ".join(text.split())
    if not words:
        raise ShopError(f"{entry.name}: nothing was written; right would be some words for: {entry.says}.")
    if len(words) > LONGEST_WORDS:
        raise ShopError(
            f"{entry.name}: {len(words)} characters are too long; right would be {LONGEST_WORDS} at most."
        )
    return words


def _option(entry: Entry, text: str) -> str:
    for option in entry.options:
        if text.casefold() == option.casefold():
            return option
    begun = [option for option in entry.options if text and option.casefold().startswith(text.casefold())]
    if len(begun) == 1:
        return begun[0]
    offered = ", ".join(entry.options)
    raise ShopError(f"{entry.name}: '{text[:40]}' is not offered; right would be one of: {offered}.")
