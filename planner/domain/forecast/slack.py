"""Days kept in hand: the search aims at promises that lie some days earlier than they were given.

What rain and bad luck take is then taken from the slack first. Only the search sees the earlier days; cost,
lateness and what customers are told go by the promises themselves.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

from planner.domain.season.cost import plan_cost
from planner.domain.season.plan import Plan, PlanState
from planner.domain.season.season import Season
from planner.errors import BadInput

#: More slack than this is no slack but another promise [calendar days].
MOST_DAYS = 60


def with_slack(season: Season, days: int) -> Season:
    """The season with every promise `days` earlier. BadInput outside 0 to `MOST_DAYS`."""
    if not 0 <= days <= MOST_DAYS:
        raise BadInput("--slack", days, f"choose from 0 to {MOST_DAYS} days")
    if days == 0:
        return season
    jobs = {
        code: replace(job, promised=job.promised - timedelta(days=days)) if job.promised else job
        for code, job in season.jobs.items()
    }
    return replace(season, jobs=jobs)


def judged(plan: Plan, season: Season) -> Plan:
    """A plan that was found with slack, priced by the real promises; what was proven of it is not kept."""
    return replace(
        plan,
        cost=plan_cost(season, plan.bookings),
        state=PlanState.REPAIRED if plan.state is PlanState.REPAIRED else PlanState.FEASIBLE,
        dispatch_cents=None,
        bound_cents=None,
    )
