"""The developer's one word: `python -m tests check` runs what CI runs; `--quick` what answers in seconds.

A module of its own and no task runner: it needs nothing that the test extra does not bring, works on every
system, and `.ci/run` and the pre-commit hooks call the same steps, so that they cannot drift apart.

    python -m tests check            # format, lint, strict types, known holes, lowest versions, all tests
    python -m tests check --quick    # format, lint, types, house rules, the domain's tests but the slowest
    python -m tests check --ci       # as in CI: the other Pythons too, and the tests by README's own command
    python -m tests check --lock     # likewise; .ci/tested.txt then says with which versions
"""

from __future__ import annotations

import argparse
import json
import os
import re
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

ROOT = Path(__file__).parents[1]
#: Least share of branches and lines of planner/ that the tests run through [%]; 96 % measured, November 2026.
COVERED = 95
COVERAGE = [
    "--cov=planner",
    "--cov-branch",
    "--cov-report=term:skip-covered",
    f"--cov-fail-under={COVERED}",
]
#: The Pythons that the package says it runs on; each that the machine has runs `MATRIX` in a venv of its own.
PYTHONS = ("3.11", "3.12", "3.13")
MATRIX = ["-q", "tests/test_house.py", "tests/domain", "tests/flow"]
Step = tuple[str, list[str]]
EDGES: list[Step] = [
    ("format", ["ruff", "format", "--check", "."]),
    ("lint", ["ruff", "check", "."]),
    ("types", ["mypy"]),
]
#: Laws over hundreds of take-offs and seasons of refits take half of the time: not in the quick answer.
SLOW = [f"--ignore=tests/domain/{name}.py" for name in ("quantities/test_takeoff_laws", "hours/test_refit")]
QUICK: list[Step] = [
    *EDGES,
    (
        "house and domain",
        ["pytest", "-q", "tests/test_house.py", "tests/domain", "tests/test_examples.py", *SLOW],
    ),
]
TESTS: list[Step] = [("tests with coverage", ["pytest", "-q", *COVERAGE])]
#: The versions with which all passed: `pip install -c .ci/tested.txt -e '.[test]'` gives them again.
LOCK = ROOT / ".ci" / "tested.txt"


def run(steps: list[Step]) -> int:
    """Run the steps until one fails; its exit code, or 0."""
    for name, words in steps:
        began = time.monotonic()
        code = subprocess.run([sys.executable, "-m", *words], cwd=ROOT, check=False).returncode
        print(f"{'ok' if code == 0 else 'FAILED'}  {name}  {time.monotonic() - began:.0f} s", flush=True)
        if code:
            return code
    return 0


def interpreter(version: str) -> str | None:
    """A Python of that version on this machine: on the path, else among pyenv's; None when there is none."""
    kept = Path(os.environ.get("PYENV_ROOT", Path.home() / ".pyenv")) / "versions"
    for place in (f"python{version}", *sorted(map(str, kept.glob(f"{version}.*/bin/python3")))):
        try:
            asked = [place, "-c", "import sys; print('%d.%d' % sys.version_info[:2])"]
            told = subprocess.run(asked, capture_output=True, text=True, check=False, cwd=ROOT).stdout
        except OSError:
            continue
        if told.strip() == version:
            return place
    return None


def other_pythons() -> int:
    """Install the package for each other Python and run `MATRIX` there; an exit code."""
    for version in PYTHONS:
        if version == f"{sys.version_info[0]}.{sys.version_info[1]}":
            continue
        found = interpreter(version)
        if found is None:
            print(f"--  Python {version}: this machine has none, so nothing is said of it", flush=True)
            continue
        if code := matrix_in(f"Python {version}", found, lambda python: [python, "-m", "pip", "install"]):
            return code
    return 0


def matrix_in(name: str, maker: str, install: Callable[[str], list[str]]) -> int:
    """Make a venv with the Python `maker`, install the package by the words that `install` gives for the
    venv's Python, and run `MATRIX` there; an exit code."""
    venv = ROOT / "build" / name.lower().replace(" ", "-")
    python = str(venv / "bin" / "python")
    began = time.monotonic()
    for words in (
        [maker, "-m", "venv", "--clear", str(venv)],
        [*install(python), "-q", "-e", ".[test]"],
        [python, "-m", "pytest", *MATRIX],
    ):
        code = subprocess.run(words, cwd=ROOT, check=False).returncode
        if code:
            print(f"FAILED  {name}: {' '.join(words[1:])}", flush=True)
            return code
    print(f"ok  {name}  {time.monotonic() - began:.0f} s", flush=True)
    return 0


