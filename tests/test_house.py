"""The house: which room may import which, and that start-up stays light. Read from the source, not run."""

from __future__ import annotations

import ast
import os
import subprocess
import sys
from collections import Counter
from collections.abc import Iterator
from pathlib import Path
from statistics import median

import pytest

ROOT = Path(__file__).parents[1]
TESTS = ROOT / "tests"
ROOMS = ("web", "cli", "flow", "store", "schedule", "report", "domain")
MAY = {
    "web": {"web", "flow", "report", "domain"},
    "cli": {"cli", "flow", "report", "domain", "web"},
    "flow": {"flow", "store", "schedule", "domain"},
    "store": {"store", "domain"},
    "schedule": {"schedule", "domain"},
    "report": {"report", "domain"},
    "domain": {"domain"},
}
#: Third-party libraries that only these rooms may know.
OWN = {
    "ortools": {"schedule"},
    "numba": {"schedule"},
    "sqlalchemy": {"store"},
    "alembic": {"store"},
    "rich": {"report", "cli", "web"},
    "jinja2": {"report", "web"},
    "icalendar": {"report"},
    "typer": {"cli"},
    "starlette": {"web"},
    "uvicorn": {"web"},
    "segno": {"report"},
    "argon2": {"web"},
    "PIL": {"store"},
    "tomli_w": {"domain"},
    "shapely": {"domain", "report"},  # the drawing places its labels inside the outline
    "holidays": {"domain"},
    "dateutil": {"domain"},  # rules of RFC 5545
    "psycopg": {"store"},
}


#: The rooms of each wing, from the ground up: a room may ask those before it, and the modules on the landing.
ORDER = {
    "domain": (
        "firm",
        "safety",
        "design",
        "quantities",
        "estimate",
        "season",
        "standing",
        "forecast",
        "crew_day",
        "hours",
        "office",
    ),
    "schedule": ("model", "kernel", "cpsat", "search", "answers"),
    "store": ("shipped", "schema", "tables", "safekeeping"),
    "flow": ("stored", "keeping", "design", "estimate", "crew_day", "forecast", "hours", "season", "office"),
    "report": ("keeping", "design", "estimate", "crew_day", "hours", "season", "forecast", "office"),
    "web": ("keeping", "design", "estimate", "crew_day", "office", "season"),
    "cli": ("keeping", "design", "estimate", "crew_day", "hours", "season", "forecast", "office"),
}
#: Modules on a wing's landing, outside its rooms: what every room of the wing may need, or its door.
LANDING = {
    "web": {"app", "desk", "guard", "keys", "render", "seen", "serve", "work"},
    "domain": {"dates", "places", "plain", "spelling", "wording"},
    "schedule": {"door", "solve"},
    "store": {"books", "engine", "server", "trouble", "turns"},
    "flow": set(),
    "report": {"cells", "pages", "terminal", "wording"},
    "cli": {"complete", "edge", "main", "options", "pages", "refusals", "streams"},
}
MOST_FILES_IN_A_FOLDER = 20
MOST_LINES_OF_A_MODULE = 450
MEDIAN_LINES_OF_A_MODULE = 150
MOST_LINES_OF_A_FUNCTION = 60
#: How many rooms one file of tests may reach into. What counts: a room whose module the file imports. What
#: does not: the nouns that everything is said in (`SHARED`), the shipped defaults, landings, units, errors,
#: and what a helper of the tests reaches for itself. Only the tests of the whole ring may reach further.
MOST_ROOMS_OF_A_TEST = 3
SHARED = ("domain.firm.", "domain.season.plan.", "domain.season.season.", "store.shipped.")
WHOLE_RING = ("end_to_end", "agreement", "bench")


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
        if parts[:2] == ["planner", "web"] and room == "cli":
            assert path.name == "open.py", f"{path.name} imports {name}: only `planner open` starts the pages"
        if parts[0] in OWN:
            assert room in OWN[parts[0]], f"{path.name} ({room}) imports {name}"


