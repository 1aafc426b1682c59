"""The flat kernel means what the plain timetable and its price mean; compiled, it takes the very same
steps."""

from __future__ import annotations

import os
import subprocess
import sys
from dataclasses import replace
from datetime import timedelta

import pytest

from planner.domain.season.season import Season
from planner.schedule.answers.engine import bookings_of
from planner.schedule.door import enter
from planner.schedule.kernel import layout
from planner.schedule.kernel.laying import UNPLACED
from planner.schedule.kernel.ruin import MOST_OUT, bring_back, draw_out, keep, rebuild, take_out
from planner.schedule.kernel.session import Session
from planner.schedule.model.decode import QUICKEST, Decisions, decode, pieces
from planner.schedule.model.price import Pricer
from planner.schedule.model.shop import Shop
from planner.schedule.model.timetable import Timetable
from tests.schedule.judge import lawful_cents
from tests.schedule.seasons import season, told_days, with_people, with_visits

STEPS = 400


def laid(shop: Shop) -> Timetable:
    """All jobs in their own order, each task by its quickest way."""
    return decode(shop, Decisions(pieces(shop), [QUICKEST] * len(shop.tasks), shop.release[:]))


def walk(s: Season, seed: int, rounds: int = 3) -> list[float]:
    """Prices of an annealed walk [cents], each held against the plain price of the plain timetable."""
    shop = Shop(enter(s).problem)
    pricer, parts = Pricer(shop), pieces(shop)
    table = laid(shop)
    session = Session(shop, pricer, parts, seed)
    prices = [session.begin(session.flat(table))]
    assert prices[0] == pytest.approx(pricer.bill(table).total, abs=0.01)
    heat = 0.1 * prices[0] / len(parts)
    for _ in range(rounds):
        heat = session.anneal(STEPS // rounds, heat, 0.99)
        assert list(session.now) == list(session.trial)
        now = session.table(session.now)
        assert session.price == pytest.approx(pricer.bill(now).total, abs=0.01)
        best = session.table(session.best)
        assert session.best_price == pytest.approx(pricer.bill(best).total, abs=0.01)
        prices += [session.price, session.best_price]
    return prices


@pytest.mark.parametrize("seed", range(6))
def test_prices_and_rows_follow_the_plain_ones(seed: int) -> None:
    s = season(6 + seed, 1 + seed % 3, 0.75 + 0.05 * (seed % 5), seed, shocks=seed % 2 == 1)
    dear = replace(s.firm.weights, begun_rest=90.0, crumb=400.0, idle_hour=seed * 7.0)
    late = {job: tuple(40.0 * n for n in range(30)) for job in list(s.jobs)[::2]}
    s = replace(s, firm=replace(s.firm, weights=dear), late_usd=late)
    prices = walk(s, seed)
    assert min(prices) < prices[0]


@pytest.mark.parametrize("days", [9, 25])
def test_also_in_mid_season_with_what_is_done_and_told(days: int) -> None:
    s = season(8, 2, 0.85, 1)
    dear = replace(s.firm.weights, hole_day=17.0, hole_rest=110.0, call=45.0, begun_rest=90.0)
    dear = replace(dear, crumb=120.0, idle_hour=25.0)
    s = replace(s, firm=replace(s.firm, weights=dear))
    door = enter(s)
    shop = Shop(door.problem)
    table = laid(shop)
    rows = bookings_of(door, shop, table)
    now = s.now + timedelta(days=days, hours=5)
    done = {b.key: b for b in rows if b.end <= now}
    going = {b.key: b for b in rows if b.start < now < b.end}
    works = {
        k: replace(w, after=tuple(a for a in w.after if a.before not in done), fixed=going.get(k))
        for k, w in s.works.items()
        if k not in done
    }
    later = replace(s, works=works, done=tuple(done.values()), now=now, published={b.key: b for b in rows})
    later = replace(later, told=told_days(rows))
    assert done
    walk(later, 1)


def test_jobs_taken_out_come_back_lawful_at_the_price_told_or_as_they_were() -> None:
    s = season(8, 2, 0.9, 3, shocks=True)
    door = enter(s)
    shop = Shop(door.problem)
    pricer, parts = Pricer(shop), pieces(shop)
    session = Session(shop, pricer, parts, 5)
    before = session.begin(session.flat(laid(shop)))
    rows = (*session.facts, session.now, session.trial)
    cheaper = 0
    for _ in range(60):
        stood, sums = list(session.now), list(session.sums)
        keep(session.facts.ints, session.now, session.kept, session.sums)
        count = draw_out(session.facts.ints, session.now, session.notes, session.sums)
        out = take_out(*rows, session.notes, session.sums, count)
        gone = [i for i in shop.free if session.start(i) < 0]
        assert 1 <= count <= MOST_OUT
        assert sorted(gone) == sorted(t for part in parts for t in part if part[0] in gone)
        assert sum(part[0] in gone for part in parts) == count
        delta = out + rebuild(*rows, session.kept, session.notes, session.sums, count)
        if delta < 0:
            cheaper += 1
            table = session.table(session.now)
            assert list(session.now) == list(session.trial)
            assert session.price == pytest.approx(pricer.bill(table).total, abs=0.01)
            lawful_cents(s, bookings_of(door, shop, table))
            continue
        bring_back(session.facts.ints, session.now, session.trial, session.kept, session.sums)
        shown, again = (session.table(row) for row in (session.now, session.kept))
        assert (shown.start, shown.option, shown.hold) == (again.start, again.option, again.hold)
        assert [shown.worker_rows, shown.unit_rows] == [again.worker_rows, again.unit_rows]
        assert list(session.now)[: 4 * len(shop.tasks)] == stood[: 4 * len(shop.tasks)]
        at = int(session.facts.ints[layout.SUM_PRICE])
        assert session.sums[at] == sums[at]
    assert cheaper >= 5
    assert session.price < before


def test_a_job_without_a_place_finds_one_when_its_neighbors_are_taken_out() -> None:
    # P without a place counts a fortune; the ruin that puts it back takes it off again
    s = season(5, 2, 0.7, 3)
    shop = Shop(enter(s).problem)
    pricer, parts = Pricer(shop), pieces(shop)
    table = laid(shop)
    table.lift(parts[0])
    session = Session(shop, pricer, parts, 2)
    assert session.begin(session.flat(table)) > UNPLACED
    heat = 1.0
    for _ in range(40):
        heat = session.anneal(100, heat, 1.0)
    assert session.price < UNPLACED
    assert session.price == pytest.approx(pricer.bill(session.table(session.now)).total, abs=0.01)


def told_both_ways(code: str) -> list[str]:
    """What the code prints in plain Python and compiled, each in a process of its own."""
    pytest.importorskip("numba", reason="no compiler is installed: the search runs as plain Python")
    return [
        subprocess.run(
            [sys.executable, "-c", code],
            env={**os.environ, "PLANNER_COMPILED": wish},
            capture_output=True,
            text=True,
            check=True,
        ).stdout
        for wish in ("0", "1")
    ]


@pytest.mark.parametrize("jobs", [12])
def test_compiled_steps_are_the_plain_ones(jobs: int) -> None:
    """Every price of the walk is the same number."""
    code = (
        "from tests.schedule.test_kernel import walk; from tests.schedule.seasons import season;"
        f"print(*(repr(float(p)) for p in walk(season({jobs}, 2, 0.95, 4, shocks=True), 3)))"
    )
    told = told_both_ways(code)
    assert told[0] == told[1]
    assert len(told[0].split()) == 7


def test_fast_rows_rest_while_nobody_may_run_the_machine() -> None:
    s = with_people(season(6, 2, 0.6, 3), 1)
    prices = walk(s, 1)
    assert min(prices) < prices[0]
    door = enter(s)
    shop = Shop(door.problem)
    session = Session(shop, Pricer(shop), pieces(shop), 1)
    session.begin(session.flat(laid(shop)))
    session.anneal(200, 1e9, 1.0)  # so hot that every step is taken
    lawful_cents(s, bookings_of(door, shop, session.table(session.now)))


def test_fast_rows_lay_visits_as_the_plain_timetable_does() -> None:
    s = with_visits(season(6, 2, 0.8, 3))
    prices = walk(s, 1)
    assert min(prices) < prices[0]
    door = enter(s)
    shop = Shop(door.problem)
    session = Session(shop, Pricer(shop), pieces(shop), 1)
    session.begin(session.flat(laid(shop)))
    session.anneal(200, 1e9, 1.0)  # so hot that every step is taken
    lawful_cents(s, bookings_of(door, shop, session.table(session.now)))
