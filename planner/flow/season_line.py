"""The season's line from the store."""

from __future__ import annotations

from datetime import datetime

from planner.domain.facts import season_of
from planner.domain.jobs import Status
from planner.domain.season_view import SeasonView, season_view
from planner.errors import PlannerError
from planner.flow.boards import shown_plan
from planner.flow.planning import read_facts, rules_beside
from planner.store.engine import Store


def season_line(
    location: str, now: datetime, *, number: int | None = None, draft: bool = False
) -> SeasonView:
    """The season with the published plan, or `number`, or the newest draft. PlannerError without a plan."""
    with Store(location).reading() as book:
        plan = shown_plan(book, number, draft=draft)
        facts = read_facts(book, rules_beside(location))
        asking = {job.code for job in facts.jobs if job.status is Status.INQUIRY}
        held = [h for h in book.holds() if h.until >= now.date() and h.job in asking]
    view = season_view(season_of(facts, now), plan, facts.logs, held)
    if not view.weeks:
        raise PlannerError("the plan holds no work: make a new one with `planner plan make`")
    return view
