"""A plan that aims at what will happen: the one best on paper is played, others with days in hand are
searched from it, and the one with the least expected price is taken.

How many days in hand a job needs is learned from the played plan; a second try gives each job the same. All
are priced by the same played seasons, and one with days in hand is taken only for a gain that stands out of
their error: what keeps more on paper is easier to tell. Steps: three fifths go to the plan on paper, a fifth
to each of the others, so that the same steps make the same plan again.
"""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from planner.domain.forecast.expected import Aimed, learned_slack
from planner.domain.forecast.slack import judged, with_slack, with_slack_by_job
from planner.domain.season.plan import Plan, Searched
from planner.domain.season.season import Season
from planner.flow.forecast.expecting import Judge

if TYPE_CHECKING:
    from planner.schedule.model.effort import Progress

#: Share of the seconds for the plan on paper; the others take two thirds of that, and the playing its own.
PAPER_SHARE = 0.48
#: Searches shorter than this stay on paper: the playing alone would take longer [s].
LEAST_S = 2.0
#: Days in hand: by job up to the 80th percentile of the played finish, at most so many; the same for all.
PERCENTILE, MOST_DAYS, SAME_DAYS = 80.0, 28, 7


@dataclass(frozen=True, slots=True)
class Limits:
    """seconds, steps, cores, seed as `make_plan` has them, and whom to tell of the progress."""

    seconds: float
    steps: int | None
    cores: int
    seed: int
    on_progress: Callable[[Progress], None] | None = None
    stop: Callable[[], bool] | None = None


def first_steps(steps: int) -> int:
    """Of so many steps in all, those for the plan on paper: n of n + 2 (n // 3).

    >>> first_steps(500), first_steps(1)
    (300, 1)
    """
    n = steps * 3 // 5
    while n + 1 + 2 * ((n + 1) // 3) <= steps:
        n += 1
    return n


def aimed(season: Season, judge: Judge, limits: Limits, start: Plan | None = None) -> Aimed:
    """The plan with the least expected price of the three, where that is surely below the first's; only the
    first where nothing is promised, the time is short or somebody stopped it."""
    began = time.monotonic()
    known = limits.steps is not None
    share = 1.0 if limits.seconds < LEAST_S else PAPER_SHARE
    steps = first_steps(limits.steps) if limits.steps is not None else None
    first = _solved(season, season, limits, limits.seconds * share, steps, start)
    before_pricing = time.monotonic()
    seen = judge.price(first)
    alone = Aimed(first, seen, "on paper")
    assert first.search is not None
    each = first.search.steps // 3
    promised = any(season.jobs[b.job].promised for b in first.bookings)
    stopped = bool(first.note) or (limits.stop is not None and limits.stop())
    if not promised or stopped or each == 0 or (not known and share == 1.0):
        return alone
    elapsed = time.monotonic() - began
    a_try = (before_pricing - began) / 3 + time.monotonic() - before_pricing
    if not known and elapsed + 2 * a_try > limits.seconds * 1.1:
        return alone
    slack = learned_slack(first.bookings, judge.draws(first.bookings), PERCENTILE, MOST_DAYS)
    tries = {
        "days in hand by job": with_slack_by_job(season, slack),
        f"{SAME_DAYS} days in hand": with_slack(season, SAME_DAYS),
    }
    found = [alone]
    for how, aim in tries.items():
        plan = _solved(season, aim, limits, 0.0, each, first)
        if plan.note:
            break
        found.append(Aimed(plan, judge.price(plan), how))
    surely = [a for a in found[1:] if a.expected.surely_below(seen)]
    best = min(surely, key=lambda a: a.expected.mean_cents, default=alone)
    return _told(best, alone, found, time.monotonic() - began)


def _told(best: Aimed, first: Aimed, found: list[Aimed], wall_s: float) -> Aimed:
    """The best with what was spent on all of them, and what the first proves of it."""
    spent = [a.plan.search for a in found if a.plan.search is not None]
    whole = Searched(sum(s.steps for s in spent), spent[0].cores, wall_s, sum(s.processor_s for s in spent))
    plan = replace(
        best.plan,
        search=whole,
        dispatch_cents=first.plan.dispatch_cents,
        bound_cents=first.plan.bound_cents,
    )
    return replace(
        best, plan=plan, paper=None if best is first else first.expected, paper_steps=spent[0].steps
    )


def _solved(
    season: Season, aim: Season, limits: Limits, seconds: float, steps: int | None, start: Plan | None
) -> Plan:
    from planner.schedule.model.effort import Effort
    from planner.schedule.solve import solve

    effort = Effort.for_seconds(seconds, steps=steps, cores=limits.cores)
    if aim is not season:  # what is proven of the plan on paper holds for all
        effort = replace(effort, bound=False)
    found = solve(
        aim,
        effort=effort,
        seed=limits.seed,
        on_progress=limits.on_progress,
        stop=limits.stop,
        start=start,
    )
    return found if aim is season else judged(found, season)
