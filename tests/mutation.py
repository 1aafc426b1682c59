"""Break the code on purpose, one place at a time, and see which tests notice: `python -m tests.mutation`.

The decisions that matter (`DECISIONS`) are read, and seeded places in them are changed: a comparison turned
or its bound moved, `and` for `or`, `+` for `-`, `min` for `max`, a `not` left out, a number one more, True
for False, a sort left out. Each mutant lives in a copy of the tree; the tests that run through the changed
line (known from one run with coverage contexts) are run until one fails. What no test notices is printed.

    python -m tests.mutation --touch             # after tests changed: which test runs through which line
    python -m tests.mutation --places 200 --seed 1
    python -m tests.mutation --only breaches --places 40
"""

from __future__ import annotations

import argparse
import ast
import copy
import os
import random
import shutil
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from pathlib import Path

ROOT = Path(__file__).parents[1]
TOUCHED = ROOT / ".coverage.touched"
#: Where a wrong branch costs a promise, a dollar or a finger.
DECISIONS = (
    "domain/season/breaches.py",
    "domain/season/cost.py",
    "domain/standing/in_force.py",
    "domain/standing/locate_standing.py",
    "domain/standing/locate_gates.py",
    "domain/standing/stale.py",
    "domain/standing/standing.py",
    "domain/season/works.py",
    "domain/estimate/spread.py",
    "domain/hours/refit.py",
    "domain/hours/fitting.py",
    "domain/hours/logbook.py",
    "domain/hours/returns.py",
    "domain/crew_day/returned.py",
    "domain/office/items.py",
    "domain/office/locates.py",
    "domain/office/supplies.py",
    "domain/office/people.py",
    "domain/office/events.py",
    "domain/office/morning.py",
    "domain/safety/locate.py",
    "domain/crew_day/misses.py",
    "domain/crew_day/ready.py",
    "domain/crew_day/daysheet.py",
    "domain/forecast/slack.py",
    "flow/season/plans.py",
    "store/books.py",
)
TURNED: dict[type[ast.cmpop], type[ast.cmpop]] = {
    ast.Lt: ast.LtE,
    ast.LtE: ast.Lt,
    ast.Gt: ast.GtE,
    ast.GtE: ast.Gt,
    ast.Eq: ast.NotEq,
    ast.NotEq: ast.Eq,
    ast.In: ast.NotIn,
    ast.NotIn: ast.In,
    ast.Is: ast.IsNot,
    ast.IsNot: ast.Is,
}
OTHER: dict[type[ast.operator], type[ast.operator]] = {ast.Add: ast.Sub, ast.Sub: ast.Add, ast.Mult: ast.Div}
NAMES = {"min": "max", "max": "min", "any": "all", "all": "any", "sorted": "list", "ceil": "floor"}
MOST_TESTS = 60
PATIENCE_S = 180


@dataclass(frozen=True)
class Mutant:
    """One change: file (from planner/), line, what it was and became, the file's new text."""

    file: str
    line: int
    what: str
    text: str


def _changed(node: ast.AST) -> Iterator[tuple[str, ast.AST]]:
    """What one node may become, with the change in words."""
    new = copy.deepcopy(node)
    if isinstance(node, ast.Compare) and isinstance(new, ast.Compare) and type(node.ops[0]) in TURNED:
        new.ops = [TURNED[type(node.ops[0])](), *new.ops[1:]]
        yield "comparison", new
    elif isinstance(node, ast.BoolOp) and isinstance(new, ast.BoolOp):
        new.op = ast.Or() if isinstance(node.op, ast.And) else ast.And()
        yield "and/or", new
    elif isinstance(node, ast.BinOp) and isinstance(new, ast.BinOp) and type(node.op) in OTHER:
        new.op = OTHER[type(node.op)]()
        yield "arithmetic", new
    elif isinstance(node, ast.UnaryOp) and isinstance(node.op, ast.Not):
        yield "not left out", copy.deepcopy(node.operand)
    elif isinstance(node, ast.Constant) and isinstance(new, ast.Constant):
        if isinstance(node.value, bool):
            new.value = not node.value
            yield "True/False", new
        elif isinstance(node.value, int | float):
            new.value = node.value + 1
            yield "number", new
    elif isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id in NAMES:
        assert isinstance(new, ast.Call)
        new.func = ast.Name(NAMES[node.func.id], ast.Load())
        if node.func.id in {"sorted", "ceil"}:
            new.keywords = []
        yield f"{node.func.id} -> {NAMES[node.func.id]}", new


def mutants(file: str) -> list[Mutant]:
    """Every mutant of one file: only inside functions, never in docstrings, messages or annotations."""
    text = (ROOT / "planner" / file).read_text("utf-8")
    lines = text.splitlines(keepends=True)
    found: list[Mutant] = []
    for function in ast.walk(ast.parse(text)):
        if not isinstance(function, ast.FunctionDef):
            continue
        for node in (n for statement in function.body for n in ast.walk(statement)):
            if not isinstance(node, ast.expr) or node.lineno != node.end_lineno:
                continue
            for what, new in _changed(node):
                line = lines[node.lineno - 1]
                raw = line.encode()
                was = raw[node.col_offset : node.end_col_offset]
                now = f"({ast.unparse(new)})".encode()
                told = (raw[: node.col_offset] + now + raw[node.end_col_offset :]).decode()
                whole = "".join([*lines[: node.lineno - 1], told, *lines[node.lineno :]])
                try:
                    compile(whole, file, "exec")
                except SyntaxError:
                    continue
                words = f"{what}: {was.decode()} -> {now.decode()}"
                found.append(Mutant(file, node.lineno, words, whole))
    return list({(m.line, m.what): m for m in found}.values())


