"""Truckloads: what a load of stone, gravel, soil weighs and fills, and which of the two ends it first.

Sources: loose weights, Peurifoy et al., Construction Planning, Equipment and Methods, table of earth
properties (wet, as a careful driver reckons; from memory); stone at 165 lb/ft3 with 40 % voids, derived;
mulch, common practice, no published source. Legal gross weight: the federal bridge formula, 23 U.S.C. 127 and
23 CFR 658.17 (from memory); the state's own law and the truck's plate win.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field

from planner.domain.quantities.material import Material
from planner.units import FT3_PER_CY, LB_PER_TON

#: Weight of a loose cubic yard as it rides on the truck [lb/CY].
LOOSE_LB_CY = {
    "stone": 165.0 * FT3_PER_CY * 0.60,
    "gravel": 2700.0,
    "soil": 2580.0,
    "spoil": 2580.0,
    "mulch": 800.0,
}
#: Row of materials -> what it is on a truck; rows that are not here ride as parcels.
_BULK = {
    "haul_load": "spoil",
    "clean_fill": "soil",
    "topsoil": "soil",
    "mulch": "mulch",
    "gravel": "gravel",
    "bog_gravel": "gravel",
    "pad_gravel": "gravel",
    "footing_base": "gravel",
    "boulder_small": "stone",
    "boulder_medium": "stone",
    "boulder_large": "stone",
    "named_boulder": "stone",
    "waterfall_stone": "stone",
}


@dataclass(frozen=True, slots=True)
class Truck:
    """What one load may weigh [ton] and fill [cy, loose].

    Default: a three-axle dump truck of 51,000 lb gross (20 ft between its outer axles) that weighs 26,000 lb
    empty (common practice), with a 10 cy box.
    """

    ton: float = 12.5
    cy: float = 10.0

    def loads(self, ton: float, cy: float) -> int:
        """Loads for that weight and volume, whichever is full first; 0 for nothing.

        >>> Truck().loads(12.9, 10.0), Truck().loads(4.0, 21.0), Truck().loads(12.5, 10.0)
        (2, 3, 1)
        """
        return math.ceil(max(ton / self.ton, cy / self.cy) - 1e-9)


@dataclass(frozen=True, slots=True)
class Freight:
    """What rows come to on a truck. ton [ton]; cy [cy, loose]; loads: truckloads, parcels one of their own;
    kinds_ton: kind of bulk -> its tons; parcels: whether anything else comes too.
    """

    ton: float = 0.0
    cy: float = 0.0
    loads: int = 0
    kinds_ton: Mapping[str, float] = field(default_factory=dict)
    parcels: bool = False


def bulk_of(row: Material) -> str:
    """What a row is on a truck: "stone", "gravel", "soil", "spoil", "mulch", or "" for parcels."""
    return _BULK.get(row.key, "")


def weighed(row: Material, amount: float) -> tuple[float, float]:
    """(ton, loose cy) of an amount in the row's order unit; a truckload counts by what it carries."""
    kind = bulk_of(row)
    if not kind:
        return 0.0, 0.0
    if row.order_unit == "ton":
        return amount, amount * LB_PER_TON / LOOSE_LB_CY[kind]
    share = amount / row.order if row.order > 0 else 0.0
    if row.unit == "ton":
        ton = row.needed * share
        return ton, ton * LB_PER_TON / LOOSE_LB_CY[kind]
    cy = row.needed * share if row.order_unit == "truckload" else amount
    return cy * LOOSE_LB_CY[kind] / LB_PER_TON, cy


def freight(rows: Iterable[tuple[Material, float]], truck: Truck) -> Freight:
    """What rows with their amounts come to; each kind of bulk rides on trucks of its own."""
    kinds: dict[str, tuple[float, float]] = {}
    parcels = False
    for row, amount in rows:
        kind = bulk_of(row)
        parcels = parcels or (not kind and amount > 0)
        if kind:
            ton, cy = weighed(row, amount)
            had = kinds.get(kind, (0.0, 0.0))
            kinds[kind] = had[0] + ton, had[1] + cy
    loads = {kind: truck.loads(*of) for kind, of in kinds.items()}
    return Freight(
        sum(ton for ton, _ in kinds.values()),
        sum(cy for _, cy in kinds.values()),
        sum(loads.values()) + parcels,
        {kind: ton for kind, (ton, _) in kinds.items()},
        parcels,
    )


def bridge_gross_lb(outer_ft: float, axles: int) -> float:
    """Heaviest legal weight of a group of axles by the federal bridge formula [lb], to the next 500 lb.

    outer_ft: between the group's outer axles [ft].

    >>> bridge_gross_lb(51, 5), bridge_gross_lb(20, 3)
    (80000.0, 51000.0)
    """
    exact = 500.0 * (outer_ft * axles / (axles - 1) + 12.0 * axles + 36.0)
    return 500.0 * math.floor(exact / 500.0 + 0.5)
