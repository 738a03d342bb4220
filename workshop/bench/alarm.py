"""The bell, behind a small object, so that a test can listen and a shop can have another one."""

from __future__ import annotations

from collections.abc import Callable
from typing import Protocol

EACH_SECOND_FOR_S = 60
"""How long the bell rings every other second before it falls back to every tenth."""


class Alarm(Protocol):
    """Something that makes a noise once."""

    def ring(self) -> None:
        """Make the noise."""


class Silent:
    """An alarm that only counts: for pictures and tests."""

    def __init__(self) -> None:
        """Start at none."""
        self.rings = 0

    def ring(self) -> None:
        """Count one."""
        self.rings += 1


class Bell:
    """The terminal's bell."""

    def __init__(self, bell: Callable[[], None]) -> None:
        """Take what sounds the terminal's bell."""
        self._bell = bell

    def ring(self) -> None:
        """Sound it once."""
        self._bell()


def rings_now(calling_s: int) -> bool:
    """Say whether the bell rings so many whole seconds after a mark began to call.

    Every other second for a minute, then every tenth: it goes on until it is answered.
    """
    if calling_s < EACH_SECOND_FOR_S:
        return calling_s % 2 == 0
    return calling_s % 10 == 0
