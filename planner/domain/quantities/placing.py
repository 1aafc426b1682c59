"""Whether a stone can be set where the drawing puts it, and whether the ground bears what is built.

In: weights, radii, the machine's own plate, soil. Out: ways and limits. Below a limit is no promise: soft
ground, slopes, slings and a swinging load take from it, and the plate and its manual win.

Sources: ISO 10567:2007 (75 % of tipping, 87 % of hydraulic); hands: `safety.lifting`. Bearing:
International Building Code 2012, table 1806.2 (read at what-when-how.com, Geotechnical Earthquake
Engineering, table 14.6, 2026), the same as IRC table R401.4.1; fill has no presumptive value there. Loam is
taken as its sandy silt.
"""

from __future__ import annotations

from dataclasses import dataclass

from planner.domain.design.besides import LIFT_SHARE, Boulder, Footing, Placing
from planner.domain.design.design import STONE_CLASSES, Design
from planner.domain.firm.jobs import Access, Soil
from planner.domain.safety.lifting import people_to_lift, stone_in, stone_lb
from planner.units import LB_PER_TON

#: soil -> presumptive bearing [lb/ft2]
BEARING_PSF: dict[Soil, float] = {
    Soil.SAND: 2000.0,
    Soil.LOAM: 1500.0,
    Soil.CLAY: 1500.0,
    Soil.STONY: 2000.0,
    Soil.ROCK: 4000.0,
}


def capacity_lb(placing: Placing, radius_ft: float) -> float:
    """What the machine may lift at a radius [lb]: the plate's figure at the next radius outward, its share,
    less rigging; 0 beyond the plate.

    >>> capacity_lb(Placing(table=((8.0, 2000.0), (12.0, 1000.0)), basis="tipping"), 9.0)
    690.0
    """
    load = next((lb for radius, lb in placing.table if radius >= radius_ft - 1e-9), 0.0)
    return max(0.0, load * LIFT_SHARE[placing.basis] - placing.rigging_lb)


@dataclass(frozen=True, slots=True)
class Way:
    """How one stone is set. by: "hands", "dolly", "machine", or "" when nothing here can; people: hands.

    machine_lb: what the machine may lift there, None without a plate or a radius.
    """

    boulder: Boulder
    by: str
    people: int
    machine_lb: float | None


def way_of(boulder: Boulder, design: Design, access: Access) -> Way:
    """The gentlest way that holds: hands, dolly, machine."""
    placing = design.placing or Placing()
    people = people_to_lift(boulder.weight_lb, design.reach)
    plated = access is Access.MACHINE and bool(placing.table) and boulder.radius_ft > 0.0
    machine = capacity_lb(placing, boulder.radius_ft) if plated else None
    ways = (
        ("hands", people > 0),
        ("dolly", boulder.weight_lb <= placing.dolly_lb),
        ("machine", machine is not None and boulder.weight_lb <= machine),
    )
    return Way(boulder, next((by for by, holds in ways if holds), ""), people, machine)


def heaviest_lb(design: Design, access: Access, radius_ft: float) -> float:
    """The heaviest stone that dolly or machine can set at a radius [lb]."""
    placing = design.placing or Placing()
    machine = capacity_lb(placing, radius_ft) if access is Access.MACHINE else 0.0
    return max(placing.dolly_lb, machine)


def class_limit_in(design: Design, access: Access, name: str) -> float | None:
    """The largest stone of a class that can be set at the farthest wall [in]; None when all of it can.

    None too where no such radius was measured: then nothing is said.
    """
    placing, largest_in = design.placing, STONE_CLASSES[name][1]
    if placing is None or not placing.wall_reach_ft:
        return None
    limit_lb = heaviest_lb(design, access, placing.wall_reach_ft)
    density = design.stone.density_lb_ft3
    return None if stone_lb(largest_in, density) <= limit_lb else stone_in(limit_lb, density)


def pressure_psf(footing: Footing, stone_ton: float) -> float:
    """Pressure under the pad [lb/ft2]: the falls' stone and what stands on it besides, over its area."""
    return (stone_ton * LB_PER_TON + footing.extra_lb) / (footing.length_ft * footing.width_ft)
