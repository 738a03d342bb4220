"""All trials, each with how often it is tried in the tests and how often in full (0: everything there is)."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from pathlib import Path

import trial_faults
import trial_grammar
import trial_hostile
import trial_kills
import trial_moving
import trial_places
import trial_poison
import trial_rights
from trial_ground import Outcome

Trial = Callable[[Path, int], Outcome]
TRIALS: dict[str, tuple[Trial, int, int]] = {
    "faults-control": (trial_faults.sweep_naive, 0, 0),
    "faults-command": (trial_faults.sweep_command_line, 30, 0),
    "faults-bench": (trial_faults.sweep_bench, 24, 0),
    "moving-control": (trial_moving.sweep_naive, 12, 120),
    **{
        f"faults-{name}": (partial(trial_moving.sweep, case), 10, 0)
        for name, case in trial_moving.CASES.items()
    },
    "power-control": (trial_kills.power_naive, 3, 20),
    "power-defaults": (partial(trial_kills.power_cuts, options=""), 12, 300),
    "power-noauto": (partial(trial_kills.power_cuts, options="noauto_da_alloc"), 12, 300),
    "kills-desk": (trial_kills.kill_loop, 40, 1000),
    "kills-screen": (trial_kills.kill_screen, 1, 40),
    "four-at-once": (trial_kills.four_at_once, 150, 250),
    "two-windows": (trial_places.two_windows, 20, 200),
    "full-disk": (trial_places.full_disk, 0, 0),
    "read-only": (trial_places.read_only, 0, 0),
    "gone-closed": (trial_places.gone_and_closed, 0, 0),
    "not-root": (trial_rights.rights, 0, 0),
    "wrong-clocks": (trial_places.wrong_clocks, 20, 0),
    "hostile-files": (trial_hostile.files, 0, 0),
    "cut-off": (trial_hostile.truncated, 300, 0),
    "wrong-types": (trial_hostile.wrong_types, 0, 0),
    "mutations": (trial_hostile.mutated, 600, 10_000),
    "own-files": (trial_hostile.own_files, 160, 1500),
    "grammar": (trial_grammar.grammar, 0, 0),
    "names": (trial_hostile.names, 0, 0),
    "poison-commands": (trial_poison.commands, 24, 0),
    "poison-screens": (trial_poison.screens, 1, 0),
}
