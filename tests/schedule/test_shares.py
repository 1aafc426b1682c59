"""The proven floor never passes the cheapest plan: hundreds of tiny seasons, every plan of each tried out."""

from __future__ import annotations

import random
from dataclasses import replace
from datetime import date, timedelta
from itertools import permutations, product

import pytest

from planner.domain.firm.crews import Machine
from planner.domain.firm.jobs import Job
from planner.domain.firm.phases import Phase
from planner.domain.season.plan import Booking
from planner.domain.season.season import After, Mode, Season
from planner.schedule.answers.engine import bookings_of
from planner.schedule.door import enter
from planner.schedule.model.decode import Decisions, decode, pieces
from planner.schedule.model.price import Pricer
from planner.schedule.model.shop import Shop
from planner.schedule.model.timetable import Timetable
from planner.schedule.search import branching
from planner.schedule.search.branching import floor_of
from planner.schedule.search.shares import Shares
from planner.schedule.solve import ROUNDING
from tests.schedule.judge import lawful_cents
from tests.schedule.tiny import FREE, MONDAY, at, key, season, work

#: Days by which a work may wait: the first of a job, the second.
FIRST_WAITS, SECOND_WAITS = (0, 1, 3), (0, 2)
#: Highest price of each kind that a season may have [USD].
TOPS = {
    "late_day": 250,
    "wait_day": 30,
    "site_day": 60,
    "open_day": 60,
    "crew_change": 90,
    "leave_and_return": 90,
    "travel_mile": 3,
    "hole_day": 80,
    "hole_rest": 200,
    "call": 50,
    "moved_near": 400,
    "moved_far": 40,
}


