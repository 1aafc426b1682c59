"""Published shops and a project against plain CP-SAT.

    python -m tests.bench.shops [--seconds 60] [NAME ...]

The plain model has an interval for each operation and no overlap on a machine, one worker, the same seconds.
Told are what both found, whether it is proven, and the ratio of processor seconds. The instances and their
optima lie beside tests/schedule/published.py, each with its reference.
"""

from __future__ import annotations

import argparse
import time
from typing import Any

from ortools.sat.python import cp_model

from planner.schedule.model.effort import Effort
from planner.schedule.model.problem import Problem
from planner.schedule.solve import solve_problem
from tests.schedule.published import LARGE_SHOPS, job_shop, project

#: Six of them, five shops and a project; `JOB_SHOPS` of tests/schedule are the smaller ones.
SIX = ("ft10", "ft20", "la26", "la28", "la30", "j301_1")


def plain(problem: Problem, seconds: float) -> tuple[str, float]:
    """(CP-SAT's word, makespan) of the plain model; a pool of one unit is a machine."""
    model = cp_model.CpModel()
    begin = {t.key: model.new_int_var(0, problem.horizon, t.key) for t in problem.tasks}
    spans = {
        t.key: model.new_fixed_size_interval_var(begin[t.key], t.ways[0].work, t.key) for t in problem.tasks
    }
    for pool in problem.pools:
        users = [
            (spans[t.key], t.ways[0].uses[pool.key]) for t in problem.tasks if pool.key in t.ways[0].uses
        ]
        if pool.units == 1:
            model.add_no_overlap([span for span, _ in users])
        else:
            model.add_cumulative([span for span, _ in users], [need for _, need in users], pool.units)
    work = {t.key: t.ways[0].work for t in problem.tasks}
    for lag in problem.lags:
        model.add(begin[lag.after] >= begin[lag.before] + work[lag.before])
    last = model.new_int_var(0, problem.horizon, "last")
    for key, start in begin.items():
        model.add(last >= start + work[key])
    model.minimize(last)
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    solver.parameters.max_time_in_seconds = seconds
    return solver.status_name(solver.solve(model)), solver.objective_value


def against_plain(name: str, seconds: float) -> dict[str, Any]:
    """One instance both ways: what both found, whether proven, the ratio of their processor seconds."""
    problem, optimum = project() if name == "j301_1" else job_shop(name, LARGE_SHOPS)
    began = time.process_time()
    status, theirs = plain(problem, seconds)
    between = time.process_time()
    found = solve_problem(problem, effort=Effort.for_seconds(seconds))
    ended = time.process_time()
    return {
        "instance": name,
        "optimum": optimum,
        "plain": round(theirs),
        "plain says": status,
        "ours": round(found.price),
        "proven": found.proven,
        "plain [s]": between - began,
        "ratio": (ended - between) / (between - began),
    }


def main() -> None:
    """Play each named instance both ways and print a line."""
    ask = argparse.ArgumentParser()
    ask.add_argument("names", nargs="*", default=SIX)
    ask.add_argument("--seconds", type=float, default=60.0)
    asked = ask.parse_args()
    for name in asked.names:
        row = against_plain(name, asked.seconds)
        print("  ".join(f"{key} {value}" for key, value in row.items()), flush=True)


if __name__ == "__main__":
    main()
