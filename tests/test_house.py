"""The house: which room may import which, and that start-up stays light. Read from the source, not run."""

from __future__ import annotations

import ast
import os
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
ROOMS = ("cli", "flow", "store", "schedule", "report", "domain")
MAY = {
    "cli": {"cli", "flow", "report", "domain"},
    "flow": {"flow", "store", "schedule", "domain"},
    "store": {"store", "domain"},
    "schedule": {"schedule", "domain"},
    "report": {"report", "domain"},
    "domain": {"domain"},
}
#: Third-party libraries that only these rooms may know.
OWN = {
    "ortools": {"schedule"},
    "sqlalchemy": {"store"},
    "alembic": {"store"},
    "rich": {"report", "cli"},
    "jinja2": {"report"},
    "icalendar": {"report"},
    "typer": {"cli"},
    "shapely": {"domain", "report"},  # the drawing places its labels inside the outline
    "holidays": {"domain"},
    "psycopg": {"store"},
}


def modules() -> list[Path]:
    return sorted((ROOT / "planner").rglob("*.py"))


def imports(path: Path, *, top_only: bool = False) -> Iterator[str]:
    tree = ast.parse(path.read_text("utf-8"))
    nodes = tree.body if top_only else ast.walk(tree)
    for node in nodes:
        if isinstance(node, ast.Import):
            yield from (alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom) and node.module:
            yield node.module
            yield from (f"{node.module}.{alias.name}" for alias in node.names)


def room_of(path: Path) -> str | None:
    part = path.relative_to(ROOT / "planner").parts[0]
    return part if part in ROOMS else None


@pytest.mark.parametrize("path", modules(), ids=lambda p: str(p.relative_to(ROOT)))
def test_rooms_import_one_way(path: Path) -> None:
    room = room_of(path)
    if room is None:
        return
    for name in imports(path):
        parts = name.split(".")
        if parts[0] == "planner" and len(parts) > 1 and parts[1] in ROOMS:
            assert parts[1] in MAY[room], f"{path.name} ({room}) imports {name}"
        if parts[0] in OWN:
            assert room in OWN[parts[0]], f"{path.name} ({room}) imports {name}"


@pytest.mark.parametrize("path", sorted((ROOT / "planner" / "cli").glob("*.py")), ids=lambda p: p.name)
def test_command_modules_stay_light(path: Path) -> None:
    allowed = {"planner", "typer", *sys.stdlib_module_names}
    for name in imports(path, top_only=True):
        parts = name.split(".")
        assert parts[0] in allowed, f"{path.name} imports {name} at its top"
        if parts[0] == "planner" and len(parts) > 1:
            assert parts[1] in {"__version__", "errors", "cli"}, f"{path.name} imports {name} at its top"


def test_no_import_cycle_between_modules() -> None:
    graph: dict[str, set[str]] = {}
    for path in modules():
        name = ".".join(path.relative_to(ROOT).with_suffix("").parts).removesuffix(".__init__")
        graph[name] = {i for i in imports(path, top_only=True) if i.startswith("planner.")}
    state: dict[str, int] = {}

    def visit(name: str, trail: tuple[str, ...]) -> None:
        if state.get(name) == 2:
            return
        assert state.get(name) != 1, f"import cycle: {' -> '.join((*trail, name))}"
        state[name] = 1
        for target in graph.get(name, ()):
            if target in graph and target != name:
                visit(target, (*trail, name))
        state[name] = 2

    for name in graph:
        visit(name, ())


def loaded_by(words: str, watched: set[str], env: dict[str, str]) -> set[str]:
    """Which of the watched modules one command imports, in a process of its own."""
    code = (
        f"import sys; from planner.cli.main import main; code = main({words.split()!r}); "
        f"sys.stderr.write('LOADED ' + ' '.join(sorted({watched!r} & set(sys.modules)))); sys.exit(code)"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True, env=env)
    return set(done.stderr.rpartition("LOADED ")[2].split())


HEAVY = {"ortools", "numpy", "pandas", "alembic", "shapely", "jinja2", "icalendar"}


def test_help_loads_no_heavy_library() -> None:
    watched = HEAVY | {"sqlalchemy", "rich.table", "holidays", "pydantic"}
    assert loaded_by("-h", watched, dict(os.environ)) == set()


@pytest.mark.parametrize("words", ["board", "sheet North 2027-04-05", "today", "job list"])
def test_reading_commands_load_no_solver_and_no_geometry(planned: Path, words: str) -> None:
    here = {"PLANNER_DB": str(planned / "season.sqlite3"), "PLANNER_NOW": "2027-04-05T06:45"}
    assert loaded_by(words, HEAVY, {**os.environ, **here}) == set()
