"""What estimates are made from, as stored; and no rate book by which a job takes no time, or for ever."""

from __future__ import annotations

from typing import TYPE_CHECKING

from planner.domain.estimate.labour import estimate
from planner.domain.estimate.rates import RateBook
from planner.domain.firm.jobs import Job, Status
from planner.domain.season.ways import USUAL_EXCAVATOR, Shop, usual_crew
from planner.errors import BadInput
from planner.flow.stored.facts import rules_beside

if TYPE_CHECKING:
    from planner.store.books import Book

_OPEN = frozenset({Status.INQUIRY, Status.SOLD, Status.UNDER_WAY})

#: No job takes less than a minute, or more hours than a year has [crew-hours].
_LEAST_H, _MOST_H = 1 / 60, 8760.0


def read_shop(book: Book, location: str) -> Shop:
    """Firm, crews, machines, rules and lost time; a usual mini excavator while the firm has no machine."""
    machines = {m.key: m for m in book.machines()} or {USUAL_EXCAVATOR.key: USUAL_EXCAVATOR}
    return Shop(book.firm(), book.crews(), machines, rules_beside(location), tuple(book.lost()))


def open_jobs(book: Book) -> list[Job]:
    """Every inquired, sold or running job."""
    return [job for job in book.jobs() if job.status in _OPEN]


def must_be_in_reach(book: Book, location: str, rates: RateBook) -> None:
    """BadInput when an open job of the firm would take no time, or for ever, by this rate book."""
    shop = read_shop(book, location)
    for job in open_jobs(book):
        found = estimate(
            job, usual_crew(job, shop.crews, shop.rules, None), rates, shop.firm, shop.rules, shop.machines
        )
        if found.phases and not _LEAST_H <= found.crew_h_at(shop.firm.planning_percentile) <= _MOST_H:
            raise BadInput(
                f"rate book {rates.edition}",
                f"{found.crew_h:.3g} crew-hours for job {job.code}",
                "a job takes more than a minute and less than a year: check its rows",
            )
