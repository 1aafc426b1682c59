"""The expected price: without luck it is the price on paper, with luck each term as reasoned by hand."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, datetime

import numpy as np
import pytest

from planner.domain.firm.firm import Firm, Weights
from planner.domain.firm.jobs import Job
from planner.domain.firm.phases import Phase
from planner.domain.forecast.chance import play
from planner.domain.forecast.expected import expected, late_by_day, prices
from planner.domain.forecast.luck import Spread, Weather
from planner.domain.season.cost import plan_cost
from planner.domain.season.plan import Booking, Plan, PlanState
from planner.domain.season.season import After, Season
from planner.domain.season.told_days import told_by_plan
from tests.domain.forecast.test_chance import EIGHT_HOURS, make_season, one

DEAR = Weights(wait_day=10, hole_day=7, hole_rest=90, call=33, open_day=25, site_day=60, late_day=250)


def _plan(season: Season, rows: list[Booking]) -> Plan:
    return Plan(tuple(rows), plan_cost(season, rows), PlanState.FEASIBLE, season.now)


def _pond(firm: Firm, promised: date) -> tuple[Season, list[Booking]]:
    """One pond: Monday dig, Tuesday and Wednesday liner, eight hours a day from 7 to 15, no break."""
    dig, liner = one("P-1"), one("P-1", Phase.LINER)
    season, rows = make_season(
        replace(firm, weights=DEAR),
        {dig: 480.0, liner: 960.0},
        after={liner: (After(dig),)},
        jobs={"P-1": Job("P-1", "client", promised=promised)},
    )
    spans = ((5, 5, 8.0), (6, 7, 16.0))
    rows = [
        replace(row, start=datetime(2027, 4, a, 7), end=datetime(2027, 4, b, 15), crew_h=h)
        for row, (a, b, h) in zip(rows, spans, strict=True)
    ]
    return season, rows


def test_without_luck_the_expected_price_is_the_price_on_paper() -> None:
    season, rows = _pond(EIGHT_HOURS, date(2027, 4, 6))
    plan = _plan(season, rows)
    calm = play(season, rows, {}, Weather(), seasons=3)
    seen = expected(season, plan, calm, calm)
    assert plan.cost.cents["late"] == 25_000 and plan.cost.cents["site days"] == 18_000
    assert seen.mean_cents == seen.low_cents == seen.high_cents == plan.cost.total_cents
    assert (seen.kept, seen.promises, seen.error_cents) == (0.0, 1, 0)


def test_a_lost_day_is_priced_term_by_term() -> None:
    # Tuesday is lost: the liner ends on Thursday. One day more late (250), open (25), waiting (10), open hole
    # (7); three days on site as before, since nobody works on the lost day; its drives too.
    season, rows = _pond(EIGHT_HOURS, date(2027, 4, 7))
    plan = _plan(season, rows)
    calm = play(season, rows, {}, Weather(), seasons=1)
    rain = Weather((0.0,) * 12, told={date(2027, 4, 6): 1.0})
    wet = play(season, rows, {}, rain, seasons=2, seed=1)
    assert prices(season, plan, wet, calm) == pytest.approx(plan.cost.total_cents / 100 + 250 + 25 + 10 + 7)


def test_work_that_takes_a_day_longer_costs_a_day_on_site() -> None:
    # the liner takes three days instead of two: all the above and one site day with its drive of 2 x 0 miles
    season, rows = _pond(EIGHT_HOURS, date(2027, 4, 7))
    plan = _plan(season, rows)
    calm = play(season, rows, {}, Weather(), seasons=1)
    slow = play(season, rows, {rows[1].key: Spread(1.5)}, Weather(), seasons=1)
    assert prices(season, plan, slow, calm) == pytest.approx(
        plan.cost.total_cents / 100 + 250 + 25 + 10 + 7 + 60
    )


def test_a_first_day_that_moves_is_a_call() -> None:
    # rain on the day before which the second job was told: it begins a day later, and its client is called
    a, b = one("P-1"), one("P-2")
    season, rows = make_season(replace(EIGHT_HOURS, weights=DEAR), {a: 960.0, b: 480.0})
    rows = [
        replace(rows[0], end=datetime(2027, 4, 6, 15)),
        replace(rows[1], start=datetime(2027, 4, 7, 7), end=datetime(2027, 4, 7, 15)),
    ]
    plan = _plan(season, rows)
    season = replace(season, told=told_by_plan(plan, date(2027, 4, 5), 14))
    calm = play(season, rows, {}, Weather(), seasons=1)
    wet = play(season, rows, {}, Weather(told={date(2027, 4, 6): 1.0}), seasons=1)
    # the client of P-2 was told April 7.
    # P-1 a day longer open (25) and waiting (10); P-2 a day more waiting (10), one call (33)
    assert prices(season, plan, wet, calm) - prices(season, plan, calm, calm) == pytest.approx(25 + 20 + 33)


def test_late_days_by_planned_day_are_those_of_the_played_seasons() -> None:
    # ten full days of work, the first known dry, each other lost with 0.3: the lost days before the tenth
    # worked one are negative binomial (scipy's nbinom(9, 0.7)). Planned to end on April 14, promised for the
    # 16th: each day on which it may end has the mean of what is over the promise, at 250 a day
    from scipy import stats

    key = one("P-1")
    due = {"P-1": Job("P-1", "client", promised=date(2027, 4, 16))}
    season, rows = make_season(EIGHT_HOURS, {key: 10 * 480.0}, jobs=due)
    rows = [replace(rows[0], end=datetime(2027, 4, 14, 15))]
    draws = play(season, rows, {}, Weather((0.3,) * 12), seasons=20_000, seed=4)
    found = late_by_day(season, rows, draws, 0)["P-1"]
    lost = np.arange(200)
    chance = stats.nbinom(9, 0.7).pmf(lost)
    for day in (0, 5, 9, 11, 15, 30):
        over = float(chance @ np.maximum(0, day + lost - 11))
        assert found[day] == pytest.approx(250 * over, abs=250 * 0.1)
    assert late_by_day(season, rows, draws, 3)["P-1"][:-3] == found[3:]
    assert len(found) == (season.last_day - draws.first).days + 1
    assert np.all(draws.lost[:, 0] == 0)
