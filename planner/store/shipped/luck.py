"""What may go wrong and what help costs, from planner/data/luck.toml or the firm's own copy."""

from __future__ import annotations

from functools import partial
from pathlib import Path
from typing import Any

from planner.domain.firm.phases import Phase
from planner.domain.forecast.basis import LuckBook
from planner.domain.forecast.luck import Mishaps, Spells
from planner.domain.forecast.raising import HelpPrices
from planner.errors import BadInput
from planner.store.shipped.own_file import compared, own_text, shipped_text, table_of

FILE = "luck.toml"


def luck_book(folder: Path | None = None) -> LuckBook:
    """The figures; the firm's own file in `folder` wins. BadInput names what is wrong in it."""
    own = own_text(folder, FILE)
    where = FILE if own is None else str((folder or Path()) / FILE)
    table = table_of(shipped_text(FILE) if own is None else own, where)
    with compared(where, FILE):
        number = partial(_number, where=where)
        phases = frozenset(_phase(word, where) for word in table["delivery"]["phases"])
        mishaps = Mishaps(
            sick=Spells(number(table, "sick", "share", 0.5), number(table, "sick", "days", 250, 1)),
            down=Spells(number(table, "breakdown", "share", 0.5), number(table, "breakdown", "days", 250, 1)),
            late_share=number(table, "delivery", "share", 1),
            late_days=number(table, "delivery", "days", 250, 1),
            late_phases=phases,
        )
        prices = HelpPrices(
            number(table, "help", "hand_usd_h", 10_000),
            number(table, "help", "overtime_usd_h", 10_000),
            number(table, "help", "machine_usd_week", 1_000_000),
        )
        sources = {name: str(part.get("source", "")) for name, part in table.items()}
        safe = number(table, "promise", "safe_percent", 99, 50)
        return LuckBook(number(table, "weather", "carry_over", 0.9), safe, mishaps, prices, sources)


def _number(
    table: dict[str, Any], part: str, key: str, most: float, least: float = 0, *, where: str
) -> float:
    value = float(table[part][key])
    if not least <= value <= most:
        raise BadInput(f"{part}.{key}", value, f"give {least:g} to {most:g}", where=where)
    return value


def _phase(word: str, where: str) -> Phase:
    known = {phase.value: phase for phase in Phase}
    if word not in known:
        raise BadInput("delivery.phases", word, f"use some of: {', '.join(known)}", where=where)
    return known[word]
