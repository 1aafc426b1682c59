"""Visits on record: the order of steps when one is added, changed or listed."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from typing import TYPE_CHECKING

from planner.domain.dates import figures
from planner.domain.firm import amend, entry
from planner.domain.firm.calendar import longest_h
from planner.domain.firm.fields import JOB_FIELDS
from planner.domain.firm.firm import Firm
from planner.domain.firm.jobs import Gate, GateKind, Job, Need, Status
from planner.domain.firm.phases import Phase
from planner.domain.firm.visits import DayPart, checked_rule, repeats
from planner.errors import BadInput
from planner.flow.keeping.saved import Saved, save_by, with_typed
from planner.store.engine import Store

if TYPE_CHECKING:
    from planner.store.books import Book

#: What a visit takes over from the job that built the pond.
_OF_THE_SITE = (
    "client",
    "address",
    "phone",
    "latitude_deg",
    "longitude_deg",
    "region",
    "access",
    "occupied",
    "site_notes",
)


@dataclass(frozen=True, slots=True)
class Asked:
    """What a person says of a visit. texts: field -> text; skills, opens (first day): None leaves them."""

    texts: Mapping[str, str]
    skills: str | None = None
    opens: date | None = None


def add_visit(location: str, who: str, code: str, asked: Asked, today: date) -> Saved:
    """Add a visit; its site and client are those of the job that built the pond, where one is named."""

    def change(book: Book) -> None:
        if book.has_job(code):
            raise BadInput(
                "code", code, "a job has it already: choose another, or use `planner visit change`"
            )
        book.save_job(_asked(book, Job(code, ""), asked, today))

    return save_by(location, who, code, change)


def change_visit(
    location: str, who: str, code: str, asked: Asked, today: date, seen: int | None = None
) -> Saved:
    """Change what is named of a visit; the rest stays. seen: the revision that the change was made from."""

    def change(book: Book) -> None:
        old = book.job(code)
        if old.visit is None:
            raise BadInput("visit", code, "that is an install: use `planner job change`")
        book.save_job(_asked(book, old, asked, today), seen=seen)

    return save_by(location, who, code, change)


def repeat_visit(
    location: str, who: str, code: str, rule: str, until: date | None, today: date
) -> tuple[list[str], list[str]]:
    """Keep a visit's rule and make its further visits: the codes made, and those that were there already.

    until: the last day, None for the season's last. Each has the code of the first with its day, may begin
    on its day, and is promised as long after it as the first one is. The rule again, up to a later day,
    makes only what lacks. The kept rule makes those of each further season when it is planned; "none" ends
    it.
    """
    with Store(location).writing(who) as book:
        old = book.job(code)
        if old.visit is None:
            raise BadInput("visit", code, "that is an install: only visits repeat")
        kept = checked_rule(rule)
        if not kept:
            if not old.repeats:
                raise BadInput("rule", rule, f"visit {code} has none: write one, like FREQ=YEARLY")
            book.save_job(replace(old, repeats=""))
            return [], []
        dated = old.release(Phase.VISIT) or old.promised
        old = replace(old, repeats=kept)
        if dated is None:
            old = amend.with_gate(old, Gate(GateKind.START, today, Phase.VISIT))
        book.save_job(old)
        days = repeats(kept, dated or today, until or book.firm().season_last)
        return _further(book, old, dated or today, days)


def make_due_visits(location: str, today: date) -> tuple[str, ...]:
    """Make what kept rules ask for up to the season's last day and nobody has made; their codes.

    One that was cancelled stays so; a day that is past makes none, nor does a visit that is cancelled itself.
    """
    with Store(location).reading() as book:
        if not _lacking(book, today):
            return ()
    with Store(location).writing("planner") as book:
        made = [_further(book, head, first, days)[0] for head, first, days in _lacking(book, today)]
    return tuple(code for codes in made for code in codes)


def _lacking(book: Book, today: date) -> list[tuple[Job, date, list[date]]]:
    """(visit, first day of its rule, the days of it without a visit) for each kept rule that lacks one."""
    found, last = [], book.firm().season_last
    for head in book.jobs():
        first = head.release(Phase.VISIT) or head.promised
        if not head.repeats or first is None or head.status is Status.CANCELLED or last < first:
            continue
        days = [day for day in repeats(head.repeats, first, last) if day > first and day >= today]
        lack = [day for day in days if not book.has_job(_code_of(head, day))]
        if lack:
            found.append((head, first, lack))
    return found


def _code_of(head: Job, day: date) -> str:
    return f"{head.code}-{day:%y%m%d}"


def _further(book: Book, head: Job, first: date, days: Iterable[date]) -> tuple[list[str], list[str]]:
    """The visits of these days made: the new codes, and those that were there."""
    made, there = [], []
    for day in days:
        named = _code_of(head, day)
        if day == first:
            continue
        if book.has_job(named):
            there.append(named)
            continue
        promised = head.promised and day + (head.promised - first)
        new = replace(
            head, code=named, status=Status.SOLD, promised=promised, blackouts=(), pins=(), repeats=""
        )
        book.save_job(amend.with_gate(replace(new, gates=()), Gate(GateKind.START, day, Phase.VISIT)))
        made.append(named)
    return made, there


def load_visits(location: str) -> tuple[list[Job], str]:
    """Every visit on record by code, and the firm's units."""
    with Store(location).reading() as book:
        return [job for job in book.jobs() if job.visit is not None], book.firm().units


def _asked(book: Book, old: Job, asked: Asked, today: date) -> Job:
    firm, pond = book.firm(), asked.texts.get("pond", "").strip()
    job = old
    if pond and pond != old.pond:
        built = book.job(pond)
        if built.visit is not None:
            raise BadInput("pond", pond, "that is a visit itself: name the job that built the pond")
        job = replace(job, **{name: getattr(built, name) for name in _OF_THE_SITE})
    job = with_typed(job, JOB_FIELDS, asked.texts, firm.units)
    if asked.skills is not None:
        job = amend.with_need(job, Phase.VISIT, Need(entry.words(asked.skills), {}))
    if asked.opens is not None:
        job = amend.with_gate(job, Gate(GateKind.START, asked.opens, Phase.VISIT))
    _fits_its_day(job, firm)
    _past(job, today)
    return job


def _fits_its_day(job: Job, firm: Firm) -> None:
    most_h = longest_h(firm, job.day_part)
    if job.on_site_h is not None and job.on_site_h > most_h:
        part = "a working day" if job.day_part is DayPart.ANY else f"the {job.day_part.value}"
        fix = f"{part} has {most_h:g} paid hours: shorten it, make it two visits, or plan it as a job"
        raise BadInput("on_site_h", job.on_site_h, fix)


def _past(job: Job, today: date) -> None:
    if job.promised is not None and job.promised < today:
        raise BadInput("promised", figures(job.promised), "that day is past: promise a day to come")


def visit_rows(visits: Sequence[Job]) -> list[Job]:
    """The visits in the order in which they are promised, those without a day last."""
    return sorted(visits, key=lambda job: (job.promised or date.max, job.code))
