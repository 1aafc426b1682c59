"""The shipped climate table, read from planner/data/climate.toml into domain values."""

from __future__ import annotations

import tomllib
from functools import lru_cache
from importlib.resources import files

from planner.domain.forecast.climate import Station


@lru_cache(maxsize=1)
def stations() -> tuple[Station, ...]:
    """Every shipped station, in the file's order."""
    text = (files("planner") / "data" / "climate.toml").read_text(encoding="utf-8")
    table = tomllib.loads(text)
    return tuple(
        Station(
            row["key"], row["name"], row["state"], tuple(row["wet_days"]), table["period"], table["source"]
        )
        for row in table["station"]
    )
