"""Which form of notices the terminal knows, if any: it says so itself, or the maker does.

The control string OSC 99 has a question of its own that a terminal which knows it answers; all terminals
answer the question what they are, which is put right after it, so that no answer need be waited for long.
For OSC 9 and 777 there is no such question: WORKSHOP_NOTICES=9 or 777 says that the terminal has them.
"""

from __future__ import annotations

import contextlib
import os
import select
import sys
import time
from collections.abc import Mapping

FORMS = ("9", "777", "99")
SAID = "WORKSHOP_NOTICES"
QUESTION = b"\x1b]99;i=workshop-asks:p=?;\x1b\\\x1b[c"
WAIT_S = 0.15
LAYERED = ("TMUX", "STY", "SSH_CONNECTION")
"""Where a terminal stands behind another program or a line, its answer may come late or not at all."""


def form_known(environ: Mapping[str, str]) -> str:
    """Return the form of notices that the terminal on standard input and output knows, "" for none."""
    said = environ.get(SAID, "").strip()
    if said:
        return said if said in FORMS else ""
    if any(environ.get(name) for name in LAYERED) or environ.get("TERM", "") in ("", "dumb", "linux"):
        return ""
    if not (sys.stdin.isatty() and sys.stdout.isatty()):
        return ""
    with contextlib.suppress(OSError, ValueError, ImportError):
        return "99" if knows_99(asked(sys.stdin.fileno(), sys.stdout.fileno())) else ""
    return ""


def knows_99(answer: bytes) -> bool:
    """Whether an answer has the terminal's own to the question about OSC 99."""
    return b"\x1b]99;" in answer and b"p=" in answer.partition(b"\x1b]99;")[2]


def asked(reads: int, writes: int, wait_s: float = WAIT_S) -> bytes:
    """Ask the terminal and return what it answered until it said what it is, or the time was over."""
    import termios
    import tty

    kept = termios.tcgetattr(reads)
    answer = b""
    try:
        tty.setcbreak(reads, termios.TCSANOW)
        os.write(writes, QUESTION)
        until = time.monotonic() + wait_s
        while (left := until - time.monotonic()) > 0 and not _ended(answer):
            if not select.select([reads], [], [], left)[0]:
                break
            answer += os.read(reads, 1024)
    finally:
        termios.tcsetattr(reads, termios.TCSANOW, kept)
    return answer


def _ended(answer: bytes) -> bool:
    """Whether the terminal has said what it is: CSI ? … c."""
    head, _, tail = answer.rpartition(b"\x1b[?")
    return bool(head or tail) and b"\x1b[?" in answer and b"c" in tail
