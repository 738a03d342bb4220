"""Copies of one blade beside its file, as tools that keep two laptops alike leave them.

They are known by what is in them, whatever they are called: the same name, begun at the same moment.
"""

from __future__ import annotations

import re
import shlex
from collections.abc import Iterable, Sequence
from pathlib import Path

from workshop.build.blade import Blade

LOST = "an older text was saved over its file; the next change puts back what that lost, and keeps both."
_OUR_KEY = re.compile(r"[a-z0-9]+(-[a-z0-9]+)*")


def told_apart(blades: Iterable[Blade]) -> tuple[list[Blade], dict[str, str]]:
    """Return the blades without their copies, and by a copy's key the key of the blade it is a copy of."""
    homes: dict[tuple[str, str], list[Blade]] = {}
    for blade in blades:
        homes.setdefault((blade.name, blade.started.isoformat()), []).append(blade)
    own, of = [], {}
    for same in homes.values():
        first, *others = sorted(same, key=_like_ours)
        own.append(first)
        of.update({one.key: first.key for one in others})
    return own, of


def _like_ours(blade: Blade) -> tuple[bool, int, str]:
    return (_OUR_KEY.fullmatch(blade.key) is None, len(blade.key), blade.key)


def says(key: str, of: str) -> str:
    """Return what a copy is and what to do about it."""
    how = f"workshop merge {of} {shlex.quote(key)}"
    return f"is a copy of {of} and is left as it is; to put both together: {how}"


def apart_says(blade: Blade, texts: Sequence[Path]) -> str:
    """Return what is kept apart for a blade and what to do about it."""
    count = "a text is" if len(texts) == 1 else f"{len(texts)} texts are"
    plain = "Two changes met; both are kept"
    met = next((one.says for one in reversed(blade.log) if one.did == "merge"), plain)
    return f"{met.rstrip('.')}. {count} kept apart; 'workshop merge {blade.key}' shows them side by side."
