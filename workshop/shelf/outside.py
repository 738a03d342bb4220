"""Commands of the maker's own: a horn or lamp, a thermometer. Named in the laptop's file and nowhere else.

They run without a shell, with no input, for a few seconds at most, and their failure is one sentence.
"""

from __future__ import annotations

import contextlib
import os
import select
import signal
import subprocess
import time
from collections.abc import Sequence

from workshop.errors import ShopError
from workshop.showable import showable

LONGEST_S = 5.0
MOST_BYTES = 4096


def run_named(words: Sequence[str], what: str, *, longest_s: float = LONGEST_S) -> str:
    """Run a command of the laptop's file and return the beginning of what it says.

    what: what it is for, in a sentence ("the horn"). It and all that it started are ended after
    longest_s. Raises ShopError with one sentence when it cannot be started, fails, or takes too long.
    """
    name = showable(words[0], 60) if words else ""
    if not words:
        raise ShopError(f"No command is set for {what}.")
    try:
        process = subprocess.Popen(
            list(words),
            stdin=subprocess.DEVNULL,
            stdout=subprocess.PIPE,
            stderr=subprocess.DEVNULL,
            start_new_session=True,
        )
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or str(error)
        raise ShopError(f"{what} does not work: {name}: {showable(reason, 80)}.") from None
    try:
        said = _beginning(process, time.monotonic() + longest_s)
    except subprocess.TimeoutExpired:
        raise ShopError(f"{what} does not work: {name} took over {longest_s:g} s and was ended.") from None
    finally:
        _end(process)
    if process.returncode:
        raise ShopError(f"{what} does not work: {name} failed with {process.returncode}.")
    return said.decode("utf-8", "replace")


def _beginning(process: subprocess.Popen[bytes], until: float) -> bytes:
    """Return what a command says first and wait for its end; the rest is read past, never kept."""
    said = b""
    stream = process.stdout
    while stream is not None:
        left = until - time.monotonic()
        if left <= 0 or not select.select([stream], [], [], left)[0]:
            raise subprocess.TimeoutExpired(process.args, 0)
        piece = os.read(stream.fileno(), 65536)
        if not piece:
            break
        said += piece[: MOST_BYTES - len(said)]
    process.wait(max(until - time.monotonic(), 0.0))
    return said


def _end(process: subprocess.Popen[bytes]) -> None:
    """End a command's whole group, if anything of it is left."""
    if process.poll() is None:
        with contextlib.suppress(OSError):
            os.killpg(process.pid, signal.SIGKILL)
        process.wait()
    if process.stdout is not None:
        process.stdout.close()


def sound_horn(words: Sequence[str], says: str) -> None:
    """Sound the maker's horn or lamp: the laptop's command, with what calls as its last word.

    Raises ShopError with one sentence when it fails. Takes up to five seconds: not for the screen's thread.
    """
    run_named([*words, showable(says, 200)], "The horn")
