"""The rate book as shipped: planner/data/rates.toml read into a `RateBook`."""

from __future__ import annotations

import tomllib
from functools import lru_cache
from importlib.resources import files

from planner.domain.estimate.rates import Rate, RateBook, RowKind, Spread

_SECTIONS = {
    "rate": RowKind.RATE,
    "setup": RowKind.SETUP,
    "measure": RowKind.MEASURE,
    "factor": RowKind.FACTOR,
}


@lru_cache(maxsize=1)
def shipped_rate_book() -> RateBook:
    """The edition that a new database starts with."""
    table = tomllib.loads((files("planner") / "data" / "rates.toml").read_text(encoding="utf-8"))
    rows = {
        key: Rate(key=key, kind=kind, **row)
        for section, kind in _SECTIONS.items()
        for key, row in table[section].items()
    }
    return RateBook(
        edition=table["edition"],
        made_on=table["made_on"],
        rows=rows,
        note=table["note"],
        spread=Spread(job_log_sd=table["spread"]["job_log_sd"]),
    )
