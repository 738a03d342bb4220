"""Text from outside made safe to print: on a terminal, in a sentence, in a record."""

from __future__ import annotations

import unicodedata

_HIDDEN = frozenset(
    {0x00AD, 0x034F, 0x061C, 0x115F, 0x1160, 0x17B4, 0x17B5, 0x180E, 0x2028, 0x2029, 0x3164, 0xFEFF, 0xFFA0}
    | set(range(0x200B, 0x2010))
    | set(range(0x202A, 0x202F))
    | set(range(0x2060, 0x2070))
    | set(range(0xFE00, 0xFE10))
    | set(range(0xFFF9, 0xFFFC))
    | set(range(0xE0000, 0xE1000))
)
_UNSAFE = frozenset({"Cc", "Cf", "Cs", "Co", "Cn", "Zl", "Zp", "Zs"})


def _stand_in(letter: str) -> str:
    code = ord(letter)
    if code < 0x20:
        return chr(0x2400 + code)
    if code == 0x7F:
        return "␡"
    if unicodedata.category(letter) == "Zs" and code not in _HIDDEN:
        return " "
    return f"‹{code:04X}›"


def _safe(letter: str, lines: bool) -> bool:
    if lines and letter == "\n":
        return True
    if " " <= letter <= "~":
        return True
    return ord(letter) not in _HIDDEN and unicodedata.category(letter) not in _UNSAFE


def showable(text: str, limit: int = 200, lines: bool = False) -> str:
    """Return text with everything that could mislead a screen replaced by a visible stand-in.

    Replaced are control characters (C0, DEL, C1), marks that change the direction of writing,
    line and paragraph separators, characters without width, private use, unassigned ones and
    lone surrogates: ``␛`` for Escape, ``‹202E›`` for the others; a space of any other width
    becomes a plain one. limit: the most characters given back, at least 1; a longer text ends
    in ``…``. lines: keep line feeds as they are.
    """
    if limit < 1:
        raise ValueError("limit is at least 1")
    # A stand-in is never shorter than what it stands for, so nothing past the limit can be shown.
    pieces: list[str] = []
    length = 0
    for letter in text[: limit + 1]:
        piece = letter if _safe(letter, lines) else _stand_in(letter)
        pieces.append(piece)
        length += len(piece)
    if length <= limit and len(text) <= limit:
        return "".join(pieces)
    kept: list[str] = []
    room = limit - 1
    for piece in pieces:
        if len(piece) > room:
            break
        kept.append(piece)
        room -= len(piece)
    return "".join(kept) + "…"
