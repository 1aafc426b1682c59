"""Keeping the records: the order of steps when jobs, crews, machines and the firm are read or changed.

A change is a function from the old value to the new one, applied to what is stored now and within one
transaction, so nobody's other change is lost.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from pathlib import Path
from typing import TYPE_CHECKING, TypeVar

from planner.domain.firm.crews import Crew, Machine
from planner.domain.firm.fields import (
    CREW_FIELDS,
    FIRM_FIELDS,
    JOB_FIELDS,
    MACHINE_FIELDS,
    Field,
    quantity,
    with_fields,
    with_quantity,
)
from planner.domain.firm.firm import Firm
from planner.domain.firm.jobs import Job, Status
from planner.domain.firm.records import Change
from planner.domain.season.plan import Booking
from planner.domain.spelling import did_you_mean
from planner.domain.standing.in_force import in_force
from planner.domain.standing.locate_standing import with_locate_gate
from planner.errors import BadInput, BadInputs, PlannerError
from planner.flow.keeping.editions import told_by
from planner.flow.keeping.kept_designs import parted_of
from planner.flow.keeping.locates import locate_file
from planner.flow.keeping.roster import read_roster
from planner.store.engine import Store

if TYPE_CHECKING:
    from planner.store.books import Book

V = TypeVar("V")


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


@dataclass(frozen=True, slots=True)
class Saved:
    """What a change came to. remark: what the person should look at again, or "".

    parted: how the job and its kept design now differ, in one line, "" when they agree.
    """

    name: str
    changed: bool
    remark: str = ""
    parted: str = ""


def create_store(location: str, who: str) -> tuple[str, bool]:
    """Make the database with the shipped rate book; (its name, False when it was there already)."""
    from planner.store.safekeeping.migrate import create

    store = Store(location)
    if not create(store):
        return store.name, False
    with store.writing(who) as book:
        book.save_rate_book(book.rate_book())
    return store.name, True


def upgrade_store(location: str) -> tuple[str, Path | None]:
    """Bring the schema up to date; (its name, the copy made before)."""
    from planner.store.safekeeping.migrate import upgrade

    store = Store(location)
    return store.name, upgrade(store)


def load_firm(location: str) -> Firm:
    """The firm's settings."""
    with Store(location).reading() as book:
        return book.firm()


def load_jobs(location: str, status: Status | None) -> tuple[list[Job], str]:
    """Jobs of one status, or all, and the firm's units."""
    with Store(location).reading() as book:
        return book.jobs(status), book.firm().units


def load_job(location: str, code: str) -> JobCard:
    """One job with its revision, rate edition and logged hours."""
    with Store(location).reading() as book:
        job = with_locate_gate(locate_file(book, location), book.job(code))
        return JobCard(
            job=job,
            revision=book.job_revision(code),
            rate_edition=told_by(book, [job])[code].edition if job.lines else None,
            has_design=book.design(code) is not None,
            hours_crew_h=sum(log.crew_h for log in book.logs(job=code)),
            units=book.firm().units,
            parted=parted_of(book, job),
        )


def load_crews(location: str) -> list[Crew]:
    """Every crew."""
    with Store(location).reading() as book:
        return book.crews()


def load_machines(location: str) -> tuple[list[Machine], str]:
    """Every machine, and the firm's units."""
    with Store(location).reading() as book:
        return book.machines(), book.firm().units


def add_job(
    location: str, who: str, texts: Mapping[str, str], quantities: Sequence[tuple[str, str]], today: date
) -> Saved:
    """Add a job from typed fields and quantities; refused when the code is taken. today: for what is past."""
    code = texts["code"].strip()
    with Store(location).writing(who) as book:
        if book.has_job(code):
            raise BadInput("code", code, "a job has it already: choose another, or use `planner job change`")
        job = _typed_job(Job(code=code, client=""), texts, quantities, book.firm().units)
        book.save_job(job)
    return Saved(code, changed=True, remark=past_promise(job, today))


