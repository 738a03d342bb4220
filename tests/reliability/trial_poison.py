"""A poisoned shelf: names, notes, recipes, paths and settings full of what a terminal obeys.

None of it may reach the terminal as control or as markup: at every command and on every screen.
"""

# ruff: noqa: E501 - the table of lines is easier to read uncut

from __future__ import annotations

import os
import pty
import select
import subprocess
import sys
import time
from pathlib import Path

from trial_ground import ENV, GOLDEN, NOW, PATIENCE_S, Bench, Outcome, fresh

from workshop.build import changes
from workshop.build.blade import Blade, Slip
from workshop.build.values import read_entry
from workshop.cli.parser import COMMANDS
from workshop.drawer import registry
from workshop.shelf.shelf import Shelf

TITLE = "\x1b]2;OWNED\x07"
PAYLOADS = {
    "a title": b"\x1b]2;OWNED",
    "bell inside": b"OWNED\x07",
    "a colour": b"\x1b[31;7;45m",
    "clear": b"\x1b[2J\x1b[66;66H",
    "C1": "\x9b31m".encode(),
    "raw C1": b"\x9b31m",
    "right to left": "\u202e".encode(),
    "isolate": "\u2066".encode(),
    "zero width": "\u200b".encode(),
    "line separator": "\u2028".encode(),
    "private": "\ue000".encode(),
    "a link": b"\x1b]8;",
    "clipboard": b"\x1b]52;",
}
POISON = (
    f"{TITLE}\x1b[31;7;45m\x1b[2J\x1b[66;66H\x9b31m\u202eevil\u2066\u200b\u2028\ue000\x1b]8;;http://x\x07y"
    "\x1b]52;c;eA==\x07[@click=app.quit]zap[/] [/x] [bold red]b[/bold red] \\[ \x7f\x08\r"
)


def escaped(text: str) -> str:
    """Return a text as the inside of a TOML string."""
    return "".join(
        letter if " " <= letter <= "~" and letter not in '"\\' else f"\\u{ord(letter):04X}" for letter in text
    )


def poisoned(home: Path) -> Path:
    """Return a shelf whose every text is poison: route, store, shop, blade, file names, folder."""
    folder = home / "shelf\x1b]2;OWNED\x07\u202e"
    (folder / "routes").mkdir(parents=True)
    (folder / "stores").mkdir()
    route = (GOLDEN / "route-1.toml").read_text()
    bad = escaped(POISON)
    for text in ("Small knife", "Written spec", "Pin down what is made.", "Buyer has said yes", "Blade length",
                 "Release on the tang", "Blade steel", "Order"):  # fmt: skip
        route = route.replace(f'"{text}"', f'"{bad}{text}"')
    route = route.replace('title = "bedding"', f'title = "{bad}bedding"').replace(
        "Dry run done", f"Dry run {bad}"
    )
    (folder / "routes" / "small.toml").write_text(route)
    shelf = Shelf(folder, registry.NAMES)
    blade = shelf.begin(f"Heron {POISON}", "small", NOW, about=POISON, maker_for=POISON)
    record = blade.route.by_id["A1"].records[0]
    slow = shelf.clock_entries()["adhesives/slow"]

    def work(one: Blade) -> Blade:
        one = changes.start_step(one, "A1", NOW, POISON)
        value = read_entry(record, "155 mm", "A1")
        one = changes.write_down(one, "blade-length", value, POISON, NOW)
        one = changes.finish(one, "A1", NOW, POISON)
        one = changes.start_step(one, "H1", NOW, POISON)
        one = changes.start_clock(one, "H1", "bedding", NOW, ago_s=120, entry=slow, air_K=290.65)
        slip = Slip(
            "1", "slot-fill", "H1", NOW, {POISON: POISON}, {}, {POISON: (POISON, POISON)}, {}, (POISON,)
        )
        return changes.note(changes.keep_slip(one, slip, NOW), POISON, NOW)

    shelf.change(blade.key, work)
    path = shelf.path(blade.key)
    text = (
        path.read_text().replace('title = "', f'title = "{bad}').replace('says = "last', f'says = "{bad}last')
    )
    path.write_text(text)
    fresh_name = path.with_name("heron.toml")
    path.rename(fresh_name)
    fresh(folder)
    (folder / "broken\x1b]2;OWNED\x07.toml").write_text(f'schema = 1\nname = "{bad}\n')
    (folder / "wrong\u202e.toml").write_text(f'schema = 1\n"{bad}" = 1\nname = "{bad}"\nroute = "{bad}"\n')
    (folder / "heron (copy\x1b]2;OWNED\x07).toml").write_bytes(fresh_name.read_bytes())
    (folder / "routes" / "own\x1b]2;OWNED\x07.toml").write_text(f'id = "{bad}"\n')
    (folder / "stores" / "oils.toml").write_text(f'[[oil]]\nid = "{bad}"\ntitle = "{bad}"\n')
    (folder / "shop.toml").write_text(f'[show]\nlength = "{bad}"\n')
    (folder / "conflicts" / "heron").mkdir(parents=True)
    (folder / "conflicts" / "heron" / "one\x1b]2;OWNED\x07.toml").write_bytes(
        fresh_name.read_bytes().replace(b"155 mm", b"156 mm")
    )
    return folder


