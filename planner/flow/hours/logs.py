"""Hours that came back: log them, list them, take them back."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import date
from typing import TYPE_CHECKING

from planner.domain.crew_day.misses import LoggedMiss, logged_misses
from planner.domain.estimate.remaining import share_from_hours
from planner.domain.firm.actuals import Log, Progress, progress
from planner.domain.firm.jobs import Job, Status
from planner.domain.hours.logbook import check_entry, share_from_quantity, status_after
from planner.domain.season.facts import Facts, hours_for
from planner.domain.season.job_hours import in_slots_h
from planner.errors import BadInput, PlannerError
from planner.flow.crew_day.sheet import find_crew
from planner.flow.stored.editions import told_by
from planner.flow.stored.facts import rules_beside
from planner.flow.stored.roster import shown_plan
from planner.store.engine import Store

if TYPE_CHECKING:
    from planner.store.books import Book


@dataclass(frozen=True, slots=True)
class Logged:
    """An entry as it was kept. planned_h: the phase's planned hours by this crew, None when unknown;
    reckoned: the share was not said and follows from the hours; status: the job's, after the entry.
    """

    entry: Log
    so_far: Progress
    planned_h: float | None
    reckoned: bool
    status: Status


def check_said(share: float | None, quantity: float | None, item: str | None, *, dash: str = "--") -> None:
    """Refuse progress that is said twice, or out of reach. share: [percent]; dash: before a field's name."""
    if share is not None and quantity is not None:
        raise BadInput(f"{dash}share", f"{share:g}", f"give either {dash}share or {dash}quantity, not both")
    if item is not None and quantity is None:
        raise BadInput(f"{dash}item", item, f"say how much of it with {dash}quantity")
    if share is not None and not 0 <= share <= 100:
        raise BadInput(f"{dash}share", f"{share:g}", "progress runs from 0 to 100 percent")


def log_hours(
    location: str,
    entry: Log,
    *,
    today: date,
    who: str,
    quantity: float | None = None,
    item: str | None = None,
) -> Logged:
    """Log one entry. quantity: done that day of `item`, in its unit, instead of a share.

    When neither share, quantity nor done is said, the share is reckoned from the hours. Raises BadInput or
    PlannerError and keeps nothing when the entry cannot be true.
    """
    with Store(location).writing(who=who) as book:
        return keep_entry(book, location, entry, today=today, quantity=quantity, item=item)


def keep_entry(
    book: Book,
    location: str,
    entry: Log,
    *,
    today: date,
    quantity: float | None = None,
    item: str | None = None,
) -> Logged:
    """The same in the caller's transaction."""
    job, logs = book.job(entry.job), book.logs(job=entry.job)
    entry = replace(entry, crew=find_crew([c.name for c in book.crews()], entry.crew))
    same_day = [e for e in book.logs(crew=entry.crew, first=entry.day, last=entry.day) if e.job != entry.job]
    if quantity is not None:
        share = share_from_quantity(job, entry.phase, item, quantity, logs)
        entry = replace(entry, share_done=share, done=entry.done or share >= 1.0)
    check_entry(entry, [*logs, *same_day], job, book.firm(), today)
    parts_h = _parts_h(book, location, job, entry)
    planned_h = _whole_h(parts_h)
    reckoned = entry.share_done is None and not entry.done and entry.crew_h > 0
    if reckoned and planned_h:
        before = progress(logs).get((job.code, entry.phase))
        spent = entry.crew_h + (before.spent_crew_h if before else 0.0)
        share = max(share_from_hours(parts_h, spent), before.share if before else 0.0)
        entry = replace(entry, share_done=round(share, 3))
    entry = replace(entry, id=book.save_log(entry))
    status = _set_status(book, job, [*logs, entry])
    so_far = progress([*logs, entry])[job.code, entry.phase]
    return Logged(entry, so_far, planned_h, reckoned, status)


def planned_phase_h(book: Book, location: str, job: Job, entry: Log) -> float | None:
    """What a plan holds for the whole phase by this crew, or by the two that share it [crew-hours]."""
    return _whole_h(_parts_h(book, location, job, entry))


def _whole_h(parts_h: Sequence[float]) -> float | None:
    return in_slots_h(part_h * 60 for part_h in parts_h) if parts_h else None


def _parts_h(book: Book, location: str, job: Job, entry: Log) -> tuple[float, ...]:
    """The same of each part of the phase; empty where it has no work."""
    booked = shown_plan(book).bookings if book.plans() else ()
    mine = (b for b in booked if b.key[:2] == (job.code, entry.phase) and entry.crew in b.crews)
    team = next((b.crews for b in mine), (entry.crew,))
    known = {crew.name for crew in book.crews()}
    team = team if known.issuperset(team) else (entry.crew,)
    facts = Facts(
        firm=book.firm(),
        rules=rules_beside(location),
        jobs=(job,),
        crews=tuple(book.crews()),
        machines=tuple(book.machines()),
        rates=told_by(book, [job])[job.code],
    )
    hours = hours_for(facts, job)(entry.phase, team)
    return tuple(minutes / 60 for minutes in hours.parts_min) if hours else ()


def _set_status(book: Book, job: Job, logs: Sequence[Log]) -> Status:
    status = status_after(job, logs)
    if status is not job.status:
        book.save_job(replace(job, status=status))
    return status


def list_logs(
    location: str,
    *,
    job: str | None = None,
    crew: str | None = None,
    first: date | None = None,
    last: date | None = None,
) -> tuple[list[Log], list[LoggedMiss]]:
    """The entries by day, narrowed by job, crew and days, and what they say was missed."""
    with Store(location).reading() as book:
        if job is not None:
            book.job(job)
        if crew is not None:
            crew = find_crew([c.name for c in book.crews()], crew)
        logs = book.logs(job=job, crew=crew, first=first, last=last)
        return logs, logged_misses(logs, book.office_marks())


def undo_log(location: str, number: int | None, *, who: str) -> Log:
    """Take an entry back, the newest when no number is given; the job's status follows."""
    with Store(location).writing(who=who) as book:
        if number is None:
            number = newest(
                (e.id for e in book.logs()), "there are no logged hours to take back: see `planner log list`"
            )
        entry = book.log(number)
        book.remove_log(number)
        job = book.job(entry.job)
        _set_status(book, job, book.logs(job=entry.job))
        return entry


def newest(numbers: Iterable[int], nothing: str) -> int:
    """The highest of the entries' numbers; PlannerError says `nothing` when there is no entry."""
    found = max(numbers, default=None)
    if found is None:
        raise PlannerError(nothing)
    return found
