"""Days kept in hand: what the search is told, and what may be asked for."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

from planner.domain.firm.jobs import Job
from planner.domain.forecast.slack import MOST_DAYS, judged, with_slack
from planner.domain.season.cost import plan_cost
from planner.domain.season.plan import Booking, Cost, Plan, PlanState
from planner.errors import BadInput
from tests.schedule.tiny import at, key, season, work

SEASON = season(
    work("A", 8.0), work("B", 8.0), jobs=[Job("A", "Ames", promised=date(2027, 4, 30)), Job("B", "Bay")]
)


@pytest.mark.parametrize("days", [-1, MOST_DAYS + 1])
def test_slack_outside_its_bounds_is_refused(days: int) -> None:
    with pytest.raises(BadInput, match="choose from 0 to 60 days"):
        with_slack(SEASON, days)


def test_every_promise_comes_earlier_by_the_slack_and_a_job_without_one_stays() -> None:
    assert with_slack(SEASON, 0) is SEASON
    assert with_slack(SEASON, 1).jobs["A"].promised == date(2027, 4, 29)
    most = with_slack(SEASON, MOST_DAYS).jobs
    assert (most["A"].promised, most["B"].promised) == (date(2027, 3, 1), None)
    assert SEASON.jobs["A"].promised == date(2027, 4, 30)


def test_a_plan_found_with_slack_is_priced_by_the_real_promises_and_proves_nothing() -> None:
    booking = Booking(key("A"), ("A",), at(5, "07:00"), at(5, "15:30"), 8.0)
    found = Plan(
        (booking,), Cost({"late": 5}), PlanState.BEST, at(5, "06:00"), dispatch_cents=9, bound_cents=5
    )
    told = judged(found, SEASON)
    assert told.cost == plan_cost(SEASON, (booking,))
    assert (told.state, told.dispatch_cents, told.bound_cents) == (PlanState.FEASIBLE, None, None)
    assert judged(replace(found, state=PlanState.REPAIRED), SEASON).state is PlanState.REPAIRED
