"""Visits after the job, and unloading: their hours are told beside the estimate, not in it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from planner.domain.estimate.rates import RateBook
from planner.domain.estimate.unloading import ITEMS_OF, unload_labour_h
from planner.domain.estimate.visits import visits
from planner.domain.firm.jobs import Job
from planner.domain.firm.phases import Phase
from planner.domain.quantities.orders import job_materials
from planner.domain.quantities.trucks import Truck, bulk_of, freight

if TYPE_CHECKING:
    from planner.domain.season.ways import Estimated

#: Fewer hours of unloading are not worth a line [labour-h].
LEAST_H = 0.05


def visit_lines(job: Job, book: RateBook) -> list[str]:
    """ "Not in these hours: closing for winter 3.7 labour-h (2.2 to 6.9)"; none without visits."""
    told = [
        f"{visit.words} {visit.labour_h[1]:.1f} labour-h ({visit.labour_h[0]:.1f} to {visit.labour_h[2]:.1f})"
        for visit in visits(job, book)
    ]
    return [f"Not in these hours, visits after the job: {'; '.join(told)}."] if told else []


def unload_lines(one: Estimated) -> list[str]:
    """ "Not in these hours: about 3.5 labour-h to unload ..."; none where the job's quantities hold it."""
    job, rock = one.job, one.found.phases.get(Phase.ROCK)
    rows = [row for row in job_materials(job, None, one.firm.units) if bulk_of(row) in ITEMS_OF]
    load = freight([(row, row.order) for row in rows if not job.amount(ITEMS_OF[bulk_of(row)])], Truck())
    unload_h = unload_labour_h(load, one.book, rock.machines if rock else ())
    if unload_h < LEAST_H:
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
