"""The proven floor never passes the cheapest plan: hundreds of tiny seasons, every plan of each tried out."""

from __future__ import annotations

import random
from dataclasses import replace
from datetime import date, timedelta
from itertools import permutations, product

import pytest

from planner.domain.firm.jobs import Job
from planner.domain.firm.phases import Phase
from planner.domain.season.plan import Booking
from planner.domain.season.season import After, Mode, Season, Work
from planner.schedule.answers.engine import bookings_of
from planner.schedule.door import enter
from planner.schedule.model.decode import Decisions, decode, pieces
from planner.schedule.model.price import Pricer
from planner.schedule.model.shop import Shop
from planner.schedule.model.timetable import Timetable
from planner.schedule.search.floor import floor_price, stretches
from tests.schedule.judge import lawful_cents
from tests.schedule.seasons import season as seeded
from tests.schedule.tiny import FREE, MONDAY, at, key, season, work

#: Days by which the first work of a job may wait.
WAITS = (0, 1, 3)


def two_jobs(seed: int, begun: str = "") -> Season:
    """A dig and a liner or plumbing at each of two sites, by either crew; P's dig by both together, too.

    begun: P's dig is "done" on Monday, or "going" on from Monday into Tuesday, and it is Tuesday.
    """
    rng = random.Random(f"{begun} {seed}" if begun else seed)
    works, jobs = [], []
    for job in "PQ":
        hours = {c: float(rng.randint(1, 14)) for c in "AB"}
        modes = [Mode((c,), h * 60, {}) for c, h in hours.items()]
        if job == "P" and not begun:
            modes.append(Mode(("A", "B"), max(60.0, 33.0 * min(hours.values())), {}))
        works.append(Work(key(job), tuple(modes)))
        cured = After(key(job), lag_h=rng.choice([0.0, 4.0, 9.0, 10.0, 24.0, 48.0]))
        later = rng.choice([Phase.LINER, Phase.PLUMBING])
        works.append(work(job, {c: float(rng.randint(1, 9)) for c in "AB"}, later, after=(cured,)))
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
            ("hole_day", 40),
            ("hole_rest", 80),
        )
    }
    more: dict[str, object] = {"last_day": date(2027, 4, 23)}
    if begun:
        more["now"] = at(6, "06:00")
        crew, end = rng.choice("AB"), at(6, "11:00") if begun == "going" else at(5, "15:30")
        worked = Booking(
            key("P"), (crew,), at(5, "07:00"), end, 11.5 if begun == "going" else 8.0, begun=True
        )
        if begun == "going":
            works[0] = replace(works[0], fixed=worked)
        else:
            more["done"] = (worked,)
            works = [replace(works[1], after=()), *works[2:]]
    weights = replace(FREE, **prices)
    return season(*works, crews="AB", jobs=jobs, weights=weights, **more)


def cheapest_of_all(s: Season) -> int:
    """The price of the cheapest of all orders, ways and waits, by the season's own cost [cents]."""
    door = enter(s)
    shop = Shop(door.problem)
    pricer = Pricer(shop)
    firsts = [part[0] for part in pieces(shop)]
    ways = [range(len(shop.options[t])) if t in shop.free else (-1,) for t in range(len(shop.tasks))]
    best: tuple[float, Timetable] | None = None
    for order in permutations(shop.free):
        place = {t: i for i, t in enumerate(order)}
        if any(place.get(k.before, -1) > place[t] for t in order for k in shop.links[t]):
            continue
        for choice in product(*ways):
            for waits in product(WAITS, repeat=len(firsts)):
                holds = shop.release[:]
                for task, days in zip(firsts, waits, strict=True):
                    holds[task] += days * shop.day_slots
                table = decode(shop, Decisions([(t,) for t in order], list(choice), holds))
                if min(table.start[t] for t in order) >= 0:
                    total = pricer.bill(table).total
                    if best is None or total < best[0]:
                        best = total, table
    assert best is not None
    return lawful_cents(s, bookings_of(door, shop, best[1]))


@pytest.mark.parametrize("begun", ["", "done", "going"])
@pytest.mark.parametrize("first", range(0, 100, 25))
def test_no_plan_is_below_the_floor(first: int, begun: str) -> None:
    tight = 0
    for seed in range(first, first + 25):
        s = two_jobs(seed, begun)
        shop = Shop(enter(s).problem)
        floor = floor_price(shop, Pricer(shop), pieces(shop))
        assert floor is not None
        cheapest = cheapest_of_all(s)
        assert floor <= cheapest + 1, f"season {seed}"
        tight += floor >= 0.7 * cheapest
    assert tight > 5  # it says something, too


def test_a_floor_whose_time_is_over_is_lower_and_still_one() -> None:
    """Each further job that is weighed raises it, from what stands anyway up to the whole floor."""
    s = seeded(6, 2, 0.7, seed=1, shocks=False)
    shop = Shop(enter(s).problem)
    parts = pieces(shop)
    floors = []
    for weighed in range(len(parts) + 1):
        left = iter([False] * weighed)
        floors.append(floor_price(shop, Pricer(shop), parts, lambda left=left: next(left, True)))
    assert floors == sorted(floors) and floors[0] < floors[-1]
    assert floors[-1] == floor_price(shop, Pricer(shop), parts)


def test_crews_together_are_weighed_with_what_they_cost() -> None:
    """By hand, at $50 an open day and $60 a crew day of 8 h.

    10 h alone are 1 x 50 + 2 x 60 = 170, 5.5 h together 0 + 2 x 60 = 120. 32 h alone are 3 x 50 + 4 x 60
    = 390, 16 h together 1 x 50 + 4 x 60 = 290. But 17 h together are 34 crew hours, 5 crew days and 2 open
    days: 400. The fewest open days beside the fewest crew days would be 340, which no plan has.
    """
    cases = ((10.0, 5.5, 120), (32.0, 16.0, 290), (32.0, 17.0, 390))
    for alone_h, together_h, usd in cases:
        modes = (Mode(("A",), alone_h * 60, {}), Mode(("A", "B"), together_h * 60, {}))
        weights = replace(FREE, open_day=50, site_day=60)
        s = season(Work(key("P"), modes), crews="AB", weights=weights)
        shop = Shop(enter(s).problem)
        floor = floor_price(shop, Pricer(shop), pieces(shop))
        assert floor == pytest.approx(100 * usd)
        assert cheapest_of_all(s) == 100 * usd


def test_a_cure_over_night_parts_the_days() -> None:
    # 8 paid hours and a half-hour break: from the end of a morning's first slot on, 7.5 h are left of the day
    for lag_h, parts in ((0.0, 1), (7.5, 1), (8.0, 2), (24.0, 2)):
        after = After(key("P"), lag_h=lag_h)
        shop = Shop(enter(season(work("P", 2.0), work("P", 2.0, Phase.PLUMBING, after=(after,)))).problem)
        assert len(stretches(shop, pieces(shop)[0])) == parts, lag_h
