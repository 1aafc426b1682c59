"""Heat, cold and wind on a working day: what a forecast means for the crew and for what cures.

Sources: heat index, NWS (L. Rothfusz, Technical Attachment SR 90-23, 1990; wpc.ncep.noaa.gov); work and
rest minutes, NIOSH (mining heat-stress page; DHHS (NIOSH) 2017-127); its sun and humidity adjustments from
memory; wind chill, NWS (2001). Cure and temperature limits: generic data, the can or sheet wins.
Temperatures in degrees Fahrenheit, wind in miles an hour.
"""

from __future__ import annotations

from collections.abc import Set as AbstractSet
from dataclasses import dataclass
from enum import StrEnum
from itertools import pairwise
from math import sqrt

from planner.domain.firm.phases import Phase
from planner.domain.wording import shown
from planner.errors import BadInput


class Sky(StrEnum):
    """How much sun falls on the work."""

    SUN = "sun"
    PARTLY = "partly cloudy"
    SHADE = "shade"


class Effort(StrEnum):
    """How hard the work is."""

    LIGHT = "light"
    MODERATE = "moderate"
    HEAVY = "heavy"


@dataclass(frozen=True, slots=True)
class Forecast:
    """high_f, low_f: of the working day [F]; humidity: relative, at the high [percent]; wind_mph [mph]."""

    high_f: float
    humidity: float
    low_f: float | None = None
    wind_mph: float = 0.0
    sky: Sky = Sky.SUN

    def __post_init__(self) -> None:
        """Refuse what no forecast says."""
        for field, value, low, high in (
            ("temp", self.high_f, -60.0, 135.0),
            ("humidity", self.humidity, 0.0, 100.0),
            ("low", self.low_f if self.low_f is not None else self.high_f, -60.0, 135.0),
            ("wind", self.wind_mph, 0.0, 150.0),
        ):
            if not low <= value <= high:
                raise BadInput(field, value, f"a forecast lies between {low:g} and {high:g}")
        if self.low_f is not None and self.low_f > self.high_f:
            raise BadInput("low", self.low_f, "the low is not above the high")


@dataclass(frozen=True, slots=True)
class Advice:
    """One line of advice. grave: more than a caution."""

    text: str
    grave: bool = False


#: How hard a phase is: digging, stone and barrows are heavy (NIOSH); the rest is our setting.
EFFORT: dict[Phase, Effort] = {
    Phase.DIG: Effort.HEAVY,
    Phase.SET_FILTERS: Effort.HEAVY,
    Phase.LINER: Effort.MODERATE,
    Phase.ROCK: Effort.HEAVY,
    Phase.PLUMBING: Effort.LIGHT,
    Phase.FILL: Effort.MODERATE,
    Phase.VISIT: Effort.MODERATE,
}
#: Added to the air temperature before the NIOSH table [F]; from memory.
_SKY_F = {Sky.SUN: 13.0, Sky.PARTLY: 7.0, Sky.SHADE: 0.0}
_HUMIDITY_F = ((10.0, -8.0), (20.0, -4.0), (30.0, 0.0), (40.0, 3.0), (50.0, 6.0), (60.0, 9.0))
#: NIOSH: minutes of work in each hour by adjusted temperature; 60 normal, 0 "caution": do not plan on it.
_WORK_MIN: dict[Effort, dict[int, int]] = {
    Effort.LIGHT: {106: 45, 107: 40, 108: 35, 109: 30, 110: 15, 111: 0},
    Effort.MODERATE: {100: 45, 101: 40, 102: 35, 103: 30, 104: 30, 105: 25, 106: 20, 107: 15, 108: 0},
    Effort.HEAVY: {
        **{95: 45, 96: 45, 97: 40, 98: 35, 99: 35, 100: 30, 101: 30, 102: 25, 103: 20, 104: 20},
        **{105: 15, 106: 0},
    },
}
#: PVC solvent cement, pipe 1 1/2 to 3 in: from this temperature [F] -> set [h], cure to 180 psi [h].
#: Source: plastics technical manual, p. 96 (secondary copy), humidity to 60 %; add half above that.
_CEMENT_H = ((60.0, 0.5, 2.0), (40.0, 2.0, 4.0), (0.0, 6.0, 16.0))
SEALANT_LOW_F, FOAM_LOW_F, FOAM_HIGH_F, TAPE_LOW_F = 40.0, 40.0, 80.0, 40.0
#: Wind at which a crew stops unrolling a large liner by hand [mph]. Our setting, no published figure found.
LINER_WIND_MPH = 25.0


def heat_index_f(temp_f: float, humidity: float, *, adjusted: bool = False) -> float:
    """Heat index [F] in the shade. adjusted: also apply the corrections for very dry and very humid air.

    The published chart follows the bare regression, so that is the default.

    >>> round(heat_index_f(96, 65))
    121
    """
    simple = 0.5 * (temp_f + 61.0 + (temp_f - 68.0) * 1.2 + humidity * 0.094)
    if (simple + temp_f) / 2.0 < 80.0:
        return (simple + temp_f) / 2.0
    t, rh = temp_f, humidity
    index = (
        -42.379
        + 2.04901523 * t
        + 10.14333127 * rh
        - 0.22475541 * t * rh
        - 0.00683783 * t * t
        - 0.05481717 * rh * rh
        + 0.00122874 * t * t * rh
        + 0.00085282 * t * rh * rh
        - 0.00000199 * t * t * rh * rh
    )
    if adjusted and rh < 13 and 80 <= t <= 112:
        index -= (13 - rh) / 4 * sqrt((17 - abs(t - 95)) / 17)
    if adjusted and rh > 85 and 80 <= t <= 87:
        index += (rh - 85) / 10 * (87 - t) / 5
    return index


