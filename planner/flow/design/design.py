"""Designs: read the file, take it off for a job, show what would change, then keep it.

The order of steps: nothing is saved before the whole file is sound and the changes have been seen; a save
refuses when somebody changed the job in between.
"""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING

from planner.domain.design.design import Design
from planner.domain.design.parting import Fact, Parted, names_of, parting, parting_words, settle
from planner.domain.design.read import read_design
from planner.domain.firm.fields import named
from planner.domain.firm.jobs import ITEMS, Job, Origin
from planner.domain.quantities.faults import faults
from planner.domain.quantities.orders import LeadTimes, Order, job_materials, orders
from planner.domain.quantities.takeoff import Change, Takeoff, merge, take_off
from planner.errors import BadInput, BadInputs, PlannerError, StoreTrouble
from planner.flow.keeping import paths
from planner.flow.stored.kept_designs import read_kept
from planner.store.engine import Store
from planner.store.shipped.leads import lead_times
from planner.store.shipped.own_file import folder_of, own_text
from planner.units import METRIC

if TYPE_CHECKING:
    from planner.store.books import Book

MOST_BYTES = 200_000
#: The firm's own table of pumps, beside its database.
PUMPS = "pumps.toml"


@dataclass(frozen=True, slots=True)
class Proposal:
    """What taking a design off would do to a job.

    again: the job holds computed lines from before, so that a change must be agreed to. revision: of the
    job as it was read. text: the design file, kept with the job. planned: the published plan that holds the
    job, 0 for none.
    """

    job: Job
    revised: Job
    takeoff: Takeoff
    changes: tuple[Change, ...]
    facts: tuple[Fact, ...]
    again: bool
    revision: int
    text: str
    units: str
    planned: int = 0

    @property
    def changed(self) -> int:
        """How many quantities and facts of the job become others."""
        facts = sum(not fact.kept for fact in self.facts)
        return facts + sum(change.changes for change in self.changes)

    @property
    def parted(self) -> tuple[Parted, ...]:
        """What job and design will tell differently when this is kept."""
        return parting(self.revised, self.takeoff.design, self.takeoff.lines)

    @property
    def asks(self) -> bool:
        """True when something that was computed before would be overwritten."""
        return self.again and self.changed > 0


@dataclass(frozen=True, slots=True)
class Reckoned:
    """A design taken off, and the units to show it in. parted: what its job tells otherwise, in one line.

    leads: how long before its phase each material is ordered and on site.
    """

    takeoff: Takeoff
    units: str
    leads: LeadTimes
    parted: str = ""
    job: Job | None = None


def reckon(location: str, source: str) -> Reckoned:
    """Take a design off without saving: a file, or a job's code whose design is kept.

    A job's design is reckoned with the job's soil and access. A file is shown in the firm's units when there
    is a database, else in its own.
    """
    if not _is_file(source) and _job_with_design(location, source):
        return reckon_job(location, source)
    design = read_design(with_own_pumps(location, read_text(source)))
    leads = lead_times(folder_of(location))
    return Reckoned(_sound(take_off(design)), _units(location, design), leads)


def reckon_job(location: str, code: str) -> Reckoned:
    """Take off the design that is kept with a job; BadInput when none is."""
    with Store(location).reading() as book:
        job, text, units = book.job(code), book.design(code), book.firm().units
    if not text:
        raise BadInput("design", code, f"job {code} has none yet: draw one first")
    takeoff = take_off(read_design(text), job.soil, job.access)
    parted = parting_words(job.code, parting(job, takeoff.design, takeoff.lines), units)
    return Reckoned(takeoff, units, lead_times(folder_of(location)), parted, job)


def job_orders(location: str, code: str) -> tuple[tuple[Order, ...], str]:
    """What is ordered for a job, order by order, and the units to tell it in."""
    with Store(location).reading() as book:
        return orders_of(book, location, book.job(code)), book.firm().units


