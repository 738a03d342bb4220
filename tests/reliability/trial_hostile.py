"""Files that mean harm, or that fell to pieces: one sentence each, nothing written, the others unharmed."""

from __future__ import annotations

import copy
import os
import random
import time
import tomllib
from collections.abc import Iterator
from datetime import UTC, date, datetime
from datetime import time as daytime
from pathlib import Path
from typing import Any

import tomli_w
from trial_ground import GOLDEN, HOUSE, NOW, Outcome, new_shelf, workshop

from workshop.cli.blades import blade_data, rack_lines
from workshop.cli.steps import step_data
from workshop.drawer import registry
from workshop.errors import ShopError
from workshop.paper.record import record_of
from workshop.shelf.shelf import Shelf
from workshop.shelf.table import FileFault

LONGEST_S = 2.0
"""The longest that one hostile file may hold the shelf up, on a slow machine."""

WRONG: list[Any] = [
    True,
    False,
    0,
    -1,
    1,
    10**18,
    -(2**63),
    1.5,
    -0.0,
    1e300,
    "",
    " ",
    "text",
    "\x1b[31m",
    "../..",
    "A1",
    "99999999999 mm",
    "x" * 5000,
    date(2026, 3, 2),
    daytime(9, 0),
    datetime(2026, 3, 2, 9),  # noqa: DTZ001 - without a zone on purpose
    datetime(1, 1, 1, tzinfo=UTC),
    datetime(9999, 12, 31, 23, 59, tzinfo=UTC),
    [],
    [1],
    ["a", 1],
    [[]],
    [{}],
    [{"id": "x"}],
    {},
    {"a": 1},
    {"id": "x", "at": NOW},
]


def blade_shelf(home: Path) -> Shelf:
    """Return a shelf with a good blade and one that has something of everything."""
    shelf = new_shelf(home / "shelf", "Wren")
    (shelf.folder / "kept" / "small-1.toml").write_bytes((GOLDEN / "route-1.toml").read_bytes())
    return shelf


def hostile_files() -> dict[str, bytes]:
    """Return what a file may hold that is no blade: deep, wide, long, torn, in another writing."""
    whole = (GOLDEN / "blade-1.toml").read_bytes()
    return {
        "empty": b"",
        "nul": b"\x00" * 4096,
        "nul inside": whole.replace(b"Heron", b"He\x00ron", 1),
        "utf-16": whole.decode().encode("utf-16"),
        "latin": whole + "# \xe9\n".encode("latin-1"),
        "deep lists": b"a = " + b"[" * 5000 + b"]" * 5000,
        "deep tables": b"a = " + b"{b=" * 3000 + b"1" + b"}" * 3000,
        "deep dotted": b".".join([b"a"] * 16000) + b" = 1",
        "deep header": b"[" + b".".join([b"a"] * 16000) + b"]",
        "quoted dotted": b".".join([b'"a"'] * 16000) + b" = 1",
        "deep in all ways": b"["
        + b".".join([b"t"] * 60)
        + b"]\n"
        + b"a = "
        + (b"{" + b".".join([b"b"] * 60) + b" = ") * 60
        + b"1"
        + b"}" * 60,
        "wide": b"\n".join(b"k%d = 1" % n for n in range(90000)),
        "many tables": b"\n".join(b"[[log]]" for _ in range(120000)),
        "long line": b'a = "' + b"x" * 1_000_000 + b'"',
        "over a mebibyte": b"#" * (1024 * 1024 + 1),
        "long number": b"a = " + b"9" * 4301,
        "nan": whole.replace(b"pace = 1", b"pace = nan #", 1),
        "inf": b"schema = inf\n",
        "escapes": b'a = "' + b"\\u001b" * 20000 + b'"',
        "open string": b'a = """' + b'\\"""' * 200000,
        "open quotes": b'"""' + b'"' * 400000,
        "brackets in text": whole.replace(b"Heron", b"[" * 900, 1),
        "comment of brackets": whole + b"# " + b"[" * 900,
        "future": whole.replace(b"schema = 1", b"schema = 99"),
        "toml 1.1": whole + b"[x]\na = {b = 1,\n c = 2,\n}\n",
        "route elsewhere": whole.replace(b"small-1", b"../../../etc/passwd", 1),
        "route absolute": whole.replace(b"small-1", b"/etc/passwd", 1),
        "bom": b"\xef\xbb\xbf" + whole,
    }


