"""The lines at the edges of every screen: blade, air and time on top; the last sentence and keys below."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from workshop import measure
from workshop.bench import handsfull, looks, times
from workshop.bench.commands import TABLE, Command, at_place, key_name
from workshop.bench.desk import Desk, Tone
from workshop.bench.looks import Row
from workshop.bench.pane import Pane
from workshop.build.clock import Stage
from workshop.build.standing import Act
from workshop.showable import showable

TONE_LOOKS = {Tone.DONE: "good", Tone.REFUSED: "bad", Tone.NOTICE: "warn"}
LEAST_SIZE = (80, 24)
"""Columns and rows everything fits into."""

MESSAGE_ROWS = 3
"""The most rows the last sentence takes."""


def air_words(desk: Desk) -> str:
    """Return the shop's air as last read, and how old the reading is once it is stale."""
    shop = desk.shop
    if shop.air_K is None:
        return "air not read"
    words = [measure.write(shop.air_K, "temperature", shop.prefer.temperature, 1)]
    if shop.humidity is not None:
        words.append(measure.write(shop.humidity, "humidity", "%", 0))
    if shop.read_at is not None and desk.air_is_stale():
        words.append(f"read {times.words((desk.now() - shop.read_at).total_seconds())} ago")
    return "  ".join(words)


def told_row(desk: Desk, width: int) -> Row:
    """Return the line that tells of a mark wherever the maker is while nothing may ask."""
    calls = desk.calls()
    if not calls:
        return ()
    first = calls[0]
    more = f", and {len(calls) - 1} more" if len(calls) > 1 else ""
    soon = first.stage is Stage.SOON
    when = f"{'at' if soon else 'since'} {times.when(first.mark.opens, desk.now())}"
    word = {Stage.SOON: "SOON", Stage.LAST_CHANCE: "LAST CHANCE", Stage.TOO_LATE: "TOO LATE"}
    text = f" {word.get(first.stage, 'MARK')}: {first.blade.name} · {first.mark.says}, {when}{more}"
    return looks.row(looks.padded(showable(text, 300), width), "alarm")


class TopLine(Pane):
    """Blade and what it is to be; the shop's air; day and time."""

    each_minute = True

    telling = False
    """Whether a mark is to be told in this line, because nothing may ask and the bench is not in sight."""

    def rows(self, width: int, height: int) -> list[Row]:
        """Return the one line."""
        blade = self.desk.blade
        have = self.app.size
        if have.width < LEAST_SIZE[0] or have.height < LEAST_SIZE[1]:
            return [
                looks.row(f"80 by 24 characters are needed; here are {have.width} by {have.height}.", "warn")
            ]
        unsaved = self.desk.saving.words()
        if unsaved:
            clock = looks.row(times.day_time(self.desk.now()))
            return [looks.beside(looks.row(showable(unsaved, 200), "bad"), clock, width, "   ")]
        if self.telling:
            return [told_row(self.desk, width)]
        name = showable(blade.name, 40) if blade else "The rack"
        about = f" · {showable(blade.about, 80)}" if blade and blade.about else ""
        right = f"{air_words(self.desk)}   {times.day_time(self.desk.now())}"
        return [looks.beside(((name, "strong"), (about, "plain")), looks.row(right), width, "   ")]


class MessageLine(Pane):
    """The last sentence to the maker, with the word for how it is meant."""

    each_minute = True

    def rows(self, width: int, height: int) -> list[Row]:
        """Return the sentence over as many lines as it needs, the last one cut at three."""
        said = self.desk.said
        if not said.text:
            return []
        word = said.tone.value
        inset = len(word) + 2
        lines = looks.wrapped(showable(said.text, 400), max(width - inset, 20))
        if len(lines) > MESSAGE_ROWS:
            lines = [
                *lines[: MESSAGE_ROWS - 1],
                looks.clipped(" ".join(lines[MESSAGE_ROWS - 1 :]), width - inset),
            ]
        head: Row = ((f"{word}: ", TONE_LOOKS[said.tone]), (lines[0], "plain"))
        return [head, *(looks.row(" " * inset + line) for line in lines[1:])]

    def show(self) -> None:
        """Take the height the sentence needs, then draw."""
        needed = max(1, len(self.rows(self.size.width or 80, MESSAGE_ROWS)))
        if self.styles.height is None or self.styles.height.value != needed:
            self.styles.height = needed
        super().show()


def next_words(desk: Desk) -> str:
    """Return what Space does at the step looked at."""
    following = handsfull.natural(desk)
    if following is None:
        return "nothing to do here"
    if desk.counting() is not None:
        return "stop the count"
    step = desk.step
    if following.act in (Act.START, Act.FINISH) and step is not None:
        return f"{following.says} {step.id} {step.title}"
    if following.act is Act.TICK:
        return f"tick: {following.item}"
    if following.act is Act.WAIT:
        return f"nothing now: {following.says}"
    return following.says


def key_rows(words: str, commands: Iterable[Command], width: int, rows: int = 2) -> list[Row]:
    """Return the key line: what Space does, then the other keys that fit; help is never left out."""
    groups: dict[str, list[str]] = {}
    for command in commands:
        if command.short:
            groups.setdefault(command.short, []).append(key_name(command.keys[0]))
    pairs = [("".join(keys), short) for short, keys in groups.items()]
    out: list[list[tuple[str, str]]] = [[]]
    room = width
    if words:
        spare = _cost(pairs[0]) + 3 if pairs else 0
        shown = looks.clipped(words, max(width - 7 - spare, 20))
        out[0] = [("Space", shown)]
        room = width - 7 - len(shown)
    help_at = next((at for at, pair in enumerate(pairs) if pair[0].startswith("?")), None)
    kept = pairs.pop(help_at) if help_at is not None else None
    for pair in pairs:
        last = len(out) == rows
        spare = _cost(kept) + 3 if kept and last else 0
        if _cost(pair) + 3 + spare > room and out[-1]:
            if last:
                continue
            out.append([])
            room = width
        out[-1].append(pair)
        room -= _cost(pair) + 3
    if kept:
        if _cost(kept) + 3 > room and len(out) < rows:
            out.append([])
        out[-1].append(kept)
    return [_keys_row(line) for line in out]


def _cost(pair: tuple[str, str]) -> int:
    return len(pair[0]) + (2 if pair[0] == "Space" else 1) + len(pair[1])


def _keys_row(pairs: Sequence[tuple[str, str]]) -> Row:
    line: list[tuple[str, str]] = []
    for number, (key, short) in enumerate(pairs):
        gap = "   " if number else ""
        wide = "  " if key == "Space" else " "
        line += [(gap, "plain"), (key, "strong"), (wide + short, "plain")]
    return tuple(line)


class KeyLine(Pane):
    """The keys that work now, with what Space will do in words."""

    each_minute = True

    now_at = "bench"
    table: Sequence[Command] = TABLE
    space_words: str | None = None
    """What Space does at the place; None: at the bench the step's natural next thing, else nothing."""

    def rows(self, width: int, height: int) -> list[Row]:
        """Return the key line of the place the maker is at."""
        commands = [one for one in at_place(self.now_at, self.table) if not one.refusal(self.desk)]
        words = self.space_words
        if words is None:
            words = next_words(self.desk) if self.now_at == "bench" else ""
        return key_rows(showable(words), commands, width, max(height, 1))
