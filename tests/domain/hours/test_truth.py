"""The demo's hidden truth, and how much nearer a refit comes to it."""

from datetime import date, timedelta
from math import log
from random import Random

import pytest

from planner.domain.estimate.labour import JobEstimate
from planner.domain.estimate.rates import RateBook
from planner.domain.firm.crews import Crew
from planner.domain.firm.jobs import Job, Soil, Status
from planner.domain.firm.phases import ORDER
from planner.domain.hours.backtest import backtest
from planner.domain.hours.observations import Observation, bare, observations
from planner.domain.hours.refit import refit
from seed_demo.truth import TRUTH, PastJob, Truth, past_logs
from tests.domain.estimate.ponds import BOOK, FIRM, NORTH, QUANTITIES, pond, told

SOUTH = Crew("South", "Bo", 3, NORTH.skills)
HIDDEN = Truth(TRUTH.phases, {"North": 1.0, "South": 1.12}, TRUTH.soils)
WHOLE = {"filter_boxes", "connections", "sealed_joints", "hose_gpm"}


def finished(count: int, seed: int = 5) -> list[PastJob]:
    """Jobs of differing size and soil, two crews by turns, each after the one before."""
    dice, found = Random(seed), []
    for i in range(count):
        size = dice.uniform(0.5, 1.6)
        amounts = {k: q if k in WHOLE else q * size for k, q in QUANTITIES.items()}
        job = pond(f"H-{i:02}", soil=dice.choice([Soil.SAND, Soil.LOAM, Soil.CLAY]), **amounts)
        job = Job(job.code, job.client, status=Status.DONE, soil=job.soil, lines=job.lines)
        crew = (NORTH, SOUTH)[i % 2]
        found.append(PastJob(job, crew, date(2026, 3, 16) + timedelta(days=14 * (i // 2))))
    return found


def evidence(past: list[PastJob], truth: Truth = HIDDEN, seed: int = 1) -> list[Observation]:
    def with_book(job: Job, crew: Crew, book: RateBook) -> JobEstimate:
        return told(job, crew, book)

    logs = past_logs(past, told, FIRM, truth, seed)
    return observations([p.job for p in past], logs, [NORTH, SOUTH], FIRM, BOOK, {}, with_book)


def distance(book: RateBook, found: list[Observation]) -> float:
    """Mean distance of the multipliers in use from the truth, in logarithms, over finished phases."""
    known = {(x.kind, x.target): x.log_mean for x in book.learned}
    gaps = []
    for o in found:
        true = log(HIDDEN.multiplier(o.phase, o.crew, o.soil))
        gaps.append(abs(sum(known.get(t, 0.0) for t in o.targets) - true))
    return sum(gaps) / len(gaps)


def test_logs_are_days_that_a_crew_could_work() -> None:
    logs = past_logs(finished(4), told, FIRM, HIDDEN)
    by_day: dict[tuple[date, str], float] = {}
    for entry in logs:
        assert entry.crew_h > 0 and entry.crew_h * 4 == int(entry.crew_h * 4)
        by_day[entry.day, entry.crew] = by_day.get((entry.day, entry.crew), 0.0) + entry.crew_h
    assert max(by_day.values()) <= FIRM.paid_h_day
    assert all(day.weekday() < 5 for day, _ in by_day)
    for job in {entry.job for entry in logs}:
        assert {e.phase for e in logs if e.job == job and e.done} == set(ORDER)


def test_the_same_seed_gives_the_same_logs_whatever_else_is_there() -> None:
    few, many = past_logs(finished(4), told, FIRM, HIDDEN), past_logs(finished(8), told, FIRM, HIDDEN)
    assert [e for e in many if e.job < "H-04"] == few
    assert past_logs(finished(4), told, FIRM, HIDDEN, seed=2) != few


def test_refit_moves_toward_the_truth_and_says_by_how_much() -> None:
    """30 finished jobs: the multipliers come at least twice as near; the backtest's bias at least halves."""
    found = evidence(finished(30))
    learned = refit(BOOK, found, date(2027, 3, 1)).book
    assert learned is not None
    before, after = distance(bare(BOOK), found), distance(learned, found)
    assert before == pytest.approx(0.16, abs=0.03)
    assert after < 0.5 * before
    tested = backtest(BOOK, found)
    assert tested is not None
    assert abs(tested.jobs_after.bias) < 0.5 * abs(tested.jobs_before.bias)
    assert tested.phases_after.mape < tested.phases_before.mape
    assert 0.70 <= tested.jobs_after.p80_held <= 0.95
