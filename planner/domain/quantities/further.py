"""Further work of a design: what it comes to besides the pond, as amounts of the job's items.

In: a design and its water. Out: item -> amount, one function an area.
"""

from __future__ import annotations

from collections.abc import Mapping

from planner.domain.design.besides import Closing, Power
from planner.domain.design.design import Design
from planner.domain.design.living import Winter
from planner.domain.quantities.life import BogSize
from planner.domain.quantities.watercare import water_amounts
from planner.domain.quantities.waterwork import Waterwork
from planner.units import FT3_PER_CY, LB_PER_TON


def spread_cy(area_ft2: float, depth_in: float) -> float:
    """Loose cubic yards that cover an area: ft2 x in / 12 / 27.

    >>> spread_cy(324.0, 1.0)
    1.0
    """
    return area_ft2 * depth_in / 12.0 / FT3_PER_CY


def closing_amounts(closing: Closing | None) -> dict[str, float]:
    """Item -> amount of the way in and of the end of the job."""
    if closing is None:
        return {}
    return {
        "mats_ft": closing.mats_ft,
        "site_fence_ft": closing.fence_ft,
        "toilets": float(closing.toilets),
        "topsoil_cy": spread_cy(closing.seed_ft2 + closing.sod_ft2, closing.topsoil_in),
        "seed_ft2": closing.seed_ft2,
        "sod_ft2": closing.sod_ft2,
        "mulch_cy": spread_cy(closing.mulch_ft2, closing.mulch_in),
        "paving_ft2": closing.paving_ft2,
        "rubbish_cy": closing.rubbish_cy,
        "loadings": float(closing.load_out),
        "last_walks": float(closing.last_walk),
    }


def power_amounts(power: Power | None) -> dict[str, float]:
    """Item -> amount of what the crew does for the electrician."""
    if power is None:
        return {}
    return {"cable_trench_ft": power.trench_ft, "electrician_visits": float(power.electrician)}


def stone_amounts(design: Design) -> dict[str, float]:
    """Item -> amount of named boulders and of the base under falls or edge."""
    pad = design.footing
    return {
        "named_boulder_ton": named_ton(design),
        "footing_cy": spread_cy(pad.length_ft * pad.width_ft, pad.thick_in) if pad else 0.0,
    }


def named_ton(design: Design) -> float:
    """Tons of the boulders that are ordered one by one."""
    return sum(stone.weight_lb for stone in design.boulders) / LB_PER_TON


def life_amounts(design: Design, bog: BogSize | None) -> dict[str, float]:
    """Item -> amount of bog, ultraviolet, plants and fish. A pond for fish is tested twice."""
    fish = design.fish.count if design.fish else 0
    return {
        "bog_dig_cy": bog.gravel_cy if bog else 0.0,
        "bog_ft2": bog.area_ft2 if bog else 0.0,
        "bog_gravel_ton": bog.gravel_cy * design.stone.gravel_lb_cy / LB_PER_TON if bog else 0.0,
        "uv_units": float(design.uv is not None),
        "plants": float(sum(plant.count for plant in design.plants)),
        "water_tests": 2.0 if fish else 0.0,
        "fish": float(fish),
    }


def winter_amounts(winter: Winter | None, surface_ft2: float) -> dict[str, float]:
    """Item -> amount of the visits, and of the net that the closing lays over the water."""
    if winter is None:
        return {}
    return {
        "winter_closings": float(winter.closing),
        "spring_openings": float(winter.opening),
        "leaf_net_ft2": surface_ft2 if winter.closing else 0.0,
    }


def further_amounts(design: Design, water: Waterwork, bog: BogSize | None) -> Mapping[str, float]:
    """Item -> amount of all further work."""
    storm = design.storm
    return {
        **closing_amounts(design.closing),
        **power_amounts(design.power),
        **water_amounts(design.ground_water, design.town_water, design.evaporation, water.fill_gal),
        **stone_amounts(design),
        **life_amounts(design, bog),
        **winter_amounts(design.winter, water.surface_ft2),
        **({"overflow_ft" if storm.way == "pipe" else "swale_ft": storm.length_ft} if storm else {}),
    }