def touching(seen: object, mutant: Mutant) -> list[str]:
    """The tests that run through the mutant's line, those of its own room first."""
    by_line = seen.contexts_by_lineno(str(ROOT / "planner" / mutant.file))  # type: ignore[attr-defined]
    tests = sorted({name.partition("|")[0] for name in by_line.get(mutant.line, ()) if name})
    room = "/".join(Path(mutant.file).parts[:-1])
    stem = Path(mutant.file).stem
    own = [t for t in tests if f"test_{stem}" in t]
    near = [t for t in tests if t not in own and room in t]
    rest = [t for t in tests if t not in own and t not in near]
    random.Random(len(tests)).shuffle(rest)
    return [*own, *near, *rest][:MOST_TESTS]


def noticed(mutant: Mutant, tests: list[str], tree: Path) -> bool:
    """Run the tests on the mutant in `tree`; True when one fails (or never ends)."""
    path = tree / "planner" / mutant.file
    kept = path.read_text("utf-8")
    path.write_text(mutant.text, "utf-8")
    words = [
        sys.executable,
        "-m",
        "pytest",
        "-x",
        "-q",
        "-n",
        "0",
        "-p",
        "no:cacheprovider",
        "--no-header",
        *tests,
    ]
    try:
        done = subprocess.run(
            words,
            cwd=tree,
            capture_output=True,
            timeout=PATIENCE_S,
            check=False,
            env={**os.environ, "PYTHONPATH": str(tree), "PYTHONDONTWRITEBYTECODE": "1"},
        )
    except subprocess.TimeoutExpired:
        return True
    finally:
        path.write_text(kept, "utf-8")
    return done.returncode == 1


def touch() -> int:
    """Run the tests once with coverage contexts, so that each line knows its tests."""
    words = [
        "pytest",
        "-q",
        "--cov=planner",
        "--cov-context=test",
        "--cov-report=",
        "-m",
        "not browser and not postgres",
    ]
    return subprocess.run(
        [sys.executable, "-m", *words],
        cwd=ROOT,
        check=False,
        env={**os.environ, "COVERAGE_FILE": str(TOUCHED)},
    ).returncode


def play(chosen: list[Mutant], trees: int) -> tuple[list[Mutant], list[Mutant]]:
    """(mutants that lived, mutants on lines that no test runs through)."""
    from coverage import CoverageData

    seen = CoverageData(str(TOUCHED))
    seen.read()
    plans = [(mutant, touching(seen, mutant)) for mutant in chosen]
    bare = [mutant for mutant, tests in plans if not tests]
    lived: list[Mutant] = []
    began = time.monotonic()
    with tempfile.TemporaryDirectory(prefix="mutants-") as folder:
        places = [Path(folder) / str(i) for i in range(trees)]
        for place in places:
            shutil.copytree(
                ROOT,
                place,
                ignore=shutil.ignore_patterns(".git", ".venv", "__pycache__", "demo-out", ".mypy_cache"),
            )

        def shift(i: int) -> None:
            for n, (mutant, tests) in enumerate(plans[i::trees]):
                if tests and not noticed(mutant, tests, places[i]):
                    lived.append(mutant)
                    print(f"lived  planner/{mutant.file}:{mutant.line}  {mutant.what}", flush=True)
                if n % 10 == 9:
                    print(
                        f"  {n + 1} of {len(plans[i::trees])}, {time.monotonic() - began:.0f} s",
                        file=sys.stderr,
                    )

        with ThreadPoolExecutor(trees) as pool:
            list(pool.map(shift, range(trees)))
    return lived, bare


def main() -> int:
    """The script: choose seeded places, play them, print what lived."""
    ask = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    ask.add_argument("--touch", action="store_true", help="learn anew which test runs through which line")
    ask.add_argument("--places", type=int, default=200)
    ask.add_argument("--seed", type=int, default=1)
    ask.add_argument("--only", default="", help="files whose path holds this")
    ask.add_argument("--trees", type=int, default=2, help="how many at once")
    asked = ask.parse_args()
    if asked.touch or not TOUCHED.exists():
        touch()
    files = [file for file in DECISIONS if asked.only in file]
    everything = [mutant for file in files for mutant in mutants(file)]
    chosen = random.Random(asked.seed).sample(everything, min(asked.places, len(everything)))
    lived, bare = play(chosen, asked.trees)
    for mutant in bare:
        print(f"bare   planner/{mutant.file}:{mutant.line}  {mutant.what}")
    killed = len(chosen) - len(lived) - len(bare)
    print(
        f"{killed} of {len(chosen)} noticed ({killed / len(chosen):.0%}); "
        f"{len(lived)} lived, {len(bare)} on lines without a test"
    )
    return 0


if __name__ == "__main__":
    sys.exit(main())
