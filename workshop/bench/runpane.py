"""With the hands full: time elapsed, the present move, the next and its latest moment, the pot life left.

Nothing asks. A mark of another blade is told in the lowest line, whose shape changes, and never over the run.
"""

from __future__ import annotations

from datetime import datetime
from itertools import zip_longest

from workshop.bench import digits, handsfull, looks, times
from workshop.bench.callpane import told_band
from workshop.bench.desk import Desk
from workshop.bench.looks import Row
from workshop.bench.pane import Asked, Done, Pane, Went
from workshop.build.blade import Blade, Run
from workshop.build.changes import step_named
from workshop.build.moves import Move, moves, pot_life_left_s
from workshop.showable import showable

GAP = 6
"""Columns between the two times."""


def run_rows(desk: Desk, width: int, height: int, blocks: bool = True) -> list[Row]:
    """Return the run that goes on."""
    found = handsfull.going(desk)
    if found is None:
        return [looks.row("No run goes on.")]
    blade, run = found
    now, step = desk.now(), step_named(blade, run.step)
    what = "REHEARSAL, dry" if run.rehearsal else "HANDS FULL"
    title = f"{what}  {showable(blade.name, 30)} · {step.id} {showable(step.title, 40)}"
    told = told_band(desk, width, blocks)
    words = move_rows(moves(blade, run), run, now, width, height - digits.LEAST_ROWS - 4 - len(told))
    room = height - 3 - len(words) - len(told)
    big = time_rows(blade, run, now, width, room, blocks)
    head = looks.ruled(title, "nothing will ask you anything", width)
    body = [head, *big, (), *words]
    return [*body[: height - len(told)], *[()] * (height - len(body) - len(told)), *told]


def time_rows(blade: Blade, run: Run, now: datetime, width: int, room: int, blocks: bool) -> list[Row]:
    """Return the elapsed time, and what is left of the pot life beside it, each under its words."""
    elapsed, unit = times.digits(run.took_s(now)), times.digits_unit(run.took_s(now))
    left_s = None if run.rehearsal else pot_life_left_s(blade, run, now)
    if left_s is None:
        shape = digits.best(elapsed, width - 4, room - 1, blocks=blocks) or [elapsed]
        return [looks.row(f"  elapsed, {unit}"), *(looks.row(f"  {line}", "digits") for line in shape)]
    half = (width - GAP - 2) // 2
    pot = ("+" if left_s < 0 else "") + times.digits(abs(left_s))
    left = digits.best(elapsed, half, room - 1, blocks=blocks) or [elapsed]
    right = digits.best(pot, half, room - 1, blocks=blocks) or [pot]
    wide = max(len(line) for line in left)
    over = "POT LIFE IS OVER, since" if left_s < 0 else f"left of pot life, {times.digits_unit(left_s)}"
    look = "bad" if left_s < 0 else "plain"
    rows: list[Row] = [((f"  {f'elapsed, {unit}':<{wide}}{' ' * GAP}", "plain"), (over, look))]
    for one, other in zip_longest(left, right, fillvalue=""):
        rows.append(((f"  {one:<{wide}}{' ' * GAP}", "digits"), (other, "bad" if left_s < 0 else "digits")))
    return rows


def move_rows(found: list[Move], run: Run, now: datetime, width: int, room: int) -> list[Row]:
    """Return the present move, the next one, and those after it."""
    ahead = [move for move in found if move.done is None]
    if not ahead:
        took = times.left(run.took_s(run.stamps[-1][1] if run.stamps else now))
        return [looks.row(f"  ALL MOVES DONE at {took}. Space ends the run.", "strong")]
    rows = _move("NOW", ahead[0], run, now, width, "strong")
    if len(ahead) > 1:
        rows += [(), *_move("NEXT", ahead[1], run, now, width, "plain")]
    if len(ahead) > 2:
        then = " · ".join(showable(move.says, 80) for move in ahead[2:])
        rows += [(), *(looks.row(f"  {line}") for line in looks.wrapped(f"then:  {then}", width - 2, 7))]
    return rows[: max(room, 3)]


def _move(word: str, move: Move, run: Run, now: datetime, width: int, look: str) -> list[Row]:
    """Return one move and its latest moment, counted as the elapsed time is."""
    tail, tail_look = "", "plain"
    if move.by is not None:
        by = times.left((move.by - run.started).total_seconds())
        left_s = (move.by - now).total_seconds()
        late = left_s < 0
        tail = f"by {by}, {'LATE ' if late else 'in '}{times.left(abs(left_s))}"
        tail_look = "bad" if late else "strong"
    head = f"  {word:<5}  "
    lines = looks.wrapped(showable(move.says, 200), max(width - len(head) - len(tail) - 2, 20))
    first: Row = looks.beside(((head, "strong"), (lines[0], look)), looks.row(tail, tail_look), width)
    return [first, *(looks.row(" " * len(head) + line, look) for line in lines[1:])]


class RunPane(Pane):
    """The run on the screen."""

    where = "run"

    def rows(self, width: int, height: int) -> list[Row]:
        """Return what `run_rows` gives."""
        return run_rows(self.desk, width, height, self.blocks)

    def space_words(self) -> str:
        """Return what Space does."""
        found = handsfull.going(self.desk)
        if found is None:
            return "go back to the bench"
        blade, run = found
        done = len(run.stamps) >= len(step_named(blade, run.step).moves)
        return "end the run: hands free" if done else "done, next move"

    def do(self, command: str) -> None:
        """Stamp, take a stamp back, or end the run; then one line of note may be typed."""
        found = handsfull.going(self.desk)
        if command == "stamp-back":
            handsfull.stamp_back(self.desk)
        elif command == "run-end":
            handsfull.end(self.desk)
            self._after(found)
        elif command == "stamp" and handsfull.stamp(self.desk):
            self._after(found)
        self.post_message(Done())

    def _after(self, found: tuple[Blade, Run] | None) -> None:
        self.post_message(Went("bench"))
        if found is None:
            return
        key, run_id = found[0].key, found[1].id
        self.desk.said = handsfull.ended_words(self.desk, key, run_id)
        self.post_message(
            Asked(
                "One line of note on that run:",
                lambda text: handsfull.note(self.desk, key, run_id, text),
                hint="how it went, what to do otherwise; empty: nothing to say",
            )
        )
