"""A weather forecast as a person types it."""

from __future__ import annotations

from planner.domain.firm import entry
from planner.domain.safety.heat import Forecast, Sky
from planner.errors import BadInput


def read_forecast(
    temp: str | None, humidity: float | None, low: str | None, wind: str | None, sky: str
) -> Forecast | None:
    """The forecast for a crew's day, None when nothing is said of it. temp, low: like 96F or 35C; humidity:
    relative, at the high [percent]; wind: like 15mph. BadInput where high and humidity do not come together.
    """
    if temp is None and humidity is None and low is None and wind is None:
        return None
    if temp is None or humidity is None:
        missing = "--temp" if temp is None else "--humidity"
        raise BadInput(missing, "missing", "heat and cold advice needs --temp and --humidity together")
    if sky not in set(Sky):
        raise BadInput("--sky", sky, f"use one of {', '.join(Sky)}")
    return Forecast(
        high_f=entry.degrees_f("--temp", temp),
        humidity=humidity,
        low_f=None if low is None else entry.degrees_f("--low", low),
        wind_mph=0.0 if wind is None else entry.wind_mph("--wind", wind),
        sky=Sky(sky),
    )
