"""Visits after the job, and unloading: their hours are told beside the estimate, not in it."""

from __future__ import annotations

from planner.domain.estimate.rates import RateBook
from planner.domain.estimate.visits import visits
from planner.domain.firm.jobs import Job
from planner.domain.quantities.orders import job_materials
from planner.domain.quantities.trucks import Truck, bulk_of, freight
from planner.domain.wording import counted, in_figures


def visit_lines(job: Job, book: RateBook) -> list[str]:
    """ "Not in these hours: closing for winter 3.7 labour-h (2.2 to 6.9)"; none without visits."""
    told = [
        f"{visit.words} {visit.labour_h[1]:.1f} labour-h ({visit.labour_h[0]:.1f} to {visit.labour_h[2]:.1f})"
        for visit in visits(job, book)
    ]
    return [f"Not in these hours, visits after the job: {'; '.join(told)}."] if told else []


def unload_lines(job: Job, units: str) -> list[str]:
    """ "Not in these hours: about 3.5 labour-h to unload 4 truckloads ..."; none where nothing is tipped."""
    rows = [(row, row.order) for row in job_materials(job, None, units) if bulk_of(row)]
    truck = Truck()
    load = freight(rows, truck)
    if load.unload_labour_h <= 0:
        return []
    size = f"{in_figures(truck.ton, 'ton', units)} or {in_figures(truck.cy, 'cy', units)}"
    return [
        f"Not in these hours: about {load.unload_labour_h:g} labour-h to take stone, gravel and soil off "
        f"{counted(load.loads, 'truckload')} at {size} each (planner deliveries list)."
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
