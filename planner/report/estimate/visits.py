"""Visits after the job, and unloading: their hours are told beside the estimate, not in it."""

from __future__ import annotations

from collections.abc import Collection

from planner.domain.estimate.rates import RateBook
from planner.domain.estimate.unloading import ITEMS_OF, unload_labour_h
from planner.domain.estimate.visits import visits
from planner.domain.firm.jobs import Job
from planner.domain.quantities.orders import job_materials
from planner.domain.quantities.trucks import Truck, bulk_of, freight


def visit_lines(job: Job, book: RateBook) -> list[str]:
    """ "Not in these hours: closing for winter 3.7 labour-h (2.2 to 6.9)"; none without visits."""
    told = [
        f"{visit.words} {visit.labour_h[1]:.1f} labour-h ({visit.labour_h[0]:.1f} to {visit.labour_h[2]:.1f})"
        for visit in visits(job, book)
    ]
    return [f"Not in these hours, visits after the job: {'; '.join(told)}."] if told else []


def unload_lines(job: Job, book: RateBook, machines: Collection[str], units: str) -> list[str]:
    """ "Not in these hours: about 3.5 labour-h to unload ..."; none where the job's quantities hold it."""
    rows = [(row, row.order) for row in job_materials(job, None, units) if bulk_of(row) in ITEMS_OF]
    load = freight([(row, amount) for row, amount in rows if not job.amount(ITEMS_OF[bulk_of(row)])], Truck())
    unload_h = unload_labour_h(load, book, machines)
    if unload_h < 0.05:
        return []
    return [
        f"Not in these hours: about {unload_h:.1f} labour-h to take stone and gravel off the trucks; the "
        "quantities unload_stone_ton and unload_gravel_ton put it in."
    ]


def visits_data(job: Job, book: RateBook) -> list[dict[str, object]]:
    """The same for `--json`."""
    return [
        {
            "item": visit.item,
            "labour_h": dict(zip(("low", "likely", "high"), visit.labour_h, strict=True)),
        }
        for visit in visits(job, book)
    ]
