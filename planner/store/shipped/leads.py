"""Lead times of orders, from planner/data/lead_times.toml or the firm's own copy, into domain values."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Any

from planner.domain.quantities.orders import CALLED_BY, LeadTime, LeadTimes
from planner.domain.quantities.trucks import Truck
from planner.errors import BadInput, collected
from planner.store.shipped.own_file import compared, own_text, shipped_text, table_of

FILE = "lead_times.toml"


def lead_times(folder: Path | None = None) -> LeadTimes:
    """The lead times; the firm's own file in `folder` wins. BadInput names what is wrong in it.

    A material that no row of the own file names keeps the shipped row, so that nothing goes unordered; so
    does somebody from outside whom it does not name.
    """
    shipped = _read(shipped_text(FILE), FILE)
    own = own_text(folder, FILE)
    if own is None:
        return shipped
    kept = _read(own, str((folder or Path()) / FILE))
    named = {material for lead in kept.orders for material in lead.materials}
    left = (replace(r, materials=tuple(m for m in r.materials if m not in named)) for r in shipped.orders)
    people = (r for r in shipped.orders if not r.materials and kept.named(r.key) is None)
    return replace(kept, orders=(*kept.orders, *(lead for lead in left if lead.materials), *people))


def _read(text: str, where: str) -> LeadTimes:
    table = table_of(text, where)
    with compared(where, FILE):
        suppliers = {str(row["name"]): row for row in table.get("supplier", [])}
        orders = tuple(collected(lambda row: _order(row, suppliers, where), table.get("lead", [])))
        rental, truck = table.get("rental", {}), table.get("truck", {})
        return LeadTimes(
            orders, int(rental.get("book_days", 5)), int(rental.get("gap_days", 5)), _truck(truck, where)
        )


def _truck(row: dict[str, Any], where: str) -> Truck:
    usual = Truck()
    ton, cy = float(row.get("ton", usual.ton)), float(row.get("cy", usual.cy))
    for field, value in (("ton", ton), ("cy", cy)):
        if not 0.1 <= value <= 60:
            raise BadInput(
                field, value, "give what one truckload carries, 0.1 to 60", where=f"{where} [truck]"
            )
    return Truck(ton, cy)


def _order(row: dict[str, Any], suppliers: dict[str, dict[str, Any]], where: str) -> LeadTime:
    name, to = str(row.get("supplier", "")), str(row.get("to", "yard"))
    if name and name not in suppliers:
        fix = f"add a [[supplier]] of that name, or use one of: {', '.join(suppliers) or 'none yet'}"
        raise BadInput("supplier", name, fix, where=where)
    if to not in ("site", "yard"):
        raise BadInput("to", to, "write site or yard", where=where)
    from_him = suppliers.get(name, {})
    if "lead_days" not in row and "lead_days" not in from_him:
        whose = f"supplier {name}" if name else f"order {row['key']}"
        raise BadInput("lead_days", "missing", f"give {whose} its working days of lead", where=where)
    lead, spare = int(row.get("lead_days", from_him.get("lead_days", 0))), int(row["spare_days"])
    if not 0 <= lead <= 250 or not 0 <= spare <= 250:
        raise BadInput("lead_days", lead, "give working days from 0 to 250", where=where)
    wait = int(row.get("wait_days", 0))
    if not 0 <= wait <= 60:
        raise BadInput("wait_days", wait, "give calendar days from 0 to 60", where=where)
    drop, pick_up = str(row.get("drop", "")), str(from_him.get("yard", ""))
    materials = _materials(row, where)
    return LeadTime(row["key"], row["words"], materials, lead, spare, name, pick_up, to, drop, wait)


def _materials(row: dict[str, Any], where: str) -> tuple[str, ...]:
    """The rows of materials that an order holds; an older file names the job's quantities instead."""
    if "materials" not in row:
        called = {item: [m for m, by in CALLED_BY.items() if by == item] for item in CALLED_BY.values()}
        return tuple(m for item in _known(row["items"], called, "items", where) for m in called[item])
    return tuple(_known(row["materials"], {**CALLED_BY, "clean_fill": ""}, "materials", where))


def _known(names: list[str], of: dict[str, Any], field: str, where: str) -> list[str]:
    unknown = sorted(set(names) - of.keys())
    if unknown:
        raise BadInput(field, unknown[0], f"use one of: {', '.join(of)}", where=where)
    return names
