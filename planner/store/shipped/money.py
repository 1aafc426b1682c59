"""The firm's money, from planner/data/money.toml or the firm's own copy, into domain values."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import fields
from pathlib import Path
from typing import Any

from planner.domain.design.design import PRICED
from planner.domain.firm.money import Labor, Money
from planner.domain.firm.phases import ORDER
from planner.errors import BadInput
from planner.store.shipped.own_file import compared, own_text, shipped_text, table_of

FILE = "money.toml"
#: Keys of [price] that are shares, and how far each may go.
_SHARES = {"materials_markup": 5.0, "others_markup": 5.0, "overhead": 5.0, "margin": 0.9, "allowance": 0.5}
#: What a payment may be tied to besides a phase.
STEPS = ("deposit", *(phase.value for phase in ORDER), "finish")


def money(folder: Path | None = None) -> Money:
    """The firm's own money where it has said so, the shipped defaults else. BadInput names what is wrong."""
    own = own_text(folder, FILE)
    where = FILE if own is None else str((folder or Path()) / FILE)
    table = table_of(shipped_text(FILE) if own is None else own, where)
    with compared(where, FILE):
        return _read(table, where)


def _read(table: dict[str, Any], where: str) -> Money:
    known = {"labor", "price", "machines", "visits", "materials", "payments"}
    _known("table", table, known, where)
    shipped, price = Money(), table.get("price", {})
    _known("[price]", price, {*_SHARES, "haul_usd_load"}, where)
    shares = {
        key: _number(f"[price] {key}", price.get(key, getattr(shipped, key)), most, where)
        for key, most in _SHARES.items()
    }
    prices = _usd("materials", table, where)
    _known("[materials]", prices, set(PRICED), where)
    return Money(
        labor=_labor(table.get("labor", {}), where),
        **shares,
        haul_usd_load=_number(
            "[price] haul_usd_load", price.get("haul_usd_load", shipped.haul_usd_load), 1e5, where
        ),
        machine_usd_h=_usd("machines", table, where),
        visit_usd=_usd("visits", table, where),
        prices_usd=prices,
        payments=_payments(table.get("payments", dict(shipped.payments)), where),
    )


def _labor(table: Mapping[str, Any], where: str) -> Labor:
    usual = Labor()
    names = [f.name for f in fields(Labor)]
    _known("[labor]", table, set(names), where)
    limits = {"wage_usd_h": 1000.0, "paid_h_year": 4000.0, "unworked_h_year": 3999.0}
    read = {
        name: _number(
            f"[labor] {name}",
            table.get(name, getattr(usual, name)),
            limits.get(name, 1e6 if name.endswith(("usd", "usd_year")) else 1.0),
            where,
        )
        for name in names
    }
    if read["paid_h_year"] - read["unworked_h_year"] < 1:
        fix = "leave some of the paid hours to work on jobs"
        raise BadInput("[labor] unworked_h_year", f"{read['unworked_h_year']:g}", fix, where=where)
    return Labor(**read)


def _payments(table: Mapping[str, Any], where: str) -> tuple[tuple[str, float], ...]:
    _known("[payments]", table, set(STEPS), where)
    found = {key: _number(f"[payments] {key}", value, 1.0, where) for key, value in table.items()}
    if abs(sum(found.values()) - 1.0) > 1e-6:
        fix = "the shares of the price add up to 1"
        raise BadInput("[payments]", f"{sum(found.values()):g}", fix, where=where)
    return tuple((key, found[key]) for key in STEPS if key in found)


def _usd(name: str, table: Mapping[str, Any], where: str) -> dict[str, float]:
    return {key: _number(f"[{name}] {key}", value, 1e6, where) for key, value in table.get(name, {}).items()}


def _known(name: str, table: Mapping[str, Any], known: set[str], where: str) -> None:
    odd = sorted(set(table) - known)
    if odd:
        raise BadInput(name, odd[0], f"use one of: {', '.join(sorted(known))}", where=where)


def _number(name: str, value: Any, most: float, where: str) -> float:
    if isinstance(value, bool) or not isinstance(value, int | float) or not 0 <= value <= most:
        raise BadInput(name, str(value), f"write a number from 0 to {most:g}", where=where)
    return float(value)
