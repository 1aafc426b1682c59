"""The developer's one word: `python -m tests check` runs what CI runs; `--quick` what answers in seconds.

A module of its own and no task runner: it needs nothing that the test extra does not bring, works on every
system, and `.ci/run` and the pre-commit hooks call the same steps, so that they cannot drift apart.

    python -m tests check            # format, lint, strict types, house rules, all tests with branch coverage
    python -m tests check --quick    # format, lint, types, house rules, the domain's tests
"""

from __future__ import annotations

import argparse
import subprocess
import sys
import time
from pathlib import Path

ROOT = Path(__file__).parents[1]
#: Least share of branches and lines of planner/ that the tests run through [%].
COVERED = 95
Step = tuple[str, list[str]]
EDGES: list[Step] = [
    ("format", ["ruff", "format", "--check", "."]),
    ("lint", ["ruff", "check", "."]),
    ("types", ["mypy"]),
]
QUICK: list[Step] = [
    *EDGES,
    ("house and domain", ["pytest", "-q", "tests/test_house.py", "tests/domain", "tests/test_examples.py"]),
]
WHOLE: list[Step] = [
    *EDGES,
    (
        "tests with coverage",
        [
            "pytest",
            "-q",
            "--cov=planner",
            "--cov-branch",
            "--cov-report=term:skip-covered",
            f"--cov-fail-under={COVERED}",
        ],
    ),
]


def run(steps: list[Step]) -> int:
    """Run the steps until one fails; its exit code, or 0."""
    for name, words in steps:
        began = time.monotonic()
        code = subprocess.run([sys.executable, "-m", *words], cwd=ROOT, check=False).returncode
        print(f"{'ok' if code == 0 else 'FAILED'}  {name}  {time.monotonic() - began:.0f} s", flush=True)
        if code:
            return code
    return 0


def main() -> int:
    """Read the words and run the steps."""
    ask = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    ask.add_argument("what", choices=["check"])
    ask.add_argument("--quick", action="store_true", help="only what answers in seconds")
    asked = ask.parse_args()
    return run(QUICK if asked.quick else WHOLE)


if __name__ == "__main__":
    sys.exit(main())
