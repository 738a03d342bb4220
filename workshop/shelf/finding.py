"""Which blade a maker means by what was typed."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from workshop.build.blade import Blade
from workshop.errors import ShopError
from workshop.shelf import places
from workshop.shelf.gate import FileFault
from workshop.shelf.unread import Unread


def meant(name: str, blades: Sequence[Blade], bad: Sequence[Unread], folder: Path) -> Blade:
    """Return the blade whose name or file is meant, whole or by its beginning.

    Raises FileFault for a file that cannot be read, or ShopError with the names there are.
    """
    wanted = places.folded(name)
    exact = [one for one in blades if wanted in (places.folded(one.name), one.key)]
    near = exact or [one for one in blades if places.folded(one.name).startswith(wanted) and wanted]
    if len(near) == 1:
        return near[0]
    if len(near) > 1:
        keys = ", ".join(one.key for one in near)
        raise ShopError(f"'{name}' could be several blades; right would be one of the files: {keys}.")
    broken = next((one for one in bad if one.key == wanted), None)
    if broken is not None:
        raise FileFault(broken.why)
    names = ", ".join(one.name for one in blades) or "none yet"
    raise ShopError(f"There is no blade '{name}' on the shelf {folder}; there are: {names}.")
