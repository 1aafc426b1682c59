"""What a design asks for besides the pond itself: closing the site, water, power, life, stone, cold.

Plain values. Each is None or empty until the file asks for it, so that a design without them comes to what it
always came to. Defaults that no published source gives are said to be so beside the field.
"""

from __future__ import annotations

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
