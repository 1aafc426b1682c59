"""Water besides the pump line: pumping out a wet hole, the dose against chlorine, what the sun takes.

In: what the design asks for, gallons and surface. Out: amounts and figures. Daily look at what is pumped
out: EPA, Inspection and Monitoring Guide for Construction Dewatering (833-B-22-001, February 2022), which
binds larger sites and is good practice on small ones.
"""

from __future__ import annotations

from planner.domain.design.besides import DECHLOR_LB, Evaporation, GroundWater, TownWater
from planner.units import GAL_PER_FT3

OZ_PER_LB = 16.0
DAYS_A_MONTH = 365.25 / 12.0


def pump_h_day(water: GroundWater) -> float:
    """Hours a day that the pump runs to keep the hole dry: 24 x inflow / pump.

    >>> pump_h_day(GroundWater(days=3, inflow_gpm=5.0, pump_gpm=30.0))
    4.0
    """
    return 24.0 * water.inflow_gpm / water.pump_gpm


def dose_oz(gallons: float, chlorine_mg_l: float, agent: str) -> float:
    """Dechlorinator for so much water [oz], by the guide's table.

    >>> round(dose_oz(100_000.0, 1.0, "ascorbic acid") / 16.0, 2)
    2.08
    """
    return gallons / 100_000.0 * chlorine_mg_l * DECHLOR_LB[agent] * OZ_PER_LB


def evaporation_gal_day(sun: Evaporation, surface_ft2: float) -> float:
    """Water that leaves by evaporation in the worst month [gal a day]."""
    return surface_ft2 * sun.pan_in_month * sun.coefficient / 12.0 * GAL_PER_FT3 / DAYS_A_MONTH


def water_amounts(
    hole: GroundWater | None, town: TownWater | None, sun: Evaporation | None, fill_gal: float
) -> dict[str, float]:
    """Item -> amount of a wet hole, of treated water and of the float valve."""
    found: dict[str, float] = {}
    if hole is not None and hole.days:
        found |= {"sumps": float(hole.sumps), "dewater_days": float(hole.days)}
    if town is not None:
        let_out = fill_gal * town.drain_down
        dosed = fill_gal + let_out if town.chlorine_mg_l else 0.0
        ounces = dose_oz(dosed, town.chlorine_mg_l, town.agent)
        found |= {"drain_gal": let_out, "dosed_gal": dosed, "dechlorinator_oz": ounces}
    if sun is not None and sun.auto_fill:
        found |= {"auto_fills": 1.0}
    return found
