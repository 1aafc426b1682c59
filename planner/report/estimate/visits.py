"""Visits after the job in words and as values: their hours are told beside the estimate, not in it."""

from __future__ import annotations

from planner.domain.estimate.rates import RateBook
from planner.domain.estimate.visits import visits
from planner.domain.firm.jobs import Job


def visit_lines(job: Job, book: RateBook) -> list[str]:
    """ "Not in these hours: closing for winter 3.7 labour-h (2.2 to 6.9)"; none without visits."""
    told = [
        f"{visit.words} {visit.labour_h[1]:.1f} labour-h ({visit.labour_h[0]:.1f} to {visit.labour_h[2]:.1f})"
        for visit in visits(job, book)
    ]
    return [f"Not in these hours, visits after the job: {'; '.join(told)}."] if told else []


def visits_data(job: Job, book: RateBook) -> list[dict[str, object]]:
    """The same for `--json`."""
    return [
        {
            "item": visit.item,
            "labour_h": dict(zip(("low", "likely", "high"), visit.labour_h, strict=True)),
        }
        for visit in visits(job, book)
    ]
