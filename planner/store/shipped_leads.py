"""Lead times of orders, from planner/data/lead_times.toml or the firm's own copy, into domain values."""

from __future__ import annotations

import tomllib
from importlib.resources import files
from pathlib import Path
from typing import Any

from planner.domain.jobs import ITEMS
from planner.domain.office import LeadTime, LeadTimes
from planner.domain.phases import Phase
from planner.errors import BadInput

FILE = "lead_times.toml"


def lead_times(folder: Path | None = None) -> LeadTimes:
    """The lead times; the firm's own file in `folder` wins. BadInput names what is wrong in it."""
    own = folder / FILE if folder else None
    if own is not None and own.is_file():
        where, text = str(own), own.read_text(encoding="utf-8")
    else:
        where, text = FILE, (files("planner") / "data" / FILE).read_text(encoding="utf-8")
    try:
        table = tomllib.loads(text)
        orders = tuple(_order(row, where) for row in table.get("lead", []))
        rental = table.get("rental", {})
        return LeadTimes(orders, int(rental.get("book_days", 5)), int(rental.get("gap_days", 5)))
    except tomllib.TOMLDecodeError as fault:
        raise BadInput("file", where, f"mend the TOML: {fault}") from None
    except (KeyError, TypeError, ValueError) as fault:
        raise BadInput("file", where, f"compare it with the shipped {FILE}: {fault}") from None


def _order(row: dict[str, Any], where: str) -> LeadTime:
    unknown = sorted(set(row["items"]) - ITEMS.keys())
    if unknown:
        raise BadInput("items", unknown[0], f"use one of: {', '.join(ITEMS)}", where=where)
    lead, spare = int(row["lead_days"]), int(row["spare_days"])
    if not 0 <= lead <= 250 or not 0 <= spare <= 250:
        raise BadInput("lead_days", lead, "give working days from 0 to 250", where=where)
    return LeadTime(row["key"], row["words"], tuple(row["items"]), Phase(row["phase"]), lead, spare)
