"""The one table of commands: what each does in the maker's words, its key, where and when it applies.

Key bindings, the key line at the foot, the help and the documentation are all drawn from it. A maker's own
keys are laid over it by the command's id. Letters are the same in both cases, so a Caps Lock does no harm.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, replace

from workshop.bench.desk import Desk
from workshop.build.blade import CLOSED, State
from workshop.errors import ShopError

Refusal = Callable[[Desk], str]
"""Why a command does not apply now, in a sentence; "" where it does."""

PLACES: Mapping[str, str] = {
    "bench": "at the bench",
    "rack": "at the rack",
    "start": "beginning a blade",
    "lastlook": "in the last look",
    "clock": "starting a clock",
    "choose": "choosing from a list",
    "ready": "getting a run ready",
    "run": "with the hands full",
    "jump": "when the laptop's clock has jumped",
    "field": "typing a line",
    "drawer": "in the drawer",
    "wall": "in the wall view",
    "call": "when a mark is reached",
    "help": "in this help",
}
"""Each place of the program where keys mean something, in words."""


def always(_: Desk) -> str:
    """Refuse a command never."""
    return ""


def with_step(desk: Desk) -> str:
    """Refuse a command where no step is looked at."""
    return "" if desk.step is not None else "No step is looked at; R goes to the rack, to take a blade."


def begun(desk: Desk) -> str:
    """Refuse a command on a step that was not begun: there is nothing of it to do over."""
    if _state(desk) in (State.DONE, State.LEFT_OUT, State.IN_HAND, State.RESTING):
        return ""
    return with_step(desk) or f"{_step(desk)} is not begun, so there is nothing to do over."


def open_step(desk: Desk) -> str:
    """Refuse a command on a step that is done or left out."""
    state = _state(desk)
    if state is None or state not in CLOSED:
        return with_step(desk)
    return f"{_step(desk)} is {state.value}; F does it over."


def can_take_back(desk: Desk) -> str:
    """Refuse a command where the blade in hand has no change to take back."""
    if desk.blade is None:
        return "No blade is in hand; R goes to the rack, to take one."
    return "" if desk.blade.backs else f"{desk.blade.name} has no change to take back."


def told(desk: Desk) -> str:
    """Refuse a command where no mark has come that is told but not asked about."""
    return "" if desk.calls() else "No mark is told just now; Space does what is next."


def has_witness(desk: Desk) -> str:
    """Refuse a command where no clock runs that has a witness blob."""
    return "" if any(pair.clock.blob for pair in desk.clocks()) else "No glue cures, so no witness to press."


def has_moves(desk: Desk) -> str:
    """Refuse a command on a step that has no moves to run through."""
    if desk.step is None or desk.step.moves:
        return with_step(desk)
    return f"{_step(desk)} has no run with the hands full to get ready."


def _step(desk: Desk) -> str:
    return "" if desk.step is None else f"{desk.step.id} {desk.step.title}"


def _state(desk: Desk) -> State | None:
    return None if desk.step is None else desk.states().get(desk.step.id)


@dataclass(frozen=True, slots=True)
class Command:
    """One command. keys: the first is shown; short: two words for the key line, "" to keep it off there.

    refusal: why it does not apply now, "" where it does.
    """

    id: str
    says: str
    keys: tuple[str, ...]
    where: str
    short: str = ""
    refusal: Refusal = always


def _at(
    where: str, *commands: tuple[str, str, str, str] | tuple[str, str, str, str, Refusal]
) -> list[Command]:
    """Return commands of one place from rows of: id, keys with spaces between, short words, what it does."""
    return [
        Command(row[0], row[3], tuple(row[1].split()), where, row[2], row[4] if len(row) == 5 else always)
        for row in commands
    ]


_BENCH = _at(
    "bench",
    ("next", "space", "", "do what is next at this step: start, tick, clock, write down, finish"),
    (
        "take-back",
        "backspace",
        "take back",
        "take the last change of this blade back, again for the one before",
        can_take_back,
    ),
    ("witness", "b", "witness", "press the witness: say what the blob does, its marks move", has_witness),
    ("ready", "p", "ready run", "get a run with the hands full ready, or rehearse it dry", has_moves),
    ("step-up", "up", "step", "look at the step before"),
    ("step-down", "down", "step", "look at the step after"),
    ("phase-up", "pageup", "", "look at the phase before"),
    ("phase-down", "pagedown", "", "look at the phase after"),
    ("card-back", "left", "page", "turn to the page of the card before", with_step),
    ("card-on", "right", "page", "turn to the next page of the step's card", with_step),
    ("step-at", "g home", "", "go to the step this blade is at"),
    ("seen", "enter", "seen", "seen: the mark that is told on top stops calling", told),
    ("drawer", "d", "drawer", "open the drawer with the calculators, this step's first"),
    ("number", "n", "number", "write down a number of this step", with_step),
    ("clock", "c", "clock", "start a clock of this step, or stop one that runs"),
    ("rack", "r", "rack", "go to the rack with all blades"),
    ("wall", "w", "wall", "show the most urgent clocks to be read from across the shop"),
    ("help", "question_mark h", "what is this", "show all keys and what they do"),
    ("do-over", "f", "do over", "do this step over; what that spoils is shown first", begun),
    ("leave-out", "l", "leave out", "leave this step out of the blade, with a reason", open_step),
    (
        "anyway",
        "s",
        "anyway",
        "start or finish this step as it stands; against a rule with a reason",
        open_step,
    ),
    ("note", "m", "note", "write a line into the blade's log, at this step"),
    ("air", "t", "air", "write down the shop's air: temperature and humidity"),
    ("looks", "u", "mm/in", "show lengths the next way: mm, decimal inch, inch fractions"),
    ("leave", "q", "leave", "leave the program; what is not on disk is said first"),
)

_RACK = _at(
    "rack",
    ("open", "space enter", "open", "take this blade to the bench"),
    ("row-up", "up", "blade", "the blade before"),
    ("row-down", "down", "blade", "the blade after"),
    ("page-up", "pageup", "", "a page of blades up"),
    ("page-down", "pagedown", "", "a page of blades down"),
    ("new", "n", "new blade", "begin a new blade"),
    ("bench", "r x escape", "bench", "go back to the bench"),
    ("wall", "w", "wall", "show the most urgent clocks to be read from across the shop"),
    ("air", "t", "air", "write down the shop's air: temperature and humidity"),
    ("looks", "u", "mm/in", "show lengths the next way: mm, decimal inch, inch fractions"),
    ("help", "question_mark h", "what is this", "show all keys and what they do"),
    ("leave", "q", "leave", "leave the program; what is not on disk is said first"),
)

_START = _at(
    "start",
    ("row-up", "up", "line", "the line before"),
    ("row-down", "down tab", "line", "the line after"),
    ("option-back", "left", "option", "the option before"),
    ("option-on", "right space", "option", "the option after"),
    ("form-next", "enter", "next, last: begin", "the next line; on the last one the blade is begun"),
    ("form-leave", "escape x", "leave it", "go back to the rack; nothing is begun"),
)

_LASTLOOK = _at(
    "lastlook",
    ("true-next", "space", "", "this line is true, on to the next; when all are true, start the step"),
    ("take-back", "backspace", "take back", "take the last change of this blade back", can_take_back),
    ("line-up", "up", "line", "the line before"),
    ("line-down", "down", "line", "the line after"),
    ("page-on", "right pagedown", "page", "turn to the next page"),
    ("page-back", "left pageup", "page", "turn to the page before"),
    ("go-anyway", "o", "go anyway", "start though not every line is true, with a reason"),
    ("drawer", "d", "drawer", "open the drawer with the calculators, this step's first"),
    ("look-leave", "x escape", "not now", "go back to the bench; the step is not started"),
    ("help", "question_mark h", "what is this", "show all keys and what they do"),
    ("leave", "q", "leave", "leave the program; what is not on disk is said first"),
)

_CLOCK = _at(
    "clock",
    ("clock-start", "space enter", "start it", "start the clock with what is shown"),
    ("row-up", "up", "choose", "the adhesive or oil before"),
    ("row-down", "down", "choose", "the adhesive or oil after"),
    ("clock-ago", "a", "started earlier", "say how many minutes ago it started"),
    ("clock-air", "t", "air", "another air than the shop's for this clock"),
    ("clock-box", "k", "warm box", "say how warm it is kept, whatever the shop's air does"),
    ("clock-mass", "m", "mix", "say how much is in the cup; a large cup sets sooner"),
    ("clock-leave", "x escape", "not now", "go back; no clock is started"),
)

_CHOOSE = _at(
    "choose",
    ("take", "space enter", "take it", "take the line that is marked"),
    ("row-up", "up", "choose", "the line before"),
    ("row-down", "down", "choose", "the line after"),
    ("pick", "1 2 3 4 5 6 7 8 9", "", "take the line with that number"),
    ("choose-leave", "x escape", "not now", "go back; nothing is changed"),
)

_FIELD = _at(
    "field",
    ("keep", "enter", "keep it", "keep what is typed; an empty line changes nothing"),
    ("option-back", "up", "", "the option before, where there are any"),
    ("option-on", "down tab", "", "the option after, where there are any"),
    ("field-leave", "escape", "not now", "go back; nothing is changed"),
)

_DRAWER = _at(
    "drawer",
    ("drawer-take", "enter", "take", "open the calculator; in a field: on to the next one"),
    ("row-up", "up", "choose", "the line before"),
    ("row-down", "down tab", "choose", "the line after"),
    ("page-on", "pagedown", "page", "turn to the next page: working, sources"),
    ("page-back", "pageup", "page", "turn to the page before"),
    ("option-back", "left", "", "the option before"),
    ("option-on", "right", "", "the option after"),
    ("keep-slip", "f2 k", "keep slip", "keep the slip with the blade, at this step"),
    ("drawer-leave", "escape x d", "shut", "shut the calculator, then the drawer"),
)

_WALL = _at(
    "wall",
    ("bench", "w space x escape", "bench", "go back to the bench"),
    ("rack", "r", "rack", "go to the rack with all blades"),
    ("leave", "q", "leave", "leave the program; what is not on disk is said first"),
)

_CALL = _at(
    "call",
    ("answer", "space", "seen", "seen: it stops calling; an open window that matters calls again at its end"),
    ("done", "enter", "done", "done: this mark calls no more"),
    ("later", "l", "not yet", "seen, not done: it calls again before its window shuts, or when it has shut"),
    ("witness", "b", "witness", "press the witness: say what the blob does, its marks move", has_witness),
    ("leave", "q", "leave", "leave the program; it calls again next time"),
)

_READY = _at(
    "ready",
    ("first-contact", "space", "first contact", "first contact: the run starts now, with its clock"),
    ("rehearse", "y", "rehearse dry", "run through the moves dry; how long it takes is kept"),
    ("row-up", "up", "adhesive", "the adhesive before"),
    ("row-down", "down", "adhesive", "the adhesive after"),
    ("ready-air", "t", "air", "say how warm it is, if it is not as last read"),
    ("ready-box", "k", "warm box", "say how warm it is kept, whatever the shop's air does"),
    ("ready-mass", "m", "mix", "say how much is in the cup; a large cup sets sooner"),
    ("ready-leave", "x escape", "not now", "go back to the bench; nothing is started"),
    ("help", "question_mark h", "what is this", "show all keys and what they do"),
)

_RUN = _at(
    "run",
    ("stamp", "space", "", "done: stamp this move and go on to the next; after the last one, the run ends"),
    ("stamp-back", "backspace", "take back", "take the last stamp back"),
    ("seen", "enter", "seen", "seen: the mark that is told on top stops calling", told),
    ("run-end", "e", "end here", "end the run here; moves that were not stamped stay so"),
)

_JUMP = _at(
    "jump",
    (
        "clock-now",
        "n",
        "as it is now",
        "right as it is now: clocks that the wrong one started are set right",
    ),
    (
        "clock-recent",
        "s",
        "",
        "right now, and wrong only since the laptop was started",
    ),
    ("clock-before", "b", "as it was before", "it was right before; marks are counted on by the old one"),
)

_HELP = _at(
    "help",
    ("page-on", "space right down pagedown", "next page", "the next page"),
    ("page-back", "left up pageup backspace", "page before", "the page before"),
    ("help-leave", "x escape question_mark h enter", "shut", "shut this help"),
    ("leave", "q", "leave", "leave the program; what is not on disk is said first"),
)

TABLE: tuple[Command, ...] = (
    *_BENCH,
    *_RACK,
    *_START,
    *_LASTLOOK,
    *_CLOCK,
    *_CHOOSE,
    *_FIELD,
    *_DRAWER,
    *_WALL,
    *_CALL,
    *_READY,
    *_RUN,
    *_JUMP,
    *_HELP,
)
"""All commands, those of each place in the order in which the key line and the help show them."""

KEY_NAMES: Mapping[str, str] = {
    "space": "Space",
    "backspace": "Backspace",
    "enter": "Enter",
    "escape": "Esc",
    "question_mark": "?",
    "up": "↑",
    "down": "↓",
    "left": "←",
    "right": "→",
    "pageup": "PgUp",
    "pagedown": "PgDn",
    "home": "Home",
    "tab": "Tab",
}


def key_name(key: str) -> str:
    """Return a key as it is written on the key line."""
    return KEY_NAMES.get(key, key.upper())


def at_place(where: str, table: Iterable[Command] = TABLE) -> list[Command]:
    """Return the commands of one place, in order."""
    return [command for command in table if command.where == where]


def by_key(table: Iterable[Command] = TABLE) -> dict[tuple[str, str], Command]:
    """Return the commands by place and key."""
    return {(command.where, key): command for command in table for key in command.keys}


def clashes(table: Iterable[Command] = TABLE) -> list[str]:
    """Return, in words, each key that two commands of one place claim."""
    taken: dict[tuple[str, str], str] = {}
    found = []
    for command in table:
        for key in command.keys:
            other = taken.setdefault((command.where, key), command.id)
            if other != command.id:
                found.append(f"{key_name(key)} {PLACES[command.where]}: both {other} and {command.id}")
    return found


def laid_over(own: Mapping[str, str], table: tuple[Command, ...] = TABLE) -> tuple[Command, ...]:
    """Return the table with a maker's own keys, by command id, keys with spaces between.

    Raises ShopError for an id that is not in the table, or keys that clash.
    """
    known = {command.id for command in table}
    for name in own:
        if name not in known:
            raise ShopError(
                f"There is no command '{name}'; right would be one of: {', '.join(sorted(known))}."
            )
    laid = tuple(
        replace(command, keys=tuple(own[command.id].split())) if command.id in own else command
        for command in table
    )
    wrong = clashes(laid)
    if wrong:
        raise ShopError(f"Two commands want one key: {wrong[0]}.")
    return laid
