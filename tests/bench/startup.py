"""Start-up and everyday commands as ratios to `python -c pass`: `python -m tests.bench.startup [DB]`.

Machines are noisy: only ratios of medians of one interleaved run are told. DB is a database with a plan (the
demo's by default).
"""

from __future__ import annotations

import json
import os
import statistics
import subprocess
import sys
import time
from pathlib import Path

ROUNDS = 15
PLANNER = (sys.executable, "-m", "planner.cli.main")
CASES: dict[str, tuple[str, ...]] = {
    "python -c pass": (sys.executable, "-c", "pass"),
    "help": (*PLANNER, "-h"),
    "today": PLANNER,
    "board": (*PLANNER, "board"),
    "day sheet": (*PLANNER, "sheet", "Heron"),
    "job list": (*PLANNER, "job", "list"),
    "office": (*PLANNER, "office", "list"),
}


def seconds(command: tuple[str, ...], env: dict[str, str]) -> float:
    """Wall time of one run [s]; a failing command stops the benchmark."""
    start = time.perf_counter()
    subprocess.run(command, env=env, check=True, capture_output=True)
    return time.perf_counter() - start


def measure(db: str) -> dict[str, float]:
    """Case -> median time over the median of `python -c pass`, runs interleaved."""
    env = {**os.environ, "PLANNER_DB": db, "PLANNER_NOW": "2027-05-03T06:45"}
    times: dict[str, list[float]] = {name: [] for name in CASES}
    for _ in range(ROUNDS):
        for name, command in CASES.items():
            times[name].append(seconds(command, env))
    base = statistics.median(times["python -c pass"])
    return {name: round(statistics.median(found) / base, 1) for name, found in times.items()}


if __name__ == "__main__":
    default = Path(__file__).parents[2] / "demo-out" / "season.sqlite3"
    ratios = measure(sys.argv[1] if len(sys.argv) > 1 else str(default))
    print(json.dumps(ratios, indent=2))