def files(home: Path, count: int = 0) -> Outcome:
    """Each hostile file beside a good blade."""
    out = Outcome("hostile files: deep, wide, long, torn, other writings, pipes, devices, links")
    shelf = blade_shelf(home)
    bad = shelf.folder / "bad.toml"
    for name, raw in hostile_files().items():
        bad.write_bytes(raw)
        out.tried += 1
        out.bad += [f"{name}: {wrong}" for wrong in _beside_a_good_one(shelf.folder)]
        if bad.read_bytes() != raw:
            out.bad.append(f"{name}: it was written to")
        bad.unlink()
    secret = home / "secret.toml"
    secret.write_text('name = "secret outside"\n')
    makers: dict[str, Any] = {
        "pipe": lambda: os.mkfifo(bad),
        "folder": bad.mkdir,
        "link out": lambda: bad.symlink_to(secret),
        "link to itself": lambda: bad.symlink_to(bad),
        "link to a device": lambda: bad.symlink_to("/dev/zero"),
        "dangling link": lambda: bad.symlink_to(home / "nowhere"),
    }
    for name, make in makers.items():
        make()
        out.tried += 1
        out.bad += [f"{name}: {wrong}" for wrong in _beside_a_good_one(shelf.folder)]
        said = workshop(shelf.folder, "blades")
        if said.returncode or b"Wren" not in said.stdout or b"secret outside" in said.stdout:
            out.bad.append(f"{name}: {said.stdout!r} {said.stderr!r}")
        bad.rmdir() if bad.is_dir() and not bad.is_symlink() else bad.unlink()
    return out


def _beside_a_good_one(folder: Path) -> Iterator[str]:
    start = time.monotonic()
    shelf = Shelf(folder, registry.NAMES)
    good, _ = shelf.blades()
    took = time.monotonic() - start
    if "Wren" not in {one.name for one in good}:
        yield "the good blade is gone"
    if took > LONGEST_S:
        yield f"it took {took:.1f} s"


def truncated(home: Path, count: int = 0) -> Outcome:
    """A blade cut off at every byte is the beginning of that blade, or a sentence."""
    raw = (GOLDEN / "blade-1.toml").read_bytes()
    places = range(len(raw)) if not count else random.Random(2).sample(range(len(raw)), count)
    out = Outcome("a real blade, cut off at every byte" if not count else "a real blade, cut off")
    shelf = blade_shelf(home)
    for place in places:
        out.tried += 1
        out.bad += [f"at {place}: {wrong}" for wrong in _taken_or_refused(shelf, raw[:place])]
    return out


def mutated(home: Path, count: int = 0) -> Outcome:
    """A real blade with bytes and lines changed, doubled, swapped, taken out."""
    raw = (GOLDEN / "blade-1.toml").read_bytes()
    chance = random.Random(7)
    out = Outcome("mutations of a real blade")
    shelf = blade_shelf(home)
    for _ in range(count or 10_000):
        out.tried += 1
        made = mutation(raw, chance)
        out.bad += [f"{wrong}: {made[:80]!r}" for wrong in _taken_or_refused(shelf, made)]
    return out


def mutation(raw: bytes, chance: random.Random) -> bytes:
    made = bytearray(raw)
    for _ in range(chance.randint(1, 4)):
        kind, at = chance.randrange(6), chance.randrange(max(len(made), 1))
        lines = bytes(made).split(b"\n")
        one, two = chance.randrange(len(lines)), chance.randrange(len(lines))
        if kind == 0:
            made[at : at + 1] = bytes([chance.randrange(256)])
        elif kind == 1:
            del made[at : at + chance.randint(1, 30)]
        elif kind == 2:
            made[at:at] = chance.choice(
                [b'"', b"[", b"]", b"=", b".", b"#", b"\n", b"'''", b"-", b"9" * 20, b"\\"]
            )
        else:
            if kind == 3:
                lines[one], lines[two] = lines[two], lines[one]
            elif kind == 4:
                lines.insert(one, lines[two])
            else:
                value = chance.choice([b"true", b"-1", b"1.5", b"[]", b"{}", b'""', b"nan", b"2026-03-02"])
                lines[one] = lines[one].partition(b"=")[0] + b"= " + value
            made = bytearray(b"\n".join(lines))
    return bytes(made)


def wrong_types(home: Path, count: int = 0) -> Outcome:
    """Every value of a real blade, replaced by one of every other kind."""
    whole = tomllib.loads((GOLDEN / "blade-1.toml").read_text())
    cases = [(path, value) for path in _paths(whole, ()) for value in WRONG]
    out = Outcome(f"every value of a real blade × {len(WRONG)} wrong values")
    if count:
        cases = random.Random(4).sample(cases, min(count, len(cases)))
    shelf = blade_shelf(home)
    for path, value in cases:
        data = copy.deepcopy(whole)
        at: Any = data
        for part in path[:-1]:
            at = at[part]
        at[path[-1]] = value
        out.tried += 1
        raw = tomli_w.dumps(data).encode()
        out.bad += [f"{path} = {value!r}: {wrong}" for wrong in _taken_or_refused(shelf, raw)]
    return out


