"""A full season rehearsed through the commands, and the table: `python tests/bench/rehearsal.py [SECONDS]`.

36 ponds, 3 crews, 3 excavators of which one breaks, two sick weeks, three late inquiries, one working day in
eight rained off. SECONDS: search time of each re-plan (2 when left out). All is invented and seeded.
"""

from __future__ import annotations

import contextlib
import io
import json
import os
import sys
import tempfile
from dataclasses import dataclass
from datetime import date, timedelta
from pathlib import Path
from typing import Any

sys.path.insert(0, str(Path(__file__).parents[2]))

from planner.cli.main import main
from tests.end_to_end.living.rehearsal import Script
from tests.end_to_end.living.stage import rain_record, rehearse

MONDAY = date(2027, 4, 5)


def full(seconds: float, seed: int) -> Script:
    """The script of the full season."""
    week = timedelta(weeks=1)
    return Script(
        crews=("Heron", "Otter", "Finch"),
        machines=3,
        jobs=36,
        monday=MONDAY,
        weeks=28,
        rain=rain_record(MONDAY, 28, seed),
        sick={"Otter": (MONDAY + 4 * week,), "Finch": (MONDAY + 9 * week,)},
        broken=(MONDAY + 6 * week, MONDAY + 6 * week + timedelta(days=4)),
        inquiries=(
            (MONDAY + 3 * week + timedelta(days=4), "Q-001", "P-005", 0.8),
            (MONDAY + 7 * week + timedelta(days=4), "Q-002", "P-010", 1.2),
            (MONDAY + 10 * week + timedelta(days=4), "Q-003", "P-020", 1.0),
        ),
        seed=seed,
        seconds=seconds,
        promise_every_days=2.7,
        slack=3,
    )


@dataclass
class Typed:
    """What one command line gave."""

    code: int
    out: str

    @property
    def data(self) -> Any:
        """The JSON answer's data."""
        return json.loads(self.out)["data"]


def typed(*words: Any, at: str) -> Typed:
    """Type a command at a moment; a refusal ends the rehearsal."""
    os.environ["PLANNER_NOW"] = at
    out, err = io.StringIO(), io.StringIO()
    with contextlib.redirect_stdout(out), contextlib.redirect_stderr(err):
        code = main([str(word) for word in words])
    if code:
        raise SystemExit(f"{at} planner {' '.join(map(str, words))}: exit {code}: {err.getvalue()}")
    return Typed(code, out.getvalue())


def play(seconds: float, seed: int) -> None:
    """Play one season in a folder that is thrown away, and print its table."""
    with tempfile.TemporaryDirectory() as folder:
        os.environ["PLANNER_DB"] = str(Path(folder) / "rehearsal.sqlite3")
        os.environ["PLANNER_USER"] = "rehearsal"
        print(rehearse(typed, full(seconds, seed)).table())


if __name__ == "__main__":
    wanted = [float(word) for word in sys.argv[1:]]
    for seed in (1, 2) if len(wanted) < 2 else (int(wanted[1]),):
        print(f"seed {seed}")
        play(wanted[0] if wanted else 2.0, seed)
