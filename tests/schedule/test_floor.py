"""The proven floor never passes the cheapest plan: hundreds of tiny seasons, every plan of each tried out."""

from __future__ import annotations

import random
from dataclasses import replace
from datetime import date, timedelta
from itertools import permutations, product

import pytest

from planner.domain.firm.jobs import Job
from planner.domain.firm.phases import Phase
from planner.domain.season.season import After, Season
from planner.schedule.door import enter
from planner.schedule.model.decode import Decisions, decode, pieces
from planner.schedule.model.price import Pricer
from planner.schedule.model.shop import Shop
from planner.schedule.search.floor import floor_price, stretches
from tests.schedule.tiny import FREE, MONDAY, key, season, work

#: Days by which the first work of a job may wait.
WAITS = (0, 1, 3)


def two_jobs(seed: int) -> Season:
    rng = random.Random(seed)
    works, jobs = [], []
    for job in "PQ":
        works.append(work(job, {c: float(rng.randint(1, 14)) for c in "AB"}))
        cured = After(key(job), lag_h=rng.choice([0.0, 4.0, 9.0, 10.0, 24.0, 48.0]))
        works.append(work(job, {c: float(rng.randint(1, 9)) for c in "AB"}, Phase.PLUMBING, after=(cured,)))
        jobs.append(
            Job(
                job,
                job,
                promised=MONDAY + timedelta(days=rng.randint(0, 4)),
                importance=rng.choice([1.0, 2.0]),
                latitude_deg=41.0 + rng.uniform(0, 0.3),
                longitude_deg=-74.0 + rng.uniform(0, 0.3),
            )
        )
    prices = {
        name: float(rng.choice([0, top // 3, top]))
        for name, top in (
            ("late_day", 250),
            ("wait_day", 30),
            ("site_day", 60),
            ("open_day", 60),
            ("crew_change", 90),
            ("leave_and_return", 90),
            ("travel_mile", 3),
        )
    }
    weights = replace(FREE, **prices)
    return season(*works, crews="AB", jobs=jobs, weights=weights, last_day=date(2027, 4, 23))


def cheapest_of_all(s: Season) -> float:
    """The price of the cheapest of all orders, ways and waits [cents]."""
    shop = Shop(enter(s).problem)
    pricer = Pricer(shop)
    firsts = [part[0] for part in pieces(shop)]
    found = []
    for order in permutations(range(len(shop.tasks))):
        place = {t: i for i, t in enumerate(order)}
        if any(place[k.before] > place[t] for t in order for k in shop.links[t]):
            continue
        for choice in product((0, 1), repeat=len(order)):
            for waits in product(WAITS, repeat=len(firsts)):
                holds = shop.release[:]
                for task, days in zip(firsts, waits, strict=True):
                    holds[task] += days * shop.day_slots
                table = decode(shop, Decisions([(t,) for t in order], list(choice), holds))
                if min(table.start) >= 0:
                    found.append(pricer.bill(table).total)
    return min(found)


@pytest.mark.parametrize("first", range(0, 200, 25))
def test_no_plan_is_below_the_floor(first: int) -> None:
    tight = 0
    for seed in range(first, first + 25):
        s = two_jobs(seed)
        shop = Shop(enter(s).problem)
        floor = floor_price(shop, Pricer(shop), pieces(shop))
        assert floor is not None
        cheapest = cheapest_of_all(s)
        assert floor <= cheapest + 1, f"season {seed}"
        tight += floor >= 0.7 * cheapest
    assert tight > 5  # it says something, too


def test_a_cure_over_night_parts_the_days() -> None:
    # 8 paid hours and a half-hour break: from the end of a morning's first slot on, 7.5 h are left of the day
    for lag_h, parts in ((0.0, 1), (7.5, 1), (8.0, 2), (24.0, 2)):
        after = After(key("P"), lag_h=lag_h)
        shop = Shop(enter(season(work("P", 2.0), work("P", 2.0, Phase.PLUMBING, after=(after,)))).problem)
        assert len(stretches(shop, pieces(shop)[0])) == parts, lag_h
