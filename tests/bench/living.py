"""Repair and promise at 200 jobs as a user sees them, start-up included: `python tests/bench/living.py`.

An invented season of 200 jobs and 6 crews is planned and published; a lost day is repaired, an inquiry is
promised a date, and 1,000 seasons are played, each as a command of its own. User CPU seconds are told beside
wall seconds, because the machine is shared.
"""

from __future__ import annotations

import os
import resource
import subprocess
import sys
import tempfile
import time
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[2]))

from tests.end_to_end.living.conftest import season_db

CASES = (
    ("rain entered", ("lost", "rain", "2027-04-06")),
    ("repair after a lost day", ("replan", "--quick")),
    ("promise for an inquiry", ("promise", "ask", "P-90")),
    ("office list", ("office", "list")),
    ("season line", ("season",)),
    ("1,000 seasons played", ("chance", "show", "--seasons", "1000")),
)


def timed(words: tuple[str, ...]) -> tuple[float, float]:
    """(wall, user CPU) seconds of one command; a refusal ends the benchmark."""
    before = resource.getrusage(resource.RUSAGE_CHILDREN).ru_utime
    start = time.perf_counter()
    subprocess.run((sys.executable, "-m", "planner.cli.main", *words), check=True, capture_output=True)
    wall = time.perf_counter() - start
    return wall, resource.getrusage(resource.RUSAGE_CHILDREN).ru_utime - before


def main() -> None:
    """Make the season, time each case three times, print the best."""
    with tempfile.TemporaryDirectory() as folder:
        location = str(Path(folder) / "season.sqlite3")
        season_db(location, jobs=200, crews=6, machines=6)
        os.environ |= {"PLANNER_DB": location, "PLANNER_NOW": "2027-04-05T06:45", "PLANNER_USER": "bench"}
        timed(("plan", "make", "--seconds", "4"))
        timed(("plan", "publish"))
        for name, words in CASES:
            runs = [timed(words) for _ in range(1 if "lost" in words else 3)]
            wall, cpu = min(runs)
            print(f"{name:26} {wall:6.2f} s wall, {cpu:6.2f} s CPU")


if __name__ == "__main__":
    main()
