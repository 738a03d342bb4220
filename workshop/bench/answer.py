"""How an open calculator reads: its fields with what fills them, and the answer with all it rests on."""

from __future__ import annotations

from collections.abc import Iterable
from itertools import zip_longest

from workshop import measure
from workshop.bench import looks, times
from workshop.bench.line import Line
from workshop.bench.looks import Row
from workshop.bench.reckoning import Reckoning
from workshop.drawer.declare import Field
from workshop.drawer.run import Row as Found
from workshop.showable import showable

SIDE_BY_SIDE = 64
"""From this width on, fields and answer stand side by side."""

ORIGIN_LOOKS = {"typed": "strong", "blade": "good", "air": "good", "assumed": "quiet", "needed": "warn"}
ORIGIN_WIDTH = 9
VALUE_WIDTH = 16
HINT_ROWS = 4


def reckoning_rows(open_one: Reckoning, width: int, height: int) -> list[Row]:
    """Return an open calculator: heading, fields with a hint, and a page of the answer.

    A figure that is wider than the answer's column has a page of its own, the second, over the whole width.
    """
    room = max(height - 1, 1)
    beside = width >= SIDE_BY_SIDE
    left_width = right_width = width
    if beside:
        left_width = min(max(_name_width(open_one, width) + VALUE_WIDTH + ORIGIN_WIDTH, 34), width * 11 // 20)
        right_width = width - left_width - 2
    left = field_rows(open_one, left_width, room if beside else max(room // 2, HINT_ROWS + 1))
    right_room = max(room if beside else room - len(left), 1)
    figure = _wide_figure(open_one, right_width)
    right = answer_rows(open_one, right_width, with_figure=not figure)
    pages = [right[at : at + right_room] for at in range(0, len(right), right_room)] or [[]]
    if figure:
        pages.insert(1, figure)
    open_one.page = min(max(open_one.page, 0), len(pages) - 1)
    page = pages[open_one.page]
    head = _head(open_one, len(pages), bool(figure), width)
    if figure and open_one.page == 1:
        return [head, *figure][:height]
    if not beside:
        return [head, *left, *page][:height]
    body = [
        (*looks.fitted(one, left_width), ("  ", "plain"), *other)
        for one, other in zip_longest(left, page, fillvalue=())
    ]
    return [head, *body][:height]


def _head(open_one: Reckoning, pages: int, figure: bool, width: int) -> Row:
    turned = f"page {open_one.page + 1} of {pages} PgUp PgDn" if pages > 1 else ""
    if figure and open_one.page == 0:
        turned = f"figure: PgDn · {turned}"
    return looks.ruled(showable(open_one.calculator.title, 60), turned, width)


def _wide_figure(open_one: Reckoning, width: int) -> list[Row]:
    """Return the answer's figure if it does not fit into a width, else nothing."""
    drawn = open_one.worked.answer.figure if open_one.worked is not None else ()
    if not drawn or max(len(line) for line in drawn) <= width:
        return []
    return [looks.row(showable(line, 80)) for line in drawn]


def field_rows(open_one: Reckoning, width: int, height: int) -> list[Row]:
    """Return the fields round the one the maker is at, then what that one asks for."""
    fields = open_one.fields
    name_width = _name_width(open_one, width)
    lines = [field_row(open_one, one, n == open_one.at, width, name_width) for n, one in enumerate(fields)]
    lines.append(_keep_row(open_one, width))
    hint = hint_rows(open_one, width)[:HINT_ROWS]
    room = max(height - len(hint), 1)
    first = min(max(open_one.at - room // 2, 0), max(len(lines) - room, 0))
    shown = lines[first : first + room]
    return [*shown, *[looks.row("")] * (room - len(shown)), *hint]


def _name_width(open_one: Reckoning, width: int) -> int:
    return min(max(len(one.name) for one in open_one.fields) + 3, width * 3 // 5)


def field_row(open_one: Reckoning, asked: Field, here: bool, width: int, name_width: int) -> Row:
    """Return one field: its name, what stands in it, and in a word where that comes from."""
    filled = open_one.filled(asked)
    head = looks.padded(f"{'>' if here else ' '} {asked.name}", name_width - 1) + " "
    room = max(width - name_width - ORIGIN_WIDTH, 4)
    text = looks.padded(showable(filled.text, 200), room)
    value: Row = ((text, "strong" if filled.origin == "typed" else "plain"),)
    if here and asked.kind == "choice":
        value = ((looks.padded(f"[{showable(filled.text, 100)}] ←→", room), "here"),)
    elif here:
        line = open_one.lines.get(asked.name, Line())
        stands = "" if line.text else text
        value = line.row(room) if line.text else ((stands[:1] or " ", "here"), (stands[1:], "quiet"))
    origin = filled.origin
    return (
        (head, "strong" if here else "plain"),
        *looks.fitted(value, room),
        (f" {origin}", ORIGIN_LOOKS.get(origin, "plain")),
    )


def _keep_row(open_one: Reckoning, width: int) -> Row:
    here = open_one.field is None
    desk = open_one.desk
    blade = desk.blade
    if blade is None:
        text = "no blade is in hand to keep it with"
    else:
        at = f" at {desk.step_id}" if desk.step_id else ""
        text = f"KEEP this slip with {showable(blade.name, 30)}{at}"
    return looks.row(looks.padded(f"{'>' if here else ' '} {text}", width), "here" if here else "strong")


def hint_rows(open_one: Reckoning, width: int) -> list[Row]:
    """Return what the field the maker is at asks for, its limits, and what may fill it."""
    asked = open_one.field
    if asked is None:
        return [
            looks.row(line) for line in looks.wrapped("Enter or K keeps it. X shuts the calculator.", width)
        ]
    texts = [showable(asked.says, 300) + limit_words(asked)]
    taken, offered = open_one.taken.get(asked.name), open_one.offered.get(asked.name)
    typed = bool(open_one.typed().get(asked.name))
    if taken is not None:
        by = showable(taken.where, 60)
        if open_one.filled(asked).origin != "air":
            by = f"the blade: {by}"
        old = _air_age(open_one) if open_one.filled(asked).origin == "air" else ""
        texts.append(f"from {by}, {showable(taken.text, 60)}{old}")
    if offered is not None:
        take = "" if typed else " (→ takes it)"
        texts.append(f"{showable(offered.where, 60)}: {showable(offered.text, 60)}{take}")
    return [looks.row(line, "quiet") for text in texts for line in looks.wrapped(text, width, 2)]


def limit_words(asked: Field) -> str:
    """Return a field's options or likely limits, and what a bare number is in."""
    if asked.choices:
        return f": {', '.join(asked.choices)}"
    least, most = asked.likely
    parts = []
    if least and most:
        parts.append(f"likely {least} to {most}")
    elif least or most:
        parts.append(f"likely at least {least}" if least else f"likely at most {most}")
    if asked.unit:
        parts.append(f"a bare number is in {asked.unit}")
    if asked.many:
        parts.append("several with ; between")
    if asked.optional:
        parts.append("may stay empty")
    return f" ({'; '.join(parts)})" if parts else ""


def _air_age(open_one: Reckoning) -> str:
    desk = open_one.desk
    read_at = desk.shop.read_at
    if read_at is None or not desk.air_is_stale():
        return ""
    return f", read {times.words((desk.now() - read_at).total_seconds())} ago; T at the bench reads it again"


def answer_rows(open_one: Reckoning, width: int, *, with_figure: bool = True) -> list[Row]:
    """Return the answer and all it rests on: what was found, what to mind, figure, working, sources."""
    calculator, worked = open_one.calculator, open_one.worked
    if worked is None:
        return [
            *_texts("", [calculator.purpose], width, "plain"),
            *_texts("not yet", [open_one.trouble], width, "warn"),
            *_texts("mind", calculator.cautions, width, "warn"),
            *_texts("holds for", [calculator.valid], width),
            *_texts("from", (f"{one.text} ({one.standing})" for one in calculator.sources), width),
        ]
    lines = [line for found in worked.shown() for line in _found(open_one, found, width)]
    if open_one.searching:
        lines.append(looks.row("searching for more ..", "quiet"))
    notices = (*worked.notices, *worked.answer.cautions)
    lines += _texts("mind", notices, width, "warn")
    if with_figure:
        lines += [looks.row(showable(line, 80)) for line in worked.answer.figure]
    lines += _texts("worked", worked.answer.working, width)
    lines += _texts("assumed", worked.answer.assumed, width)
    lines += _texts("mind", calculator.cautions, width, "warn")
    lines += _texts("holds for", [calculator.valid], width)
    return lines + _texts("from", (f"{one.text} ({one.standing})" for one in calculator.sources), width)


def _found(open_one: Reckoning, found: Found, width: int) -> list[Row]:
    """Return one result: its name, or what it says where there is room, and its value in both systems."""
    if found.si is None:
        value = showable(found.shown(), 300)
    else:
        prefer = open_one.desk.shop.prefer
        first, other = measure.both(found.si, found.kind, prefer, found.digits, unit=found.unit)
        value = f"{first} · {other}" if other else first
    for name in (found.says, found.name):
        head = f"{showable(name, 120)}: "
        if len(head) + len(value) <= width:
            return [((head, "plain"), (value, "strong"))]
    first_line, *more = looks.wrapped(f"{showable(found.name, 60)}: {value}", width, 2)
    head, _, tail = first_line.partition(": ")
    return [((f"{head}: ", "plain"), (tail, "strong")), *(looks.row(line, "strong") for line in more)]


def _texts(word: str, texts: Iterable[str], width: int, look: str = "strong") -> list[Row]:
    rows: list[Row] = []
    for text in texts:
        if not text:
            continue
        head = f"{word}: " if word else ""
        first, *more = looks.wrapped(head + showable(text, 800), width, 2)
        rows.append(((first[: len(head)], look), (first[len(head) :], "plain")))
        rows += [looks.row(line) for line in more]
    return rows
