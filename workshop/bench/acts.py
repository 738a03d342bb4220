"""What the commands of the bench do. The app hands itself in as a `Room`: what can be asked and tried."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from functools import partial
from typing import Protocol

from workshop import measure
from workshop.bench import handsfull
from workshop.bench.asking import Option
from workshop.bench.desk import BladeClock, Desk, Said, Tone
from workshop.bench.pane import Asked
from workshop.bench.stepcard import limit_words
from workshop.build.blade import State
from workshop.build.conflicts import conflicts
from workshop.build.route import ClockPlan, Entry
from workshop.build.standing import Act
from workshop.errors import ShopError


class Room(Protocol):
    """What an act needs of the program around it."""

    desk: Desk

    def go(self, where: str) -> None:
        """Show another place."""

    def ask(self, asked: Asked) -> None:
        """Have one line typed."""

    def offer(self, title: str, options: tuple[Option, ...], lines: tuple[str, ...] = ()) -> None:
        """Have one of some lines chosen."""

    def ask_clock(self, plan: ClockPlan) -> None:
        """Open the form that starts a clock."""

    def attempt(self, act: Callable[[str], object]) -> None:
        """Do an act, with a reason where it needs one."""

    def turn_card(self, by: int) -> None:
        """Turn the step card's pages."""

    def leave(self) -> None:
        """Leave the program."""

    def let_go(self) -> None:
        """Leave at once, whatever is not on disk."""


def do_next(room: Room) -> None:
    """Do what is next at the step looked at, or open what that needs."""
    desk, following = room.desk, handsfull.natural(room.desk)
    step = desk.step
    counting = desk.counting()
    if counting is not None:
        desk.stop_clock(counting)
        return
    if following is None or step is None:
        room.go("rack")
    elif following.act is Act.LOOK:
        room.go("lastlook")
    elif following.act is Act.VALUE:
        entry = step.entry(following.item)
        if entry is not None:
            ask_value(room, entry)
    elif following.act is Act.CLOCK and not following.item:
        room.go("ready")
    elif following.act is Act.CLOCK:
        plan = step.clock(following.item)
        if plan is None:
            return
        if step.hands_full:  # a hot step asks for nothing: the route's own choice, in the shop's air
            entries = desk.entries_for(plan.id)
            desk.start_clock(plan.id, entry=entries[0] if entries else None)
        else:
            room.ask_clock(plan)
    elif following.act is Act.START:
        clashing = [] if desk.blade is None else conflicts(desk.blades, desk.blade, step, desk.now())
        room.attempt(desk.do_next)
        if clashing and desk.said.tone is Tone.DONE:
            desk.said = Said(clashing[0], Tone.NOTICE)
    elif following != desk.natural():  # what a run has already counted is not offered again
        room.attempt(desk.finish if following.act is Act.FINISH else lambda _: desk.tick(following.item))
    else:
        room.attempt(desk.do_next)


def witness(room: Room) -> None:
    """Ask what the witness blob does, of the mix that is meant: one key says it."""
    desk = room.desk
    mixes: dict[tuple[str, str, object], BladeClock] = {}
    for pair in sorted(desk.clocks(), key=lambda one: one.blade.key != desk.key):
        if pair.clock.blob:
            mixes.setdefault((pair.blade.key, pair.clock.store, pair.clock.started), pair)
    if not mixes:
        raise ShopError("No glue cures now that has a witness blob.")
    if len(mixes) == 1:
        _press(room, next(iter(mixes.values())))
        return
    options = tuple(
        Option(f"{pair.blade.name} · {pair.clock.title}", partial(_press, room, pair))
        for pair in mixes.values()
    )
    room.offer("the witness of which mix?", options)


def _press(room: Room, pair: BladeClock) -> None:
    options = tuple(
        Option(one.says or one.id, partial(room.desk.press_witness, pair, one.id)) for one in pair.clock.blob
    )
    doing = room.desk.doing(pair)
    lines = (f"By its clock it is {doing} now. Press the blob on the card beside the job.",) if doing else ()
    room.offer(f"{pair.blade.name} · {pair.clock.title}: what does the blob do?", options, lines)


