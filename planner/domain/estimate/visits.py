"""Visits after the job: closing a pond for winter, opening it in spring. Their hours are told, not planned.

In: a job's lines, the rate book. Out: `Visit`s in labour-hours, low, likely, high. A season that plans visits
reads them here.
"""

from __future__ import annotations

from dataclasses import dataclass

from planner.domain.estimate.rates import RateBook
from planner.domain.estimate.task import Band
from planner.domain.firm.jobs import Job

#: item -> (words, row of one visit, row by size, item that is its size)
_VISITS = {
    "winter_closings": ("closing for winter", "visit.close", "visit.close_ft2", "leaf_net_ft2"),
    "spring_openings": ("opening in spring", "visit.open", "visit.open_gal", "fill_gal"),
}


@dataclass(frozen=True, slots=True)
class Visit:
    """One kind of visit: the item that asks for it, its words, labour-hours of one visit as a band."""

    item: str
    words: str
    labour_h: Band


def visits(job: Job, book: RateBook) -> tuple[Visit, ...]:
    """The visits that a job asks for."""
    found = []
    for item, (words, once, by_size, size) in _VISITS.items():
        if job.amount(item) > 0:
            fixed, each = book.row(once).band, book.row(by_size).band
            low, likely, high = (f + e * job.amount(size) for f, e in zip(fixed, each, strict=True))
            found.append(Visit(item, words, (low, likely, high)))
    return tuple(found)
