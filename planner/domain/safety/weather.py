"""A weather forecast of the next days: what it says of a day, and how likely the day is lost to rain.

In: a forecast's days, its place and the day it was made, the firm. Out: words, the chance of a lost day, the
`Forecast` that heat, cold and wind are judged by. Without one the climate's figures serve.

Sources: humidity at the high from the low, which in a humid place lies near the dew point: FAO Irrigation and
Drainage Paper 56 (1998), equations 11 and 48. Air temperature at which frost may form on the ground: NWS
frost advisory, 33 to 36 F (from memory). The share of a day that rain of an amount takes: our own setting,
which gives the climate's share for wet days of exponential amounts, mean 0.4 in; to be calibrated.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, timedelta
from math import exp

from planner.domain.dates import day_words
from planner.domain.firm.firm import Firm
from planner.domain.places import great_circle_mi
from planner.domain.safety.heat import Forecast
from planner.domain.wording import as_seen, number
from planner.errors import BadInput, BadInputs
from planner.units import METRIC

#: A forecast is used for so many days after it was made, and reaches so many days from it [days].
GOOD_DAYS, REACH_DAYS = 5, 16
#: A place so far from the depot has other weather [mi]. Our setting.
FAR_MI = 60.0
#: Rain that takes a day as often as a wet day of the climate does [in]; a wet day there has 0.10 in or more.
LIKE_A_WET_DAY_IN = 0.33
#: Air temperature from which frost may lie on the ground [F].
FROST_AIR_F = 36.0
#: A working day that is lost this likely is told to the office [0 to 1]. Our setting.
LIKELY_LOST = 0.4


@dataclass(frozen=True, slots=True)
class DayForecast:
    """One day. rain_chance: 0 to 1; rain_in: if it rains [in], None when not told; low_f, high_f [F];
    wind_mph [mph]; humidity: relative, at the high [percent], None when not told.
    """

    day: date
    rain_chance: float
    low_f: float
    high_f: float
    wind_mph: float = 0.0
    rain_in: float | None = None
    humidity: float | None = None

    def __post_init__(self) -> None:
        """Refuse what no forecast says."""
        for name, value, most, unit in (
            ("rain_chance", self.rain_chance * 100.0, 100.0, "percent"),
            ("rain", self.rain_in or 0.0, 30.0, "in"),
        ):
            if not 0.0 <= value <= most:
                raise BadInput(name, f"{value:g}", f"give 0 to {most:g} {unit}")
        _ = self.heat

    @property
    def heat(self) -> Forecast:
        """What heat, cold and wind are judged by."""
        humidity = self.humidity if self.humidity is not None else humidity_at_high(self.low_f, self.high_f)
        return Forecast(self.high_f, humidity, self.low_f, self.wind_mph)

    @property
    def frosty(self) -> bool:
        """Whether frost may lie on the ground in the morning."""
        return self.low_f <= FROST_AIR_F

    def lost_chance(self, per_wet_day: float) -> float:
        """Chance that the working day is lost to rain, 0 to 1. per_wet_day: crew days lost per wet day."""
        return self.rain_chance * share_lost(self.rain_in, per_wet_day)

    def words(self, units: str) -> str:
        """ "rain 80 %, 0.6 in; 38 to 52 F; wind 22 mph"."""
        rain = f"rain {100 * self.rain_chance:.0f} %"
        if self.rain_in is not None and self.rain_chance > 0:
            rain += f", {shown_rain(self.rain_in, units)}"
        low, unit = as_seen(self.low_f, "F", units)
        high, _ = as_seen(self.high_f, "F", units)
        wind = f"{self.wind_mph * 1.609344:.0f} km/h" if units == METRIC else f"{self.wind_mph:.0f} mph"
        return f"{rain}; {low:.0f} to {high:.0f} {unit}; wind {wind}"


@dataclass(frozen=True, slots=True)
class ForecastFile:
    """A forecast for a place, made on a day. days: date -> that day; per_wet_day: crew days lost per wet day,
    by which its rain is judged, as the climate's.
    """

    place: str
    made: date
    days: Mapping[date, DayForecast] = field(default_factory=dict)
    per_wet_day: float = 0.5

    def on(self, day: date) -> DayForecast | None:
        """What it says of a day; None for a day that it does not know."""
        return self.days.get(day)

    def lost_chance(self, day: date) -> float | None:
        """Chance that the day is lost to rain, 0 to 1; None for a day that it does not know."""
        found = self.on(day)
        return None if found is None else found.lost_chance(self.per_wet_day)

    def expected_lost_days(self, days: Iterable[date]) -> float:
        """How many of these days it takes on average; days that it does not know count as dry [days]."""
        return sum(self.lost_chance(day) or 0.0 for day in set(days))

    @property
    def source(self) -> str:
        """ "forecast of Mon Apr 5 for Columbus, OH"."""
        return f"forecast of {day_words(self.made)} for {self.place}"


def share_lost(rain_in: float | None, per_wet_day: float) -> float:
    """Share of a day that rain of an amount takes, 0 to 1; a wet day's when the amount is not told.

    >>> round(share_lost(0.33, 0.5), 3), round(share_lost(0.05, 0.5), 3), round(share_lost(1.0, 0.5), 3)
    (0.5, 0.1, 0.878)
    """
    if rain_in is None:
        return per_wet_day
    return 1.0 - (1.0 - min(1.0, per_wet_day)) ** (rain_in / LIKE_A_WET_DAY_IN) if rain_in > 0 else 0.0


def saturation_kpa(temp_f: float) -> float:
    """Saturation vapor pressure over water [kPa]: FAO 56, equation 11."""
    temp_c = (temp_f - 32.0) / 1.8
    return 0.6108 * exp(17.27 * temp_c / (temp_c + 237.3))


def humidity_at_high(low_f: float, high_f: float) -> float:
    """Relative humidity at the day's high with the low near the dew point [percent]: FAO 56, equation 48."""
    return min(100.0, 100.0 * saturation_kpa(max(low_f, -60.0)) / saturation_kpa(max(high_f, -60.0)))


