"""What the played seasons say: chance of each promise, expected and P80 finish, slack to keep.

In: `Draws` and the season. Out: `Outlook`. A chance from n played seasons is itself uncertain; its standard
error rides along.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from itertools import groupby
from math import ceil, sqrt
from typing import TYPE_CHECKING

from planner.domain.dates import LAST_DAY
from planner.domain.firm.calendar import days_between, is_working_day
from planner.domain.firm.phases import WorkKey
from planner.domain.forecast.chance import Draws
from planner.domain.forecast.clock import DAY_MIN
from planner.domain.season.plan import Booking, Plan
from planner.domain.season.season import Season

if TYPE_CHECKING:
    from planner.domain.forecast.luck import Minutes


@dataclass(frozen=True, slots=True)
class JobOutlook:
    """One job: promised and planned day, and what the played seasons say.

    kept: chance that the promise is kept, None without one; error: its standard error; mean, likely,
    percentile_day: mean, median and planning percentile of the day of water in; likely_error_days,
    percentile_error_days: standard errors of the last two from so many played seasons [days].
    """

    job: str
    promised: date | None
    planned: date
    kept: float | None
    error: float | None
    mean: date
    likely: date
    percentile_day: date
    likely_error_days: float = 0.0
    percentile_error_days: float = 0.0


@dataclass(frozen=True, slots=True)
class MonthOutlook:
    """One month: working days, crew days lost to weather, and the days of slack to keep in each crew.

    weather_days: mean lost; keep_days: planning percentile of weather-lost days plus work above plan, per
    crew, at least 0 [days]; weather_error_days, keep_error_days: their standard errors [days].
    """

    month: date
    working_days: int
    weather_days: float
    keep_days: float
    weather_error_days: float = 0.0
    keep_error_days: float = 0.0


@dataclass(frozen=True, slots=True)
class Outlook:
    """The whole season. likely and percentile_finish: day when the last job ends; fits: chance that it ends
    in the season; expected_kept: mean number of promises kept; weeks are ISO (year, week). Each figure has
    its Monte Carlo standard error: by how much another seed would change it.
    """

    seasons: int
    seed: int
    percentile: float
    jobs: tuple[JobOutlook, ...]
    months: tuple[MonthOutlook, ...]
    mean_finish: date
    likely_finish: date
    percentile_finish: date
    fits: float
    promises: int
    expected_kept: float
    kept_error: float = 0.0
    fits_error: float = 0.0
    likely_error_days: float = 0.0
    percentile_error_days: float = 0.0

    @property
    def runs_out(self) -> tuple[int, int]:
        """The ISO week in which the sold work ends, at the planning percentile."""
        week = self.percentile_finish.isocalendar()
        return week.year, week.week


def outlook(season: Season, plan: Plan, draws: Draws, *, seed: int) -> Outlook:
    """Read the draws. The plan holds at least one booking."""
    import numpy as np

    percentile = season.firm.planning_percentile
    codes = sorted({key.job for key in draws.keys})
    ends = {code: draws.job_end(code) // DAY_MIN for code in codes}
    jobs = tuple(_job(season, plan, draws.first, code, ends[code], percentile) for code in codes)
    last = np.max(np.stack(list(ends.values())), axis=0)
    kept = kept_by_season(season, draws)
    fits = float(np.mean(last <= (season.last_day - draws.first).days))
    return Outlook(
        seasons=len(last),
        seed=seed,
        percentile=percentile,
        jobs=tuple(sorted(jobs, key=lambda j: (j.kept is None, j.kept, j.percentile_day, j.job))),
        months=_months(season, plan, draws, percentile),
        mean_finish=_day(draws.first, float(np.mean(last))),
        likely_finish=_at(draws.first, last, 50),
        percentile_finish=_at(draws.first, last, percentile),
        fits=fits,
        promises=sum(j.kept is not None for j in jobs),
        expected_kept=float(kept.mean()),
        kept_error=mean_error(kept),
        fits_error=sqrt(fits * (1 - fits) / len(last)),
        likely_error_days=percentile_error(last, 50),
        percentile_error_days=percentile_error(last, percentile),
    )


def kept_by_season(season: Season, draws: Draws) -> Minutes:
    """How many promises each played season keeps (seasons,)."""
    import numpy as np

    kept = np.zeros(len(draws.end))
    for code in {key.job for key in draws.keys}:
        promised = season.jobs[code].promised
        if promised is not None:
            kept += draws.job_end(code) // DAY_MIN <= (promised - draws.first).days
    return kept


def kept_chance(season: Season, draws: Draws, code: str) -> float | None:
    """Chance that the job's promise is kept; None without a promise or when it is not played."""
    promised = season.jobs[code].promised if code in season.jobs else None
    if promised is None or not any(key.job == code for key in draws.keys):
        return None
    return float((draws.job_end(code) // DAY_MIN <= (promised - draws.first).days).mean())


def mean_error(values: Minutes) -> float:
    """Standard error of the mean of independent draws."""
    return float(values.std() / sqrt(len(values)))


def percentile_error(values: Minutes, percentile: float) -> float:
    """Standard error of a percentile of independent draws, in their unit.

    Half the distance between the order statistics one binomial standard deviation below and above its rank
    (Conover, Practical Nonparametric Statistics, confidence interval of a quantile; from memory).
    """
    import numpy as np

    p = percentile / 100
    away = sqrt(p * (1 - p) / len(values)) * 100
    low, high = np.percentile(
        values, [max(0.0, percentile - away), min(100.0, percentile + away)], method="inverted_cdf"
    )
    return float(high - low) / 2


def _job(season: Season, plan: Plan, first: date, code: str, end: Minutes, percentile: float) -> JobOutlook:
    import numpy as np

    promised = season.jobs[code].promised
    kept = None if promised is None else float(np.mean(end <= (promised - first).days))
    return JobOutlook(
        job=code,
        promised=promised,
        planned=plan.finish(code) or first,
        kept=kept,
        error=None if kept is None else sqrt(kept * (1 - kept) / len(end)),
        mean=_day(first, float(np.mean(end))),
        likely=_at(first, end, 50),
        percentile_day=_at(first, end, percentile),
        likely_error_days=percentile_error(end, 50),
        percentile_error_days=percentile_error(end, percentile),
    )


def _day(first: date, days: float) -> date:
    """The day so many days on; never beyond the last year that the planner reckons with."""
    return first + timedelta(days=min(ceil(days - 1e-9), (LAST_DAY - first).days))


def _at(first: date, ends: Minutes, percentile: float) -> date:
    """The first day by which at least that share of the seasons has ended."""
    import numpy as np

    return _day(first, float(np.percentile(ends, percentile, method="inverted_cdf")))


def finish_at(draws: Draws, code: str, percentile: float) -> date:
    """The job's finish at a percentile: the first day by which that share of the seasons has ended it."""
    return _at(draws.first, draws.job_end(code) // DAY_MIN, percentile)


def _months(season: Season, plan: Plan, draws: Draws, percentile: float) -> tuple[MonthOutlook, ...]:
    import numpy as np

    booked = {b.key: b for b in plan.bookings}
    over = draws.worked_min - np.array([booked[k].crew_h * 60 for k in draws.keys])
    paid_min, crews = season.firm.paid_h_day * 60, max(1, len(season.crews))
    found = []
    days = [d for d in days_between(draws.first, season.last_day) if is_working_day(season.firm, d)]
    for (year, month), group in groupby(days, key=lambda d: (d.year, d.month)):
        mine = list(group)
        weather = draws.lost[:, [(d - draws.first).days for d in mine]].sum(axis=1)
        works = [n for n, key in enumerate(draws.keys) if _month_of(booked, key) == (year, month)]
        labour = over[:, works].sum(axis=1) / paid_min / crews
        keep = max(0.0, float(np.percentile(weather + labour, percentile)))
        errors = mean_error(weather), round(percentile_error(weather + labour, percentile), 2)
        found.append(
            MonthOutlook(date(year, month, 1), len(mine), float(weather.mean()), round(keep, 1), *errors)
        )
    return tuple(found)


def _month_of(booked: Mapping[WorkKey, Booking], key: WorkKey) -> tuple[int, int]:
    start = booked[key].start
    return start.year, start.month
