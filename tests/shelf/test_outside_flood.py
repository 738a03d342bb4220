"""A command of the settings that never stops talking fills no memory and holds nothing up."""

from __future__ import annotations

import resource
import sys

import pytest

from workshop.errors import ShopError
from workshop.shelf.outside import MOST_BYTES, run_named


def test_only_the_beginning_of_what_a_command_says_is_kept() -> None:
    before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    said = run_named(
        [sys.executable, "-c", "import sys\nfor _ in range(3000): sys.stdout.write('x' * 65536)"], "it"
    )
    assert said == "x" * MOST_BYTES
    assert resource.getrusage(resource.RUSAGE_SELF).ru_maxrss - before < 64 * 1024


def test_one_that_talks_for_ever_is_ended() -> None:
    with pytest.raises(ShopError, match="took over"):
        run_named([sys.executable, "-c", "while True: print('x' * 65536)"], "the horn", longest_s=0.5)
    with pytest.raises(ShopError, match="took over"):
        run_named(
            [sys.executable, "-c", "import sys, time; sys.stdout.close(); time.sleep(60)"],
            "it",
            longest_s=0.5,
        )
