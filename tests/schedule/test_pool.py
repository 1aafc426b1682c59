"""Plans kept for their children, and the row of runs in which those come: lawful, priced as the plain price
says, the same compiled or not; a longer row holds the shorter one."""

from __future__ import annotations

import pytest

from planner.schedule.answers.engine import bookings_of
from planner.schedule.door import enter
from planner.schedule.model.decode import pieces
from planner.schedule.model.price import Pricer
from planner.schedule.model.problem import Problem
from planner.schedule.model.shop import Shop
from planner.schedule.search import stream
from planner.schedule.search.dispatch import best_dispatch
from planner.schedule.search.pool import Known, Pool
from planner.schedule.search.stream import Stream
from tests.schedule.judge import lawful_cents
from tests.schedule.seasons import season
from tests.schedule.test_kernel import told_both_ways

#: Steps for each job of a first run, so few that a test comes to the children.
SHORT = 4


def row_of(problem: Problem, seed: int) -> Stream:
    """A row of runs from the dispatch rules' plan."""
    shop = Shop(problem)
    pricer = Pricer(shop)
    return Stream(shop, pricer, pieces(shop), best_dispatch(shop, pricer)[0], seed)


def told(jobs: int, seed: int, steps: int) -> str:
    """What the row found, step by step."""
    row = row_of(enter(season(jobs, 2, 0.9, 3, shocks=True)).problem, seed)
    while row.steps < steps:
        row.advance(min(50, steps - row.steps))
    return " ".join(f"{find.steps}:{float(find.price)!r}" for find in row.finds)


@pytest.fixture(autouse=True)
def _short(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(stream, "FIRST_RUN", SHORT)


def test_a_child_is_lawful_and_has_what_its_parents_have() -> None:
    s = season(8, 2, 0.9, 3, shocks=True)
    door = enter(s)
    row = row_of(door.problem, 1)
    session, shop, first = row.session, row.session.shop, row.first
    pricer = Pricer(shop)
    session.begin(first)
    session.anneal(300, 1e9, 1.0)  # so hot that every step is taken
    other = session.now.copy()
    pool = Pool(session, 1)
    children = [pool.child(Known(0.0, first), [Known(0.0, other)]) for _ in range(10)]
    for child in children:
        table = session.table(child)
        cents = lawful_cents(s, bookings_of(door, shop, table))
        assert cents == pytest.approx(pricer.bill(table).total, abs=2)
        assert all(table.option[t] in {int(first[4 * t + 2]), int(other[4 * t + 2])} for t in shop.free)
    assert len({tuple(int(x) for x in child) for child in children}) > 1


def test_the_pool_keeps_the_cheapest_and_no_plan_twice() -> None:
    row = row_of(enter(season(6, 2, 0.9, 3)).problem, 1)
    pool = row.pool
    plans = [Known(price, row.first) for price in (500.0, 300.0, 300.2, 900.0, 700.0)]
    pool.keep(plans, 3)
    assert [p.price for p in pool.plans] == [300.0, 500.0, 700.0]
    pool.replace(pool.plans[2], Known(299.9, row.first))
    assert [p.price for p in pool.plans] == [300.0, 500.0, 700.0], "the same plan as another one"
    pool.replace(pool.plans[2], Known(400.0, row.first))
    assert [p.price for p in pool.plans] == [300.0, 400.0, 500.0]


@pytest.mark.parametrize(("jobs", "runs"), [(1, 150), (2, 150), (6, 60), (35, 8)])
def test_a_longer_row_contains_the_shorter(jobs: int, runs: int) -> None:
    steps = runs * SHORT * jobs // 50 * 50  # whole strides: a find is seen at the end of one
    short, long = told(jobs, 2, steps), told(jobs, 2, 3 * steps)
    assert long.startswith(short)


def test_children_come_the_same_compiled_or_not() -> None:
    code = (
        "from planner.schedule.search import stream; from tests.schedule.test_pool import SHORT, told;"
        "stream.FIRST_RUN = SHORT; print(told(8, 5, 2500))"
    )
    found = told_both_ways(code)
    assert found[0] == found[1]
    assert ":" in found[0]
