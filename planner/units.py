"""Units: names, exact conversions, and what a metric firm sees.

Inside the program every measure is US customary, with its unit in its name. Metric is a choice at the
edges: `to_shown` on the way out, `from_shown` on the way in.

Exact definitions (NIST Special Publication 811, Appendix B, 2008; from memory): 1 ft = 0.3048 m,
1 lb = 0.45359237 kg, 1 US gal = 231 in3. Hence 1 yd3 = 27 ft3 = 0.764554857984 m3.
"""

from __future__ import annotations

FT3_PER_CY = 27.0
LB_PER_TON = 2000.0
GAL_PER_FT3 = 1728.0 / 231.0
M_PER_FT = 0.3048
KG_PER_LB = 0.45359237
M3_PER_CY = 27.0 * M_PER_FT**3
L_PER_GAL = 231.0 * (M_PER_FT / 12.0) ** 3 * 1000.0
M2_PER_FT2 = M_PER_FT**2
KM_PER_MI = 1.609344
TONNE_PER_TON = LB_PER_TON * KG_PER_LB / 1000.0

US, METRIC = "us", "metric"

#: US unit -> (metric unit, metric per US)
METRIC_OF: dict[str, tuple[str, float]] = {
    "cy": ("m3", M3_PER_CY),
    "ft3": ("m3", M_PER_FT**3),
    "ft2": ("m2", M2_PER_FT2),
    "ft": ("m", M_PER_FT),
    "in": ("mm", M_PER_FT * 1000.0 / 12.0),
    "ton": ("t", TONNE_PER_TON),
    "lb": ("kg", KG_PER_LB),
    "oz": ("g", KG_PER_LB * 1000.0 / 16.0),
    "gal": ("L", L_PER_GAL),
    "gpm": ("L/min", L_PER_GAL),
    "cfs": ("L/s", (M_PER_FT * 10.0) ** 3),
    "in/h": ("mm/h", M_PER_FT * 1000.0 / 12.0),
    "ft/s": ("m/s", M_PER_FT),
    "lb/ft2": ("kPa", KG_PER_LB * 9.80665 / M_PER_FT**2 / 1000.0),
    "mi": ("km", KM_PER_MI),
    "mph": ("km/h", KM_PER_MI),
}


def to_shown(value: float, unit: str, system: str) -> tuple[float, str]:
    """`value` in `unit` as the firm sees it: unchanged for "us", converted for "metric".

    Units without a metric twin (count, h) pass through.

    >>> to_shown(10.0, "cy", "metric")[1]
    'm3'
    >>> round(to_shown(10.0, "cy", "metric")[0], 3)
    7.646
    """
    if system == METRIC and unit in METRIC_OF:
        name, factor = METRIC_OF[unit]
        return value * factor, name
    return value, unit


def from_shown(value: float, unit: str, system: str) -> float:
    """The inverse of `to_shown`: a number typed by the firm, back in the US `unit`.

    >>> round(from_shown(7.64554857984, "cy", "metric"), 9)
    10.0
    """
    if system == METRIC and unit in METRIC_OF:
        return value / METRIC_OF[unit][1]
    return value
