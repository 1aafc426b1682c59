"""Moving one piece by hand: what would follow is shown before anything is kept.

The office's wish becomes a pin; the published plan is laid again with it, its order kept, and what has no
room moves on. Only where that leaves no plan, a short search looks for one.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date, datetime, time, timedelta

from planner.domain.dates import day_words, figures
from planner.domain.firm.amend import with_pin
from planner.domain.firm.jobs import Job
from planner.domain.firm.phases import Phase
from planner.domain.season.facts import Facts, season_of
from planner.domain.season.plan import Booking, Plan
from planner.domain.season.season import Season
from planner.domain.standing.changes import PlanChange, changes
from planner.errors import BadInput, NoPlanInTime, PlannerError
from planner.flow.keeping.jobs import edit_job
from planner.flow.season.plans import save_plan
from planner.flow.stored.facts import load_facts
from planner.store.engine import Store

#: Seconds that the search may take where keeping the order leaves no plan.
SEARCH_S = 2.0


@dataclass(frozen=True, slots=True)
class Move:
    """One piece to another day or crew. crew: None keeps it free; day: None pins only the crew."""

    job: str
    phase: Phase
    crew: str | None
    day: date | None

    def start(self, shift_start: time) -> datetime | None:
        """When the pinned piece begins."""
        return None if self.day is None else datetime.combine(self.day, shift_start)


@dataclass(frozen=True, slots=True)
class Proposed:
    """What a move would come to: the plan with it, the plan before, what changes for whom."""

    move: Move
    plan: Plan
    before: Plan
    season: Season
    found: tuple[PlanChange, ...]

    @property
    def dearer_cents(self) -> int:
        """How much more the season costs with the move [cents]; below 0 it is cheaper."""
        return self.plan.cost.total_cents - self.before.cost.total_cents


def propose(location: str, now: datetime, move: Move) -> Proposed:
    """The plan with the move in it; nothing is saved.

    Raises BadInput for a job, phase or crew that is not there or a day that is past, and what re-planning
    raises when the move leaves no plan.
    """
    facts = load_facts(location)
    before = facts.published or _newest(location)
    _known(facts, move, now)
    start = move.start(facts.firm.shift_start)

    def pinned(job: Job) -> Job:
        return with_pin(job, move.phase, move.crew, start) if job.code == move.job else job

    moved = replace(facts, jobs=tuple(pinned(job) for job in facts.jobs))
    season = season_of(moved, now)
    if not any(key.job == move.job and key.phase is move.phase for key in season.works):
        raise BadInput("phase", move.phase.value, f"{move.job} has no {move.phase.value} left to move")
    plan = _laid(season, before, move, start)
    plan = replace(plan, made_at=now, note=_words(move))
    return Proposed(move, plan, before, season, tuple(changes(before, plan, season)))


def keep(location: str, now: datetime, who: str, move: Move) -> Plan:
    """Keep a move: the pin with the job, and the plan with it as a draft. Publishing is another step."""
    proposed = propose(location, now, move)
    with Store(location).reading() as book:
        start = move.start(book.firm().shift_start)
    edit_job(location, who, move.job, lambda job, _: with_pin(job, move.phase, move.crew, start))
    mark = load_facts(location).history_mark
    return save_plan(location, replace(proposed.plan, history_mark=mark), proposed.season)


def let_go(location: str, who: str, job: str, phase: Phase) -> None:
    """Take a pin away: the next plan may put the piece where it likes."""
    edit_job(location, who, job, lambda value, _: with_pin(value, phase, None, None))


def _words(move: Move) -> str:
    parts = [f"{move.job} {move.phase.value}"]
    parts += [f"to {move.crew}"] if move.crew else []
    parts += [f"on {day_words(move.day)}"] if move.day else []
    return "moved by hand: " + " ".join(parts)


def _newest(location: str) -> Plan:
    with Store(location).reading() as book:
        if not book.plans():
            raise PlannerError("there is no plan yet: make one with `planner plan make`")
        return book.plan()


def _known(facts: Facts, move: Move, now: datetime) -> None:
    if move.job not in {job.code for job in facts.jobs}:
        raise BadInput("job", move.job, "no job has that code")
    if move.crew is not None and move.crew not in {crew.name for crew in facts.crews}:
        raise BadInput("crew", move.crew, "unknown crew: see `planner crew list`")
    if move.day is not None and move.day < now.date():
        raise BadInput("day", figures(move.day), "choose today or a later day")
    if move.crew is None and move.day is None:
        raise BadInput("move", "nothing", "name a crew, a day, or both")


def _laid(season: Season, before: Plan, move: Move, start: datetime | None) -> Plan:
    """The plan before with the piece at its new place; a short search where the order leaves no room."""
    from planner.schedule.answers.repair import repair

    order = sorted((_shifted(b, move, start) for b in before.bookings), key=lambda b: b.start)
    try:
        return repair(season, order, loose_from=season.now)
    except NoPlanInTime:
        from planner.schedule.model.effort import Effort
        from planner.schedule.solve import solve

        return solve(season, effort=Effort.for_seconds(SEARCH_S))


def _shifted(booking: Booking, move: Move, start: datetime | None) -> Booking:
    """The booking at its new place, when it is the piece that moves."""
    if booking.job != move.job or booking.key.phase is not move.phase:
        return booking
    crews = (move.crew,) if move.crew else booking.crews
    if start is None:
        return replace(booking, crews=crews)
    # a moment earlier in the order than what it pushes aside
    return replace(booking, crews=crews, start=start - timedelta(seconds=1), end=max(start, booking.end))
