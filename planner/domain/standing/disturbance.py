"""How much a new plan disturbs those who know the old one: clients to call, crew days that change, dollars.

In: what was told, the new plan, the season. Out: a `Disturbance`; of two plans the one that disturbs less.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from planner.domain.season.cost import sites_by_day
from planner.domain.season.plan import Booking, Plan
from planner.domain.season.season import Season
from planner.domain.standing.changes import calls, changes


@dataclass(frozen=True, slots=True, order=True)
class Disturbance:
    """calls: clients to call; crew_days: days from today on which a crew is on other sites than told.

    cents: the plan's cost [US cents]. Fewer calls count first, then fewer days, then dollars.
    """

    calls: int
    crew_days: int
    cents: int


def disturbance(before: Plan, after: Plan, season: Season) -> Disturbance:
    """What changing from `before` to `after` disturbs."""
    old, new = (_sites(season, plan.bookings) for plan in (before, after))
    moved = sum(old.get(key) != new.get(key) for key in old.keys() | new.keys())
    found = changes(before, after, season)
    return Disturbance(calls(found), moved, after.cost.total_cents)


def _sites(season: Season, bookings: Sequence[Booking]) -> dict[tuple[str, date], frozenset[str]]:
    """(crew, day) -> the sites of work that is left, from today on."""
    left = [b for b in bookings if b.key in season.works and all(c in season.crews for c in b.crews)]
    today = season.now.date()
    return {
        (crew, day): frozenset(sites)
        for crew in season.crews
        for day, sites in sites_by_day(season, [b for b in left if crew in b.crews]).items()
        if day >= today
    }