def change_job(
    location: str,
    who: str,
    code: str,
    texts: Mapping[str, str],
    quantities: Sequence[tuple[str, str]] = (),
    seen: int | None = None,
    today: date | None = None,
) -> Saved:
    """Change typed fields and quantities of a job. seen: the revision that the change was made from.

    today: to tell a new promise that is past; None tells nothing of it.
    """
    told: list[str] = []

    def edit(job: Job, units: str) -> Job:
        new = _typed_job(job, texts, quantities, units)
        told.append(past_promise(new, today) if today and new.promised != job.promised else "")
        return new

    saved = edit_job(location, who, code, edit, seen)
    return replace(saved, remark="; ".join(text for text in (saved.remark, *told) if text))


def edit_job(
    location: str, who: str, code: str, edit: Callable[[Job, str], Job], seen: int | None = None
) -> Saved:
    """Apply `edit` (old job and the firm's units in, new job out) to what is stored now."""
    with Store(location).writing(who) as book:
        revision = book.job_revision(code)
        old = book.job(code)
        new = edit(old, book.firm().units)
        _known_pins(book, old, new)
        book.save_job(new, seen=seen)
        changed = book.job_revision(code) > revision
        remark = _somebody_else(book, "job", code) if changed else ""
        return Saved(code, changed, remark, parted_of(book, new))


def remove_job(location: str, who: str, code: str) -> None:
    """Take a job off the records; refused when hours or plans refer to it."""
    with Store(location).writing(who) as book:
        book.remove_job(code)


def save_crew(location: str, who: str, name: str, texts: Mapping[str, str], *, new: bool) -> Saved:
    """Add or change a crew from typed fields."""
    with Store(location).writing(who) as book:
        _new_or_not(book.has_crew(name), "crew", name, new=new)
        crew = _typed(Crew(name, "") if new else book.crew(name), CREW_FIELDS, texts, book.firm().units)
        mark = book.history_mark()
        book.save_crew(crew)
        return Saved(name, book.history_mark() > mark)


def edit_crew(location: str, who: str, name: str, edit: Callable[[Crew], Crew]) -> Saved:
    """Apply `edit` to the stored crew."""
    with Store(location).writing(who) as book:
        mark = book.history_mark()
        book.save_crew(edit(book.crew(name)))
        return Saved(name, book.history_mark() > mark)


def remove_crew(location: str, who: str, name: str, today: date, *, even_so: bool = False) -> None:
    """Take a crew off the records; hours and old plans keep its name.

    Refused when the published plan books it from today on, unless `even_so`.
    """
    with Store(location).writing(who) as book:
        if not even_so:
            _must_be_free(book, today, f"crew {name}", lambda b: name in b.crews)
        book.remove_crew(name)


def save_machine(location: str, who: str, key: str, texts: Mapping[str, str], *, new: bool) -> Saved:
    """Add or change a machine from typed fields."""
    with Store(location).writing(who) as book:
        _new_or_not(key in {m.key for m in book.machines()}, "machine", key, new=new)
        start = Machine(key, key) if new else book.machine(key)
        mark = book.history_mark()
        book.save_machine(_typed(start, MACHINE_FIELDS, texts, book.firm().units))
        return Saved(key, book.history_mark() > mark)


def edit_machine(location: str, who: str, key: str, edit: Callable[[Machine], Machine]) -> Saved:
    """Apply `edit` to the stored machine."""
    with Store(location).writing(who) as book:
        mark = book.history_mark()
        book.save_machine(edit(book.machine(key)))
        return Saved(key, book.history_mark() > mark)


def remove_machine(location: str, who: str, key: str, today: date, *, even_so: bool = False) -> None:
    """Take a machine off the records; refused when the published plan books it, unless `even_so`."""
    with Store(location).writing(who) as book:
        if not even_so:
            _must_be_free(book, today, f"machine {key}", lambda b: any(use.kind == key for use in b.machines))
        book.remove_machine(key)


