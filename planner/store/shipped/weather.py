"""The forecast kept beside a database, as `planner weather take` wrote it, into domain values."""

from __future__ import annotations

import csv
import io
from datetime import date
from pathlib import Path

from planner.domain.safety.weather import ForecastFile
from planner.domain.safety.weather_rows import COLUMNS, read_days
from planner.errors import BadInput
from planner.store.shipped.own_file import own_text

FILE = "forecast.csv"


def kept_forecast(folder: Path | None, today: date) -> ForecastFile | None:
    """The kept forecast, however old; None where none is kept. BadInput names what is wrong in its file."""
    text = own_text(folder, FILE)
    if text is None:
        return None
    rows = csv.DictReader(io.StringIO(text))
    found = [(f"{FILE} line {n}", {k: v or "" for k, v in row.items() if k}) for n, row in enumerate(rows, 2)]
    days, place, made = read_days(found, today)
    if made is None or not place:
        fix = "take the forecast in anew: planner weather take FILE"
        raise BadInput("file", FILE, fix)
    return ForecastFile(place, made, {day.day: day for day in days})


def forecast_text(forecast: ForecastFile) -> str:
    """A forecast as the file keeps it."""
    out = io.StringIO(newline="")
    write = csv.writer(out, lineterminator="\n")
    write.writerow(COLUMNS)
    for day in forecast.days.values():
        told = (
            f"{100 * day.rain_chance:.12g}",
            day.rain_in,
            day.low_f,
            day.high_f,
            day.wind_mph,
            day.humidity,
        )
        cells = ["" if value is None else value for value in told]
        write.writerow([day.day.isoformat(), *cells, forecast.place, forecast.made.isoformat()])
    return out.getvalue()
