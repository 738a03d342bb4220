"""What can be said of a slip later: what it found, in a line, and what has changed since it was made.

A slip is never worked out again by itself: the maker sees what changed and decides.
"""

from __future__ import annotations

from workshop import measure
from workshop.build.blade import Blade, Slip
from workshop.errors import ShopError

LAST_TIME = "last time, "
"""How the origin of a value begins that is offered from an earlier slip; a blade's name follows."""

SHOP_AIR = "the shop's air"
"""The origin of a value that was filled from the shop's air as last read."""


def stale(slip: Slip, blade: Blade) -> tuple[str, ...]:
    """Return, in words, which of the blade's measurements that a slip was worked from have changed since."""
    changed = []
    for name, text in slip.taken.values():
        if name.startswith((LAST_TIME, SHOP_AIR)) or blade.choices.get(name) == text:
            continue
        value, choice = blade.values.get(name), blade.choices.get(name)
        if value is None and choice is not None:
            changed.append(f"{name} was {text} and is now {choice}")
        elif value is None:
            changed.append(f"{name} was {text} and has been taken back")
        elif value.text != text and not _same(value.text, text, value.kind):
            changed.append(f"{name} was {text} and is now {value.text}")
    return tuple(dict.fromkeys(changed))


def in_words(slip: Slip) -> str:
    """Return what a slip found, in one line."""
    found = ", ".join(
        f"{name} {value if isinstance(value, str) else f'{value:.4g}'} {unit}".strip()
        for name, (value, unit) in slip.found.items()
    )
    return f"{slip.calculator}: {found}"


def _same(one: str, other: str, kind: str) -> bool:
    if kind not in measure.KINDS:
        return False
    try:
        return measure.read(one, kind, negative=True).value == measure.read(other, kind, negative=True).value
    except ShopError:
        return False