def ask_value(room: Room, entry: Entry) -> None:
    """Have a value of the step typed; outside its limits it is kept with a reason."""
    desk = room.desk
    value = desk.blade.values.get(entry.name) if desk.blade else None
    written = f"written now: {value.text}" if value else ""
    limits = limit_words(entry)
    parts = (written, f"likely: {limits}" if limits and not entry.options else "", entry.hint)

    def keep(text: str) -> None:
        room.attempt(lambda why: desk.write_down(entry.name, text, why))

    hint = " · ".join(dict.fromkeys(part for part in parts if part))
    start = ""
    if entry.name == "air" and value is None and desk.shop.air_K is not None and not desk.air_is_stale():
        start = measure.write(desk.shop.air_K, "temperature", desk.shop.prefer.temperature, 1)
    room.ask(Asked(f"{entry.says}:", keep, start=start, hint=hint, options=entry.options))


def number(room: Room) -> None:
    """Choose a value of the step, then type it."""
    desk, step = room.desk, room.desk.step
    if step is None or not step.records:
        raise ShopError("This step asks for no number; a note (M) keeps any words.")
    if len(step.records) == 1:
        ask_value(room, step.records[0])
        return
    values = desk.blade.values if desk.blade else {}
    options = tuple(
        Option(
            f"{entry.says}: {values[entry.name].text}"
            if entry.name in values
            else f"{entry.says}: not written yet",
            partial(ask_value, room, entry),
        )
        for entry in step.records
    )
    room.offer("which number?", options)


def clock(room: Room) -> None:
    """Start one of the step's clocks, or stop one that runs."""
    desk, step = room.desk, room.desk.step
    plans = step.clocks if step is not None else ()
    running = desk.clocks()
    runs = {pair.clock.plan for pair in running if pair.blade.key == desk.key}
    starts = tuple(
        Option(f"start{' again' if plan.id in runs else ''}: {plan.title}", partial(room.ask_clock, plan))
        for plan in plans
    )
    stops = tuple(
        Option(f"stop: {pair.blade.name} · {pair.clock.title}", partial(_stop, room, pair))
        for pair in running
    )
    if not starts and not stops:
        raise ShopError("This step has no clock, and none runs.")
    if len(starts) == 1 and not stops:
        room.ask_clock(plans[0])
        return
    room.offer("which clock?", (*starts, *stops))


def _stop(room: Room, pair: BladeClock) -> None:
    room.attempt(lambda why: room.desk.stop_clock(pair, why))


def do_over(room: Room) -> None:
    """Show what doing this step over spoils; one key does it."""
    desk, step = room.desk, room.desk.step
    if step is None:
        return
    spoilt = desk.spoilt()
    lines = [f"It spoils {one.id} {one.title}" for one in spoilt] or [
        "It spoils nothing that was done since."
    ]
    if len(lines) > 6:
        lines = [*lines[:5], f"It spoils also {', '.join(one.id for one in spoilt[5:])}"]
    says = f"do {step.id} over" + (f", and the {len(spoilt)} it spoils" if spoilt else "")
    room.offer(
        f"do over: {step.id} {step.title}",
        (Option(says, lambda: room.attempt(desk.do_over)), Option("leave it as it is", lambda: None)),
        tuple(lines),
    )


def anyway(room: Room) -> None:
    """Start the step, or finish it, as it stands; against a rule with a reason.

    What cannot be undone is never begun unseen: a one-way step goes by its last look here too.
    """
    desk, step = room.desk, room.desk.step
    if step is None:
        return
    at_it = desk.states()[step.id] in (State.IN_HAND, State.RESTING)
    if step.one_way and not at_it:
        room.go("lastlook")
        return
    room.attempt(desk.finish if at_it else desk.start)


