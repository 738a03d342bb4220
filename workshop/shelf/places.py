"""Where things lie: the shelf folder and the recipes that come with the program."""

from __future__ import annotations

import os
import re
import unicodedata
from collections.abc import Collection
from pathlib import Path

import platformdirs

from workshop.errors import ShopError
from workshop.showable import showable

_DEVICES = {
    "con",
    "prn",
    "aux",
    "nul",
    *(f"com{n}" for n in range(1, 10)),
    *(f"lpt{n}" for n in range(1, 10)),
}
SHOP_FILE, AIR_FILE, LEARNED_FILE, ANCHOR_FILE = "shop.toml", "air.toml", "learned.toml", "anchor.toml"
SHOP_FILES = frozenset({SHOP_FILE, AIR_FILE, LEARNED_FILE, ANCHOR_FILE})
"""Files of the shop itself, beside those of the blades. The last lay on shelves once and is taken away."""
LAPTOP_FILE = "laptop.toml"

_TAKEN = _DEVICES | {name.removesuffix(".toml") for name in SHOP_FILES}


def recipes_folder() -> Path:
    """Return the folder of the program's own recipes: in the wheel, or beside it in a checkout."""
    here = Path(__file__).resolve().parent.parent
    for folder in (here / "recipes", here.parent / "recipes"):
        if (folder / "routes").is_dir():
            return folder
    raise ShopError(f"The recipes are missing beside {here}; install the program again.")


def shelf_folder(named: str | None) -> Path:
    """Return the shelf: as named, else WORKSHOP_SHELF, else the platform's data folder."""
    chosen = named or os.environ.get("WORKSHOP_SHELF") or ""
    if chosen:
        return typed_path(chosen).absolute()
    return Path(platformdirs.user_data_dir("workshop-companion", appauthor=False)) / "shelf"


def laptop_file() -> Path:
    """Return the file of what stands beside this laptop: WORKSHOP_LAPTOP, else in the platform's folder."""
    chosen = os.environ.get("WORKSHOP_LAPTOP") or ""
    if chosen:
        return typed_path(chosen).absolute()
    return Path(platformdirs.user_config_dir("workshop-companion", appauthor=False)) / LAPTOP_FILE


def typed_path(text: str) -> Path:
    """Return the path a maker has typed; raises ShopError for the home of somebody who is not there."""
    try:
        return Path(text).expanduser()
    except RuntimeError:
        raise ShopError(f"There is no home folder for {showable(text, 60)}; right would be a path.") from None


def lies_on(path: Path, shelf: Path) -> bool:
    """Whether a path, its links followed, is the shelf or lies on it; neither need be there."""
    real = Path(os.path.realpath(path))
    home = Path(os.path.realpath(shelf))
    if real.is_relative_to(home):
        return True
    # However else the folder is called: mounted twice, or in another case on a disk that knows no case.
    return any(_same(folder, home) for folder in real.parents)


def _same(folder: Path, home: Path) -> bool:
    try:
        return folder.samefile(home)
    except OSError:
        return False


def target(typed: str, shelf: Path, example: str) -> Path:
    """Return the file that a maker named for what leaves the shop, such as a record or a calendar.

    shelf: its folder; example: a good file name, for the sentence. Raises ShopError for a folder, and for
    a file on the shelf: those are the shelf's own to write.
    """
    path = typed_path(typed)
    if path.is_dir():
        raise ShopError(f"{showable(typed)} is a folder; right would be a file, such as {path / example}.")
    if lies_on(path, shelf):
        raise ShopError(f"{showable(typed)} lies on the shelf itself; right would be a file elsewhere.")
    return path


def is_plain(name: str) -> bool:
    """Whether a name that stands in a file may be made a file's name: letters, digits, dots and dashes."""
    return re.fullmatch(r"[A-Za-z0-9_][A-Za-z0-9._-]{0,150}", name) is not None and not is_device(name)


def is_device(part: str) -> bool:
    """Whether a name is a device's on some system, whatever its ending: "con", "nul.toml"."""
    return part.partition(".")[0].strip().casefold() in _DEVICES


def folded(name: str) -> str:
    """Return a name as it is compared: however é was typed, in whatever case, without spaces around."""
    return unicodedata.normalize("NFC", unicodedata.normalize("NFC", name.strip()).casefold())


def file_key(name: str, taken: Collection[str]) -> str:
    """Return a file name (without ending) for a blade's name: a-z, 0-9 and "-", at most 60, not in `taken`.

    The real name stays inside the file.
    """
    plain = unicodedata.normalize("NFKD", name).encode("ascii", "ignore").decode().lower()
    slug = re.sub(r"[^a-z0-9]+", "-", plain).strip("-")[:56].strip("-") or "blade"
    if slug in _TAKEN:
        slug = f"{slug}-blade"
    key, number = slug, 2
    while key in taken:
        key, number = f"{slug}-{number}", number + 1
    return key
