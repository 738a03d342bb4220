"""The older texts of a file on the shelf, each with what speaks against putting it back."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from workshop.errors import ShopError
from workshop.shelf import backups
from workshop.shelf.air_file import read_air
from workshop.shelf.keeping import Keeping, read_inside
from workshop.shelf.learned_record import read_learned
from workshop.shelf.shop_file import read_shop
from workshop.shelf.table import Source

OF_THE_SHOP: Mapping[str, Callable[[Mapping[str, Any], Source], object]] = {
    "shop": read_shop,
    "air": read_air,
    "learned": read_learned,
}
"""The shop's own files that are kept older texts of, and what reads each; every other key is a blade's."""


def older(
    keeping: Keeping, check: Callable[[str, bytes], object], key: str
) -> list[tuple[backups.Backup, str]]:
    """Return a file's other texts, each with "" or why it cannot be read.

    First what was written last, if the file is not that any more; then days and weeks, the newest first;
    then what was replaced by hand.
    """
    found = []
    try:
        now: bytes | None = keeping.raw(key)
    except ShopError:
        now = None
    for one in (*keeping.last_text(key), *backups.listed(keeping.folder, key)):
        try:
            raw = read_inside(keeping.folder, one.path)
            check(key, raw)
            if raw != now:
                found.append((one, ""))
        except ShopError as error:
            found.append((one, str(error)))
    return found