def lowest_versions() -> int:
    """Install the lowest version of each dependency that pyproject.toml allows, and run `MATRIX` with it."""
    uv = [sys.executable, "-m", "uv", "pip", "install", "--resolution", "lowest-direct", "--python"]
    return matrix_in("lowest versions", sys.executable, lambda python: [*uv, python])


def installed() -> list[str]:
    """What is installed beside the planner, like "rich==15.0.0"."""
    words = [
        sys.executable,
        "-m",
        "uv",
        "pip",
        "freeze",
        "--python",
        sys.executable,
        "--exclude-editable",
        "-q",
    ]
    return subprocess.run(words, capture_output=True, text=True, check=True, cwd=ROOT).stdout.splitlines()


def known_holes() -> int:
    """Published advisories about what is installed; 1 when there is one. No data, no word."""
    with tempfile.TemporaryDirectory() as folder:
        listed = Path(folder) / "installed.txt"
        listed.write_text("".join(f"{line}\n" for line in installed()), "utf-8")
        words = ["pip_audit", "-r", str(listed), "--no-deps", "--disable-pip", "-f", "json"]
        words += ["--progress-spinner", "off"]
        done = subprocess.run([sys.executable, "-m", *words], capture_output=True, text=True, check=False)
    try:
        found = json.loads(done.stdout)["dependencies"]
    except ValueError:
        found = []
    asked = [d for d in found if "vulns" in d]
    for each in asked:
        for hole in each["vulns"]:
            fixed = ", ".join(hole["fix_versions"]) or "no version yet"
            print(f"FAILED  {each['name']} {each['version']}: {hole['id']}; fixed in {fixed}", flush=True)
    if not asked:
        print("--  known holes: the advisories cannot be reached from here, so nothing is said of them")
        return 0
    holes = any(each["vulns"] for each in asked)
    print(f"{'FAILED' if holes else 'ok'}  known holes: {len(asked)} of {len(found)} packages", flush=True)
    return int(holes)


def say_what_differs() -> None:
    """How the versions here differ from those of the lock: a failure may come from there."""
    told = LOCK.read_text("utf-8").splitlines() if LOCK.is_file() else []
    kept = dict(line.split("==", 1) for line in told if "==" in line)
    here = dict(line.split("==", 1) for line in installed() if "==" in line)
    other = [
        f"{name} {kept[name]} -> {here[name]}" for name in kept if here.get(name, kept[name]) != kept[name]
    ]
    print(f"--  {len(other)} packages differ from {LOCK.name}: {', '.join(other) or 'none'}", flush=True)


def write_lock() -> None:
    """Keep the versions with which everything passed."""
    head = "# Versions that the tests run with; `python -m tests check --lock` keeps them when all passed.\n"
    LOCK.write_text(head + "".join(f"{line}\n" for line in installed()), "utf-8")


def whole() -> int:
    """Everything on this Python."""
    say_what_differs()
    return run(EDGES) or known_holes() or lowest_versions() or run(TESTS)


def as_in_ci() -> int:
    """The edges, known holes, the other Pythons, then README's test command word for word, with coverage."""
    say_what_differs()
    code = run(EDGES) or known_holes() or lowest_versions() or other_pythons()
    if code:
        return code
    readme = (ROOT / "README.md").read_text("utf-8")
    command = re.search(r"^python3 -m venv .*pytest$", readme, re.MULTILINE)
    if command is None:
        print("FAILED  README.md: its test command is not found")
        return 1
    print(f"ci: {command[0]}", flush=True)
    told = {**os.environ, "PYTEST_ADDOPTS": " ".join(COVERAGE)}
    return subprocess.run(["bash", "-c", command[0]], cwd=ROOT, env=told, check=False).returncode


def main() -> int:
    """Read the words and run the steps."""
    ask = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    ask.add_argument("what", choices=["check"])
    which = ask.add_mutually_exclusive_group()
    which.add_argument("--quick", action="store_true", help="only what answers in seconds")
    which.add_argument(
        "--lock", action="store_true", help="when all passed, keep the versions in .ci/tested.txt"
    )
    which.add_argument("--ci", action="store_true", help="as in CI; its last lines are pytest's")
    asked = ask.parse_args()
    if asked.ci:
        return as_in_ci()
    code = run(QUICK) if asked.quick else whole()
    if asked.lock and code == 0:
        write_lock()
    return code


if __name__ == "__main__":
    sys.exit(main())
