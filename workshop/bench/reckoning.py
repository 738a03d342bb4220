"""A calculator lying open in the drawer: what is typed, what fills the rest, and the answer. No screen."""

from __future__ import annotations

from collections.abc import Mapping
from contextlib import suppress
from dataclasses import dataclass, replace

from workshop.bench.desk import Desk
from workshop.bench.line import Line
from workshop.build.blade import Blade
from workshop.drawer.declare import Calculator, Field
from workshop.drawer.run import Taken, Worked
from workshop.errors import ShopError
from workshop.shelf import slips
from workshop.shelf.shop_file import Shop


@dataclass(frozen=True, slots=True)
class Filled:
    """What stands in a field. origin: typed, blade, air, assumed, needed or "" (may stay empty)."""

    text: str
    origin: str


class Reckoning:
    """One calculator being worked out. The line after its fields is where the slip is kept."""

    def __init__(self, desk: Desk, calculator: Calculator) -> None:
        """Open a calculator with nothing typed."""
        self.desk = desk
        self.calculator = calculator
        self.lines: dict[str, Line] = {}
        self.at = 0
        self.page = 0
        self.worked: Worked | None = None
        self.trouble = ""
        self.turn = 0
        """Counts the times it was worked out: a slower answer that belongs to an earlier turn is dropped."""
        self.searching = False
        self.taken: Mapping[str, Taken] = {}
        self.offered: Mapping[str, Taken] = {}
        self._from: tuple[Blade | None, Shop, int] | None = None
        for name in calculator.stores:  # read now, so that no letter waits for a file
            with suppress(ShopError):  # the answer says what is wrong with it
                desk.shelf.store(name)
        self.work()
        self.at = self._first_needed()

    # -- what stands in the fields

    @property
    def fields(self) -> tuple[Field, ...]:
        """The calculator's fields."""
        return self.calculator.fields

    @property
    def field(self) -> Field | None:
        """The field the maker is at; None on the line after them."""
        return self.fields[self.at] if self.at < len(self.fields) else None

    def typed(self) -> dict[str, str]:
        """Return what is typed, by field."""
        return {name: line.text for name, line in self.lines.items() if line.text.strip()}

    def filled(self, asked: Field) -> Filled:
        """Return what stands in a field and where it comes from."""
        line = self.lines.get(asked.name)
        if line is not None and line.text.strip():
            return Filled(line.text, "typed")
        taken = self.taken.get(asked.name)
        if taken is not None:
            return Filled(taken.text, "air" if taken.where == slips.SHOP_AIR else "blade")
        if asked.default is not None:
            return Filled(asked.default, "assumed")
        return Filled("", "" if asked.optional else "needed")

    # -- changing it

    def key(self, key: str, character: str | None) -> bool:
        """Take a key that was typed into the field the maker is at; say whether it was used."""
        asked = self.field
        if asked is None:
            return False
        line = self.lines.get(asked.name, Line())
        if asked.kind == "choice":
            return self._choose(asked, key, character)
        if key == "right" and not line.text and asked.name in self.offered:
            self.put(asked, self.offered[asked.name].text)
            return True
        if key in ("left", "right", "home", "end") and not line.text:
            return True
        changed = line.key(key, character)
        if changed is None:
            return False
        self.lines[asked.name] = changed
        if changed.text != line.text:
            self.work()
        return True

    def _choose(self, asked: Field, key: str, character: str | None) -> bool:
        now = self.filled(asked).text
        at = asked.choices.index(now) if now in asked.choices else -1
        if key in ("left", "right"):
            step = 1 if key == "right" else -1
            self.put(asked, asked.choices[(max(at, 0 if step < 0 else at) + step) % len(asked.choices)])
            return True
        if key in ("backspace", "delete"):
            self.put(asked, "")
            return True
        if character is None or not character.isprintable():
            return False
        after = [*asked.choices[at + 1 :], *asked.choices[: at + 1]]
        found = next((one for one in after if one.casefold().startswith(character.casefold())), None)
        if found is not None:
            self.put(asked, found)
        return True

    def put(self, asked: Field, text: str) -> None:
        """Let a text stand in a field as typed."""
        self.lines[asked.name] = Line.of(text)
        self.work()

    def paste(self, text: str) -> None:
        """Put a pasted text into the field the maker is at."""
        asked = self.field
        if asked is not None and asked.kind != "choice":
            self.lines[asked.name] = self.lines.get(asked.name, Line()).put(text)
            self.work()

    def move(self, by: int) -> None:
        """Go so many lines on or back; from the last to the first and round."""
        self.at = (self.at + by) % (len(self.fields) + 1)

    # -- the answer

    def work(self) -> None:
        """Work it out from what stands there now."""
        self.turn += 1
        typed = self.typed()
        self.taken = self.desk.taken(self.calculator)
        self.offered = {
            name: one
            for name, one in self.desk.last_time(self.calculator, self._stands(typed)).items()
            if name not in self.taken
        }
        self._from = self._stands_on()
        try:
            self.worked, self.trouble = self.desk.work_out(self.calculator, typed), ""
        except ShopError as error:
            self.worked, self.trouble = None, str(error)
        self.searching = self.worked is not None and self.calculator.later is not None

    def _stands(self, typed: Mapping[str, str]) -> dict[str, str]:
        """Return what stands in the fields by the maker's word or the blade's."""
        return {**{name: one.text for name, one in self.taken.items()}, **typed}

    def freshen(self) -> bool:
        """Work it out again if the blade, the shop's air or the minute changed since; say whether it was."""
        if self._from == self._stands_on():
            return False
        self.work()
        return True

    def search(self) -> Worked | None:
        """Return the answer with its slower search; it may take a while and touches nothing here."""
        try:
            return self.desk.work_out(self.calculator, self.typed(), later=True)
        except ShopError:
            return None

    def found(self, turn: int, worked: Worked | None) -> None:
        """Take the slower answer over, if nothing was typed since it was asked for."""
        if turn == self.turn:
            self.searching = False
            self.worked = worked or self.worked

    def keep(self) -> None:
        """Keep what was found as a slip with the blade, at the step looked at. Raises ShopError."""
        if self.worked is None:
            raise ShopError(f"There is no answer to keep yet. {self.trouble}")
        self.desk.keep_slip(self.worked)

    def _stands_on(self) -> tuple[Blade | None, Shop, int]:
        minute = int(self.desk.now().timestamp()) // 60 if self.calculator.needs_now else 0
        return (self.desk.blade, replace(self.desk.shop, extra={}), minute)

    def _first_needed(self) -> int:
        needed = (n for n, one in enumerate(self.fields) if self.filled(one).origin == "needed")
        return next(needed, 0)
