"""Nothing lost, nothing obeyed: each trial with a smaller count. Whole: `python tests/reliability/all.py`."""

from __future__ import annotations

from pathlib import Path

import pytest
from trial_ground import NotHere
from trial_list import TRIALS


@pytest.mark.parametrize("name", TRIALS)
def test_nothing_is_lost(name: str, tmp_path: Path) -> None:
    trial, few, _ = TRIALS[name]
    try:
        outcome = trial(tmp_path / "home", few)
    except NotHere as lack:
        pytest.skip(str(lack))
    assert outcome.tried > 0
    assert outcome.bad == [], f"{outcome.what}: {len(outcome.bad)} of {outcome.tried}"
