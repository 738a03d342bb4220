"""The trials lie beside the tests and are also run whole by `all.py`: this folder is where they are found."""

from __future__ import annotations

import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parent))
