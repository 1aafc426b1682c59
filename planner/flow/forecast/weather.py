"""Take a forecast in, show the days ahead as it tells them, put it away."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from pathlib import Path

from planner.domain.safety.weather import ForecastFile, check_place, forecast_file
from planner.domain.safety.weather_rows import KNOWN, NEEDED, missing_columns, read_days
from planner.errors import BadInput, PlannerError
from planner.flow.keeping.cells import read_sheet
from planner.flow.keeping.paths import read_bytes, write
from planner.flow.stored.weather import forecast_and_why
from planner.store.engine import Store
from planner.store.shipped.own_file import folder_of
from planner.store.shipped.weather import FILE, forecast_text


@dataclass(frozen=True, slots=True)
class Ahead:
    """The kept forecast, and why it is not used ("" when it is); forecast None where none is kept."""

    forecast: ForecastFile | None
    why: str
    units: str


def take_forecast(
    location: str, file: Path, today: date, *, place: str = "", made: date | None = None
) -> Ahead:
    """Check a file of days and keep it in the place of the one before. See `read_forecast`."""
    return keep_forecast(location, file.name, read_bytes(file), today, place=place, made=made)


def keep_forecast(
    location: str, name: str, raw: bytes, today: date, *, place: str = "", made: date | None = None
) -> Ahead:
    """The same with the file's content. BadInput for a wrong cell, another place, a past forecast.

    place, made: where the forecast is for and when it was made; else as the file's columns tell.
    """
    folder = folder_of(location)
    if folder is None:
        raise PlannerError("a server keeps no forecast file: keep the season in a file, named with --db")
    with Store(location).reading() as book:
        firm = book.firm()
    sheet = read_sheet(name, raw, KNOWN, ())
    missing = missing_columns(sheet.columns)
    if missing:
        fix = f"this column is needed; a forecast has {', '.join(NEEDED)} and may have more"
        raise BadInput("column", missing[0], fix, where=f"{name} line 1")
    days, told_place, told_made = read_days([(sheet.where(r.line), r.cells) for r in sheet.rows], today)
    where = place.strip() or told_place
    if not where:
        raise BadInput("--place", "missing", 'say where the forecast is for, like --place "Columbus, OH"')
    if told_place and place.strip() and told_place.casefold() != place.strip().casefold():
        raise BadInput(
            "--place", place.strip(), f"the file says {told_place}: take the forecast of one place"
        )
    check_place(where, firm)
    made = made or told_made
    if made is None:
        raise BadInput("--made", "missing", "say on which day the forecast was made, like --made today")
    kept = forecast_file(where, made, days, today, name)
    write(folder / FILE, forecast_text(kept))
    return Ahead(kept, "", firm.units)


def load_ahead(location: str, today: date) -> Ahead:
    """What is kept, and whether it is used."""
    with Store(location).reading() as book:
        firm = book.firm()
    return Ahead(*forecast_and_why(location, firm, today), firm.units)


def drop_forecast(location: str) -> None:
    """Put the kept forecast away; PlannerError when none is kept."""
    folder = folder_of(location)
    if folder is None or not (folder / FILE).is_file():
        raise PlannerError("no forecast is kept: take one in with planner weather take FILE")
    (folder / FILE).unlink()
