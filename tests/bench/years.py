"""What the rates learn from many years, timed: `python -m tests.bench.years [--jobs 1000] [--profile]`.

An invented firm with that many finished jobs of twenty logs each and 42 open ones. Told are processor seconds
of each part of `planner rates refit` at that size and at a quarter of it, and how they grow: 4 is in
proportion, 16 with the square. The command gives the matrix library one thread, and so does this:

    OPENBLAS_NUM_THREADS=1 python -m tests.bench.years

November 2026, two shared cores under a load of 11: 4.7 s for the command at 1,000 jobs and 20,000 logs.
"""

from __future__ import annotations

import argparse
import cProfile
import pstats
import tempfile
import time
from collections.abc import Callable
from dataclasses import replace
from datetime import date, timedelta
from math import exp
from pathlib import Path
from random import Random
from typing import Any

from planner.domain.firm.actuals import Log
from planner.domain.firm.jobs import Gate, GateKind, Job, Status
from planner.domain.firm.phases import ORDER
from planner.domain.hours.backtest import backtest
from planner.domain.hours.refit import refit
from planner.flow.estimate.estimates import observed, refit_rates
from planner.store.engine import Store
from tests.end_to_end.living.conftest import LINES, season_db

#: Days of work of each phase, twenty in all, and the hours of one of them for the usual pond.
DAYS = dict(zip(ORDER, (4, 2, 3, 6, 3, 2), strict=True))
HOURS = dict(zip(ORDER, (4.0, 2.0, 3.0, 5.0, 2.0, 2.0), strict=True))
WHOLE = {"filter_boxes", "connections", "hose_gpm"}
TODAY = date(2027, 4, 5)


def past(jobs: int, dice: Random) -> tuple[list[Job], list[Log]]:
    """Finished jobs of the five years before TODAY, and what was logged on them."""
    found: list[Job] = []
    logs: list[Log] = []
    for n in range(jobs):
        size = exp(dice.gauss(0.0, 0.4))
        begun = TODAY - timedelta(days=30 + 1800 * (jobs - n) // jobs)
        lines = tuple(
            line if line.item in WHOLE else replace(line, quantity=round(line.quantity * size, 1))
            for line in LINES
        )
        job = Job(
            f"D-{n:04}",
            f"Past client {n}",
            region=("north", "south")[n % 2],
            lines=lines,
            status=Status.DONE,
            gates=(Gate(GateKind.LOCATE, begun, met=True),),
        )
        found.append(job)
        day, site = begun, dice.gauss(0.0, 0.15)
        for phase in ORDER:
            for part in range(DAYS[phase]):
                hours = min(11.0, HOURS[phase] * size * exp(site + dice.gauss(0.0, 0.2)))
                last = part == DAYS[phase] - 1
                logs.append(Log(day, ("Heron", "Otter")[n % 2], job.code, phase, round(hours, 2), done=last))
                day += timedelta(days=1)
    return found, logs


def firm_of(location: str, jobs: int) -> None:
    """The database: 42 open jobs and `jobs` of the past."""
    season_db(location, jobs=42)
    old, logs = past(jobs, Random(7))
    with Store(location).writing(who="bench") as book:
        for job in old:
            book.save_job(job)
        for entry in logs:
            book.save_log(entry)


def timed(words: str, work: Callable[[], Any]) -> tuple[str, float, Any]:
    """(words, processor seconds, what it gave)."""
    began = time.process_time()
    found = work()
    return words, time.process_time() - began, found


def parts(location: str) -> list[tuple[str, float]]:
    """Processor seconds of each part, and of the whole."""
    with Store(location).reading() as book:
        rates = book.rate_book(None)
        words, took, found = timed("observations read", lambda: observed(book, location, rates))
        told = [(words, took)]
    for words, work in (
        ("refit", lambda: refit(rates, found, TODAY)),
        ("backtest", lambda: backtest(rates, found)),
        ("the whole command", lambda: refit_rates(location, TODAY)),
    ):
        told.append(timed(words, work)[:2])
    return told


def main() -> None:
    """Make both firms, time the parts, print them."""
    ask = argparse.ArgumentParser()
    ask.add_argument("--jobs", type=int, default=1000)
    ask.add_argument("--profile", action="store_true")
    asked = ask.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        small, large = (str(Path(folder) / name) for name in ("small.sqlite3", "large.sqlite3"))
        firm_of(small, asked.jobs // 4)
        firm_of(large, asked.jobs)
        if asked.profile:
            profile = cProfile.Profile()
            profile.runcall(refit_rates, large, TODAY)
            pstats.Stats(profile).sort_stats("cumulative").print_stats(45)
        parts(small)
        for (words, little), (_, much) in zip(parts(small), parts(large), strict=True):
            print(
                f"{words:24} {little:6.2f} s at {asked.jobs // 4}, {much:6.2f} s at {asked.jobs}: "
                f"× {much / little:.1f}"
            )


if __name__ == "__main__":
    main()
