"""Water: what flow the falls and the pond ask for, what pipe carries it, what head the pump must hold.

In: spillway, gallons, pipe route, fittings, lift. Out: required flow, pipe size by velocity, friction as the
larger of Hazen-Williams and Darcy-Weisbach, total head, the head-flow curve of the line, and where a
published pump curve meets it.

Sources: Hazen-Williams in psi per foot, 4.52 Q^1.85 / (C^1.85 d^4.87), gpm and inches (secondary copy), times
2.307 ft of water per psi; checked against Ill. Admin. Code tit. 77, pt. 906, app. A, exh. I. Bores:
ASTM D1785 Schedule 40, outside diameter less twice the least wall, and the average bores that makers quote
(secondary copies). Darcy-Weisbach with the friction factor of Colebrook and White, J. Inst. Civ. Eng. 11,
1939, water of 50 F, plastic as smooth as drawn tubing (both from memory, as in common tables). Fittings:
a PVC/CPVC reference table of equivalent lengths (secondary copy; published tables differ by up to 2 to 1, so
a design may give its own). Flow per inch of spillway and turnover are common practice, no published source.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise

from planner.errors import BadInput

GPM_PER_CFS = 448.83
GPH_PER_GPM = 60.0
C_PLASTIC = 150.0
VELOCITY_LIMIT_FT_S = 5.0
FT_PER_PSI = 2.307

#: nominal size [in] -> inside diameter [in], Schedule 40 PVC by least wall
BORE_IN: dict[float, float] = {1.0: 1.049, 1.25: 1.380, 1.5: 1.610, 2.0: 2.067, 3.0: 3.068, 4.0: 4.026}

#: the same by the average wall, as makers quote it [in]
AVERAGE_BORE_IN: dict[float, float] = {
    1.0: 1.029,
    1.25: 1.360,
    1.5: 1.590,
    2.0: 2.047,
    3.0: 3.042,
    4.0: 3.998,
}

#: Water of 50 F: kinematic viscosity [ft2/s]; roughness of plastic pipe [ft]; gravity [ft/s2].
COLD_F, VISCOSITY_FT2_S, ROUGHNESS_FT, GRAVITY_FT_S2 = 50.0, 1.410e-5, 5e-6, 32.174
#: Reynolds number from which flow counts as turbulent.
_TURBULENT = 2000.0

#: fitting -> (equivalent lengths [ft of the same pipe] at 1.5, 2 and 3 in; pipe ends it joins)
FITTINGS: dict[str, tuple[tuple[float, float, float], int]] = {
    "elbow_90": ((4.0, 5.7, 7.9), 2),
    "elbow_45": ((2.1, 2.6, 4.0), 2),
    "tee_run": ((2.7, 4.3, 6.2), 3),
    "tee_branch": ((8.0, 12.0, 16.0), 3),
    "gate_valve": ((1.0, 1.5, 3.0), 2),
    "check_valve": ((13.4, 17.2, 25.6), 2),
    "union": ((0.0, 0.0, 0.0), 2),
    "coupling": ((0.0, 0.0, 0.0), 2),
}
#: fitting -> its name for one and for several
_NAMES = {
    "elbow_90": ("elbow 90°", "elbows 90°"),
    "elbow_45": ("elbow 45°", "elbows 45°"),
    "tee_run": ("tee, straight through", "tees, straight through"),
    "tee_branch": ("tee, by its branch", "tees, by their branch"),
}
_TABLE_SIZES = (1.5, 2.0, 3.0)

#: inlet pressure [psi] -> gpm through 100 ft of garden hose, 1/2, 5/8, 3/4 and 1 in
#: (Iowa State University Extension, Horticulture and Home Pest News, 28 June 1996, p. 111)
HOSE_GPM: dict[int, dict[float, float]] = {
    20: {0.5: 4, 0.625: 8, 0.75: 12, 1.0: 26},
    30: {0.5: 5, 0.625: 9, 0.75: 15, 1.0: 32},
    40: {0.5: 6, 0.625: 11, 0.75: 18, 1.0: 38},
    50: {0.5: 7, 0.625: 12, 0.75: 20, 1.0: 43},
    60: {0.5: 8, 0.625: 14, 0.75: 22, 1.0: 47},
}


def friction_ft(flow_gpm: float, length_ft: float, bore_in: float, c: float = C_PLASTIC) -> float:
    """Head lost to friction [ft] in `length_ft` of pipe, fittings' equivalent lengths included.

    >>> round(friction_ft(50, 100, 2.067), 2)
    3.98
    """
    return FT_PER_PSI * 4.52 * length_ft * math.pow(flow_gpm / c, 1.85) / math.pow(bore_in, 4.87)


def friction_factor(reynolds: float, roughness: float) -> float:
    """Darcy's friction factor: 64 / Re, from Re 2,000 on by Colebrook and White, solved by repetition.

    roughness: height of it over the bore.

    >>> round(friction_factor(100_000, 0.0), 4)
    0.018
    """
    if reynolds < _TURBULENT:
        return 64.0 / reynolds
    root = 8.0
    for _ in range(30):
        root = -2.0 * math.log10(roughness / 3.7 + 2.51 * root / reynolds)
    return 1.0 / root**2


def darcy_ft(flow_gpm: float, length_ft: float, bore_in: float) -> float:
    """Head lost to friction [ft] by Darcy and Weisbach in smooth plastic pipe, water of 50 F.

    >>> round(darcy_ft(50, 100, 2.067), 2)
    4.19
    """
    if flow_gpm <= 0.0:
        return 0.0
    bore_ft = bore_in / 12.0
    speed = velocity_ft_s(flow_gpm, bore_in)
    factor = friction_factor(speed * bore_ft / VISCOSITY_FT2_S, ROUGHNESS_FT / bore_ft)
    return factor * length_ft / bore_ft * speed**2 / (2.0 * GRAVITY_FT_S2)


def velocity_ft_s(flow_gpm: float, bore_in: float) -> float:
    """Mean speed of the water [ft/s]: 0.4085 Q / d2.

    >>> round(velocity_ft_s(50, 2.067), 2)
    4.78
    """
    return 0.4085 * flow_gpm / bore_in**2


def weir_gpm(length_ft: float, head_in: float, *, contracted: bool = True) -> float:
    """Flow over a sharp crest by Francis [gpm]: Q = 3.33 (L - 0.2 H) H^1.5 cfs, feet.

    contracted: the sheet narrows at both ends; a lip that fills its channel omits the 0.2 H. Good for L at
    least 3 H, a free fall, the head read upstream. A rock lip is not a sharp crest: an estimate only.

    >>> round(weir_gpm(1, 1), 1)
    35.4
    """
    head_ft = head_in / 12.0
    crest_ft = length_ft - 0.2 * head_ft if contracted else length_ft
    return 3.33 * max(0.0, crest_ft) * math.pow(head_ft, 1.5) * GPM_PER_CFS


def weir_head_in(length_ft: float, flow_gpm: float) -> float:
    """Depth of water over a full-width lip at `flow_gpm` [in]: Francis without end contractions, inverted.

    >>> round(weir_head_in(1.0, weir_gpm(1.0, 0.79, contracted=False)), 2)
    0.79
    """
    return 12.0 * math.pow(flow_gpm / GPM_PER_CFS / (3.33 * length_ft), 2.0 / 3.0)


def equivalent_ft(fitting: str, nominal_in: float, own: Mapping[str, float] | None = None) -> float:
    """Feet of the same pipe that lose as much as one `fitting`; `own` lengths [ft] win over the table.

    Sizes outside the table scale with the size, as length over diameter stays about the same.
    """
    if own and fitting in own:
        return own[fitting]
    if fitting not in FITTINGS:
        known = ", ".join(FITTINGS)
        raise BadInput("fittings", fitting, f"use one of {known}, or give its equivalent length")
    nearest = min(_TABLE_SIZES, key=lambda size: abs(size - nominal_in))
    return FITTINGS[fitting][0][_TABLE_SIZES.index(nearest)] * nominal_in / nearest


def fittings_words(fittings: Mapping[str, int], lines: int = 1) -> str:
    """Which fittings so many lines take, counted.

    >>> fittings_words({"elbow_90": 3, "check_valve": 1, "union": 0}, 2)
    '6 elbows 90°, 2 check valves'
    """
    counts = {name: count * lines for name, count in fittings.items() if count}
    told = {name: (name.replace("_", " "), f"{name.replace('_', ' ')}s") for name in counts} | _NAMES
    return ", ".join(f"{count} {told[name][count != 1]}" for name, count in counts.items())


def pipe_size_in(flow_gpm: float, limit_ft_s: float = VELOCITY_LIMIT_FT_S) -> float:
    """Smallest nominal size [in] that keeps the water at or under `limit_ft_s`.

    Raises BadInput when even the largest in the table runs faster.

    >>> [pipe_size_in(q) for q in (10, 31, 50, 60)]
    [1.0, 1.5, 2.0, 3.0]
    """
    for nominal, bore in BORE_IN.items():
        if velocity_ft_s(flow_gpm, bore) <= limit_ft_s:
            return nominal
    most = limit_ft_s * BORE_IN[4.0] ** 2 / 0.4085
    raise BadInput("flow [gpm]", round(flow_gpm), f"a 4 in line carries {most:.0f}; split it over two lines")


@dataclass(frozen=True, slots=True)
class PumpLine:
    """A pump line: nominal size [in], straight length [ft], fittings -> count, lift [ft].

    lift_ft: water line of the pond to where the water leaves the line. other_ft: head lost in filters and
    the like at the required flow, taken to grow with the square of the flow. bore_in: the label's own bore.
    """

    nominal_in: float
    length_ft: float
    fittings: Mapping[str, int]
    lift_ft: float
    other_ft: float = 0.0
    at_gpm: float = 0.0
    bore_in: float = 0.0
    own_lengths_ft: Mapping[str, float] | None = None

    @property
    def inside_in(self) -> float:
        """Bore by the least wall, or the label's own [in]."""
        return self.bore_in or BORE_IN[self.nominal_in]

    @property
    def average_in(self) -> float:
        """Bore by the average wall, or the label's own [in]."""
        return self.bore_in or AVERAGE_BORE_IN[self.nominal_in]

    @property
    def run_ft(self) -> float:
        """Straight length and the fittings' equivalent lengths [ft]."""
        own = self.own_lengths_ft
        return self.length_ft + sum(
            count * equivalent_ft(fitting, self.nominal_in, own) for fitting, count in self.fittings.items()
        )

    def frictions_ft(self, flow_gpm: float) -> tuple[float, float]:
        """Friction at `flow_gpm` [ft]: Hazen-Williams at the least wall, Darcy-Weisbach at the average."""
        return (
            friction_ft(flow_gpm, self.run_ft, self.inside_in),
            darcy_ft(flow_gpm, self.run_ft, self.average_in),
        )

    def head_ft(self, flow_gpm: float) -> float:
        """Total head at `flow_gpm` [ft]: lift, the larger friction, filters."""
        other = self.other_ft * (flow_gpm / self.at_gpm) ** 2 if self.at_gpm > 0 else 0.0
        return self.lift_ft + max(self.frictions_ft(flow_gpm)) + other


