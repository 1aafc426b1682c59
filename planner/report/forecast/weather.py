"""The forecast's days: for the terminal, and as data."""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING, Any

from planner.domain.dates import day_words
from planner.domain.safety.weather import ForecastFile
from planner.report.terminal import say
from planner.report.wording import one_line

if TYPE_CHECKING:
    from rich.console import Console


def forecast_page(console: Console, forecast: ForecastFile | None, why: str, units: str, today: date) -> None:
    """Each day from today on with its chance of being lost; or why none is used."""
    if forecast is None:
        say(console, "No forecast is kept: rain and frost go by the climate's figures.")
        return
    say(console, one_line(forecast.source[0].upper() + forecast.source[1:]), style="bold")
    if why:
        say(console, f"It is not used: {one_line(why)}. Rain and frost go by the climate's figures.")
    for text in day_lines(forecast, units, today):
        say(console, f"  {text}", hang=4)


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


def forecast_data(forecast: ForecastFile | None, why: str) -> dict[str, Any]:
    """The kept forecast for `--json`."""
    per_wet_day = forecast.per_wet_day if forecast else 0.0
    return {
        "place": forecast.place if forecast else "",
        "made": forecast.made if forecast else None,
        "used": forecast is not None and not why,
        "why_not_used": why,
        "days": [
            {
                "day": d.day,
                "rain_chance": d.rain_chance,
                "rain_in": d.rain_in,
                "low_f": d.low_f,
                "high_f": d.high_f,
                "wind_mph": d.wind_mph,
                "humidity_percent": d.heat.humidity,
                "lost_chance": d.lost_chance(per_wet_day),
                "frost": d.frosty,
            }
            for d in (forecast.days.values() if forecast else ())
        ],
    }
