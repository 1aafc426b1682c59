"""Materials of further work: from a job's amounts to rows in the merchant's units, with a design or without.

Seed is ordered at the middle of its published band; a job without a design is told for the usual grass. Waste
shares and pack sizes are defaults, to be calibrated, unless a line names a source.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping

from planner.domain.design.besides import SEED_LB_1000_FT2, Closing
from planner.domain.design.design import Design
from planner.domain.firm.items import ITEMS
from planner.domain.quantities.material import Material, Say

#: A sheet or mat laid lengthwise on the way in [ft]: panels of 4 x 8 ft, the size of the plywood standard
#: (PS 1; from memory).
MAT_FT = 8.0
#: Sod by the pallet [ft2], seed by the bag [lb], rubbish by the container [cy] (defaults: ask the merchant).
PALLET_FT2, BAG_LB, CONTAINER_CY = 450.0, 5.0, 10.0
#: Shares added: sod is cut to curves, topsoil settles, mulch packs (defaults, to be calibrated).
WASTE = {"sod": 0.05, "topsoil": 0.15, "mulch": 0.10, "lawn_seed": 0.10}

Amount = Callable[[str], float]


def further_materials(
    amount: Amount, say: Say, design: Design | None, prices: Mapping[str, float]
) -> list[Material]:
    """Every row that the further items call for. amount: item -> how much of it; prices: by material key."""

    def row(
        key: str, item: str, words: str, order: float, unit: str, size: str = "", needed: float | None = None
    ) -> Material:
        kind = ITEMS[item]
        need = (amount(item), kind.unit) if needed is None else (needed, unit)
        return Material(key, words, kind.phase, *need, order, unit, size, prices.get(key))

    found = _closing(amount, say, design, row)
    return [r for r in found if r.needed > 0.0]


def seed_lb(area_ft2: float, grass: str) -> float:
    """Seed for a new lawn at the middle of its published band [lb].

    >>> seed_lb(1000.0, "tall fescue")
    7.0
    """
    return area_ft2 / 1000.0 * sum(SEED_LB_1000_FT2[grass]) / 2.0


def _up(value: float, step: float) -> float:
    return math.ceil(value / step - 1e-9) * step


def _closing(amount: Amount, say: Say, design: Design | None, row: Callable[..., Material]) -> list[Material]:
    closing = (design.closing if design else None) or Closing()
    seed = seed_lb(amount("seed_ft2"), closing.grass)
    wasted = {key: 1.0 + share for key, share in WASTE.items()}
    bag, pallet, container = (say(*x) for x in ((BAG_LB, "lb"), (PALLET_FT2, "ft2"), (CONTAINER_CY, "cy")))
    return [
        row(
            "mats", "mats_ft", "ground mats or plywood", math.ceil(amount("mats_ft") / MAT_FT - 1e-9), "piece"
        ),
        row("site_fence", "site_fence_ft", "temporary fence", amount("site_fence_ft"), "ft"),
        row("toilet", "toilets", "site toilet, rented", amount("toilets"), "unit"),
        row("topsoil", "topsoil_cy", "topsoil", _up(amount("topsoil_cy") * wasted["topsoil"], 0.5), "cy"),
        row(
            "lawn_seed",
            "seed_ft2",
            f"grass seed, {closing.grass}",
            _up(seed * wasted["lawn_seed"], BAG_LB),
            "lb",
            f"bags of {bag}",
            needed=seed,
        ),
        row(
            "sod",
            "sod_ft2",
            "sod",
            _up(amount("sod_ft2") * wasted["sod"], 10.0),
            "ft2",
            f"pallets of {pallet}",
        ),
        row("mulch", "mulch_cy", "mulch", _up(amount("mulch_cy") * wasted["mulch"], 0.5), "cy"),
        row(
            "rubbish_load",
            "rubbish_cy",
            "rubbish to haul off",
            math.ceil(amount("rubbish_cy") / CONTAINER_CY - 1e-9),
            "truckload",
            container,
        ),
    ]
