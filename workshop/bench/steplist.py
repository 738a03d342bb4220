"""The step list: the blade's steps in route order under their phases, each with its state in words."""

from __future__ import annotations

from workshop.bench import looks
from workshop.bench.desk import Desk
from workshop.bench.looks import Row
from workshop.bench.pane import Pane
from workshop.build.blade import State
from workshop.build.route import Step
from workshop.showable import showable

STATE_LOOKS = {
    State.IN_HAND: "strong",
    State.RESTING: "strong",
    State.DO_OVER: "warn",
    State.DONE: "good",
    State.LEFT_OUT: "quiet",
    State.READY: "plain",
    State.WAITING: "quiet",
}
STATE_WIDTH = 8


def state_word(state: State) -> str:
    """Return a step's state as the list shows it: what the hands are at in capitals."""
    return state.value.upper() if state in (State.IN_HAND, State.RESTING) else state.value


def step_row(step: Step, state: State, here: bool, width: int) -> Row:
    """Return a step's line: where the maker looks, state, id, title, and whether there is no way back."""
    sign = " 1way" if step.one_way else ""
    head = f"{'>' if here else ' '} {state_word(state):<{STATE_WIDTH}} "
    name = looks.padded(f"{step.id:<4}{showable(step.title, 80)}", max(width - len(head) - len(sign), 4))
    look = "here" if here else STATE_LOOKS[state]
    return ((head, look), (name, "here" if here else "plain"), (sign, "here" if here else "warn"))


def list_rows(desk: Desk, width: int, height: int) -> list[Row]:
    """Return the heading and as many of the steps as fit, those round the one looked at."""
    blade, at = desk.blade, desk.step
    if blade is None or at is None:
        return [looks.row("No blade is in hand.")]
    steps = blade.own_steps()
    states = desk.states()
    lines: list[str | Step] = []  # a phase's id or a step; drawn below, only those in sight
    for number, step in enumerate(steps):
        if not number or step.phase != steps[number - 1].phase:
            lines.append(step.phase)
        lines.append(step)
    here = lines.index(at) if at in steps else 0
    place = next((number for number, step in enumerate(steps, 1) if step.id == at.id), 0)
    done = sum(states[step.id] in (State.DONE, State.LEFT_OUT) for step in steps)
    tail = f", {done} done" if width >= 48 else ""
    title = blade.route.phase_title(at.phase)
    head = looks.ruled(f"{at.phase} {showable(title, 60)}", f"step {place} of {len(steps)}{tail}", width)
    room = max(height - 1, 1)
    first = min(max(here - room // 2, 0), max(len(lines) - room, 0))
    return [head, *(_line(desk, one, width) for one in lines[first : first + room])]


def _line(desk: Desk, one: str | Step, width: int) -> Row:
    blade = desk.blade
    if isinstance(one, Step):
        return step_row(one, desk.states()[one.id], one.id == desk.step_id, width)
    title = blade.route.phase_title(one) if blade is not None else ""
    return looks.row(looks.clipped(f"{one}  {showable(title, 60)}", width), "heading")


class StepList(Pane):
    """The steps of the blade in hand."""

    each_minute = True

    def rows(self, width: int, height: int) -> list[Row]:
        """Return what `list_rows` gives."""
        return list_rows(self.desk, width, height)
