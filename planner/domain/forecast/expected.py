"""What a plan costs in life: its price in each played season, and what that comes to on average.

In: a season, a plan with its price on paper, `Draws`. Out: a price a played season. Terms that life moves are
reckoned anew from the played days: late, waiting, open days, open hole, hole over days off, site days, travel
(with the site days), calls. All others stay as on paper.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta
from typing import TYPE_CHECKING

from planner.domain.firm.phases import Phase
from planner.domain.forecast.chance import Draws
from planner.domain.forecast.clock import DAY_MIN
from planner.domain.forecast.outlook import kept_by_season, mean_error
from planner.domain.season.cost import rest_begins
from planner.domain.season.plan import Booking, Plan
from planner.domain.season.season import Season

if TYPE_CHECKING:
    from planner.domain.forecast.luck import Days, Minutes

#: Between these percentiles lie eight seasons of ten.
LOW, HIGH = 10.0, 90.0
#: Standard errors by which a difference must stand out.
SURE = 2.0


@dataclass(frozen=True, slots=True)
class Expected:
    """A plan's price on paper and in life [cents]. low_cents, high_cents: eight seasons of ten lie between;
    kept: promises kept on average, of `promises`; errors: standard errors of the means from so many seasons;
    by_season_cents: the price in each of them.
    """

    paper_cents: int
    mean_cents: int
    error_cents: int
    low_cents: int
    high_cents: int
    kept: float
    kept_error: float
    promises: int
    seasons: int
    by_season_cents: tuple[float, ...] = field(default=(), compare=False, repr=False)

    def surely_below(self, other: Expected) -> bool:
        """True when it costs less in the same seasons by more than twice the error of the difference."""
        import numpy as np

        apart = np.array(other.by_season_cents) - np.array(self.by_season_cents)
        return bool(apart.mean() > SURE * mean_error(apart))


@dataclass(frozen=True, slots=True)
class Aimed:
    """The plan taken and what it comes to; how: which way found it; paper: what the plan best on paper comes
    to, None when that is the one taken; paper_steps: those that make it again.
    """

    plan: Plan
    expected: Expected
    how: str
    paper: Expected | None = None
    paper_steps: int = 0


def expected(season: Season, plan: Plan, draws: Draws, calm: Draws) -> Expected:
    """What the plan comes to. calm: the plan played once without any luck, for its site days on paper."""
    import numpy as np

    cents = prices(season, plan, draws, calm) * 100
    kept = kept_by_season(season, draws)
    low, high = np.percentile(cents, [LOW, HIGH])
    played = {key.job for key in draws.keys}
    return Expected(
        paper_cents=plan.cost.total_cents,
        mean_cents=round(float(cents.mean())),
        error_cents=round(mean_error(cents)),
        low_cents=round(float(low)),
        high_cents=round(float(high)),
        kept=float(kept.mean()),
        kept_error=mean_error(kept),
        promises=sum(season.jobs[job].promised is not None for job in played),
        seasons=len(cents),
        by_season_cents=tuple(float(c) for c in cents),
    )


def prices(season: Season, plan: Plan, draws: Draws, calm: Draws) -> Minutes:
    """The plan's price in each played season [USD]."""
    import numpy as np

    weights, cents = season.firm.weights, plan.cost.cents
    life = dict(_by_days(season, draws))
    visits, on_paper = _site_days(plan, draws), _site_days(plan, calm)[0]
    life["site days"] = weights.site_day * (visits - on_paper) + cents.get("site days", 0) / 100
    life["travel"] = cents.get("travel", 0) / 100 * visits / max(1, on_paper)
    kept = sum(value for name, value in cents.items() if name not in life) / 100
    total: Minutes = np.sum(list(life.values()), axis=0) + kept
    return total


