"""Lead times of orders, from planner/data/lead_times.toml or the firm's own copy, into domain values."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from planner.domain.firm.jobs import ITEMS
from planner.domain.firm.phases import Phase
from planner.domain.office.items import LeadTime, LeadTimes
from planner.errors import BadInput
from planner.store.shipped.own_file import compared, own_text, shipped_text, table_of

FILE = "lead_times.toml"


def lead_times(folder: Path | None = None) -> LeadTimes:
    """The lead times; the firm's own file in `folder` wins. BadInput names what is wrong in it."""
    own = own_text(folder, FILE)
    where = FILE if own is None else str((folder or Path()) / FILE)
    table = table_of(shipped_text(FILE) if own is None else own, where)
    with compared(where, FILE):
        orders = tuple(_order(row, where) for row in table.get("lead", []))
        rental = table.get("rental", {})
        return LeadTimes(orders, int(rental.get("book_days", 5)), int(rental.get("gap_days", 5)))


def _order(row: dict[str, Any], where: str) -> LeadTime:
    unknown = sorted(set(row["items"]) - ITEMS.keys())
    if unknown:
        raise BadInput("items", unknown[0], f"use one of: {', '.join(ITEMS)}", where=where)
    lead, spare = int(row["lead_days"]), int(row["spare_days"])
    if not 0 <= lead <= 250 or not 0 <= spare <= 250:
        raise BadInput("lead_days", lead, "give working days from 0 to 250", where=where)
    return LeadTime(row["key"], row["words"], tuple(row["items"]), Phase(row["phase"]), lead, spare)
