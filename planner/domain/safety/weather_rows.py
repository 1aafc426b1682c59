"""A forecast's rows read into days: date, chance of rain, amount, low, high, wind, and humidity if told.

In: the cells of a file, each row with its place. Out: days, the place and the date made where the file tells
them. Every fault is found before any is told.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Mapping
from datetime import date

from planner.domain.firm import entry
from planner.domain.safety.weather import DayForecast
from planner.errors import BadInput, BadInputs, collected
from planner.units import from_shown

#: Column -> what it holds, in the order of the file that `planner` itself writes.
COLUMNS: Mapping[str, str] = {
    "date": "the day",
    "rain_chance": "chance of rain that day, percent",
    "rain_in": "rain if it rains, inches (or rain_mm); may be left empty",
    "low_f": "low, degrees Fahrenheit (or low_c)",
    "high_f": "high, degrees Fahrenheit (or high_c)",
    "wind_mph": "wind, miles an hour (or wind_kmh); empty counts as calm",
    "humidity": "relative humidity at the high, percent; may be left empty or out",
    "place": "where the forecast is for, like Columbus, OH, the same in each row; may be left out",
    "made": "the day the forecast was made, the same in each row; may be left out",
}
#: Column in other units -> (column inside, how it is turned into it).
OTHER: Mapping[str, tuple[str, Callable[[float], float]]] = {
    "rain_mm": ("rain_in", lambda x: x / 25.4),
    "low_c": ("low_f", lambda x: x * 1.8 + 32.0),
    "high_c": ("high_f", lambda x: x * 1.8 + 32.0),
    "wind_kmh": ("wind_mph", lambda x: from_shown(x, "mph", "metric")),
}
#: Columns without which a forecast tells nothing; those in other units serve as well.
NEEDED = ("date", "rain_chance", "low_f", "high_f")
#: Every name that a column may have.
KNOWN = (*COLUMNS, *OTHER)


def missing_columns(columns: Iterable[str]) -> list[str]:
    """Needed columns that a file lacks in any unit."""
    have = set(columns)
    have |= {inside for name, (inside, _) in OTHER.items() if name in have}
    return [name for name in NEEDED if name not in have]


def read_days(
    rows: Iterable[tuple[str, Mapping[str, str]]], today: date
) -> tuple[list[DayForecast], str, date | None]:
    """(days, place, made) of rows with where each stands; "" and None where the file does not tell them.

    BadInput(s) with every wrong cell, and for rows that tell two places or two days made.
    """
    found = collected(lambda row: _day(*row, today), rows)
    places = {place for _, place, _ in found if place}
    mades = {made for _, _, made in found if made}
    faults = []
    if len(places) > 1:
        faults.append(BadInput("place", ", ".join(sorted(places))[:80], "one file is for one place"))
    if len(mades) > 1:
        told = ", ".join(d.isoformat() for d in sorted(mades))
        faults.append(BadInput("made", told, "one file was made on one day"))
    if faults:
        raise BadInputs(faults)
    return [day for day, _, _ in found], next(iter(places), ""), next(iter(mades), None)


def _day(where: str, cells: Mapping[str, str], today: date) -> tuple[DayForecast, str, date | None]:
    try:
        return _read(cells, today)
    except BadInputs as faults:
        raise BadInputs([BadInput(f.field, f.value, f.fix, where=where) for f in faults.faults]) from None
    except BadInput as fault:
        raise BadInput(fault.field, fault.value, fault.fix, where=where) from None


def _read(cells: Mapping[str, str], today: date) -> tuple[DayForecast, str, date | None]:
    faults: list[BadInput] = []

    def number(name: str, *, needed: bool) -> float | None:
        other = next((o for o, (inside, _) in OTHER.items() if inside == name and cells.get(o)), name)
        text = cells.get(other, "").strip().removesuffix("%").strip()
        try:
            value = float(text) if text else math.nan
        except ValueError:
            value = math.inf
        if (not text and not needed) or math.isfinite(value):
            return None if not text else OTHER[other][1](value) if other in OTHER else value
        faults.append(BadInput(other, cells.get(other, ""), f"write {COLUMNS[name]}"))
        return 0.0

    chance = number("rain_chance", needed=True)
    low, high = number("low_f", needed=True), number("high_f", needed=True)
    rain, wind, humidity = (number(n, needed=False) for n in ("rain_in", "wind_mph", "humidity"))
    days = []
    for name in ("date", "made"):
        try:
            text = cells.get(name, "").strip()
            days.append(entry.day(name, text, today) if text or name == "date" else None)
        except BadInput as fault:
            faults.append(fault)
    if faults:
        raise BadInputs(faults)
    day, made = days
    assert day is not None and chance is not None and low is not None and high is not None
    told = DayForecast(day, chance / 100.0, low, high, wind or 0.0, rain, humidity)
    return told, cells.get("place", "").strip(), made