def note(room: Room) -> None:
    """Have a note typed."""
    room.ask(Asked(f"A note at {room.desk.step_id or 'this blade'}:", room.desk.note))


def air(room: Room) -> None:
    """Have the shop's air typed: the temperature, then the humidity."""
    desk = room.desk

    def damp(temperature: str, humidity: str) -> None:
        desk.read_air(temperature, humidity)

    def warm(temperature: str) -> None:
        desk.read_air(temperature)
        room.ask(Asked("Its humidity:", partial(damp, temperature), hint="in %, such as 55; empty: not read"))

    room.ask(Asked("The shop's air, temperature:", warm, hint="such as 17.5 °C or 64 °F"))


def seen(room: Room) -> None:
    """Answer the mark that is told on top, with the hands full."""
    room.desk.seen(room.desk.calls()[0])


def take_back(room: Room) -> None:
    """Take the last change of the blade in hand back."""
    room.desk.take_back()


def phase(desk: Desk, by: int) -> None:
    """Look at the first step of the phase before or after."""
    blade, step = desk.blade, desk.step
    if blade is None or step is None:
        return
    steps = blade.own_steps()
    phases = list(dict.fromkeys(one.phase for one in steps))
    at = min(max(phases.index(step.phase) + by, 0), len(phases) - 1)
    desk.go(next(one.id for one in steps if one.phase == phases[at]))


def looks(room: Room) -> None:
    """Show numbers the next way."""
    room.desk.next_look()


def step_at(room: Room) -> None:
    """Go to the step the blade is at."""
    if room.desk.key is not None:
        room.desk.open(room.desk.key)


def unsaved(room: Room) -> None:
    """Say what is not on disk, and offer to try again, to save elsewhere, or to leave all the same."""
    desk = room.desk
    saving = desk.saving
    lost = saving.unsaved()
    lines = [f"Not on disk: {line}" for line in lost[-5:]]
    if len(lost) > 5:
        lines.insert(0, f"Not on disk: {len(lost) - 5} older changes, and:")

    def again() -> None:
        saved = saving.close(2.0)
        desk.landed()
        if not saved:
            raise ShopError(f"Not saved yet: {saving.writer.failing or 'the disk is slow'}")

    def elsewhere(text: str) -> None:
        desk.save_aside(partial(saving.elsewhere, text), told, f"to {text}", lane="elsewhere")

    def told(says: str) -> None:
        desk.said = Said(says)

    room.offer(
        "not everything is on disk",
        (
            Option("stay, and try again now", again),
            Option(
                "save it in another folder",
                lambda: room.ask(Asked("Another folder:", elsewhere, hint="such as one on a memory stick")),
            ),
            Option("leave all the same", room.let_go),
        ),
        tuple(lines),
    )


ACTS: Mapping[str, Callable[[Room], object]] = {
    "next": do_next,
    "take-back": take_back,
    "step-up": lambda room: room.desk.move(-1),
    "step-down": lambda room: room.desk.move(1),
    "phase-up": lambda room: phase(room.desk, -1),
    "phase-down": lambda room: phase(room.desk, 1),
    "card-on": lambda room: room.turn_card(1),
    "card-back": lambda room: room.turn_card(-1),
    "step-at": step_at,
    "seen": seen,
    "witness": witness,
    "ready": lambda room: room.go("ready"),
    "drawer": lambda room: room.go("drawer"),
    "number": number,
    "clock": clock,
    "rack": lambda room: room.go("rack"),
    "wall": lambda room: room.go("wall"),
    "help": lambda room: room.go("help"),
    "bench": lambda room: room.go("bench"),
    "do-over": do_over,
    "leave-out": lambda room: room.attempt(room.desk.leave_out),
    "anyway": anyway,
    "note": note,
    "air": air,
    "looks": looks,
    "leave": lambda room: room.leave(),
}
"""What each command does wherever it does the same; the other commands are the panes' own."""
