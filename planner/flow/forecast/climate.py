"""The climate at hand: the firm's own gauge or a shipped station, and how many crew days a wet day costs."""

from __future__ import annotations

from datetime import date
from pathlib import Path

from planner.domain.firm.calendar import working_days
from planner.domain.firm.lost import LostKind
from planner.domain.forecast.basis import Climate
from planner.domain.forecast.climate import LOST_PER_WET_DAY, Station, lost_share, nearest, read_station
from planner.domain.season.facts import Facts
from planner.errors import BadInput, PlannerError
from planner.flow.keeping.paths import read_bytes, read_text, text_of, write
from planner.store.shipped.climate import stations

#: The firm's own gauge, beside its database.
OWN_STATION = "climate.csv"


def climate_of(
    location: str, facts: Facts, today: date, wanted: str | None, per_wet_day: float | None
) -> Climate:
    """The station and the share of wet days that cost a crew day."""
    station = _station(location, facts.firm.state, wanted)
    if per_wet_day is not None:
        if not 0 <= per_wet_day <= 1:
            raise BadInput("--per-wet-day", per_wet_day, "give 0 to 1 crew days lost per wet day")
        return Climate(station, per_wet_day, own_share=False)
    if station is not None:
        worked = working_days(facts.firm, facts.firm.season_first, today)
        rained = [
            day
            for entry in facts.lost
            if entry.kind is LostKind.RAIN and not entry.target
            for day in worked
            if day in entry.days
        ]
        share = lost_share(station, worked, rained)
        if share is not None and rained:
            return Climate(station, min(1.0, share), own_share=True)
    return Climate(station, LOST_PER_WET_DAY, own_share=False)


def all_stations(location: str) -> list[Station]:
    """The firm's own station first, then the shipped ones."""
    own = own_station(location)
    return [*([own] if own else []), *stations()]


def _station(location: str, state: str, wanted: str | None) -> Station | None:
    known = all_stations(location)
    if wanted is None:
        return known[0] if known[0].key == "own" else nearest(known, state)
    word = wanted.casefold()
    exact = [s for s in known if word in {s.key.casefold(), s.name.casefold()}]
    found = exact or [s for s in known if s.name.casefold().startswith(word)]
    if len(found) != 1:
        raise BadInput("--station", wanted, f"use one of: {', '.join(s.name for s in known)}")
    return found[0]


def own_station(location: str) -> Station | None:
    """The firm's own station from climate.csv beside its database; None when there is none."""
    path = _own_path(location)
    return read_station_file(path) if path is not None and path.is_file() else None


def keep_station(location: str, file: Path) -> Station:
    """Check a CSV file with the columns month and wet_days and keep it as the firm's own station."""
    return keep_gauge(location, str(file), read_bytes(file))


def keep_gauge(location: str, name: str, raw: bytes) -> Station:
    """The same from a file's content. name: how it was called."""
    path = _own_path(location)
    if path is None:
        raise PlannerError("a server holds no own station: keep the season in a file, named with --db")
    station = _station_of(text_of(raw, name), name)
    write(path, raw)
    return station


def _own_path(location: str) -> Path | None:
    return None if "://" in location else Path(location).expanduser().parent / OWN_STATION


def read_station_file(path: Path) -> Station:
    """A station from a CSV file; BadInput when it cannot be read, BadInputs with every wrong line."""
    return _station_of(read_text(path), str(path))


def _station_of(text: str, name: str) -> Station:
    import csv

    try:
        reader = csv.DictReader(text.splitlines())
        rows = [dict(row) for row in reader]
    except csv.Error as fault:
        raise BadInput("file", name, f"not a CSV file: {fault}") from None
    if not {"month", "wet_days"} <= set(reader.fieldnames or ()):
        raise BadInput("columns", ", ".join(reader.fieldnames or ()), "name the columns month and wet_days")
    where = Path(name).name
    return read_station(rows, key="own", name="own station", source=where, where=where)