def _paths(value: Any, path: tuple[Any, ...]) -> Iterator[tuple[Any, ...]]:
    items: Any = ()
    if isinstance(value, dict):
        items = value.items()
    elif isinstance(value, list):
        items = enumerate(value[:2])
    for key, one in items:
        yield (*path, key)
        yield from _paths(one, (*path, key))


def _taken_or_refused(shelf: Shelf, raw: bytes) -> Iterator[str]:
    """Yield what is wrong: anything but a blade that can be shown, or one sentence."""
    try:
        blade = shelf.parse("heron", raw)
    except FileFault as fault:
        if "\n" in str(fault) or "\x1b" in str(fault):
            yield f"a sentence with control characters: {fault!s:.80}"
        return
    except Exception as error:
        yield f"reading it: {type(error).__name__}: {error}"
        return
    try:
        rack_lines([blade], NOW)
        blade_data(blade, NOW)
        record_of(blade, NOW)
        for step in blade.own_steps():
            step_data(blade, step, NOW)
    except ShopError:
        return
    except Exception as error:
        yield f"showing it: {type(error).__name__}: {error}"


# -- a maker's own routes, stores and the shop's file


def own_files(home: Path, count: int = 0) -> Outcome:
    """The same for routes, stores and the shop's file: the program's own stand in, and it is said."""
    out = Outcome("mutations of routes, stores and the shop's file")
    shelf = blade_shelf(home)
    chance = random.Random(9)
    stores = HOUSE / "recipes" / "stores"
    models = {
        "routes/hidden-tang.toml": (GOLDEN / "route-1.toml")
        .read_bytes()
        .replace(b'id = "small"', b'id = "hidden-tang"'),
        "stores/adhesives.toml": (stores / "adhesives.toml").read_bytes(),
        "stores/oils.toml": (stores / "oils.toml").read_bytes(),
        "shop.toml": b'[air]\ntemperature = "17.5 \xc2\xb0C"\nhumidity = "61 %"\n'
        b"read = 2026-03-02T09:00:00Z\n"
        b'[show]\nlength = "mm"\n',
    }
    (shelf.folder / "stores").mkdir()
    for number in range(count or 1500):
        name = list(models)[number % len(models)]
        path = shelf.folder / name
        raw = mutation(models[name], chance)
        path.write_bytes(raw)
        out.tried += 1
        try:
            other = Shelf(shelf.folder, registry.NAMES)
            good, _ = other.blades()
            other.shop()
            other.clock_entries()
            other.store("adhesives")
            other.route("small")
            if not good:
                out.bad.append(f"{name}: the blade is gone")
        except Exception as error:
            out.bad.append(f"{name}: {type(error).__name__}: {error}: {raw[:60]!r}")
        if path.read_bytes() != raw:
            out.bad.append(f"{name}: it was written to")
        path.unlink()
    return out


NAMES = [
    "../x",
    "/etc/passwd",
    "-rf",
    "a\nb",
    "\U0001f52a" * 75,
    "\u00e9t\u00e9",
    "e\u0301te\u0301",
    "CON",
    "nul",
    "com1",
    " ",
    "",
    "   spaces   ",
    ".hidden",
    "~",
    "$(touch gone)",
    "a/b\\c",
    "x" * 400,
    "\x1b[31mred",
    "\u202egnp",
    "[@click=app.quit]x",
    "shop",
    "heron.toml",
    "\u017f",
]


def names(home: Path, count: int = 0) -> Outcome:
    """Names that have hurt programs: each makes one harmless file, or one sentence."""
    out = Outcome("names: paths, options, line ends, signs of 300 bytes, two spellings, devices, empty")
    folder = home / "shelf"
    new_shelf(folder)
    allowed = set("abcdefghijklmnopqrstuvwxyz0123456789-")
    for name in NAMES:
        before = {path.name for path in folder.glob("*.toml")}
        done = workshop(folder, "start", "--route", "small", "--", name)
        made = {path.name for path in folder.glob("*.toml")} - before
        out.tried += 1
        if done.returncode not in (0, 2) or len(made) != (done.returncode == 0):
            out.bad.append(f"{name!r}: {done.returncode}, {made}, {done.stderr[-200:]!r}")
        for file in made:
            stem = file.removesuffix(".toml")
            if not stem or not set(stem) <= allowed or len(stem) > 60 or stem.startswith("-"):
                out.bad.append(f"{name!r} makes the file {file!r}")
            if Shelf(folder, registry.NAMES).blade(stem).name != name.strip():
                out.bad.append(f"{name!r} is not itself in its file")
    if {path.name for path in home.iterdir()} != {"shelf"}:
        out.bad.append(f"something lies outside the shelf: {sorted(path.name for path in home.iterdir())}")
    return out
