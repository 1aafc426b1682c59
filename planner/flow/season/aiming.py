"""A plan that aims at what will happen: the one best on paper is played, others are searched from it, and the
one with the least expected price is taken.

In the search for the others a job's lateness costs what it comes to on average over the played seasons of
the plan before, day by day (`late_by_day`). The first moves much, and what moves forward pushes others back:
so it adds a week to every delay; the second learns again from the first, and adds less (measured). All
are priced by the same played seasons, others than those that were learned from, and one is taken only for a
gain that stands out of their error: what keeps more on paper is easier to tell. Steps: half go to the plan
on paper, a quarter to each of the others, so that the same steps make the same plan again.
"""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from planner.domain.forecast.expected import Aimed, late_by_day
from planner.domain.forecast.slack import judged
from planner.domain.season.plan import Plan, Searched
from planner.domain.season.season import Season
from planner.flow.forecast.expecting import Judge

if TYPE_CHECKING:
    from planner.schedule.model.effort import Progress

#: Share of the seconds for the plan on paper; the others take as much together, and the playing its own.
PAPER_SHARE = 0.38
#: Searches shorter than this stay on paper: the playing alone would take longer [s].
LEAST_S = 2.0
#: Days added to every delay of the plan before, search by search (measured at 50 jobs).
MARGINS_DAYS = (7, 3)
#: A try plays seasons to learn from and prices its plan: so many pricings (measured at 50 jobs).
PRICINGS_A_TRY = 1.6
#: Tries that would end more than this after the seconds are not begun [s].
OVER_S = 0.5
#: By how much the seed of the luck that is learned from differs from that of the luck that judges.
APART = 7919
#: How the others were found.
AIMED_AT = "aimed at the late days that the played seasons have"


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
    """Of so many steps in all, those for the plan on paper: n of n + 2 (n // 2).

    >>> first_steps(500), first_steps(501), first_steps(1)
    (250, 251, 1)
    """
    n = steps // 2
    while n + 1 + 2 * ((n + 1) // 2) <= steps:
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
    each = first.search.steps // 2
    promised = any(season.jobs[b.job].promised for b in first.bookings)
    stopped = bool(first.note) or (limits.stop is not None and limits.stop())
    if not promised or stopped or each == 0 or (not known and share == 1.0):
        return alone
    now = time.monotonic()
    a_try = (before_pricing - began) / 2 + PRICINGS_A_TRY * (now - before_pricing)
    if not known and now - began + 2 * a_try > limits.seconds + OVER_S:
        return alone
    found, teacher = [alone], replace(judge, seed=judge.seed + APART)
    for margin in MARGINS_DAYS:
        before = found[-1].plan
        played = teacher.draws(before.bookings)
        aim = replace(season, late_usd=late_by_day(season, before.bookings, played, margin))
        plan = _solved(season, aim, limits, 0.0, each, before)
        if plan.note:
            break
        found.append(Aimed(plan, judge.price(plan), AIMED_AT))
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
