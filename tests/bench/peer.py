"""The reduced problem that a general scheduling library can state too, and that library as the peer.

Reduced: one crew a task, crew calendars as breaks, phases in order with their lags rounded to slots, promises
as due slots; no machines' moves, no travel, no helpers, no open days. Goal: least weighted lateness in slots.
PyJobShop (OR-Tools behind it) is an optional import: PEER_PYTHON names an interpreter that has it.
"""

from __future__ import annotations

import json
import os
import subprocess
import tempfile
import time
from dataclasses import replace
from pathlib import Path
from typing import Any

from planner.domain.season.season import Season
from planner.schedule.door import enter
from planner.schedule.model.effort import Effort
from planner.schedule.model.problem import Group, Lag, Prices, Problem, Task
from planner.schedule.model.problem_json import to_json
from planner.schedule.solve import solve_problem

SCRIPT = Path(__file__).with_name("peer_script.py")


def reduced(season: Season) -> Problem:
    """The season's problem with all that the peer cannot state left out."""
    full = enter(season).problem
    tasks = tuple(
        Task(t.key, tuple(replace(w, uses={}) for w in t.ways if len(w.workers) == 1), t.group, t.release)
        for t in full.tasks
    )
    groups = tuple(
        Group(
            g.key,
            due=None if g.due is None else (g.due + 1) * full.day_slots - 1,
            late_price=round(g.late_price / min(h.late_price for h in full.groups)),
        )
        for g in full.groups
    )
    lags = tuple(Lag(g.before, g.after, 1.0, g.least) for g in full.lags)
    workers = tuple(replace(w, depot_price={}) for w in full.workers)
    return Problem(full.horizon, tasks, workers, (), groups, lags, prices=Prices(), day_slots=1)


def compare(season: Season, jobs: int, crews: int, seconds: float) -> dict[str, Any]:
    """Lateness [weighted slots] found by both in the same time on the clock."""
    problem = reduced(season)
    effort = replace(
        Effort.for_seconds(seconds * 20), wall_s=seconds, exact_jobs=0, window_work=0.0, floor=False
    )
    began = time.perf_counter()
    ours = solve_problem(problem, effort=effort).price
    took = time.perf_counter() - began
    return {
        "jobs": jobs,
        "crews": crews,
        "limit [s]": seconds,
        "ours": ours,
        "clock [s]": took,
        "peer": _peer(problem, seconds),
    }


def _peer(problem: Problem, seconds: float) -> float | str:
    python = os.environ.get("PEER_PYTHON", "")
    if not python:
        return "no PEER_PYTHON"
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "problem.json"
        path.write_text(json.dumps(to_json(problem)))
        out = subprocess.run(
            [python, str(SCRIPT), str(path), str(seconds)], capture_output=True, text=True, check=True
        )
    answer = out.stdout.split()[-1]
    return "none" if answer == "none" else float(answer)