def orders_of(book: Book, location: str, job: Job) -> tuple[Order, ...]:
    """The same in the caller's transaction: by the job's kept design, else by its own net quantities."""
    kept = book.design(job.code)
    design = read_kept(kept) if kept else None
    off = take_off(design, job.soil, job.access) if isinstance(design, Design) else None
    rows = job_materials(job, off, book.firm().units)
    return orders(rows, lead_times(folder_of(location)), net=off is None)


def _sound(takeoff: Takeoff) -> Takeoff:
    """The take-off; BadInputs where it asks for what cannot be had."""
    found = faults(takeoff)
    if found:
        raise BadInputs(found)
    return takeoff


def propose(location: str, source: str, code: str, take: Collection[str] = ()) -> Proposal:
    """What the design in the file `source` would do to job `code`; nothing is saved."""
    return propose_text(location, read_text(source), code, take)


def propose_text(location: str, text: str, code: str, take: Collection[str] = ()) -> Proposal:
    """The same for a design that was typed."""
    if len(text.encode()) > MOST_BYTES:
        raise BadInput("design", f"{len(text)} characters", f"at most {MOST_BYTES} bytes: shorten it")
    text = with_own_pumps(location, text)
    design = read_design(text)
    with Store(location).reading() as book:
        job, revision, units = book.job(code), book.job_revision(code), book.firm().units
        kept, planned = book.design(code), book.published_with(code)
    names = [item_key(name) for name in take]
    items = names_of(names, ITEMS)
    before = read_kept(kept) if kept else None
    revised, facts = settle(job, design, before if isinstance(before, Design) else None, names)
    takeoff = _sound(take_off(design, revised.soil, revised.access))
    lines, changes = merge(job.lines, takeoff.lines, items)
    return Proposal(
        job=job,
        revised=replace(revised, lines=lines),
        takeoff=takeoff,
        changes=changes,
        facts=facts,
        again=any(line.origin is Origin.COMPUTED for line in job.lines),
        revision=revision,
        text=text,
        units=units,
        planned=planned,
    )


def with_own_pumps(location: str, text: str) -> str:
    """A design's text with the firm's own table of pumps behind it.

    Only where the design asks for power and names no pump itself, and the firm keeps such a file: so the
    table is kept with the job as it was, and every screen tells the same pump.
    """
    design = read_design(text)
    own = None if design.pumps or design.power is None else own_text(folder_of(location), PUMPS)
    if own is None:
        return text
    whole = f"{text.rstrip()}\n\n# pumps of the firm's own {PUMPS}\n{own}"
    try:
        read_design(whole)
    except BadInputs as found:
        faults = (BadInput(f.field, f.value, f.fix, where=f"{PUMPS} {f.where}".strip()) for f in found.faults)
        raise BadInputs(list(faults)) from None
    return whole


def keep(location: str, who: str, proposal: Proposal) -> None:
    """Save the job with its computed lines, and the design file beside it."""
    with Store(location).writing(who) as book:
        book.save_job(proposal.revised, seen=proposal.revision)
        book.save_design(proposal.job.code, proposal.text)


def kept_text(location: str, code: str) -> str:
    """The design kept with a job, as text; "" when it has none. BadInput for an unknown job."""
    with Store(location).reading() as book:
        book.job(code)
        return book.design(code) or ""


def item_key(name: str) -> str:
    """The item's key for a name in either system: gravel_ton or gravel_t. Unknown names pass through."""
    return next((key for key, item in ITEMS.items() if name == named(key, item.unit, METRIC)), name)


def read_text(source: str) -> str:
    """The text of a design file. Raises BadInput when it cannot be read."""
    if not _is_file(source):
        raise BadInput("design", source, "no such file: give a design file, or a job whose design is kept")
    return paths.read_text(source, MOST_BYTES, "design")


def _is_file(source: str) -> bool:
    try:
        return Path(source).is_file()
    except (OSError, ValueError):
        return False


def _job_with_design(location: str, code: str) -> bool:
    try:
        with Store(location).reading() as book:
            return book.design(code) is not None
    except StoreTrouble:
        return False


def _units(location: str, design: Design) -> str:
    try:
        with Store(location).reading() as book:
            return book.firm().units
    except PlannerError:
        return design.units
