"""The plan in force and the week's board from the store."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from datetime import date
from typing import TYPE_CHECKING

from planner.domain.crew_day.misses import LoggedMiss, open_misses
from planner.domain.design.design import Design
from planner.domain.firm.actuals import of_jobs, progress
from planner.domain.firm.jobs import PLANNED
from planner.domain.firm.needs import skills_for
from planner.domain.firm.phases import Phase, PhaseRule
from planner.domain.firm.records import Change, Moved
from planner.domain.season.plan import Plan
from planner.domain.standing.in_force import in_force
from planner.domain.standing.roster import Roster
from planner.domain.standing.stale import as_known, moved_facts, moved_orders
from planner.flow.stored.facts import rules_beside
from planner.flow.stored.gates import gated, hired, order_file
from planner.flow.stored.kept_designs import read_designs
from planner.flow.stored.locates import read_locates
from planner.flow.stored.weather import forecast_in_force
from planner.store.engine import Store

if TYPE_CHECKING:
    from planner.store.books import Book


def read_roster(
    book: Book,
    plan: Plan | None = None,
    today: date | None = None,
    rules: Mapping[Phase, PhaseRule] | None = None,
) -> Roster:
    """The firm as the pages see it, in the caller's transaction; with `plan`, also what it knew of it.

    today: from when on jobs that count no more send nobody out. rules: of the phases, for the skills that
    work asks; None where nobody asks for them.
    """
    kept, jobs = read_designs(book), {job.code: job for job in book.jobs()}
    skills = {(c, p): skills_for(job, rule) for c, job in jobs.items() for p, rule in (rules or {}).items()}
    roster = Roster(
        firm=book.firm(),
        jobs=jobs,
        skills=skills,
        crews={crew.name: crew for crew in book.crews()},
        machines={machine.key: machine for machine in book.machines()},
        lost=tuple(book.lost()),
        trucks={truck.key: truck for truck in book.trucks()},
        designs={code: found for code, found in kept.items() if isinstance(found, Design)},
        unread={code: found for code, found in kept.items() if isinstance(found, str)},
    )
    if plan is None:
        return roster
    changes, logs = _changes_since(book, plan), book.logs()
    worked = progress(logs)
    return replace(
        roster,
        known=as_known(roster, changes) if changes else None,
        finished={key: so_far.last for key, so_far in worked.items() if so_far.done},
        begun={key: so_far.first for key, so_far in worked.items()},
        heard={entry.crew: entry.day for entry in sorted(logs, key=lambda e: e.day)},
        today=today,
    )


def moved_since(book: Book, location: str, plan: Plan) -> tuple[Moved, ...]:
    """What changed since `plan` was made that can move it; empty when it is not stale."""
    changes = _changes_since(book, plan)
    if not changes:
        return ()
    jobs = {job.code: job for job in book.jobs() if job.status in PLANNED}
    today, begun = book.clock().date(), progress(of_jobs(book.logs(), jobs))
    orders = moved_orders(changes, jobs, plan, order_file(book, location, today), begun)
    return (*moved_facts(changes, jobs, plan, today), *orders)


def _changes_since(book: Book, plan: Plan) -> list[Change]:
    """The history since the plan's mark; a plan without a mark does not say what it was made from."""
    return book.changes(after_mark=plan.history_mark) if plan.history_mark else []


def plan_and_moved(location: str) -> tuple[Plan, tuple[Moved, ...]]:
    """The plan that pages show, and what changed since it was made."""
    with Store(location).reading() as book:
        plan = shown_plan(book)
        return plan, moved_since(book, location, plan)


def read_in_force(
    book: Book, location: str, today: date, number: int | None = None, *, draft: bool = False
) -> tuple[Roster, Plan]:
    """The roster and what still stands of the plan that pages show (see `shown_plan`).

    Its jobs have the gates that locates and orders come to; it knows how each locate stands for the plan.
    """
    plan = shown_plan(book, number, draft=draft)
    entered = read_roster(book, plan, today, rules_beside(location))
    standing = in_force(entered, plan)
    jobs = {job.code: job for job in gated(book, location)}
    machines = {machine.key: machine for machine in hired(book, location)}
    locates = read_locates(book, location, standing)
    forecast = forecast_in_force(location, entered.firm, today)
    seen = replace(
        entered,
        jobs=jobs,
        machines=machines,
        locates=locates,
        forecast=forecast,
        moved=moved_since(book, location, plan),
    )
    return seen, standing


def read_misses(book: Book) -> tuple[LoggedMiss, ...]:
    """The missed checks that nobody has settled, in the caller's transaction."""
    return open_misses(book.logs(), book.office_marks())


def shown_plan(book: Book, number: int | None = None, *, draft: bool = False) -> Plan:
    """The plan that pages show: `number`, else the published one, else (or with `draft`) the newest.

    Raises PlannerError when there is no plan yet.
    """
    if number is not None:
        return book.plan(number)
    published = None if draft else book.published()
    return book.plan() if published is None else published