def adjusted_f(temp_f: float, humidity: float, sky: Sky) -> float:
    """Air temperature adjusted for sun and humidity before the NIOSH table [F]; straight between its rows."""
    rows = _HUMIDITY_F
    at = min(max(humidity, rows[0][0]), rows[-1][0])
    for (x0, y0), (x1, y1) in pairwise(rows):
        if x0 <= at <= x1:
            return temp_f + _SKY_F[sky] + y0 + (y1 - y0) * (at - x0) / (x1 - x0)
    raise AssertionError("the humidity rows cover their own range")


def work_minutes(adjusted: float, effort: Effort) -> int:
    """Minutes of work in each hour at an adjusted temperature [F]; 60 normal, 0 not without special care."""
    rows = _WORK_MIN[effort]
    step = int(adjusted + 0.5)
    return 60 if step < min(rows) else rows[min(step, max(rows))]


def wind_chill_f(temp_f: float, wind_mph: float) -> float:
    """Wind chill [F]; the air temperature itself above 50 F or at 3 mph and less.

    >>> round(wind_chill_f(20, 20))
    4
    """
    if temp_f > 50.0 or wind_mph <= 3.0:
        return temp_f
    blown = float(wind_mph**0.16)
    return 35.74 + 0.6215 * temp_f - 35.75 * blown + 0.4275 * temp_f * blown


def cement_hours(temp_f: float, humidity: float) -> tuple[float, float] | None:
    """Set and cure of PVC solvent cement [h], pipe 1 1/2 to 3 in, to 180 psi; None below 0 F."""
    factor = 1.5 if humidity > 60.0 else 1.0
    return next(((s * factor, c * factor) for low, s, c in _CEMENT_H if temp_f >= low), None)


def weather_advice(forecast: Forecast, phases: AbstractSet[Phase], units: str) -> tuple[Advice, ...]:
    """What the forecast means for these phases, gravest first."""
    found = [*_hot(forecast, phases, units), *_cold(forecast, phases, units)]
    if Phase.LINER in phases and forecast.wind_mph >= LINER_WIND_MPH:
        found.append(
            Advice("Wind at our limit for unrolling liner by hand: wait, or fold and weight it.", True)
        )
    return tuple(sorted(found, key=lambda a: not a.grave))


def _hot(forecast: Forecast, phases: AbstractSet[Phase], units: str) -> list[Advice]:
    index = heat_index_f(forecast.high_f, forecast.humidity)
    if index < 80.0:
        return []
    feels = shown(float(round(index)), "F", units)
    found = [
        Advice(f"Heat index {feels} in the shade. Water, about a quart an hour for each; shade to rest in.")
    ]
    if index >= 90.0:
        found.append(
            Advice("Watch each other for heat illness; at least 15 minutes of rest in shade every 2 hours.")
        )
    efforts = {EFFORT[p] for p in phases}
    effort = next((e for e in (Effort.HEAVY, Effort.MODERATE, Effort.LIGHT) if e in efforts), Effort.LIGHT)
    minutes = work_minutes(adjusted_f(forecast.high_f, forecast.humidity, forecast.sky), effort)
    if minutes == 0:
        found.append(
            Advice(f"Too hot for {effort} work at the day's high: start early, stop before it.", True)
        )
    elif minutes < 60:
        rest = 60 - minutes
        found.append(
            Advice(f"At the day's high, {effort} work: {minutes} min work, {rest} min rest an hour.", True)
        )
    if index >= 103.0:
        found.append(
            Advice("Confused, hot, stops sweating: call 911, cool at once with water and shade.", True)
        )
    return found


def _cold(forecast: Forecast, phases: AbstractSet[Phase], units: str) -> list[Advice]:
    low_f = forecast.low_f if forecast.low_f is not None else forecast.high_f
    found = []
    chill = wind_chill_f(low_f, forecast.wind_mph)
    if chill <= 32.0:
        text = (
            f"Feels like {shown(float(round(chill)), 'F', units)} at the low: gloves, warm break, dry socks."
        )
        found.append(Advice(text, chill <= -18.0))
    limit = shown(SEALANT_LOW_F, "F", units)
    if low_f < SEALANT_LOW_F:
        if Phase.PLUMBING in phases:
            found.append(
                Advice(
                    f"Below {limit}: sealant only as its sheet allows; warm, dry faces; longer cure.", True
                )
            )
        if Phase.LINER in phases:
            found.append(
                Advice(f"Below {limit}: seam tape and primer by the maker's cold-weather sheet.", True)
            )
    if Phase.ROCK in phases and (low_f < FOAM_LOW_F or forecast.high_f > FOAM_HIGH_F):
        span = f"{shown(FOAM_LOW_F, 'F', units)} to {shown(FOAM_HIGH_F, 'F', units)}"
        found.append(Advice(f"Foam: can and stone {span}; keep cans out of frost and sun."))
    if Phase.PLUMBING in phases:
        found.append(_cement(low_f, forecast.humidity))
    return found


def _cement(low_f: float, humidity: float) -> Advice:
    hours = cement_hours(low_f, humidity)
    if hours is None:
        return Advice("Too cold for solvent cement.", True)
    set_h, cure_h = hours
    return Advice(f"Solvent cement at the low: {set_h:g} h before it is moved, {cure_h:g} h before pressure.")
