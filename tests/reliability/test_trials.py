"""Nothing lost, nothing obeyed: each trial with a smaller count. Whole: `python tests/reliability/all.py`."""

from __future__ import annotations

from pathlib import Path

import pytest
from trial_ground import NotHere
from trial_list import TRIALS

RARELY_LOSES = pytest.mark.xfail(
    reason="editors that know no lock, saving in the same instant: rarely some lines in 600 are lost",
    strict=False,
)
"""Known and open: this trial is red now and then, and must stay in sight until it is green always."""


@pytest.mark.parametrize(
    "name", [pytest.param(one, marks=RARELY_LOSES) if one == "four-at-once" else one for one in TRIALS]
)
def test_nothing_is_lost(name: str, tmp_path: Path) -> None:
    trial, few, _ = TRIALS[name]
    try:
        outcome = trial(tmp_path / "home", few)
    except NotHere as lack:
        pytest.skip(str(lack))
    assert outcome.tried > 0
    assert outcome.bad == [], f"{outcome.what}: {len(outcome.bad)} of {outcome.tried}"
