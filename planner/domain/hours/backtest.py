"""How good estimates would have been: each job told from earlier jobs only.

For every finished job the multipliers are fitted to the jobs finished before it began, and its hours are
predicted. The same is done with the bare rates, and with the edition that told the job, for comparison.
Nothing of the job itself, or of later ones, is used.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from math import exp, log

from planner.domain.estimate.rates import RateBook, Spread
from planner.domain.estimate.spread import LogNormal, total
from planner.domain.hours.fitting import evidence, fit
from planner.domain.hours.observations import Observation


@dataclass(frozen=True, slots=True)
class Score:
    """How predictions did. count: how many.

    bias: exp(mean ln(worked / predicted)) - 1, so +0.10 is 10 % more hours than told; mape: mean of
    |predicted - worked| / worked; p80_held: share of cases that stayed within their P80.
    """

    count: int
    bias: float
    mape: float
    p80_held: float


@dataclass(frozen=True, slots=True)
class Backtest:
    """Scores of whole jobs and of single phases, with the bare rates and with what earlier jobs taught.

    phases_told: single phases by the edition that each job was estimated with at the time.
    """

    jobs_before: Score
    jobs_after: Score
    phases_before: Score
    phases_after: Score
    phases_told: Score
    first: date
    last: date


@dataclass(frozen=True, slots=True)
class _Case:
    worked: float
    told: float
    p80: float


def backtest(book: RateBook, found: Sequence[Observation]) -> Backtest | None:
    """Roll through the finished jobs; None with fewer than two.

    `book` gives the rows; anything it has learned is left out, since it may have learned it from these jobs.
    """
    plain = _unlearned(book)
    jobs: dict[str, list[Observation]] = {}
    for o in sorted(found, key=lambda o: (o.job, o.phase.rank, o.crew)):
        jobs.setdefault(o.job, []).append(o)
    if len(jobs) < 2:
        return None
    begun = {code: min(o.first for o in rows) for code, rows in jobs.items()}
    taught = _lessons(plain, found, jobs, begun)
    cases: dict[str, list[_Case]] = {"jb": [], "ja": [], "pb": [], "pa": []}
    for code, rows in jobs.items():
        for mark, rates in (("b", plain), ("a", taught[code])):
            phases, whole = _predict(rates, rows)
            cases["p" + mark] += phases
            cases["j" + mark].append(whole)
    return Backtest(
        jobs_before=_score(cases["jb"]),
        jobs_after=_score(cases["ja"]),
        phases_before=_score(cases["pb"]),
        phases_after=_score(cases["pa"]),
        phases_told=_score(
            [_Case(o.worked_h, o.told_h, o.told_p80_h) for rows in jobs.values() for o in rows]
        ),
        first=min(o.first for o in found),
        last=max(o.last for o in found),
    )


def _unlearned(book: RateBook) -> RateBook:
    return replace(book, learned=(), learned_from=(), spread=Spread())


def _lessons(
    plain: RateBook,
    found: Sequence[Observation],
    jobs: Mapping[str, Sequence[Observation]],
    begun: Mapping[str, date],
) -> dict[str, RateBook]:
    """Job -> the book taught by the jobs that had ended before it began.

    With more than 50 such jobs a lesson is learned afresh when their number has grown by 2 %: one job more
    changes it by less than is shown, and the season's records stay quick to test.
    """
    import numpy as np

    seen, codes = evidence(found), sorted(jobs)
    ended = np.array([max(o.last for o in jobs[code]).toordinal() for code in codes])
    order = np.argsort(ended, kind="stable")
    rank = np.empty(len(codes), dtype=int)
    rank[order] = np.arange(len(codes))
    known: dict[int, RateBook] = {0: plain}
    taught = {}
    for code, day in begun.items():
        size = _of_grid(int(np.searchsorted(ended[order], day.toordinal())))
        if size not in known:
            fitted = fit(plain, seen.of_jobs(rank < size), day)
            known[size] = replace(plain, learned=fitted.learned, spread=fitted.spread)
        taught[code] = known[size]
    return taught


def _of_grid(size: int) -> int:
    """The largest number of jobs up to `size` at which a lesson is learned: each to 50, then 2 % apart."""
    step = 50
    while step + step // 50 <= size:
        step += step // 50
    return min(size, step)


def predicted(rates: RateBook, o: Observation) -> LogNormal:
    """The phase's own hours by `rates`, without the job's common error."""
    held = {(x.kind, x.target): x.log_mean for x in rates.learned}
    factor = exp(sum(held.get(t, 0.0) for t in o.targets))
    return LogNormal(o.bare_h * factor, rates.spread.of_phase(o.phase.value, o.own_log_sd))


def _predict(rates: RateBook, rows: Sequence[Observation]) -> tuple[list[_Case], _Case]:
    parts = [predicted(rates, o) for o in rows]
    common = rates.spread.job_log_sd
    phases = [
        _Case(o.worked_h, p.median, p.times(1.0, common).at(80.0)) for o, p in zip(rows, parts, strict=True)
    ]
    job = total(parts, common)
    return phases, _Case(sum(o.worked_h for o in rows), job.median, job.at(80.0))


def _score(cases: Sequence[_Case]) -> Score:
    n = len(cases)
    return Score(
        count=n,
        bias=exp(sum(log(c.worked / c.told) for c in cases) / n) - 1.0,
        mape=sum(abs(c.told - c.worked) / c.worked for c in cases) / n,
        p80_held=sum(c.worked <= c.p80 for c in cases) / n,
    )
