"""Trucks in the search: every timetable obeys, and the fast rows bring machines as the plain ones do."""

from __future__ import annotations

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from planner.schedule.answers.engine import bookings_of
from planner.schedule.door import enter
from planner.schedule.kernel.session import Session
from planner.schedule.model.decode import pieces
from planner.schedule.model.effort import Effort
from planner.schedule.model.price import Pricer
from planner.schedule.model.problem_json import from_json, to_json
from planner.schedule.model.shop import Shop
from planner.schedule.solve import solve
from tests.schedule.judge import good, lawful_cents
from tests.schedule.seasons import season as seeded
from tests.schedule.seasons import with_people, with_trucks
from tests.schedule.test_kernel import laid, told_both_ways, walk


def test_the_problem_keeps_its_trucks_as_json() -> None:
    problem = enter(with_trucks(seeded(4, 2, 0.7, 1), 1)).problem
    assert problem.trucks
    assert from_json(to_json(problem)) == problem


@pytest.mark.parametrize("seed", range(6))
def test_fast_rows_bring_machines_as_the_plain_timetable_does(seed: int) -> None:
    s = seeded(6 + seed, 1 + seed % 3, 0.8, seed)
    s = with_trucks(with_people(s, seed) if seed % 2 else s, seed)
    prices = walk(s, seed)
    assert min(prices) < prices[0]
    door = enter(s)
    shop = Shop(door.problem)
    session = Session(shop, Pricer(shop), pieces(shop), 1)
    session.begin(session.flat(laid(shop)))
    session.anneal(200, 1e9, 1.0)  # so hot that every step is taken
    lawful_cents(s, bookings_of(door, shop, session.table(session.now)))


def test_compiled_steps_with_trucks_are_the_plain_ones() -> None:
    """Every price of the walk is the same number."""
    code = (
        "from tests.schedule.test_kernel import walk; from tests.schedule.seasons import season, with_trucks;"
        "print(*(repr(float(p)) for p in walk(with_trucks(season(10, 2, 0.9, 4), 4), 3)))"
    )
    told = told_both_ways(code)
    assert told[0] == told[1]
    assert len(told[0].split()) == 7


@settings(max_examples=12, deadline=None, suppress_health_check=list(HealthCheck), derandomize=True)
@given(st.integers(0, 10_000), st.booleans())
def test_every_plan_obeys_and_is_priced_to_the_cent(seed: int, named: bool) -> None:
    s = seeded(3 + seed % 4, 1 + seed % 3, 0.7, seed)
    s = with_trucks(with_people(s, seed) if named else s, seed)
    door = enter(s)
    shop = Shop(door.problem)
    pricer = Pricer(shop)
    table = laid(shop)
    bill = pricer.bill(table)
    assert bill.unplaced == 0
    # Each of fifteen terms is rounded once, so the engine's own sum may differ by 15 half cents.
    assert abs(bill.total - lawful_cents(s, bookings_of(door, shop, table))) <= 7.5
    found = solve(s, effort=Effort(steps=100, exact_jobs=0))
    good(s, found)
