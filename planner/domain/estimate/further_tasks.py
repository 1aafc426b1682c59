"""The tasks of further work: each item that names a row of the rate book is one task of its phase."""

from __future__ import annotations

from planner.domain.estimate.task import Task, Way, rated
from planner.domain.firm.items import ITEMS
from planner.domain.firm.phases import Phase


def further_tasks(phase: Phase, way: Way) -> tuple[Task, ...]:
    """Quantity x rate of every further item of the phase; of the fill in the item's own part."""
    items = [item for item in ITEMS.values() if item.phase is phase and item.rate]
    return tuple(
        task
        for item in items
        for task in rated(way, item.rate, way.job.amount(item.key), item.unit, part=item.part or 1)
    )
