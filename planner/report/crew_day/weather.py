"""The forecast day by day: lines and data for whoever tells of the weather."""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING, Any

from planner.domain.dates import day_words
from planner.report.wording import one_line

if TYPE_CHECKING:
    from planner.domain.safety.weather import ForecastFile


def day_lines(forecast: ForecastFile, units: str, today: date) -> list[str]:
    """ "Thu Apr 8  rain 80 %, 0.6 in; 38 to 52 F; wind 22 mph; day lost 56 %"."""
    return [
        f"{day_words(day)}  {told.words(units)}; "
        f"day lost {100 * told.lost_chance(forecast.per_wet_day):.0f} %" + ("; frost" if told.frosty else "")
        for day, told in forecast.days.items()
        if day >= today
    ]


def week_lines(forecast: ForecastFile | None, units: str) -> list[str]:
    """What the forecast says of a week's days, one line a day, and where it comes from; none without one."""
    if forecast is None:
        return []
    return [*(f"Weather {line}" for line in day_lines(forecast, units, date.min)), one_line(forecast.source)]


def days_data(forecast: ForecastFile | None) -> list[dict[str, Any]]:
    """Its days for `--json`; none without a forecast."""
    if forecast is None:
        return []
    return [
        {
            "day": d.day,
            "rain_chance": d.rain_chance,
            "rain_in": d.rain_in,
            "low_f": d.low_f,
            "high_f": d.high_f,
            "wind_mph": d.wind_mph,
            "humidity_percent": d.heat.humidity,
            "lost_chance": d.lost_chance(forecast.per_wet_day),
            "frost": d.frosty,
        }
        for d in forecast.days.values()
    ]
