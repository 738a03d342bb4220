"""Beginning a blade: its name, what it is, who it is for, its route and the few choices that asks for."""

from __future__ import annotations

from dataclasses import dataclass

from workshop.bench import looks
from workshop.bench.desk import Desk
from workshop.bench.line import Line
from workshop.bench.looks import Row
from workshop.bench.pane import Done, Pane, Went
from workshop.build.route import Route
from workshop.errors import ShopError
from workshop.showable import showable

TEXTS = {
    "name": ("Name of the blade", "Such as a bird's name: it is what you call it in the shop."),
    "about": ("What it is", "Such as 155 mm hunter, walnut. May stay empty."),
    "for": ("Who it is for", "A name, an order. May stay empty."),
}
"""The lines that are typed: what is asked, and a hint."""

ROUTE = "route"
BEGIN = "begin"
FIRST_ROUTE = "hidden-tang"
"""The route that is offered first."""


@dataclass(frozen=True, slots=True)
class Asks:
    """One line of the form. options: empty for a line that is typed."""

    id: str
    ask: str
    hint: str = ""
    options: tuple[str, ...] = ()


class StartForm(Pane):
    """The form for a new blade. What was typed stays until a blade is begun."""

    each_minute = True

    where = "start"

    def __init__(self, desk: Desk, *, id: str | None = None, classes: str | None = None) -> None:
        """Set an empty form up."""
        super().__init__(desk, id=id, classes=classes)
        self._routes: dict[str, Route] = {}
        self._wrong: dict[str, str] = {}
        self.clear()

    def clear(self) -> None:
        """Empty the form."""
        self.at = 0
        self.texts = {name: Line() for name in TEXTS}
        self.route_id = ""
        self.chosen: dict[str, str] = {}

    def opened(self) -> None:
        """Read the routes there are; stand at the first line."""
        self._routes, self._wrong = {}, {}
        for route_id in self.desk.shelf.route_ids():
            try:
                self._routes[route_id] = self.desk.shelf.route(route_id)
            except ShopError as error:
                self._wrong[route_id] = str(error)
        if self.route_id not in self._routes:
            known = list(self._routes)
            self.route_id = FIRST_ROUTE if FIRST_ROUTE in known else known[0] if known else ""
        self.at = 0

    # -- what is asked

    @property
    def route(self) -> Route | None:
        """The route chosen."""
        return self._routes.get(self.route_id)

    def asks(self) -> list[Asks]:
        """Return the lines of the form, in order."""
        lines = [Asks(name, ask, hint) for name, (ask, hint) in TEXTS.items()]
        route = self.route
        about = "" if route is None else route.about
        lines.append(Asks(ROUTE, "Route", about, tuple(self._routes)))
        if route is not None:
            lines += [Asks(one.id, one.ask, one.says, one.options) for one in route.choices]
        return [*lines, Asks(BEGIN, "", "Enter begins the blade.")]

    def choices(self) -> dict[str, str]:
        """Return the option of each choice of the route: as chosen, else the first."""
        route = self.route
        if route is None:
            return {}
        return {
            one.id: self.chosen[one.id] if self.chosen.get(one.id) in one.options else one.options[0]
            for one in route.choices
        }

    def _here(self) -> Asks:
        asks = self.asks()
        return asks[min(self.at, len(asks) - 1)]

    def _option(self, asked: Asks) -> str:
        return self.route_id if asked.id == ROUTE else self.choices().get(asked.id, "")

    # -- drawing

    def rows(self, width: int, height: int) -> list[Row]:
        """Return the form, the hint of the line the maker is at, and how many steps that makes."""
        asks = self.asks()
        label = min(max(len(one.ask) for one in asks) + 3, width * 3 // 5)
        body = [self._line(one, n == self.at, width, label) for n, one in enumerate(asks)]
        foot = [looks.row(""), *(looks.row(line, "quiet") for line in self._hint_lines(width))]
        foot += [
            looks.row(line, "bad")
            for route_id, why in self._wrong.items()
            for line in looks.wrapped(showable(f"route {route_id} cannot be used: {why}", 400), width, 2)
        ]
        room = max(height - 1 - len(foot), 1)
        first = min(max(self.at - room // 2, 0), max(len(body) - room, 0))
        head = looks.ruled("begin a blade", self._steps_words(), width)
        return [head, *body[first : first + room], *foot][:height]

    def _line(self, asked: Asks, here: bool, width: int, label: int) -> Row:
        mark = ">" if here else " "
        if asked.id == BEGIN:
            text = f"{mark} BEGIN {showable(self.texts['name'].text, 60) or 'the blade'}"
            return looks.row(looks.padded(text, width), "here" if here else "strong")
        head = looks.padded(f"{mark} {showable(asked.ask, 80)}", label)
        if not asked.options and asked.id in self.texts:
            line = self.texts[asked.id]
            shown = line.row(width - label - 1) if here else ((showable(line.text, 400), "strong"),)
            return ((head, "strong" if here else "plain"), (" ", "plain"), *shown)
        chosen = self._option(asked)
        pieces = [
            (f"[{showable(one, 60)}] ", "strong") if one == chosen else (f" {showable(one, 60)}  ", "quiet")
            for one in asked.options
        ]
        return ((head, "here" if here else "plain"), (" ", "plain"), *pieces)

    def _hint_lines(self, width: int) -> list[str]:
        here = self._here()
        hint = f"{here.hint} ←→ changes it." if len(here.options) > 1 else here.hint
        return looks.wrapped(showable(hint.strip(), 600), width)

    def _steps_words(self) -> str:
        route = self.route
        if route is None:
            return "no route can be used"
        return f"{len(route.steps_for(self.choices()))} steps"

    # -- keys

    def typing(self) -> bool:
        """Take letters on the lines that are typed."""
        return self._here().id in self.texts

    def typed(self, key: str, character: str | None) -> bool:
        """Edit the line the maker is at."""
        here = self._here()
        if here.id not in self.texts:
            return False
        line = self.texts[here.id].key(key, character)
        if line is None:
            return False
        self.texts[here.id] = line
        self.show()
        return True

    def pasted(self, text: str) -> None:
        """Put a pasted text into the line the maker is at."""
        here = self._here()
        if here.id in self.texts:
            self.texts[here.id] = self.texts[here.id].put(text)
            self.show()

    def do(self, command: str) -> None:
        """Move, change an option, go on, begin, or leave."""
        count = len(self.asks())
        if command == "form-leave":
            self.post_message(Went("rack"))
        elif command == "form-next" and self._here().id == BEGIN:
            self._begin()
        elif command in ("row-down", "form-next"):
            self.at = (self.at + 1) % count
        elif command == "row-up":
            self.at = (self.at - 1) % count
        elif command in ("option-on", "option-back"):
            self._turn(1 if command == "option-on" else -1)
        self.show()

    def _turn(self, by: int) -> None:
        here = self._here()
        if not here.options:
            return
        at = here.options.index(self._option(here))
        option = here.options[(at + by) % len(here.options)]
        if here.id == ROUTE:
            self.route_id = option
        else:
            self.chosen[here.id] = option

    def _begin(self) -> None:
        name = self.texts["name"].text.strip()
        if not name:
            self.at = 0
            self.show()
            raise ShopError("A blade needs a name; type one on the first line.")
        self.desk.begin(
            name,
            self.route_id,
            self.choices(),
            about=self.texts["about"].text.strip(),
            maker_for=self.texts["for"].text.strip(),
        )
        self.clear()
        self.post_message(Went("bench"))
        self.post_message(Done())