def two_jobs(seed: int) -> Season:
    """Two jobs of two works, any price, an excavator; some with work done, under way or published."""
    rng = random.Random(seed)
    works, jobs = [], []
    dug = {"excavator": 1} if rng.random() < 0.6 else {}
    for job in "PQ":
        first = work(job, {c: float(rng.randint(1, 14)) for c in "AB"}, machines=dug)
        if rng.random() < 0.4:
            pair = Mode(("A", "B"), min(m.work_min for m in first.modes) * 0.6, dug)
            first = replace(first, modes=(first.modes[0], pair))
        works.append(first)
        share, lag_h = rng.choice([(1.0, 0.0), (1.0, 4.0), (1.0, 9.0), (1.0, 24.0), (1.0, 48.0), (0.4, 0.0)])
        after = (After(key(job), share, lag_h),)
        works.append(work(job, {c: float(rng.randint(1, 9)) for c in "AB"}, Phase.LINER, after=after))
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
    weights = replace(FREE, **{name: float(rng.choice([0, top // 3, top])) for name, top in TOPS.items()})
    s = season(
        *works,
        crews="AB",
        jobs=jobs,
        weights=weights,
        machines=[Machine("excavator", "mini excavator", 1, (), move_cost_usd=rng.choice([0.0, 90.0]))],
        last_day=date(2027, 4, 23),
    )
    return begun(s, rng)


def begun(s: Season, rng: random.Random) -> Season:
    """The season as drawn, published, or with its first digging done or under way."""
    kind = rng.choice(["new", "published", "done", "under way"])
    if kind == "new":
        return s
    days = rng.randint(0, 2)
    booked = {
        k: Booking(k, (rng.choice("AB"),), at(5 + days, "07:00"), at(5 + days, "15:30"), 8.0) for k in s.works
    }
    if kind == "published":
        told = {k.job: (b.start.date(), b.end.date()) for k, b in booked.items() if rng.random() < 0.5}
        return replace(s, published=booked, told=told)
    first = booked[key("P")]
    dug = replace(first, start=at(5, "07:00"), end=at(5, "15:30"))
    if kind == "done":
        left = {k: replace(w, after=()) if k.job == "P" else w for k, w in s.works.items() if k != key("P")}
        return replace(s, works=left, done=(dug,), now=at(6, "06:00"))
    under_way = replace(dug, end=at(6, "11:00"), crew_h=12.0)
    works = {k: replace(w, fixed=under_way) if k == key("P") else w for k, w in s.works.items()}
    return replace(s, works=works, now=at(6, "06:00"))


def cheapest_of_all(s: Season) -> int:
    """The price of the cheapest of all orders, ways and waits, by the domain's own judgement [cents]."""
    door = enter(s)
    shop = Shop(door.problem)
    pricer = Pricer(shop)
    firsts = {part[0] for part in pieces(shop)}
    best: tuple[float, Timetable] | None = None
    ways = [range(len(shop.options[t])) for t in shop.free]
    steps = [FIRST_WAITS if t in firsts else SECOND_WAITS for t in shop.free]
    for order in permutations(shop.free):
        place = {t: i for i, t in enumerate(order)}
        if any(place.get(k.before, -1) > place[t] for t in order for k in shop.links[t]):
            continue
        for choice in product(*ways):
            chosen = [0] * len(shop.tasks)
            for task, way in zip(shop.free, choice, strict=True):
                chosen[task] = way
            for waits in product(*steps):
                holds = shop.release[:]
                for task, days in zip(shop.free, waits, strict=True):
                    holds[task] += days * shop.day_slots
                table = decode(shop, Decisions([(t,) for t in order], chosen, holds))
                if all(table.start[t] >= 0 for t in shop.free):
                    price = pricer.bill(table).total
                    if best is None or price < best[0]:
                        best = price, table
    assert best is not None
    return lawful_cents(s, bookings_of(door, shop, best[1]))


@pytest.mark.parametrize("first", range(0, 240, 30))
def test_no_plan_is_below_the_shared_floor(first: int) -> None:
    tight = 0
    for seed in range(first, first + 30):
        s = two_jobs(seed)
        shop = Shop(enter(s).problem)
        cheapest = cheapest_of_all(s)
        shares = Shares(shop, Pricer(shop), pieces(shop))
        floor = max(shares.round(cheapest) for _ in range(4))
        assert floor <= cheapest + ROUNDING, f"season {seed}"
        assert floor_at_any_prices(shop, cheapest, seed) <= cheapest + ROUNDING, f"season {seed}"
        tight += floor >= 0.8 * cheapest
    assert tight > 15  # it says something, too


@pytest.mark.parametrize("first", (0, 60, 120, 180))
def test_no_plan_is_below_the_floor_by_branching(first: int, monkeypatch: pytest.MonkeyPatch) -> None:
    """Choices are left out and decided by turns towards a dearer plan, with few rounds at each node; where
    the plan is the cheapest one this proves it."""
    for name, fewer in (("ROOT_ROUNDS", 3), ("ROUNDS", 3), ("COMPARED", 2), ("MOST", 2)):
        monkeypatch.setattr(branching, name, fewer)
    proven = 0
    for seed in range(first, first + 60, 6):
        s = two_jobs(seed)
        shop = Shop(enter(s).problem)
        cheapest = cheapest_of_all(s)
        floors = [
            floor_of(shop, Pricer(shop), pieces(shop), goal, 4, 4, lambda: False)
            for goal in (1.2 * cheapest + 1_000, cheapest)
        ]
        assert floors[0] <= cheapest + ROUNDING, f"season {seed}"
        proven += floors[1] >= cheapest - 1
    assert proven > 0


def floor_at_any_prices(shop: Shop, cheapest: int, seed: int) -> float:
    """The highest of the floors at prices of hours drawn by lot, from next to nothing to far too dear, and
    at drives that jobs owe by lot."""
    shares, rng = Shares(shop, Pricer(shop), pieces(shop)), random.Random(seed)
    for dear in (0.001, 0.01, 0.1):
        for prices in (shares.crew_price, shares.unit_price):
            for row in prices:
                row[:] = [rng.choice([0.0, 1.0]) * rng.random() * dear * cheapest for _ in row]
        for rows in shares.drives.weights:
            for day in range(rows.shape[1]):
                drawn = [rng.choice([0.0, 1.0, rng.random()]) for _ in rows]
                rows[:, day] = [x / max(1.0, sum(drawn)) for x in drawn]
        shares.round(cheapest)
    return shares.floor
