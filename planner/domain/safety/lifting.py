"""What one person or a team may lift: the revised NIOSH lifting equation, and the team rule beside it.

In: reach, heights, twist, pace and grip of a lift. Out: the recommended weight limit (RWL) and the lifting
index of a load, and for a stone the answer "one person, two, three, or a machine". An index up to 1 is a
design goal, not a guarantee; wet liner, slopes, kneeling and carrying are outside the equation, so on a pond
site the RWL is an upper bound.

Source: Applications Manual for the Revised NIOSH Lifting Equation, Waters, Putz-Anderson, Garg, DHHS (NIOSH)
94-110, 1994, revised 2021: pp. 7-18, Tables 5 and 7, read in a secondary copy; Table 5's split by height at
nine lifts a minute and more is from memory. Team rule: UK HSE L23, Manual Handling, 3rd edition, 2004,
para 120 (secondary copy; the 4th edition of 2016 counts its paragraphs anew):
two people two thirds, three people half of the summed limits.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import StrEnum

from planner.errors import BadInput

LOAD_CONSTANT_LB = 51.0


class Spell(StrEnum):
    """How long the lifting lasts before a proper break: up to 1 h, 2 h or 8 h."""

    SHORT = "up to 1 h"
    MODERATE = "1 to 2 h"
    LONG = "2 to 8 h"


class Grip(StrEnum):
    """Coupling of hand and load. Most rock is poor: bulky, rough, no handles."""

    GOOD = "good"
    FAIR = "fair"
    POOR = "poor"


#: lifts per minute -> multiplier for (short, moderate, long); the same at every height up to 8 a minute.
_PACE: dict[float, tuple[float, float, float]] = {
    0.2: (1.00, 0.95, 0.85),
    0.5: (0.97, 0.92, 0.81),
    1.0: (0.94, 0.88, 0.75),
    2.0: (0.91, 0.84, 0.65),
    3.0: (0.88, 0.79, 0.55),
    4.0: (0.84, 0.72, 0.45),
    5.0: (0.80, 0.60, 0.35),
    6.0: (0.75, 0.50, 0.27),
    7.0: (0.70, 0.42, 0.22),
    8.0: (0.60, 0.35, 0.18),
}
#: the same from 9 a minute, hands below 30 in at the start of the lift (from memory).
_FAST_LOW = {9.0: (0.52, 0.30, 0.0), 10.0: (0.45, 0.26, 0.0), 11.0: (0.41, 0.0, 0.0), 12.0: (0.37, 0.0, 0.0)}
#: the same, hands at 30 in and above (from memory).
_FAST_HIGH = {
    9.0: (0.52, 0.30, 0.15),
    10.0: (0.45, 0.26, 0.13),
    11.0: (0.41, 0.23, 0.0),
    12.0: (0.37, 0.21, 0.0),
    13.0: (0.34, 0.0, 0.0),
    14.0: (0.31, 0.0, 0.0),
    15.0: (0.28, 0.0, 0.0),
}

#: persons -> share of the summed single limits that a team may lift (HSE L23; four is held at half).
TEAM_SHARE: dict[int, float] = {1: 1.0, 2: 2.0 / 3.0, 3: 0.5, 4: 0.5}


@dataclass(frozen=True, slots=True)
class Lift:
    """One lift, in the equation's own measures.

    reach_in: H, ankles to hands, horizontal [in]; height_in: V, hands above the floor at the start [in];
    travel_in: D, up or down [in]; twist_deg: A, off straight ahead [degrees]; lifts_min: F [1/min].
    The defaults are a stone taken from the ground, held close, once in a while ("ground, close").
    """

    reach_in: float = 15.0
    height_in: float = 8.0
    travel_in: float = 22.0
    twist_deg: float = 0.0
    lifts_min: float = 0.2
    spell: Spell = Spell.SHORT
    grip: Grip = Grip.POOR

    def __post_init__(self) -> None:
        """Refuse what cannot be measured: negative or non-finite values."""
        for field in ("reach_in", "height_in", "travel_in", "twist_deg", "lifts_min"):
            value = getattr(self, field)
            if not math.isfinite(value) or value < 0:
                raise BadInput(field, value, "give a measured value of 0 or more")


def reach_multiplier(reach_in: float) -> float:
    """HM (pp. 8-9): 10/H; reach below 10 in counts as 10, beyond 25 in nothing may be lifted."""
    return 0.0 if reach_in > 25.0 else 10.0 / max(10.0, reach_in)


def height_multiplier(height_in: float) -> float:
    """VM (p. 10): best at knuckle height, 30 in; above 70 in nothing may be lifted."""
    return 0.0 if height_in > 70.0 else 1.0 - 0.0075 * abs(height_in - 30.0)


def travel_multiplier(travel_in: float) -> float:
    """DM (p. 11): 0.82 + 1.8/D; travel below 10 in counts as 10, beyond 70 in nothing may be lifted."""
    return 0.0 if travel_in > 70.0 else 0.82 + 1.8 / max(10.0, travel_in)


def twist_multiplier(twist_deg: float) -> float:
    """AM (p. 12): 1 - 0.0032 A; beyond 135 degrees nothing may be lifted."""
    return 0.0 if twist_deg > 135.0 else 1.0 - 0.0032 * twist_deg


def pace_multiplier(lifts_min: float, spell: Spell, height_in: float) -> float:
    """FM (Table 5, p. 15), straight between rows; slower than 0.2 a minute counts as 0.2."""
    rows = _PACE | (_FAST_LOW if height_in < 30.0 else _FAST_HIGH)
    column = list(Spell).index(spell)
    pace = max(0.2, lifts_min)
    known = sorted(rows)
    if pace > known[-1]:
        return 0.0
    above = next(row for row in known if row >= pace)
    if above == pace:
        return rows[above][column]
    below = max(row for row in known if row < pace)
    part = (pace - below) / (above - below)
    return rows[below][column] + part * (rows[above][column] - rows[below][column])


def grip_multiplier(grip: Grip, height_in: float) -> float:
    """CM (Table 7, p. 18)."""
    if grip is Grip.POOR:
        return 0.90
    return 0.95 if grip is Grip.FAIR and height_in < 30.0 else 1.0


def weight_limit_lb(lift: Lift) -> float:
    """Recommended weight limit [lb]: RWL = 51 x HM x VM x DM x AM x FM x CM (p. 7).

    >>> round(weight_limit_lb(Lift()), 1)
    23.0
    """
    return (
        LOAD_CONSTANT_LB
        * reach_multiplier(lift.reach_in)
        * height_multiplier(lift.height_in)
        * travel_multiplier(lift.travel_in)
        * twist_multiplier(lift.twist_deg)
        * pace_multiplier(lift.lifts_min, lift.spell, lift.height_in)
        * grip_multiplier(lift.grip, lift.height_in)
    )


def lifting_index(load_lb: float, lift: Lift) -> float:
    """Load over limit (p. 1): up to 1 is the design goal, over 3 raises risk for nearly all workers."""
    limit = weight_limit_lb(lift)
    return load_lb / limit if limit > 0 else math.inf


def team_limit_lb(people: int, lift: Lift) -> float:
    """What `people` together may lift [lb]; 1 to 4 people, more do not work together.

    >>> round(team_limit_lb(2, Lift()), 1)
    30.7
    """
    if people not in TEAM_SHARE:
        raise BadInput("people", people, "a lifting team is 1 to 4 people; take a machine for more")
    return people * TEAM_SHARE[people] * weight_limit_lb(lift)


def people_to_lift(load_lb: float, lift: Lift) -> int:
    """Smallest team whose limit reaches `load_lb`; 0 means a machine or a dolly.

    >>> people_to_lift(20.0, Lift()), people_to_lift(30.0, Lift()), people_to_lift(86.0, Lift())
    (1, 2, 0)
    """
    return next((n for n in TEAM_SHARE if load_lb <= team_limit_lb(n, lift)), 0)


def stone_lb(size_in: float, density_lb_ft3: float = 165.0) -> float:
    """Weight of a round stone `size_in` across [lb], W = pi/6 D^3 x unit weight.

    Source: US Army Corps of Engineers, Streambank Stabilization Handbook (Waterways
    Experiment Station; 1997 from memory), app. A, eq. A.1. A flat or long stone differs.

    >>> [round(stone_lb(s)) for s in (12, 18, 24)]
    [86, 292, 691]
    """
    return math.pi / 6.0 * (size_in / 12.0) ** 3 * density_lb_ft3


def stone_in(weight_lb: float, density_lb_ft3: float = 165.0) -> float:
    """Size across of a round stone of `weight_lb` [in]: the inverse of `stone_lb`.

    >>> round(stone_in(86.4), 1)
    12.0
    """
    return 12.0 * math.pow(6.0 * weight_lb / (math.pi * density_lb_ft3), 1.0 / 3.0)