@pytest.mark.parametrize("path", modules(), ids=lambda p: str(p.relative_to(ROOT)))
def test_every_module_stands_in_a_room_and_asks_only_rooms_below(path: Path) -> None:
    wing = room_of(path)
    if wing is None:
        return
    place = path.relative_to(ROOT / "planner" / wing)
    if len(place.parts) == 1:
        assert place.stem in LANDING[wing] | {"__init__"}, f"{path} stands in no room of {wing}"
        return
    order, room = ORDER[wing], place.parts[0]
    assert len(place.parts) == 2, f"{path} lies in a room inside a room"
    assert room in order, f"{room} is no declared room of {wing}"
    for name in imports(path):
        parts = name.split(".")
        if parts[:2] == ["planner", wing] and len(parts) > 2 and parts[2] in order:
            assert order.index(parts[2]) <= order.index(room), f"{path.name} ({room}) asks {name} above it"


@pytest.mark.parametrize("room", [f"{wing}/{room}" for wing, rooms in ORDER.items() for room in rooms])
def test_every_room_has_a_sign(room: str) -> None:
    text = (ROOT / "planner" / room / "__init__.py").read_text("utf-8")
    tree = ast.parse(text)
    sign = ast.get_docstring(tree) or ""
    assert len(tree.body) == 1, f"{room}: an __init__ holds its sign and nothing else"
    assert "?" in sign.splitlines()[0], f"{room}: the sign's first line is the question that the room answers"
    for word in ("In:", "Out:", "May ask:"):
        assert word in sign, f"{room}: the sign does not say {word!r}"


def test_no_folder_is_crowded() -> None:
    tops = ("planner", "migrations", "seed_demo", "tests")
    kept = [
        p for top in tops for p in (ROOT / top).rglob("*") if p.is_file() and "__pycache__" not in p.parts
    ]
    folders = Counter(p.parent.relative_to(ROOT).as_posix() for p in kept)
    crowded = {folder: n for folder, n in folders.items() if n > MOST_FILES_IN_A_FOLDER}
    assert not crowded, f"folders with more than {MOST_FILES_IN_A_FOLDER} files: {crowded}"


def measured() -> list[Path]:
    return [p for p in modules() if p.name != "__init__.py"]


def test_no_module_is_long() -> None:
    lines = {p: len(p.read_text("utf-8").splitlines()) for p in measured()}
    long = {str(p.relative_to(ROOT)): n for p, n in lines.items() if n > MOST_LINES_OF_A_MODULE}
    assert not long, f"modules of more than {MOST_LINES_OF_A_MODULE} lines: {long}"
    assert median(lines.values()) < MEDIAN_LINES_OF_A_MODULE


def test_no_function_is_long() -> None:
    long = {
        f"{path.relative_to(ROOT)}: {node.name}": node.end_lineno - node.lineno + 1
        for path in measured()
        for node in ast.walk(ast.parse(path.read_text("utf-8")))
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef)
        and node.end_lineno is not None
        and node.end_lineno - node.lineno + 1 >= MOST_LINES_OF_A_FUNCTION
    }
    assert not long, f"functions of {MOST_LINES_OF_A_FUNCTION} lines and more: {long}"


@pytest.mark.parametrize(
    "path",
    [
        p
        for p in sorted((ROOT / "tests").rglob("*.py"))
        if p.relative_to(ROOT / "tests").parts[0] not in WHOLE_RING
    ],
    ids=lambda p: str(p.relative_to(ROOT)),
)
def test_no_test_reaches_over_three_rooms(path: Path) -> None:
    names = {name.removeprefix("planner.") for name in imports(path) if name.startswith("planner.")}
    own = [name.split(".") for name in names if not f"{name}.".startswith(SHARED)]
    reached = {"/".join(parts[:2]) for parts in own if len(parts) > 1 and parts[1] in ORDER.get(parts[0], ())}
    assert len(reached) <= MOST_ROOMS_OF_A_TEST, f"{path} reaches into {sorted(reached)}"


@pytest.mark.parametrize("path", sorted((ROOT / "planner" / "cli").rglob("*.py")), ids=lambda p: p.name)
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
