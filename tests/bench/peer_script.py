"""Runs under the peer's interpreter: state a reduced problem in PyJobShop, solve, print the lateness."""

import json
import sys
from pathlib import Path

from pyjobshop import Model  # type: ignore[import-not-found]


def main() -> None:
    data, seconds = json.loads(Path(sys.argv[1]).read_text()), float(sys.argv[2])
    model = Model()
    horizon = data["horizon"]
    crews = {}
    for worker in data["workers"]:
        breaks, at = [], 0
        for a, b in worker["open"]:
            if a > at:
                breaks.append((at, a))
            at = b
        breaks.append((at, horizon + 1000))
        crews[worker["key"]] = model.add_machine(breaks=breaks)
    jobs = {
        g["key"]: model.add_job(
            weight=int(g["late_price"]), due_date=g["due"] if g["due"] is not None else None
        )
        for g in data["groups"]
    }
    tasks = {}
    for t in data["tasks"]:
        task = model.add_task(jobs[t["group"]], earliest_start=t["release"], allow_breaks=True)
        for way in t["ways"]:
            model.add_mode(task, crews[way["workers"][0]], way["work"])
        tasks[t["key"]] = task
    for lag in data["lags"]:
        model.add_end_before_start(tasks[lag["before"]], tasks[lag["after"]], delay=lag["least"])
    model.set_objective(weight_total_tardiness=1)
    result = model.solve(time_limit=seconds, num_workers=1, display=False)
    print(result.objective if result.best is not None and result.objective < 1e15 else "none")


main()
