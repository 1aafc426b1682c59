"""Soil in its three states: in the ground (bank), in the truck (loose), tamped into a berm (compacted).

In: volumes and a soil. Out: the same soil in another state, truckloads, a berm's volume, and the balance of
a site: what the hole gives, what the berm takes, what goes away or must be brought.

Source of the factors: Navy Engineering Aid training manual, Table 10-1, as quoted at okdgroup.in, for sand
(1.11 loose, 0.95 compacted per bank yard; the manual itself was not reached);
loam compacted 0.90 from an erratum to a soil table; the rest FM
5-434, Earthmoving Operations, 2000, Table 1-1, from memory. Stony clay is a default, to be calibrated.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from planner.domain.firm.jobs import Soil
from planner.units import FT3_PER_CY

#: soil -> loose cubic yards per bank cubic yard
LOOSE_PER_BANK: dict[Soil, float] = {
    Soil.SAND: 1.11,
    Soil.LOAM: 1.25,
    Soil.CLAY: 1.43,
    Soil.STONY: 1.40,
    Soil.ROCK: 1.50,
}
#: soil -> compacted cubic yards per bank cubic yard
COMPACTED_PER_BANK: dict[Soil, float] = {
    Soil.SAND: 0.95,
    Soil.LOAM: 0.90,
    Soil.CLAY: 0.90,
    Soil.STONY: 0.90,
    Soil.ROCK: 1.30,
}


def prismoid_ft3(top_ft2: float, middle_ft2: float, bottom_ft2: float, depth_ft: float) -> float:
    """Volume between two level areas by the prismoidal rule [ft3]: (A + 4B + C) / 6 x D.

    Source: USDA NRCS Agriculture Handbook 590, Ponds - Planning, Design, Construction, 1997 (from memory).

    >>> prismoid_ft3(100 * 70, 76 * 46, 52 * 22, 12)
    44256.0
    """
    return (top_ft2 + 4.0 * middle_ft2 + bottom_ft2) / 6.0 * depth_ft


def loose_cy(bank_cy: float, soil: Soil) -> float:
    """Bank yards as they lie in the truck [loose cy]."""
    return bank_cy * LOOSE_PER_BANK[soil]


def bank_for_compacted_cy(compacted_cy: float, soil: Soil) -> float:
    """Bank yards that a tamped volume takes [bank cy].

    >>> round(bank_for_compacted_cy(500, Soil.SAND))
    526
    """
    return compacted_cy / COMPACTED_PER_BANK[soil]


def truckloads(loose: float, truck_cy: float) -> int:
    """Loads of `truck_cy` for `loose` yards, rounded up.

    >>> truckloads(1000 * 1.30, 7)
    186
    """
    return math.ceil(loose / truck_cy - 1e-9) if loose > 0 else 0


def berm_ft3(length_ft: float, width_ft: float, height_ft: float, top_width_ft: float) -> float:
    """A berm with a level top and even side slopes all round [ft3, compacted], by the prismoidal rule.

    The ends slope like the sides, so the top is shorter by the same amount; a ridge has top width 0.
    """
    in_all_round = width_ft - top_width_ft
    top = max(0.0, length_ft - in_all_round) * top_width_ft
    middle = max(0.0, length_ft - in_all_round / 2.0) * (width_ft + top_width_ft) / 2.0
    return prismoid_ft3(length_ft * width_ft, middle, top, height_ft)


@dataclass(frozen=True, slots=True)
class Balance:
    """Where the spoil goes.

    bank_cy: all that is dug; berm_cy: tamped; surplus_loose_cy: to haul off; shortage_loose_cy: clean fill
    to bring, when the hole gives less than the berm takes. One of the last two is 0.
    """

    bank_cy: float
    berm_cy: float
    surplus_loose_cy: float
    shortage_loose_cy: float


def balance(bank_cy: float, berm_compacted_cy: float, soil: Soil) -> Balance:
    """Set the berm against the hole; what is over or short is given loose, as trucks carry it."""
    over_bank_cy = bank_cy - bank_for_compacted_cy(berm_compacted_cy, soil)
    over_loose_cy = loose_cy(over_bank_cy, soil)
    return Balance(bank_cy, berm_compacted_cy, max(0.0, over_loose_cy), max(0.0, -over_loose_cy))


def cy(ft3: float) -> float:
    """Cubic feet as cubic yards.

    >>> round(cy(44256), 1)
    1639.1
    """
    return ft3 / FT3_PER_CY
