"""Unloading: what it takes to get stone, gravel, soil and parcels off the supplier's trucks.

One law for the estimate's lines and for the list of deliveries: tons x a row of the rate book. Stone is
lifted by the excavator where the rock phase has one. Spoil is taken away: nothing to unload.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping

from planner.domain.estimate.rates import RateBook
from planner.domain.estimate.task import EXCAVATOR, Task, Way, rated
from planner.domain.firm.jobs import Job
from planner.domain.quantities.trucks import Freight

#: What rides on a truck -> its row of the rate book where no machine lifts it.
_ROWS: Mapping[str, str] = {
    "stone": "unload.bars",
    "gravel": "unload.tipped",
    "soil": "unload.tipped",
    "mulch": "unload.tipped",
}
#: Pallets and parcels of one load, which the yard takes off [labour-h]: common practice, no published source.
PARCELS_H = 0.5
#: What of it stands in a job's own hours: the kind on the truck -> the job's item.
ITEMS_OF: Mapping[str, str] = {"stone": "unload_stone_ton", "gravel": "unload_gravel_ton"}


def unload_row(kind: str, machines: Collection[str]) -> str:
    """The row of the rate book for a kind on the truck, "" for what is not unloaded. machines: at hand."""
    if kind == "stone" and EXCAVATOR in machines:
        return "unload.machine"
    return _ROWS.get(kind, "")


def unload_tasks(way: Way) -> list[Task]:
    """The unloading of a job's rock phase as tasks of it."""
    return [
        task
        for kind, item in ITEMS_OF.items()
        for task in rated(way, unload_row(kind, way.machines), way.job.amount(item), "ton")
    ]


def unload_labour_h(load: Freight, book: RateBook, machines: Collection[str]) -> float:
    """Likely labour-hours to take a load off [labour-h], before the factors of site and phase."""
    rows = {kind: unload_row(kind, machines) for kind in load.kinds_ton}
    bulk_h = sum(ton * book.value(rows[kind]) for kind, ton in load.kinds_ton.items() if rows[kind])
    return bulk_h + (PARCELS_H if load.parcels else 0.0)


def in_the_estimate(job: Job, load: Freight) -> bool:
    """Whether the job's own hours hold the unloading of this load."""
    asked = [kind for kind, ton in load.kinds_ton.items() if ton > 0 and unload_row(kind, ())]
    return bool(asked) and not load.parcels and all(job.amount(ITEMS_OF.get(k, "")) > 0 for k in asked)
