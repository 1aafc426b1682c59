"""Calendars from the store: what changed since the last time is numbered, what vanished is cancelled."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import date
from typing import TYPE_CHECKING

from planner.domain.firm.records import Moved
from planner.domain.office.events import Event, Whose, events, reconcile, remembered, scope_of
from planner.domain.season.plan import Plan
from planner.domain.spelling import did_you_mean
from planner.domain.standing.roster import Roster
from planner.errors import BadInput
from planner.flow.crew_day.sheet import find_crew
from planner.flow.stored.roster import read_in_force
from planner.store.engine import Store

if TYPE_CHECKING:
    from planner.store.books import Book

#: So many plans back a job is looked for as it was before the office changed it.
NEWEST = 3


@dataclass(frozen=True, slots=True)
class Sent:
    """A calendar that is ready to be written. title: its name; time_zone: of the firm."""

    title: str
    events: list[Event]
    time_zone: str
    plan_number: int
    published: bool
    moved: tuple[Moved, ...] = ()


def send_calendar(
    location: str,
    who: str,
    whose: Whose,
    name: str,
    today: date,
    *,
    all_day: bool | None = None,
    draft: bool = False,
    deliver: Callable[[Sent], None] | None = None,
) -> Sent:
    """The calendar of one crew, machine kind, job or the firm; the store remembers what was sent.

    deliver: hands the calendar out; when it fails nothing is remembered.
    all_day None: whole days for jobs
    and the firm, hours for crews and machines. A draft is not remembered.
    """
    whole_days = whose in (Whose.JOB, Whose.FIRM) if all_day is None else all_day
    with Store(location).writing(who) as book:
        roster, plan = read_in_force(book, location, today, draft=draft)
        name = _known(roster, whose, name)
        current = events(roster, plan, whose, name, all_day=whole_days)
        scope = scope_of(whose, name)
        before = {uid: e for uid, e in book.calendar_events().items() if uid.startswith(scope + "-")}
        missing = set(before) - {e.uid for e in current}
        gone = _earlier(book, roster, whose, name, missing)
        out = reconcile(current, before, gone, today)
        if plan.published_at is not None:
            book.save_calendar_events([remembered(e) for e in out])
        title = _title(roster, whose, name)
        sent = Sent(
            title, out, roster.firm.time_zone, plan.number, plan.published_at is not None, roster.moved
        )
        if deliver is not None:
            deliver(sent)
    return sent


def _title(roster: Roster, whose: Whose, name: str) -> str:
    """The calendar's own name; a job's goes to its client, who has no use for the office's code."""
    if whose is Whose.JOB:
        visit = roster.jobs[name].visit
        name = "pond installation" if visit is None else f"pond visit, {visit.value}"
    return f"{roster.firm.name}: {name}" if name else roster.firm.name


def _known(roster: Roster, whose: Whose, name: str) -> str:
    if whose is Whose.FIRM:
        return ""
    if whose is Whose.CREW:
        return find_crew(list(roster.crews), name)
    names = list(roster.jobs if whose is Whose.JOB else roster.machines)
    if name not in names:
        some = ", ".join(names[:8]) + (" ..." if len(names) > 8 else "")
        raise BadInput(whose.value, name, did_you_mean(name, names, f"use one of {some or '(none yet)'}"))
    return name


def _earlier(book: Book, roster: Roster, whose: Whose, name: str, missing: set[str]) -> dict[str, Event]:
    """The missing events as they were last told: by the newest plan that had them, by what a job was before.

    What stops work now (a job that is cancelled, a phase that was finished early) did not stop it then.
    """
    found: dict[str, Event] = {}
    then = replace(roster, finished={}, today=None)
    heads = sorted(book.plans(), key=lambda h: -h.number)
    for head in heads:
        if missing <= set(found):
            return found
        _look(found, missing, then, book.plan(head.number), whose, name)
    recent = [book.plan(head.number) for head in heads[:NEWEST]]
    booked = {b.job for plan in recent for b in plan.bookings}
    for job in book.jobs_before():
        if missing <= set(found):
            break
        # A client's calendar tells of his job alone; those of crews and machines only of booked work.
        if whose is not Whose.FIRM and job.code not in ({name} if whose is Whose.JOB else booked):
            continue
        was = replace(then, jobs={job.code: job})
        for plan in recent:
            own = replace(plan, bookings=tuple(plan.of_job(job.code)))
            _look(found, missing, was, own, whose, name)
    return found


def _look(
    found: dict[str, Event], missing: set[str], roster: Roster, plan: Plan, whose: Whose, name: str
) -> None:
    """Add the missing events that this plan had, unless a newer one told them."""
    for all_day in (False, True):
        for event in events(roster, plan, whose, name, all_day=all_day):
            if event.uid in missing:
                found.setdefault(event.uid, event)