def _by_days(season: Season, draws: Draws) -> Mapping[str, Minutes]:
    """The terms that are reckoned from first and last days, a row of seasons each [USD]."""
    import numpy as np

    weights, first = season.firm.weights, draws.first
    begun, dug = _past(season, first)
    names = ("late", "waiting", "open days", "open hole", "hole over days off", "calls")
    found: dict[str, Minutes] = {name: np.zeros(len(draws.end)) for name in names}
    rests = _rests(season, draws)
    for code in sorted({k.job for k in draws.keys}):
        job = season.jobs[code]
        start, end = draws.job_start(code) // DAY_MIN, draws.job_end(code) // DAY_MIN
        if job.promised is not None:
            late = np.maximum(0.0, end - (job.promised - first).days)
            found["late"] += weights.late_day * job.importance * late
        found["waiting"] += weights.wait_day * np.maximum(0.0, end)
        found["open days"] += weights.open_day * (end - np.minimum(start, begun.get(code, np.inf)))
        if code in season.told and code not in begun:
            found["calls"] += weights.call * (start != (season.told[code][0] - first).days)
        hole = _hole(draws, code, dug.get(code))
        if hole is not None:
            opened, lined = hole
            found["open hole"] += weights.hole_day * np.maximum(0.0, lined - opened)
            a, b = (np.clip(d.astype(int), 0, len(rests) - 1) for d in (opened, lined))
            found["hole over days off"] += weights.hole_rest * np.maximum(0, rests[b] - rests[a])
    return found


def _hole(draws: Draws, code: str, dug: float | None) -> tuple[Minutes, Minutes] | None:
    """Days on which the job's hole opens and is lined; None when it has no hole to come."""
    import numpy as np

    def of(phase: Phase) -> list[int]:
        return [n for n, key in enumerate(draws.keys) if key.job == code and key.phase is phase]

    digs, liners = of(Phase.DIG), of(Phase.LINER)
    if not liners or (not digs and dug is None):
        return None
    lined = draws.end[:, liners].max(axis=1) // DAY_MIN
    opened = draws.start[:, digs].min(axis=1) // DAY_MIN if digs else np.full(len(lined), np.inf)
    return np.minimum(opened, np.inf if dug is None else dug), lined


def _past(season: Season, first: date) -> tuple[dict[str, float], dict[str, float]]:
    """Job -> day on which it was begun, and on which its digging was, counted from `first`."""
    begun: dict[str, float] = {}
    dug: dict[str, float] = {}
    for b in season.done:
        day = float((b.start.date() - first).days)
        begun[b.job] = min(day, begun.get(b.job, day))
        if b.phase is Phase.DIG:
            dug[b.job] = min(day, dug.get(b.job, day))
    return begun, dug


def _rests(season: Season, draws: Draws) -> Days:
    """Runs of days off begun up to each day."""
    import numpy as np

    days = [draws.first + timedelta(days=n) for n in range(draws.lost.shape[1])]
    found: Days = np.cumsum([day >= season.now.date() and rest_begins(season, day) for day in days])
    return found


def _site_days(plan: Plan, draws: Draws) -> Minutes:
    """Days of each crew on each site: works that follow one another there share a day (seasons,)."""
    import numpy as np

    at = {key: n for n, key in enumerate(draws.keys)}
    found: Minutes = np.zeros(len(draws.end))
    last: dict[tuple[str, str], Minutes] = {}
    for b in sorted(plan.bookings, key=lambda b: (b.start, b.end, b.key)):
        if b.key not in at:
            continue
        n = at[b.key]
        start, end = draws.start[:, n] // DAY_MIN, draws.end[:, n] // DAY_MIN
        for crew in b.crews:
            before = last.get((crew, b.job))
            found += draws.days[:, n] - (0 if before is None else start == before)
            last[crew, b.job] = end if before is None else np.maximum(before, end)
    return found


def late_by_day(
    season: Season, bookings: Sequence[Booking], draws: Draws, margin_days: int
) -> dict[str, tuple[float, ...]]:
    """Job with a promise -> what its lateness comes to on average if it is planned to end on each day from
    `draws.first` to the season's last, for `Season.late_usd` [USD].

    Each played season ends the job so many days after its planned finish, and would from another day too; a
    plan that is filled more has longer delays, so `margin_days` are added to each.
    """
    import numpy as np

    planned: dict[str, datetime] = {}
    for b in bookings:
        planned[b.job] = max(b.end, planned.get(b.job, b.end))
    days = np.arange((season.last_day - draws.first).days + 1)
    found = {}
    for code in sorted({key.job for key in draws.keys}):
        job = season.jobs[code]
        if job.promised is None:
            continue
        delay = draws.job_end(code) // DAY_MIN - (planned[code].date() - draws.first).days
        over = days[:, None] + delay + margin_days - (job.promised - draws.first).days
        usd = season.firm.weights.late_day * job.importance * np.maximum(0.0, over).mean(axis=1)
        found[code] = tuple(float(value) for value in usd)
    return found
