"""The forecast's days: for the terminal, and as data."""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING, Any

from planner.domain.safety.weather import ForecastFile
from planner.report.crew_day.weather import day_lines, days_data
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


def forecast_data(forecast: ForecastFile | None, why: str) -> dict[str, Any]:
    """The kept forecast for `--json`."""
    return {
        "place": forecast.place if forecast else "",
        "made": forecast.made if forecast else None,
        "used": forecast is not None and not why,
        "why_not_used": why,
        "days": days_data(forecast),
    }