def _must_be_free(book: Book, today: date, what: str, uses: Callable[[Booking], bool]) -> None:
    """Refuse when what still stands of the published plan uses it from today on."""
    plan = book.published()
    if plan is None:
        return
    standing = in_force(read_roster(book, plan, today), plan)
    held = [b for b in standing.bookings if uses(b) and b.end.date() >= today]
    if held:
        jobs = list(dict.fromkeys(b.job for b in held))
        listed = ", ".join(jobs[:8]) + (f" and {len(jobs) - 8} more" if len(jobs) > 8 else "")
        raise PlannerError(
            f"{what} is booked in published plan {plan.number} for {listed}: enter its days away, re-plan "
            "and publish first, or say --even-so: every page then shows that work as hindered"
        )


def set_firm(location: str, who: str, texts: Mapping[str, str], weights: Mapping[str, float]) -> Saved:
    """Change typed settings of the firm and named money weights."""

    def edit(firm: Firm) -> Firm:
        new = _typed(firm, FIRM_FIELDS, texts, texts.get("units", firm.units))
        unknown = sorted(set(weights) - set(firm.weights.__dataclass_fields__))
        if unknown:
            listed = ", ".join(firm.weights.__dataclass_fields__)
            names = firm.weights.__dataclass_fields__
            raise BadInput("weight", unknown[0], did_you_mean(unknown[0], names, f"use one of: {listed}"))
        typed = {n: int(v) if n == "near_days" else v for n, v in weights.items()}
        return replace(new, weights=replace(new.weights, **typed))  # type: ignore[arg-type]

    return edit_firm(location, who, edit)


def edit_firm(location: str, who: str, edit: Callable[[Firm], Firm]) -> Saved:
    """Apply `edit` to the stored settings."""
    with Store(location).writing(who) as book:
        mark = book.history_mark()
        book.save_firm(edit(book.firm()))
        return Saved("firm", book.history_mark() > mark)


def load_history(
    location: str, noun: str | None, key: str | None, since: date | None, limit: int
) -> list[Change]:
    """Entries of the history, newest first."""
    with Store(location).reading() as book:
        return book.changes(noun=noun, key=key, since=since, limit=limit)


def last_action(location: str) -> list[Change]:
    """What `undo_last` would take back."""
    with Store(location).reading() as book:
        return book.last_action()


def undo_last(location: str, who: str, action: int) -> list[Change]:
    """Take the last action back. Refused when it is no longer the action that the person agreed to."""
    with Store(location).writing(who) as book:
        newest = book.last_action()
        if newest and newest[0].action != action:
            raise PlannerError("somebody changed something meanwhile: see `planner history list`, repeat")
        return book.undo()


def _typed(value: V, fields: Sequence[Field], texts: Mapping[str, str], units: str) -> V:
    new, faults = with_fields(value, fields, texts, units)
    if faults:
        raise BadInputs(faults)
    return new


def _typed_job(job: Job, texts: Mapping[str, str], quantities: Sequence[tuple[str, str]], units: str) -> Job:
    new, faults = with_fields(job, JOB_FIELDS, texts, units)
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


def _new_or_not(there: bool, what: str, name: str, *, new: bool) -> None:
    if there and new:
        raise BadInput(what, name, f"is there already: use `planner {what} change`")


def past_promise(job: Job, today: date) -> str:
    """A line about an open job that is promised for a day before `today`, else ""."""
    if job.promised is None or job.promised >= today or job.status in (Status.DONE, Status.CANCELLED):
        return ""
    return f"{job.code} is promised for {job.promised}, which is past: is the year right?"


def _somebody_else(book: Book, noun: str, key: str) -> str:
    """A line about the change before this one when another person made it within a day, else ""."""
    entries = book.changes(noun=noun, key=key, limit=2)
    if len(entries) < 2 or entries[1].who == book.who or entries[0].at - entries[1].at > timedelta(days=1):
        return ""
    last = entries[1]
    return f"{last.who} {last.verb} it on {last.at:%Y-%m-%d at %H:%M}: see `planner history list`"


def names_of(location: str, what: str) -> list[str]:
    """The names of all jobs, crews or machines (`what` is job, crew or machine)."""
    with Store(location).reading() as book:
        if what == "job":
            return book.job_codes()
        return [c.name for c in book.crews()] if what == "crew" else [m.key for m in book.machines()]