def head_curve(line: PumpLine, duty_gpm: float, points: int = 7) -> list[tuple[float, float]]:
    """(flow [gpm], head [ft]) of the line up to 1.5 times the duty, to hold against a pump's curve."""
    return [(q, line.head_ft(q)) for q in (duty_gpm * 1.5 * i / (points - 1) for i in range(points))]


def meeting_point(line: PumpLine, pump_curve: Sequence[tuple[float, float]]) -> tuple[float, float] | None:
    """Where a pump's published curve, (gpm, ft) points joined straight, meets the line; None when never.

    >>> line = PumpLine(2.0, 60.0, {"elbow_90": 3}, 6.0)
    >>> [round(v, 1) for v in meeting_point(line, [(0.0, 20.0), (100.0, 0.0)])]
    [51.9, 9.6]
    """
    curve = sorted(pump_curve)
    for (q1, h1), (q2, h2) in pairwise(curve):
        low, high = q1, q2
        if h1 < line.head_ft(q1) or h2 > line.head_ft(q2) or q1 == q2:
            continue
        for _ in range(60):
            middle = (low + high) / 2.0
            pump_ft = h1 + (h2 - h1) * (middle - q1) / (q2 - q1)
            low, high = (middle, high) if pump_ft >= line.head_ft(middle) else (low, middle)
        return low, line.head_ft(low)
    return None


def fill_h(gallons: float, hose_gpm: float) -> float:
    """Hours to run `gallons` at `hose_gpm`.

    >>> round(fill_h(2250, 11), 1)
    3.4
    """
    return gallons / hose_gpm / 60.0
