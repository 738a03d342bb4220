"""Copies of one blade beside its file, as tools that keep two laptops alike leave them.

They are known by what is in them: begun at the same moment on the same route, with the same name, however é
is spelt in it. A tool never changes what is in a file, a maker does: a file whose name is of our own form and
whose blade is called otherwise is a sister knife, begun from a copy; but one that a tool has named is still
a copy though the blade was given another name since, if both begin with the same line of the log.
"""

from __future__ import annotations

import re
import shlex
from collections.abc import Iterable, Sequence
from pathlib import Path

from workshop.build.blade import Blade
from workshop.shelf import places

LOST = "an older text was saved over its file; the next change puts back what that lost, and keeps both."
_BY_A_TOOL = re.compile(r"[^A-Za-z0-9-]")
_OUR_KEY = re.compile(r"[a-z0-9]+(-[a-z0-9]+)*")


def told_apart(blades: Iterable[Blade]) -> tuple[list[Blade], dict[str, str]]:
    """Return the blades without their copies, and by a copy's key the key of the blade it is a copy of."""
    own: list[Blade] = []
    of: dict[str, str] = {}
    for blade in sorted(blades, key=_like_ours):
        home = next((one for one in own if same_blade(one, blade)), None)
        if home is None:
            own.append(blade)
        else:
            of[blade.key] = home.key
    return own, of


def same_blade(one: Blade, other: Blade) -> bool:
    """Whether two texts are of one blade."""
    if one.started != other.started or one.kept != other.kept:
        return False
    if places.folded(one.name) == places.folded(other.name):
        return True
    by_a_tool = any(_OUR_KEY.fullmatch(blade.key) is None for blade in (one, other))
    return by_a_tool and one.log[:1] == other.log[:1] != ()


def by_name(stem: str, names: Iterable[str]) -> str:
    """Return the name that a tool has made a copy's name from: "shop" for "shop (copy)"; "" for none."""
    found = (
        name for name in names if stem.startswith(name) and re.match(r"[^A-Za-z0-9-]", stem[len(name) :])
    )
    return max(found, key=len, default="")


def by_name_says(name: str, key: str) -> str:
    """Return what a copy of a file that is no blade's is, and what to do about it. key: the copy's."""
    if name == "air":
        return f"is a copy of air.toml; to put its readings into that: workshop merge air {shlex.quote(key)}"
    return (
        f"is a copy of {name}.toml and is not read; take over from it what {name}.toml lacks, then remove it."
    )


def _like_ours(blade: Blade) -> tuple[bool, int, str]:
    return (_OUR_KEY.fullmatch(blade.key) is None, len(blade.key), blade.key)


def says(key: str, of: str) -> str:
    """Return what a copy is and what to do about it."""
    how = f"workshop merge {of} {shlex.quote(key)}"
    return f"is a copy of {of} and is left as it is; to put both together: {how}"


def apart_says(blade: Blade, texts: Sequence[Path]) -> str:
    """Return what is kept apart for a blade and what to do about it."""
    count = "A text is" if len(texts) == 1 else f"{len(texts)} texts are"
    plain = "Two changes met; both are kept"
    met = next((one.says for one in reversed(blade.log) if one.did == "merge"), plain)
    return f"{met.rstrip('.')}. {count} kept apart; 'workshop merge {blade.key}' shows them side by side."