def payloads_in(raw: bytes) -> list[str]:
    return [name for name, payload in PAYLOADS.items() if payload in raw]


PASTED = "".join(letter for letter in POISON if letter >= " " and letter != "\x7f")
"""Poison as a terminal pastes it: it keeps the plain control characters to itself."""

LINES: dict[str, tuple[tuple[str, ...], ...]] = {
    "start": (("start", POISON, "--route", "small"), ("start", "x", "--route", POISON), ("start", "y", "--set", POISON)),
    "blades": (("blades",), ("blades", "--json")),
    "note": (("note", "heron", POISON), ("note", POISON, "x"), ("note", "heron", "x", "--step", POISON)),
    "back": (("back", "heron"), ("back", POISON)),
    "steps": (("steps", "heron"), ("steps", "heron", "--json"), ("steps", POISON)),
    "step": (("step", "heron", POISON, "start"), ("step", "heron", "A1", POISON), ("step", "heron", "A1", "start")),
    "value": (("value", "heron", f"blade-length={POISON}"), ("value", "heron", f"{POISON}=1"), ("value", "heron", POISON)),
    "clock": (("clock", "heron", POISON), ("clock", "heron", "bedding", "--air", POISON), ("clock", "heron", "cure")),
    "clocks": (("clocks",), ("clocks", "--json"), ("clocks", "--at", POISON)),
    "answer": (("answer", "heron", POISON), ("answer", "heron", "bedding", POISON), ("answer", "heron", "bedding")),
    "stop": (("stop", "heron", POISON), ("stop", "heron", "bedding", "--why", POISON)),
    "air": (("air",), ("air", POISON), ("air", "17C", POISON)),
    "calc": (("calc",), ("calc", POISON), ("calc", "pin-drill", POISON), ("calc", "pin-drill", f"pin={POISON}"),
             ("calc", "slot-fill", "--blade", "heron"), ("calc", "slot-fill", "--help")),
    "record": (("record", "heron"), ("record", "heron", "--json"), ("record", "heron", "-o", f"/nowhere/{POISON}")),
    "check": (("check", POISON), ("check", "SHELF/heron.toml", "SHELF/routes/small.toml", "SHELF/stores/oils.toml"),
              ("check", "SHELF/broken\x1b]2;OWNED\x07.toml")),
    "where": (("where",), ("where", "--json")),
    "demo": (("demo", "--json"), ("demo", POISON)),
    "restore": (("restore", "heron", "--list"), ("restore", POISON), ("restore", "heron", "--from", POISON)),
    "merge": (("merge",), ("merge", "heron"), ("merge", POISON, POISON),
              ("merge", "SHELF/heron.toml", "SHELF/heron (copy\x1b]2;OWNED\x07).toml")),
    "pack": (("pack", "-o", f"/nowhere/{POISON}"), ("pack", "-o", "OUT")),
    "when": (("when", "heron", POISON), ("when", POISON)),
    "witness": (("witness", "heron", POISON), ("witness", "heron", "bedding", POISON)),
    "calendar": (("calendar",), ("calendar", "-o", f"/nowhere/{POISON}")),
    "unpack": (("unpack", POISON), ("unpack", "OUT")),
}  # fmt: skip
"""At least one line for every command there is; SHELF and OUT are put in."""


