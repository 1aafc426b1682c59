"""Visits: the hours of one that is planned, and those that an install promises for after it.

In: a job, the rate book. Out: the one task of a visit; `Visit`s that an install asks for (closing for winter,
opening in spring), in labour-hours, low, likely, high.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

from planner.domain.estimate.rates import RateBook
from planner.domain.estimate.task import Band, Task, Tasks, Way, num, once, scaled
from planner.domain.firm.crews import Crew
from planner.domain.firm.jobs import Job
from planner.domain.firm.visits import VisitKind

#: item -> (words, row of one visit, row by size, item that is its size)
_VISITS = {
    "winter_closings": ("closing for winter", "visit.close", "visit.close_ft2", "leaf_net_ft2"),
    "spring_openings": ("opening in spring", "visit.open", "visit.open_gal", "fill_gal"),
}

#: kind of a visit -> its row [labour-hours a visit]
ROWS: Mapping[VisitKind, str] = {
    VisitKind.CALL_BACK: "visit.call_back",
    VisitKind.LEAK_SEARCH: "visit.leak_search",
    VisitKind.CLEAN_OUT: "visit.clean_out",
    VisitKind.OPENING: "visit.open",
    VisitKind.CLOSING: "visit.close",
    VisitKind.MAINTENANCE: "visit.maintenance",
}


def at_a_visit(job: Job, crew: Crew) -> Crew:
    """Who of the crew works on the job: of a visit its hands, at the book's pace; else the crew.

    The rest of the crew stands by; which is why a small crew is the cheaper one to send.
    """
    return crew if job.visit is None else replace(crew, size=min(crew.size, job.hands), pace=1.0)


def visit_tasks(way: Way) -> Tasks:
    """The one task of a visit: its row's labour-hours, or the hours promised, as unsure as its row."""
    job = way.job
    if job.visit is None:
        return Tasks(())
    key = ROWS[job.visit]
    if job.on_site_h is None:
        return Tasks((once(way, key),))
    row, labour_h = way.book.row(key), job.on_site_h * way.crew.size
    step = f"{num(job.on_site_h)} h on site as promised × {way.crew.size} = {num(labour_h)} labour-h"
    band = scaled(row.band, labour_h / row.likely)
    return Tasks((Task(row.words, 1.0, "once", band, (step,), (key,)),))


@dataclass(frozen=True, slots=True)
class Visit:
    """One kind of visit: the item that asks for it, its words, labour-hours of one visit as a band."""

    item: str
    words: str
    labour_h: Band


def visits(job: Job, book: RateBook) -> tuple[Visit, ...]:
    """The visits that a job asks for."""
    found = []
    for item, (words, each_visit, by_size, size) in _VISITS.items():
        if job.amount(item) > 0:
            fixed, each = book.row(each_visit).band, book.row(by_size).band
            low, likely, high = (f + e * job.amount(size) for f, e in zip(fixed, each, strict=True))
            found.append(Visit(item, words, (low, likely, high)))
    return tuple(found)
