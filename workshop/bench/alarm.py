"""The bell, behind a small object, so that a test can listen and a shop can have another one."""

from __future__ import annotations

from collections.abc import Callable
from typing import Protocol

EACH_SECOND_FOR_S = 60
"""How long the bell rings every other second before it falls back to every tenth."""


class Alarm(Protocol):
    """Something that makes a noise once, and can tell a line outside the screen."""

    def ring(self) -> None:
        """Make the noise."""

    def tell(self, says: str) -> None:
        """Tell a line, already showable, to whoever does not see the screen."""


class Silent:
    """An alarm that only counts: for pictures and tests."""

    def __init__(self) -> None:
        """Start at none."""
        self.rings = 0
        self.told: list[str] = []

    def ring(self) -> None:
        """Count one."""
        self.rings += 1

    def tell(self, says: str) -> None:
        """Keep the line."""
        self.told.append(says)


class Bell:
    """The terminal's bell, and its notices where it knows a form of them."""

    def __init__(
        self,
        bell: Callable[[], None],
        write: Callable[[str], None] = lambda _: None,
        form: str = "",
    ) -> None:
        """Take what sounds the bell, what writes to the terminal, and the form of its notices ("": none)."""
        self._bell = bell
        self._write = write
        self._form = form

    def ring(self) -> None:
        """Sound it once."""
        self._bell()

    def tell(self, says: str) -> None:
        """Send the line as the terminal's own notice."""
        text = notice(self._form, says)
        if text:
            self._write(text)


def notice(form: str, says: str) -> str:
    """Return a terminal's notice as it is sent: by the control string OSC 9, 777 or 99; "" for no form.

    says: showable text; what would end or split the control string is taken out.
    """
    plain = "".join(" " if letter == ";" or not letter.isprintable() else letter for letter in says)
    if form == "9":
        return f"\x1b]9;{plain}\x1b\\"
    if form == "777":
        return f"\x1b]777;notify;workshop;{plain}\x1b\\"
    if form == "99":
        return f"\x1b]99;i=workshop-mark;{plain}\x1b\\"
    return ""


def rings_now(calling_s: int) -> bool:
    """Say whether the bell rings so many whole seconds after a mark began to call.

    Every other second for a minute, then every tenth: it goes on until it is answered.
    """
    if calling_s < EACH_SECOND_FOR_S:
        return calling_s % 2 == 0
    return calling_s % 10 == 0