def commands(home: Path, count: int = 0) -> Outcome:
    """Every command, its output and its refusals, on a pseudo-terminal."""
    out = Outcome("poisoned shelf: every command on a pseudo-terminal")
    missing = set(COMMANDS) - set(LINES)
    if missing:
        out.note = f"no line of its own yet for {', '.join(sorted(missing))}; told its --help only"
    folder = poisoned(home)
    lines = [line for many in LINES.values() for line in many]
    lines += [(name, "--help") for name in missing]
    lines += [(), ("--json",), (POISON,), ("--shelf", POISON, "blades")]
    for line in lines[:: max(1, len(lines) // count) if count else 1]:
        words = [one.replace("SHELF", str(folder)).replace("OUT", str(home / "out.zip")) for one in line]
        raw, code = on_terminal(folder, [one.replace("\x00", "") for one in words])
        out.tried += 1
        found = payloads_in(raw)
        if found:
            out.bad.append(f"{line[:2]!r:.80}: {', '.join(found)} in {raw[:200]!r}")
        if code not in (0, 2) or b"Traceback" in raw:
            out.bad.append(f"{line[:2]!r:.80}: ended with {code}: {raw[-200:]!r}")
    return out


def on_terminal(folder: Path, words: list[str]) -> tuple[bytes, int]:
    """Run a command on a pseudo-terminal that cannot place text (so that no screen opens); return its bytes."""
    near, far = pty.openpty()
    env = {**ENV, "TERM": "dumb", "WORKSHOP_SHELF": str(folder), "EDITOR": "evil\x1b]2;OWNED\x07"}
    with subprocess.Popen(
        [sys.executable, "-m", "workshop", *words],
        stdin=far,
        stdout=far,
        stderr=far,
        env=env,
        cwd=folder.parent,
    ) as process:
        os.close(far)
        raw, until = b"", time.monotonic() + PATIENCE_S
        while time.monotonic() < until:
            if select.select([near], [], [], 0.05)[0]:
                try:
                    raw += os.read(near, 65536)
                    continue
                except OSError:
                    break
            if process.poll() is not None:
                break
        process.wait(PATIENCE_S)
    os.close(near)
    return raw, process.returncode


UP, DOWN, RIGHT, LEFT, PAGE, ESC = "\x1b[A", "\x1b[B", "\x1b[C", "\x1b[D", "\x1b[6~", "\x1b"
TOUR = (
    *("?", PAGE, PAGE, "x", "r", DOWN, UP, "n", POISON, DOWN, POISON, DOWN, POISON, ESC, "\r"),
    *("w", "w", "d", DOWN, "\r", POISON, DOWN, POISON, PAGE, PAGE, "\x1bOQ", ESC, ESC, ESC, "x"),
    *(LEFT, RIGHT, RIGHT, UP, UP, UP, "\x1b[5~", "n", "\r", POISON, "\r", ESC, "m", POISON, "\r", ESC),
    *("t", POISON, "\r", ESC, "c", DOWN, "\r", "a", POISON, "\r", ESC, ESC, "f", DOWN, ESC, "l", POISON, ESC),
    *(
        "s",
        POISON,
        "\r",
        ESC,
        " ",
        DOWN,
        " ",
        ESC,
        " ",
        ESC,
        PAGE,
        " ",
        " ",
        DOWN,
        RIGHT,
        ESC,
        "u",
        "\x7f",
        "g",
    ),
)
"""Keys that open every place there is; a paste of poison where a line is typed."""


def screens(home: Path, count: int = 0) -> Outcome:
    """Every screen, narrow and wide."""
    out = Outcome("poisoned shelf: every screen on a pseudo-terminal")
    folder = poisoned(home)
    for rows, columns in ((24, 80), (50, 160))[: count or 2]:
        bench = Bench(folder, rows=rows, columns=columns, WORKSHOP_SHELF=str(folder))
        bench.quiet(1.0)
        for _ in range(4):  # the marks that came while nobody was there; each is read before a key answers it
            bench.press(" ")
            bench.quiet(0.8)
        for keys in TOUR:
            if not bench.alive():
                break
            bench.press(f"\x1b[200~{PASTED}\x1b[201~" if keys == POISON else keys)
            bench.quiet(0.15)
            out.tried += 1
        if not bench.alive():
            out.bad.append(f"{columns} wide: the bench ended: {bench.words()[-400:]!r}")
        found = payloads_in(bench.raw)
        # the program itself names no window, links nothing and clears by its own ways
        if found:
            out.bad += [f"{columns} wide: {name}: {around(bench.raw, PAYLOADS[name])!r}" for name in found]
        if b"zap" not in bench.raw and b"evil" not in bench.raw:
            out.bad.append(f"{columns} wide: the poisoned texts were not even shown")
        bench.end()
    return out


def around(raw: bytes, what: bytes) -> bytes:
    at = raw.index(what)
    return raw[max(0, at - 60) : at + 60]
