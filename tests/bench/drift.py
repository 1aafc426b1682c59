"""Ten disturbances in one week, repaired morning by morning, against a plan made afresh: the drift.

`python -m tests.bench.drift [JOBS] [SEEDS] [STEPS]`. Two days of rain, three people sick, two machines down,
two deliveries late and a job that takes 1.4 times its hours, drawn by seed. Each morning the plan is repaired
as `planner replan` does it, once without a search and once with so many steps of one. On the next Monday both
are priced beside the best of a fresh search on the same season that nobody was told anything of, so that no
move is charged.
"""

from __future__ import annotations

import random
import sys
import tempfile
from collections import defaultdict
from dataclasses import replace
from datetime import date, timedelta
from statistics import fmean

from planner.domain.firm.actuals import Log
from planner.domain.season.cost import plan_cost
from planner.domain.season.facts import Facts, season_of
from planner.domain.season.plan import Plan
from planner.domain.season.season import Season
from planner.flow.season.replan import fixes_of
from planner.schedule.model.effort import Effort
from planner.schedule.solve import solve
from tests.bench.lived_days import MONDAY, Life, Site, Truth, firm_of, news, work_a_day

WEEK = [MONDAY.date() + timedelta(days=n) for n in range(5)]


def week_of(facts: Facts, plan: Plan, seed: int) -> Truth:
    """Ten things that go wrong in the week."""
    luck = random.Random(f"drift {seed}")
    rain = frozenset(luck.sample(WEEK[1:], 2))
    sick: dict[str, dict[date, int]] = {crew.name: defaultdict(int) for crew in facts.crews}
    for _ in range(3):
        sick[luck.choice(facts.crews).name][luck.choice(WEEK[1:])] += 1
    machine = facts.machines[0]
    broken = {(machine.key, unit): frozenset[date]() for unit in range(1, machine.units + 1)}
    for day in luck.sample(WEEK[1:], 2):
        unit = luck.randint(1, machine.units)
        broken[machine.key, unit] |= {day}
    soon = [b.key for b in plan.bookings if b.start.date() in WEEK[1:] and b.key.part == 1]
    late = {key: luck.randint(2, 5) for key in luck.sample(soon, 2)}
    begun = sorted({b.job for b in plan.bookings if b.start.date() in WEEK})
    slow = luck.choice(begun)
    ratio = {b.key: 1.4 if b.job == slow else 1.0 for b in plan.bookings}
    return Truth(ratio, rain, sick, broken, late)


def repaired(season: Season, plan: Plan, steps: int) -> Plan:
    """The cheapest repair, improved by so many steps."""
    found = fixes_of(season, plan, quick=steps == 0)
    best = min(found, key=lambda fix: plan_cost(season, fix.bookings).total_cents)
    if not steps:
        return best
    better = solve(season, effort=Effort(steps=steps, exact_jobs=0, bound=False), seed=1, start=best)
    return min([best, better], key=lambda p: plan_cost(season, p.bookings).total_cents)


def after_the_week(facts: Facts, plan: Plan, truth: Truth, steps: int) -> tuple[Season, Plan]:
    """The season and its plan on the next Monday morning."""
    life, site, logs = Life(), Site(), list[Log]()
    start, lost = season_of(facts, MONDAY), facts.lost
    for day in WEEK:
        now = MONDAY + (day - MONDAY.date())
        lost = (*lost, *news(facts, truth, day))
        season = season_of(replace(facts, logs=tuple(logs), lost=lost, published=plan), now)
        plan = repaired(season, plan, steps)
        work_a_day(facts, start, plan, truth, day, site, life, logs)
    monday = season_of(
        replace(facts, logs=tuple(logs), lost=lost, published=plan), MONDAY + timedelta(days=7)
    )
    return monday, repaired(monday, plan, steps)


def main() -> None:
    """Each seed's drift, and the mean."""
    jobs, seeds, steps = ([int(w) for w in sys.argv[1:]] + [20, 5, 4000][len(sys.argv) - 1 :])[:3]
    drifts: dict[int, list[float]] = defaultdict(list)
    for seed in range(1, seeds + 1):
        with tempfile.TemporaryDirectory() as folder:
            facts = firm_of(folder, jobs, seed, days_in_hand=(0, 10), share=0.15)
        plan = solve(
            season_of(facts, MONDAY), effort=Effort(steps=3 * steps, exact_jobs=0, bound=False), seed=1
        )
        truth = week_of(facts, plan, seed)
        for each in (0, steps):
            season, kept = after_the_week(facts, plan, truth, each)
            untold = replace(season, published={}, frozen={})
            mine = plan_cost(untold, kept.bookings).total_cents
            fresh = solve(
                untold, effort=Effort(steps=3 * steps, exact_jobs=0, bound=False), seed=1, start=kept
            )
            drifts[each].append(mine / fresh.cost.total_cents - 1)
            print(
                f"seed {seed}, {each:5} steps a morning: ${mine / 100:,.0f}, afresh"
                f" ${fresh.cost.total_cents / 100:,.0f}: drift {drifts[each][-1]:.1%}",
                flush=True,
            )
    for each, found in drifts.items():
        print(f"{each:5} steps a morning: mean drift {fmean(found):.1%}, worst {max(found):.1%}")


if __name__ == "__main__":
    main()
