"""The season's line from the store."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime

from planner.domain.firm.jobs import Status
from planner.domain.season.facts import Facts, season_of
from planner.domain.season.season import Season
from planner.domain.standing.in_force import hindered
from planner.domain.standing.locate_standing import not_clear
from planner.domain.standing.view import SeasonView, finished_bars, season_view
from planner.errors import PlannerError
from planner.flow.stored.facts import gated_facts
from planner.flow.stored.roster import read_in_force
from planner.store.engine import Store


def season_line(
    location: str,
    now: datetime,
    *,
    number: int | None = None,
    draft: bool = False,
    known: tuple[Facts, Season] | None = None,
) -> SeasonView:
    """The season with the published plan, or `number`, or the newest draft. PlannerError without a plan.

    known: the facts and what they come to, where they were read already.
    """
    with Store(location).reading() as book:
        roster, plan = read_in_force(book, location, now.date(), number, draft=draft)
        facts = known[0] if known else gated_facts(book, location)
        asking = {job.code for job in facts.jobs if job.status is Status.INQUIRY}
        held = [h for h in book.holds() if h.until >= now.date() and h.job in asking]
    season = known[1] if known else season_of(facts, now)
    view = season_view(season, plan, facts.logs, held, hindered(roster, plan), roster.moved)
    view = replace(
        view,
        locates=not_clear(roster.locates),
        finished=finished_bars(facts.jobs, facts.logs, facts.firm),
        inquiries=tuple(job for job in facts.jobs if job.status is Status.INQUIRY),
    )
    if not view.weeks:
        raise PlannerError("the plan holds no work: make a new one with `planner plan make`")
    return view
