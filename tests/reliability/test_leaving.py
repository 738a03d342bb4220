"""However the bench is made to leave, it saves first and leaves the terminal as it was."""

from __future__ import annotations

import signal
from pathlib import Path

import pytest
from trial_ground import Bench, new_shelf, says

pytestmark = pytest.mark.screen


@pytest.mark.parametrize("how", [signal.SIGINT, signal.SIGTERM, signal.SIGHUP, "\x03", "q"])
def test_every_way_out_saves_and_restores_the_terminal(tmp_path: Path, how: signal.Signals | str) -> None:
    folder = tmp_path / "shelf"
    new_shelf(folder)
    bench = Bench(folder)
    bench.until("what is this")
    bench.note("the last one.")
    bench.until("done: the last one.")
    if isinstance(how, str):
        bench.press(how)
    else:
        bench.process.send_signal(how)
    bench.quiet()
    assert bench.process.wait(30) == 0
    assert says(folder)[-1] == "the last one."
    for on, off in ((b"\x1b[?1049h", b"\x1b[?1049l"), (b"\x1b[?25l", b"\x1b[?25h")):
        assert bench.raw.rfind(off) > bench.raw.rfind(on)
    bench.end()
