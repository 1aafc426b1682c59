"""Jobs on record: the order of steps when one is read, added, changed or taken off.

A change is a function from the old value to the new one, applied to what is stored now and within one
transaction, so nobody's other change is lost.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from typing import TYPE_CHECKING

from planner.domain.dates import long_day, long_moment
from planner.domain.firm.fields import (
    JOB_FIELDS,
    quantity,
    with_fields,
    with_quantity,
)
from planner.domain.firm.jobs import Job, Status
from planner.domain.firm.scaling import Scaled, how_scaled, scaled_like
from planner.domain.firm.sound import faults_of_job
from planner.errors import BadInput, BadInputs, refuse
from planner.flow.keeping.history import Meanwhile, as_it_was
from planner.flow.keeping.saved import EVEN_SO, Saved, must_be_free
from planner.flow.stored.editions import told_by
from planner.flow.stored.gates import gated_job
from planner.flow.stored.kept_designs import parted_of
from planner.store.engine import Store

if TYPE_CHECKING:
    from planner.store.books import Book


@dataclass(frozen=True, slots=True)
class JobCard:
    """A job with what the store knows of it. rate_edition: the one that tells it, None without quantities;
    hours: logged on it [crew-hours]; parted: how it and its kept design differ, in one line.
    """

    job: Job
    revision: int
    rate_edition: str | None
    has_design: bool
    hours_crew_h: float
    units: str
    parted: str = ""


def load_jobs(location: str, status: Status | None) -> tuple[list[Job], str]:
    """Jobs of one status, or all, and the firm's units."""
    with Store(location).reading() as book:
        return book.jobs(status), book.firm().units


def load_job(location: str, code: str) -> JobCard:
    """One job with its revision, rate edition and logged hours."""
    with Store(location).reading() as book:
        job = gated_job(book, location, code)
        return JobCard(
            job=job,
            revision=book.job_revision(code),
            rate_edition=told_by(book, [job])[code].edition if job.phases else None,
            has_design=book.design(code) is not None,
            hours_crew_h=sum(log.crew_h for log in book.logs(job=code)),
            units=book.firm().units,
            parted=parted_of(book, job),
        )


def meanwhile(location: str, code: str, seen: int) -> Meanwhile | None:
    """What others did to the job since its revision `seen`; None when nobody did or it cannot be told."""
    with Store(location).reading() as book:
        later = book.job_revision(code) - seen
        if later <= 0:
            return None
        found = book.changes(noun="job", key=code, limit=later)[::-1]
    return as_it_was(Job, found) if len(found) == later else None


def add_job(
    location: str, who: str, texts: Mapping[str, str], quantities: Sequence[tuple[str, str]], today: date
) -> Saved:
    """Add a job from typed fields and quantities; refused when the code is taken. today: for what is past."""
    code = texts["code"].strip()
    with Store(location).writing(who) as book:
        if book.has_job(code):
            raise BadInput("code", code, "a job has it already: choose another, or use `planner job change`")
        job = _typed_job(Job(code=code, client=""), texts, quantities, book.firm().units, today)
        book.save_job(job)
    return Saved(code, changed=True, remark=past_promise(job, today))


def add_like(
    location: str, who: str, past: str, code: str, client: str, size: float
) -> tuple[list[Scaled], str]:
    """An inquiry with a past job's quantities at `size` times its surface; what grew how, and the units."""
    with Store(location).writing(who) as book:
        if book.has_job(code):
            raise BadInput("code", code, "a job has it already: choose another")
        before = book.job(past)
        made = replace(scaled_like(before, code, client, size), region=before.region, status=Status.INQUIRY)
        refuse(faults_of_job(made))
        book.save_job(made)
        return how_scaled(before, made), book.firm().units


def change_job(
    location: str,
    who: str,
    code: str,
    texts: Mapping[str, str],
    quantities: Sequence[tuple[str, str]] = (),
    seen: int | None = None,
    today: date | None = None,
    *,
    even_so: bool = False,
) -> Saved:
    """Change typed fields and quantities of a job. seen: the revision that the change was made from.

    today: to tell a new promise that is past, and to refuse to cancel a job that the published plan still
    books, unless `even_so`; None tells and refuses nothing.
    """
    told: list[str] = []

    def edit(job: Job, units: str) -> Job:
        new = _typed_job(job, texts, quantities, units, today)
        told.append(past_promise(new, today) if today and new.promised != job.promised else "")
        return new

    saved = edit_job(location, who, code, edit, seen, None if even_so else today)
    return replace(saved, remark="; ".join(text for text in (saved.remark, *told) if text))


def edit_job(
    location: str,
    who: str,
    code: str,
    edit: Callable[[Job, str], Job],
    seen: int | None = None,
    free_from: date | None = None,
) -> Saved:
    """Apply `edit` (old job and the firm's units in, new job out) to what is stored now.

    free_from: a job that is cancelled must not be booked from that day on.
    """
    with Store(location).writing(who) as book:
        revision = book.job_revision(code)
        old = book.job(code)
        new = edit(old, book.firm().units)
        _known_pins(book, old, new)
        if free_from and new.status is Status.CANCELLED is not old.status:
            fix = f"tell crew and customer, and {EVEN_SO}"
            must_be_free(book, free_from, f"job {code}", lambda b: b.job == code, fix)
        book.save_job(new, seen=seen)
        changed = book.job_revision(code) > revision
        remark = _somebody_else(book, "job", code) if changed else ""
        return Saved(code, changed, remark, parted_of(book, new))


def remove_job(location: str, who: str, code: str) -> None:
    """Take a job off the records; refused when hours or plans refer to it."""
    with Store(location).writing(who) as book:
        book.remove_job(code)


def _typed_job(
    job: Job,
    texts: Mapping[str, str],
    quantities: Sequence[tuple[str, str]],
    units: str,
    today: date | None,
) -> Job:
    new, faults = with_fields(job, JOB_FIELDS, texts, units, today)
    for name, text in quantities:
        try:
            new = with_quantity(new, quantity(name, text))
        except BadInput as fault:
            faults.append(fault)
    if faults:
        raise BadInputs(faults)
    return new


def _known_pins(book: Book, old: Job, new: Job) -> None:
    for pin in new.pins:
        if pin not in old.pins and pin.crew is not None and not book.has_crew(pin.crew):
            raise BadInput("pin", pin.crew, "unknown crew: see `planner crew list`")


def past_promise(job: Job, today: date) -> str:
    """A line about an open job that is promised for a day before `today`, else ""."""
    if job.promised is None or job.promised >= today or job.status in (Status.DONE, Status.CANCELLED):
        return ""
    return f"{job.code} is promised for {long_day(job.promised)}, which is past: is the year right?"


def _somebody_else(book: Book, noun: str, key: str) -> str:
    """A line about the change before this one when another person made it within a day, else ""."""
    entries = book.changes(noun=noun, key=key, limit=2)
    if len(entries) < 2 or entries[1].who == book.who or entries[0].at - entries[1].at > timedelta(days=1):
        return ""
    last = entries[1]
    return f"{last.who} {last.verb} it on {long_moment(last.at)}: see `planner history list`"
