"""The floors of the house: an import goes down, or sideways inside a room, never up and never in a circle."""

from __future__ import annotations

import ast
from pathlib import Path

import pytest

import workshop

HOUSE = Path(workshop.__file__).parent

GROUND = {"errors", "showable", "units", "grammar", "writing"}
MAY = {
    "errors": set(),
    "showable": set(),
    "units": GROUND,
    "grammar": GROUND,
    "writing": GROUND,
    "measure": GROUND,
    "trade": {"errors"},
    "build": {"trade", "measure"} | GROUND,
    "drawer": {"trade", "measure"} | GROUND,
    "shelf": {"build", "drawer", "trade", "measure"} | GROUND,
    "paper": {"build", "drawer", "trade", "measure"} | GROUND,
    "bench": {"paper", "shelf", "build", "drawer", "trade", "measure"} | GROUND,
    "cli": {"bench", "paper", "shelf", "build", "drawer", "trade", "measure"} | GROUND,
    "__main__": {"cli"},
    "__init__": set(),
}
OUTSIDE = {
    "trade": set(),
    "build": set(),
    "drawer": set(),
    "paper": {"icalendar"},
    "cli": set(),
    "shelf": {"tomli_w", "platformdirs"},
    "measure": set(),
    "units": {"pint"},
    "bench": {"textual", "rich"},
}
LIBRARIES = {"textual", "rich", "pint", "tomli_w", "platformdirs", "icalendar", "numpy", "scipy"}
FILES = sorted(HOUSE.rglob("*.py"))


def room_of(path: Path) -> str:
    inside = path.relative_to(HOUSE).parts
    return inside[0].removesuffix(".py")


def imports(path: Path, text: str) -> list[tuple[int, str]]:
    """Return every module that a file imports anywhere, with its line."""
    found: list[tuple[int, str]] = []
    package = ["workshop", *path.relative_to(HOUSE).parts[:-1]]
    for node in ast.walk(ast.parse(text)):
        if isinstance(node, ast.Import):
            found += [(node.lineno, one.name) for one in node.names]
        elif isinstance(node, ast.ImportFrom):
            base = package[: len(package) - node.level + 1] if node.level else []
            module = ".".join([*base, *([node.module] if node.module else [])])
            if module == "workshop":
                found += [(node.lineno, f"{module}.{one.name}") for one in node.names]
            else:
                found.append((node.lineno, module))
    return found


def faults(path: Path, text: str | None = None) -> list[str]:
    """Return the imports of a file (or of a text that stands for it) that its floor does not allow."""
    room = room_of(path)
    wrong = []
    for line, module in imports(path, path.read_text(encoding="utf-8") if text is None else text):
        top, _, rest = module.partition(".")
        target = rest.partition(".")[0]
        if top == "workshop":
            allowed = target in {"__version__", room} | MAY[room]
        else:
            allowed = top not in LIBRARIES or top in OUTSIDE.get(room, set())
        if not allowed:
            wrong.append(f"{path.relative_to(HOUSE)}:{line}: {room} imports {module}")
    return wrong


def test_every_room_is_known() -> None:
    assert {room_of(path) for path in FILES} - {"recipes"} <= set(MAY)


@pytest.mark.parametrize("room", sorted(MAY))
def test_imports_run_only_down(room: str) -> None:
    wrong = [fault for path in FILES if room_of(path) == room for fault in faults(path)]
    assert not wrong, "\n".join(wrong)


@pytest.mark.parametrize(
    ("room", "text"),
    [
        ("trade", "from workshop.measure import read"),
        ("build", "def late():\n    from workshop.drawer import run"),
        ("drawer", "import workshop.shelf.shelf"),
        ("paper", "from workshop import shelf"),
        ("shelf", "from ..cli import main"),
        ("cli", "import textual.app"),
        ("trade", "import numpy"),
    ],
)
def test_an_import_that_runs_up_is_found(room: str, text: str) -> None:
    assert faults(HOUSE / room / "wrong.py", text)


def test_no_circles_inside_the_house() -> None:
    """Modules that import each other when they are loaded cannot be read one after another."""
    graph: dict[str, set[str]] = {}
    names = {_name(path): path for path in FILES}
    for name, path in names.items():
        tree = ast.parse(path.read_text(encoding="utf-8"))
        graph[name] = {target for target in _loaded(tree) if target in names and target != name}
    done: set[str] = set()

    def walk(name: str, above: tuple[str, ...]) -> None:
        assert name not in above, " -> ".join((*above[above.index(name) :], name))
        if name in done:
            return
        for one in sorted(graph[name]):
            walk(one, (*above, name))
        done.add(name)

    for name in sorted(graph):
        walk(name, ())


def _name(path: Path) -> str:
    parts = ["workshop", *path.relative_to(HOUSE).with_suffix("").parts]
    return ".".join(parts[:-1] if parts[-1] == "__init__" else parts)


def _loaded(tree: ast.Module) -> set[str]:
    """Return what a module imports as it is loaded (not inside functions, not for types only)."""
    found: set[str] = set()
    for node in tree.body:
        if isinstance(node, ast.Import):
            found |= {one.name for one in node.names}
        elif isinstance(node, ast.ImportFrom) and node.module and not node.level:
            found.add(node.module)
            found |= {f"{node.module}.{one.name}" for one in node.names}
    return found
