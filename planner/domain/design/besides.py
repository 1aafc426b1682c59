"""What a design asks for besides the pond itself: closing the site, water, power, life, stone, cold.

Plain values. Each is None or empty until the file asks for it, so that a design without them comes to what it
always came to. Defaults that no published source gives are said to be so beside the field.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

#: kind of grass -> (low, high) seed for a new lawn [lb per 1,000 ft2].
#: Source: Cornell University, Safe Sports Fields, Seeding rates
#: (safesportsfields.cals.cornell.edu/seeding-rates, read 2026).
SEED_LB_1000_FT2: dict[str, tuple[float, float]] = {
    "tall fescue": (6.0, 8.0),
    "kentucky bluegrass": (1.0, 3.0),
    "perennial ryegrass": (4.0, 6.0),
}


@dataclass(frozen=True, slots=True)
class Closing:
    """The way in and the end of a job. Lengths [ft], areas [ft2], depths [in], rubbish loose [cy].

    mats_ft: length of the way in to be laid; toilets: rented for the site. grass: key of `SEED_LB_1000_FT2`.
    topsoil_in goes under seed and sod, mulch_in on beds (defaults, to be calibrated: 2 and 3 in).
    """

    mats_ft: float = 0.0
    fence_ft: float = 0.0
    toilets: int = 0
    seed_ft2: float = 0.0
    grass: str = "tall fescue"
    sod_ft2: float = 0.0
    topsoil_in: float = 2.0
    mulch_ft2: float = 0.0
    mulch_in: float = 3.0
    paving_ft2: float = 0.0
    rubbish_cy: float = 0.0
    load_out: bool = True
    last_walk: bool = True


@dataclass(frozen=True, slots=True)
class Pump:
    """One pump of the user's own table: curve (flow [gpm], head [ft]) by its label, watts, price [USD].

    speed: share of full speed at which it is set. By the affinity laws flow goes with it, head with its
    square, watts with its cube; `curve` and `watts` are those at this speed already.
    """

    name: str
    curve: tuple[tuple[float, float], ...]
    watts: float
    price_usd: float = 0.0
    speed: float = 1.0


@dataclass(frozen=True, slots=True)
class Power:
    """Power at the site. cable_ft: one way, panel to pump; trench_ft: dug by the crew for the electrician.

    volts at the panel; power_factor (default, to be calibrated); wire_awg 0: the smallest within 3 %;
    tariff_usd_kwh 0: no dollars are told; electrician: a licensed visit is needed before the pump starts.
    """

    cable_ft: float = 0.0
    trench_ft: float = 0.0
    volts: float = 120.0
    power_factor: float = 0.9
    wire_awg: int = 0
    hours_day: float = 24.0
    tariff_usd_kwh: float = 0.0
    electrician: bool = True


def at_speed(
    curve: tuple[tuple[float, float], ...], watts: float, speed: float
) -> tuple[tuple[tuple[float, float], ...], float]:
    """Curve and watts of a pump at a share of its speed: the affinity laws of centrifugal pumps.

    >>> at_speed(((100.0, 20.0),), 800.0, 0.5)
    (((50.0, 5.0),), 100.0)
    """
    return tuple((flow * speed, head * speed**2) for flow, head in curve), watts * speed**3


@dataclass(frozen=True, slots=True)
class GroundWater:
    """A hole that takes water while it is open. inflow_gpm: timed in the hole, 0 when nobody could.

    days: with the pump in; pump_gpm: what the rented pump gives at that lift; to: where its water goes.
    """

    days: int = 0
    inflow_gpm: float = 0.0
    pump_gpm: float = 30.0
    sumps: int = 1
    to: str = ""


#: what rain falls on -> (low, high) runoff coefficient. Source: University of Illinois, TSM 352, Runoff
#: coefficients (abe-research.illinois.edu/courses/TSM352, read 2026), the ASCE table; the high end counts.
RUNOFF_C: dict[str, tuple[float, float]] = {
    "lawn, sandy, flat": (0.05, 0.10),
    "lawn, sandy, average": (0.10, 0.15),
    "lawn, sandy, steep": (0.15, 0.20),
    "lawn, heavy, flat": (0.13, 0.17),
    "lawn, heavy, average": (0.18, 0.22),
    "lawn, heavy, steep": (0.25, 0.35),
    "paving": (0.80, 0.95),
    "roof": (0.75, 0.95),
}


@dataclass(frozen=True, slots=True)
class Storm:
    """The design storm of a place, and the way out that must carry it. fall: share, 0.01 is 1 %.

    intensity_in_h: of `years` at the time that water takes to gather, read from `source` for `place`.
    runoff_ft2: ground that drains into the pond, of the kind `ground`; the pond's own surface comes on top.
    """

    place: str
    intensity_in_h: float
    source: str = ""
    years: int = 10
    runoff_ft2: float = 0.0
    ground: str = "lawn, heavy, average"
    way: str = "pipe"
    length_ft: float = 20.0
    fall: float = 0.01


#: agent -> pounds for 100,000 gal and 1 mg/L of residual chlorine. Source: Disinfection of Pipelines and
#: Storage Facilities Field Guide (AWWA, 2006 from memory), table 7-5, as copied at what-when-how.com (read
#: 2026); its table 7-2 warns that field doses differ: test, dose, test again.
DECHLOR_LB: dict[str, float] = {
    "sodium thiosulfate": 1.58,
    "sodium bisulfite": 1.34,
    "sodium sulfite": 1.63,
    "ascorbic acid": 2.08,
}


@dataclass(frozen=True, slots=True)
class TownWater:
    """Treated water. chlorine_mg_l: total residual by test; drain_down: share of the first fill let out."""

    chlorine_mg_l: float
    agent: str = "sodium thiosulfate"
    drain_down: float = 0.0


@dataclass(frozen=True, slots=True)
class Evaporation:
    """What the sun takes. pan_in_month: class A pan, the worst month of the place.

    coefficient: open water over pan, 0.70 (NOAA Technical Report NWS 33, 1982; from memory). auto_fill:
    a float valve on its own line of line_ft.
    """

    pan_in_month: float
    coefficient: float = 0.70
    auto_fill: bool = False
    line_ft: float = 0.0


#: what the figures of a lift table are -> share of them that may be lifted.
#: Source: ISO 10567:2007, Earth-moving machinery, Hydraulic excavators, Lift capacity, as makers' manuals
#: quote it: rated is the lesser of 75 % of tipping and 87 % of hydraulic capacity, no bucket.
LIFT_SHARE: dict[str, float] = {"rated": 1.0, "tipping": 0.75, "hydraulic": 0.87}


@dataclass(frozen=True, slots=True)
class Placing:
    """How stones get to their place. table: (radius [ft], load [lb]) from the machine's own plate.

    basis: key of `LIFT_SHARE`; rigging_lb: bucket, hook and sling, taken off (default, to be calibrated);
    stand: where the machine stands [ft]; wall_reach_ft: from there to the farthest wall, 0 when not measured;
    dolly_lb: what the dolly and its path bear (default, to be calibrated; its plate wins).
    """

    table: tuple[tuple[float, float], ...] = ()
    basis: str = "rated"
    rigging_lb: float = 60.0
    stand: tuple[float, float] | None = None
    wall_reach_ft: float = 0.0
    dolly_lb: float = 600.0


@dataclass(frozen=True, slots=True)
class Boulder:
    """One stone that the drawing names. weight_lb: weighed or by its sides; radius_ft: machine to place."""

    name: str
    weight_lb: float
    radius_ft: float = 0.0
    at: tuple[float, float] | None = None


@dataclass(frozen=True, slots=True)
class Footing:
    """The pad under falls or edge [ft, in]: tamped crushed stone. extra_lb: what stands on it besides.

    on_fill: it stands on the berm or other fill, for which no table gives a bearing value.
    """

    length_ft: float
    width_ft: float
    thick_in: float = 6.0
    extra_lb: float = 0.0
    on_fill: bool = False


def block_lb(sides_in: tuple[float, ...], density_lb_ft3: float) -> float:
    """Weight of a blocky boulder by its three sides: an ellipsoid fills pi/6 of its box, a block all of it.

    Taken between the two, 0.75 of the box (default, to be calibrated: weigh what is near the limit).

    >>> round(block_lb((36.0, 24.0, 20.0), 165.0))
    1238
    """
    return 0.75 * math.prod(sides_in) / 1728.0 * density_lb_ft3
