"""Run every trial in full and print a table: what was tried, how often, what was lost.

python tests/reliability/all.py            everything; about three quarters of an hour
python tests/reliability/all.py kills-desk names     some of it
"""

from __future__ import annotations

import os
import sys
import tempfile
import time
from pathlib import Path

sys.path[:0] = [str(Path(__file__).resolve().parent), str(Path(__file__).resolve().parent.parent.parent)]

from trial_ground import NotHere, Outcome  # noqa: E402 - the folder is found above
from trial_list import TRIALS  # noqa: E402


def main(names: list[str]) -> int:
    unknown = [name for name in names if name not in TRIALS]
    if unknown:
        sys.stdout.write(f"No trial {', '.join(unknown)}; there are: {', '.join(TRIALS)}\n")
        return 2
    lost = 0
    rows = [("tried", "lost", "seconds", "what")]
    for name in names or TRIALS:
        trial, _, whole = TRIALS[name]
        start = time.monotonic()
        with tempfile.TemporaryDirectory(prefix="trial-", ignore_cleanup_errors=True) as home:
            os.chmod(home, 0o755)  # noqa: PTH101 - one trial looks at it as another user
            try:
                outcome = trial(Path(home) / "home", whole)
            except NotHere as lack:
                outcome = Outcome(f"{name}: left out, {lack}")
            except Exception as error:
                outcome = Outcome(name, bad=[f"the trial itself failed: {type(error).__name__}: {error}"])
        lost += len(outcome.bad)
        took = f"{time.monotonic() - start:.0f}"
        what = f"{outcome.what} ({outcome.note})" if outcome.note else outcome.what
        rows.append((str(outcome.tried), str(len(outcome.bad)), took, what))
        sys.stderr.write(f"{name}: {outcome.tried} tried, {len(outcome.bad)} lost, {took} s\n")
        for line in outcome.bad[:20]:
            sys.stderr.write(f"    {line}\n")
    for row in rows:
        sys.stdout.write(f"{row[0]:>7}  {row[1]:>5}  {row[2]:>8}  {row[3]}\n")
    sys.stdout.write("nothing lost\n" if not lost else f"{lost} lost or wrong\n")
    return 1 if lost else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