def shown_rain(rain_in: float, units: str) -> str:
    """An amount of rain as a gauge tells it: "0.6 in", "15 mm"."""
    return f"{rain_in * 25.4:.0f} mm" if units == METRIC else f"{number(round(rain_in, 2))} in"


def why_not_used(made: date, last: date, today: date) -> str:
    """Why a forecast tells nothing of today and after; "" when it does."""
    if made > today:
        return f"it is made on {day_words(made)}, after today"
    if (today - made).days > GOOD_DAYS:
        return f"it was made on {day_words(made)}, {(today - made).days} days ago"
    return "" if last >= today else f"its last day, {day_words(last)}, is past"


def check_place(place: str, firm: Firm) -> None:
    """BadInput for the forecast of a place whose weather is not the firm's.

    A place is "Columbus, OH", whose state must be the firm's, or "39.96, -83.00", near the depot.
    """
    text = place.strip()
    if not text or len(text) > 80 or not text.isprintable():
        raise BadInput("place", place[:80], 'write the place, like "Columbus, OH" or "39.96, -83.00"')
    point = _point(text)
    if point is not None:
        _near(text, point, firm)
        return
    state = text.rpartition(",")[2].strip().upper()
    if firm.state and (len(state) != 2 or not state.isalpha()):
        raise BadInput("place", text, f'write its state too, like "{text}, {firm.state}", or its coordinates')
    if firm.state and state != firm.state:
        raise BadInput("place", text, f"the firm is in {firm.state}: take a forecast made for its own place")


def _point(text: str) -> tuple[float, float] | None:
    parts = text.split(",")
    try:
        lat, lon = (float(part) for part in parts)
    except ValueError:
        return None
    if not (-90.0 <= lat <= 90.0 and -180.0 <= lon <= 180.0):
        raise BadInput("place", text, "latitude lies between -90 and 90, longitude between -180 and 180")
    return lat, lon


def _near(text: str, point: tuple[float, float], firm: Firm) -> None:
    if firm.depot_latitude_deg is None or firm.depot_longitude_deg is None:
        fix = 'say where the depot is (planner firm set --latitude --longitude), or write "town, state"'
        raise BadInput("place", text, fix)
    miles = great_circle_mi(point, (firm.depot_latitude_deg, firm.depot_longitude_deg))
    if miles > FAR_MI:
        fix = f"{miles:.0f} mi from the depot: take a forecast within {FAR_MI:.0f} mi of it"
        raise BadInput("place", text, fix)


def forecast_file(
    place: str, made: date, days: Sequence[DayForecast], today: date, where: str
) -> ForecastFile:
    """A forecast that tells of today and after; BadInput(s) for a past one, a day twice or out of reach."""
    why = why_not_used(made, max((d.day for d in days), default=made), today)
    if days and why:
        raise BadInput("made", made.isoformat(), f"{why}: take a new forecast", where=where)
    faults = []
    seen: dict[date, DayForecast] = {}
    for one in days:
        if one.day in seen:
            faults.append(BadInput("date", one.day.isoformat(), "write each day once", where=where))
        elif not made <= one.day <= made + timedelta(days=REACH_DAYS):
            fix = f"a forecast of {made.isoformat()} tells that day to {REACH_DAYS} days on"
            faults.append(BadInput("date", one.day.isoformat(), fix, where=where))
        seen[one.day] = one
    if faults:
        raise BadInputs(faults)
    if not seen:
        raise BadInput("file", "no day", "write one line a day below the column names", where=where)
    return ForecastFile(place.strip(), made, dict(sorted(seen.items())))
