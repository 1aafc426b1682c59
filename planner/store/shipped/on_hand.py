"""What lies in the firm's yard, from on_hand.csv beside its database."""

from __future__ import annotations

import csv
import io
import math
from pathlib import Path

from planner.domain.quantities.orders import CALLED_BY
from planner.errors import BadInput
from planner.store.shipped.own_file import own_text

FILE = "on_hand.csv"


def on_hand(folder: Path | None) -> dict[str, float]:
    """Row of materials -> amount in its order unit; empty without a file. BadInput for a wrong line."""
    text = own_text(folder, FILE)
    if text is None:
        return {}
    found: dict[str, float] = {}
    for line, row in enumerate(csv.DictReader(io.StringIO(text)), 2):
        key = (row.get("material") or "").strip()
        found[known(key, f"{FILE} line {line}")] = amount(row.get("amount") or "", f"{FILE} line {line}")
    return found


def known(key: str, where: str = "") -> str:
    """The key of a row of materials; BadInput for another."""
    if key not in CALLED_BY:
        raise BadInput("material", key, f"use one of: {', '.join(CALLED_BY)}", where=where)
    return key


def amount(text: str, where: str = "") -> float:
    """An amount of 0 to 1,000,000 in the unit that the material is ordered in."""
    try:
        value = float(text)
    except ValueError:
        value = math.nan
    if not 0 <= value <= 1e6:
        raise BadInput("amount", text, "write a number in the unit that it is ordered in", where=where)
    return value


def on_hand_text(held: dict[str, float]) -> str:
    """What is held as the file keeps it."""
    return "".join(
        ["material,amount\n", *(f"{key},{held[key]:g}\n" for key in sorted(held) if held[key] > 0)]
    )
