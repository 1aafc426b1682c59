"""Storm overflow: how much rain must leave the pond, and the pipe or swale that carries it.

In: the design storm, the pond's surface. Out: `Overflow`. Flow by the rational method, Q = C i A (cfs, in/h,
acres; the factor 1.008 is left at 1, as manuals do). Size by Manning, Q = 1.486 / n A R^(2/3) S^(1/2), pipe
full.

Sources: n of smooth plastic 0.010, Austin Drainage Criteria Manual, table 5-2 (austin-tx.elaws.us, read
2026); n of a grass swale 0.030 and its greatest speed of 4 ft/s from memory. The outlet, the neighbor's
ground and the town's storm rules are the local engineer's.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from planner.domain.design.besides import RUNOFF_C, Storm
from planner.domain.design.hydraulics import GPM_PER_CFS

FT2_PER_ACRE = 43_560.0
N_PLASTIC, N_GRASS = 0.010, 0.030
#: Nominal sizes of overflow pipe, taken as inside [in].
PIPES_IN = (3.0, 4.0, 6.0, 8.0, 10.0, 12.0)
#: A swale's bottom [ft], sides [run for 1 up] and margin over the water [ft] (defaults, to be calibrated).
BOTTOM_FT, SIDES, MARGIN_FT = 1.0, 3.0, 0.25
GRASS_FT_S = 4.0


@dataclass(frozen=True, slots=True)
class Overflow:
    """The way out. flow_cfs: of the storm; pipe_in: 0 for a swale, or where no pipe of the list carries it.

    carries_cfs: of the chosen pipe, or the largest; deep_ft, top_ft, speed_ft_s: of the swale, margin
    included.
    """

    flow_cfs: float
    pipe_in: float
    carries_cfs: float
    deep_ft: float = 0.0
    top_ft: float = 0.0
    speed_ft_s: float = 0.0

    @property
    def flow_gpm(self) -> float:
        """The same flow [gpm]."""
        return self.flow_cfs * GPM_PER_CFS


def rational_cfs(c: float, intensity_in_h: float, area_ft2: float) -> float:
    """Peak flow by the rational method [cfs].

    >>> round(rational_cfs(0.4, 2.87, 128 * 43560), 1)
    146.9
    """
    return c * intensity_in_h * area_ft2 / FT2_PER_ACRE


def manning_cfs(area_ft2: float, wetted_ft: float, fall: float, n: float) -> float:
    """Uniform flow in a section [cfs]."""
    return 1.486 / n * area_ft2 * math.pow(area_ft2 / wetted_ft, 2.0 / 3.0) * math.sqrt(fall)


def full_pipe_cfs(inside_in: float, fall: float, n: float = N_PLASTIC) -> float:
    """What a pipe carries when it runs full without pressure [cfs].

    >>> round(full_pipe_cfs(24.0, 0.003, 0.012), 1)
    13.4
    """
    inside_ft = inside_in / 12.0
    return manning_cfs(math.pi * inside_ft**2 / 4.0, math.pi * inside_ft, fall, n)


def overflow(storm: Storm | None, surface_ft2: float) -> Overflow | None:
    """The way out of a pond of this surface; None without a storm."""
    if storm is None:
        return None
    ground = rational_cfs(RUNOFF_C[storm.ground][1], storm.intensity_in_h, storm.runoff_ft2)
    flow = ground + rational_cfs(1.0, storm.intensity_in_h, surface_ft2)
    if storm.way == "swale":
        return _swale(flow, storm.fall)
    carries = {size: full_pipe_cfs(size, storm.fall) for size in PIPES_IN}
    size = next((size for size, cfs in carries.items() if cfs >= flow), 0.0)
    return Overflow(flow, size, carries[size or PIPES_IN[-1]])


def _swale(flow: float, fall: float) -> Overflow:
    """The depth at which a grass swale carries the flow, by halving."""
    low, high = 0.0, 10.0
    for _ in range(60):
        deep = (low + high) / 2.0
        low, high = (deep, high) if _swale_cfs(deep, fall) < flow else (low, deep)
    area = high * (BOTTOM_FT + SIDES * high)
    deep_ft = high + MARGIN_FT
    return Overflow(flow, 0.0, flow, deep_ft, BOTTOM_FT + 2.0 * SIDES * deep_ft, flow / area if area else 0.0)


def _swale_cfs(deep_ft: float, fall: float) -> float:
    area = deep_ft * (BOTTOM_FT + SIDES * deep_ft)
    return manning_cfs(area, BOTTOM_FT + 2.0 * deep_ft * math.hypot(1.0, SIDES), fall, N_GRASS)
