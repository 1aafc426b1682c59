"""Jobs from the store with the gates that locates, orders and visits come to by what the office ticked."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime
from typing import TYPE_CHECKING

from planner.domain.firm.actuals import Progress, of_jobs, progress
from planner.domain.firm.crews import Machine
from planner.domain.firm.jobs import PLANNED, Job
from planner.domain.firm.phases import Phase
from planner.domain.standing.locate_gates import with_locate_gate
from planner.domain.standing.locate_standing import LocateFile, ground_open
from planner.domain.standing.order_gates import OrderFile, with_order_gates
from planner.domain.standing.rentals import with_rental_leads
from planner.domain.standing.trade_gates import with_trade_gates
from planner.flow.stored.locates import locate_file
from planner.store.shipped.leads import lead_times
from planner.store.shipped.own_file import folder_of

if TYPE_CHECKING:
    from planner.store.books import Book


@dataclass(frozen=True, slots=True)
class _Office:
    """What the office knows. dug: jobs whose ground is open; begun, finished: (job, phase) that was."""

    locates: LocateFile
    orders: OrderFile
    dug: frozenset[str]
    begun: frozenset[tuple[str, Phase]]
    finished: frozenset[tuple[str, Phase]]

    def gated(self, job: Job) -> Job:
        """A job that is not planned gets no gate of what nobody asked for or ordered."""
        planned = job.status in PLANNED
        found = with_locate_gate(self.locates, job, begun=job.code in self.dug or not planned)
        if not planned:
            return found
        begun = {phase for phase in Phase if (job.code, phase) in self.begun}
        finished = {phase for phase in Phase if (job.code, phase) in self.finished}
        return with_trade_gates(self.orders, with_order_gates(self.orders, found, begun), begun, finished)


def _begun(so_far: Progress) -> bool:
    return bool(so_far.share or so_far.spent_crew_h)


def gated(book: Book, location: str, now: datetime | None = None) -> tuple[Job, ...]:
    """Every job with the gates that the office's ticks come to, or that asking and ordering now give."""
    jobs = book.jobs()
    planned = {job.code for job in jobs if job.status in PLANNED}
    office = _office(book, location, progress(of_jobs(book.logs(), planned)), now)
    return tuple(office.gated(job) for job in jobs)


def gated_job(book: Book, location: str, code: str) -> Job:
    """One job with those gates."""
    return _office(book, location, progress(book.logs(job=code)), None).gated(book.job(code))


def hired(book: Book, location: str, now: datetime | None = None) -> tuple[Machine, ...]:
    """Every machine; a rented one that nobody booked is out until a booking made now would begin."""
    plan, office = book.published(), _office(book, location, {}, now)
    return with_rental_leads(office.orders, book.machines(), plan.bookings if plan else ())


def _office(
    book: Book, location: str, so_far: Mapping[tuple[str, Phase], Progress], now: datetime | None
) -> _Office:
    locates = locate_file(book, location, now)
    orders = order_file(book, location, locates.now.date())
    begun = frozenset(key for key, far in so_far.items() if _begun(far))
    finished = frozenset(key for key, far in so_far.items() if far.done)
    return _Office(locates, orders, ground_open(so_far), begun, finished)


def order_file(book: Book, location: str, today: date) -> OrderFile:
    """What the office knows of orders, in the caller's transaction."""
    return OrderFile(lead_times(folder_of(location)), book.office_marks(), today, book.firm())
