"""Small seasons: proven best, and equal to trying everything.

For lateness and waiting, both of which only grow when work ends later, some best plan lays the works in
some order with some crews, each as early as it goes. Three jobs of two works and two crews: 90 orders x 64
choices of crews.
"""

from __future__ import annotations

import random
from dataclasses import replace
from datetime import date, timedelta
from itertools import permutations, product

import pytest

from planner.domain.firm.crews import Machine
from planner.domain.firm.jobs import Job
from planner.domain.firm.phases import Phase
from planner.domain.season.breaches import breaches
from planner.domain.season.plan import PlanState
from planner.domain.season.season import After, Season
from planner.schedule.door import enter
from planner.schedule.model.decode import Decisions, decode, pieces
from planner.schedule.model.effort import Effort
from planner.schedule.model.price import Pricer
from planner.schedule.model.shop import Shop
from planner.schedule.search.floor import floor_price
from planner.schedule.solve import solve
from tests.schedule.seasons import season as seeded
from tests.schedule.tiny import FREE, MONDAY, key, season, work

EFFORT = Effort(steps=1_500, exact_work=6.0)


def three_jobs(seed: int) -> Season:
    rng = random.Random(seed)
    works, jobs = [], []
    for job in "PQR":
        hours = {c: float(rng.randint(2, 12)) for c in "AB"}
        works.append(work(job, hours, machines={"excavator": 1}))
        cured = After(key(job), lag_h=rng.choice([0.0, 4.0, 24.0]))
        works.append(work(job, {c: float(rng.randint(1, 6)) for c in "AB"}, Phase.PLUMBING, after=(cured,)))
        promised = MONDAY + timedelta(days=rng.randint(0, 3))
        jobs.append(Job(job, job, promised=promised, importance=rng.choice([1.0, 2.0])))
    weights = replace(FREE, late_day=250.0, wait_day=10.0)
    machine = Machine("excavator", "mini excavator")
    return season(
        *works, crews="AB", jobs=jobs, machines=[machine], weights=weights, last_day=date(2027, 4, 16)
    )


def cheapest_of_all(s: Season) -> float:
    shop = Shop(enter(s).problem)
    pricer = Pricer(shop)
    best = float("inf")
    for order in permutations(range(len(shop.tasks))):
        place = {t: i for i, t in enumerate(order)}
        if any(place[k.before] > place[t] for t in order for k in shop.links[t]):
            continue
        for choice in product((0, 1), repeat=len(order)):
            table = decode(shop, Decisions([(t,) for t in order], list(choice), shop.release[:]))
            best = min(best, pricer.bill(table).total)
    return best


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_equal_to_trying_everything(seed: int) -> None:
    s = three_jobs(seed)
    plan = solve(s, effort=EFFORT)
    assert plan.state is PlanState.BEST
    assert plan.bound_cents == plan.cost.total_cents
    assert plan.cost.total_cents == pytest.approx(cheapest_of_all(s), abs=0.5)


@pytest.mark.parametrize("jobs", [1, 2])
def test_all_terms_proven(jobs: int) -> None:
    """Every price of a firm at its default; the floor never passes the proven best."""
    s = seeded(jobs, 1, 0.85, 1)
    plan = solve(s, effort=EFFORT)
    assert breaches(s, plan.bookings) == []
    assert plan.state is PlanState.BEST
    shop = Shop(enter(s).problem)
    floor = floor_price(shop, Pricer(shop), pieces(shop))
    assert floor is not None
    assert 0 < floor <= plan.cost.total_cents


def test_eight_jobs_without_lateness_are_proven() -> None:
    """Only lateness is priced, and the promises can be kept: zero is proven best."""
    s = seeded(8, 2, 0.85, 1)
    firm = replace(s.firm, weights=replace(FREE, late_day=250.0))
    s = replace(s, firm=firm, machines={k: replace(m, move_cost_usd=0.0) for k, m in s.machines.items()})
    plan = solve(s, effort=EFFORT)
    assert (plan.cost.total_cents, plan.state) == (0, PlanState.BEST)


def test_the_floor_is_a_floor() -> None:
    s = seeded(12, 2, 0.95, 4, shocks=True)
    plan = solve(s, effort=replace(EFFORT, exact_jobs=0, steps=3_000))
    assert plan.bound_cents is not None
    assert 0 < plan.bound_cents < plan.cost.total_cents
    assert plan.state is PlanState.FEASIBLE
