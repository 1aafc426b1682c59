"""Life: what the fish ask of filter and water, how large a bog must be, which shelf each plant stands on.

In: fish, bog, plants; duty, gallons, surface, levels. Out: `Load`, `BogSize`, places of plants.

Sources: ammonia from feed, P = F x PC x 0.092, Timmons and Ebeling, Recirculating Aquaculture (2010, from
memory), which at 32 % protein is the 30 g a kg of feed of aquaculture calculators (agentcalc.com, read
2026); removal 0.5 g a m2 and day, the low end of the 0.5 to 1 named there. Weight by length: Fulton's K of
1.6 for carp (from memory). Stocking: 1 in of fish a square foot and a 10 gal is common practice, no
published source.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from planner.domain.design.levels import Levels
from planner.domain.design.living import PLANT_IN, Bog, Fish, Plant
from planner.units import FT3_PER_CY, GAL_PER_FT3, M_PER_FT

PROTEIN, AMMONIA_OF_PROTEIN, REMOVED_G_M2_DAY = 0.32, 0.092, 0.5
FULTON_K = 1.6
INCH_PER_FT2, GAL_PER_INCH = 1.0, 10.0
GRAVEL_VOIDS = 0.40


@dataclass(frozen=True, slots=True)
class Load:
    """What grown fish come to: weight, feed a day, ammonia nitrogen a day, filter surface that takes it away.

    holds_in: inches of fish that surface and gallons hold; inches: those of the design.
    """

    weight_lb: float
    feed_lb_day: float
    ammonia_g_day: float
    media_ft2: float
    inches: float
    holds_in: float


def fish_lb(length_in: float) -> float:
    """Weight of one grown fish by its length [lb]: W = K L^3 / 100, grams and centimeters.

    >>> round(fish_lb(12.0), 2)
    1.0
    """
    return FULTON_K * (length_in * 2.54) ** 3 / 100.0 / 453.59237


def load(fish: Fish, surface_ft2: float, net_gal: float) -> Load:
    """The load of the fish on the water."""
    weight = fish.count * fish_lb(fish.length_in)
    feed = weight * fish.feed_share
    ammonia = feed * 453.59237 * PROTEIN * AMMONIA_OF_PROTEIN
    return Load(
        weight_lb=weight,
        feed_lb_day=feed,
        ammonia_g_day=ammonia,
        media_ft2=ammonia / REMOVED_G_M2_DAY / M_PER_FT**2,
        inches=fish.count * fish.length_in,
        holds_in=min(surface_ft2 * INCH_PER_FT2, net_gal / GAL_PER_INCH),
    )


@dataclass(frozen=True, slots=True)
class BogSize:
    """A bog's area by each claim, and the one that counts [ft2]; gravel_cy: that fills it."""

    by_turnover_ft2: float
    by_feed_ft2: float
    area_ft2: float
    gravel_cy: float


def gravel_ft2_ft3(stone_in: float) -> float:
    """Surface of a cubic foot of round gravel [ft2]: 6 (1 - voids) / size.

    >>> round(gravel_ft2_ft3(0.375))
    115
    """
    return 6.0 * (1.0 - GRAVEL_VOIDS) / (stone_in / 12.0)


def bog_size(bog: Bog, duty_gpm: float, fish: Load | None) -> BogSize:
    """The area that turnover and feed ask for; the design's own when it gives one."""
    deep_ft = bog.deep_in / 12.0
    water_ft3 = duty_gpm * bog.flow_share * bog.contact_min / GAL_PER_FT3
    turnover = water_ft3 / GRAVEL_VOIDS / deep_ft
    feed = fish.media_ft2 / gravel_ft2_ft3(bog.stone_in) / deep_ft if fish else 0.0
    area = bog.area_ft2 or math.ceil(max(turnover, feed))
    return BogSize(turnover, feed, float(area), area * deep_ft / FT3_PER_CY)


def place_of(plant: Plant, levels: Levels) -> tuple[str, float] | None:
    """The shelf or floor on which a plant stands, and the water over its crown [in]; None: none fits.

    The deepest that still fits comes first, so that shallow shelves stay for those that need them.
    """
    least, most = PLANT_IN[plant.kind]
    spots = [
        (level.below_rim_in - levels.water_line.below_rim_in - plant.pot_in, level.name)
        for level in (*levels.shelves, levels.floor)
    ]
    fitting = [(over, name) for over, name in spots if least <= over <= most]
    return (max(fitting)[1], max(fitting)[0]) if fitting else None
