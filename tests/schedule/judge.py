"""The domain's own judgement of a plan: no rule broken, and the price to the cent."""

from __future__ import annotations

from collections.abc import Sequence

from planner.domain.season.breaches import breaches
from planner.domain.season.cost import plan_cost
from planner.domain.season.plan import Booking, Plan
from planner.domain.season.season import Season


def lawful_cents(season: Season, bookings: Sequence[Booking]) -> int:
    """The price of bookings that break no rule [cents]."""
    assert breaches(season, bookings) == []
    return plan_cost(season, bookings).total_cents


def good(season: Season, plan: Plan) -> None:
    """A plan that breaks no rule and says its price as the domain does, term by term."""
    assert breaches(season, plan.bookings) == []
    assert plan.cost == plan_cost(season, plan.bookings)
