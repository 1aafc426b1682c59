"""The machines, one line a kind, and the trucks, with their days out."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from rich.text import Text

from planner.domain.firm.crews import Machine, Truck
from planner.report.keeping.rows import range_words, table_of, tell
from planner.report.terminal import show_table
from planner.report.wording import one_line
from planner.units import to_shown

if TYPE_CHECKING:
    from rich.console import Console


def machines_page(console: Console, machines: Sequence[Machine], units: str) -> None:
    """One line a machine kind, with its days out."""
    if not machines:
        tell(console, 'no machines: add one with  planner machine add excavator "1.7 t excavator"')
        return
    bucket = to_shown(0.0, "ft3", units)[1]
    towed = f"towed {to_shown(0.0, 'lb', units)[1]}"
    heads = ["machine", "words", "units", "move $", "move h", f"bucket {bucket}", "mass t", "rented", "out"]
    if any(m.towed_lb for m in machines):
        heads.insert(7, towed)
    table = table_of(*heads, right=heads[2:-2], fold=("words", "out"))
    for m in machines:
        table.add_row(
            m.key,
            Text(one_line(m.words)),
            str(m.units),
            f"{m.move_cost_usd:g}",
            f"{m.move_h:g}",
            f"{to_shown(m.bucket_ft3, 'ft3', units)[0]:.2g}" if m.bucket_ft3 else "-",
            f"{m.mass_t:g}" if m.mass_t else "-",
            *([_weight(m.towed_lb, units)] if towed in heads else ()),
            "yes" if m.rented else "no",
            Text("\n".join(f"{o.units}: {range_words(o.days)}" for o in m.out) or "-"),
        )
    show_table(console, table)


def trucks_page(console: Console, trucks: Sequence[Truck], units: str) -> None:
    """One line a truck: what it may tow and carry, whose it is, when it is in the shop."""
    if not trucks:
        tell(console, 'no trucks: add one with  planner truck add dump1 "dump truck" --tows 12000lb')
        return
    name = to_shown(0.0, "lb", units)[1]
    heads = ("truck", "words", f"tows {name}", f"payload {name}", "a day", "crew", "in the shop")
    table = table_of(*heads, right=heads[2:5], fold=("words", "in the shop"))
    for truck in trucks:
        table.add_row(
            truck.key,
            Text(one_line(truck.words)),
            _weight(truck.tows_lb, units),
            _weight(truck.payload_lb, units),
            str(truck.tows_day),
            Text(one_line(truck.crew) or "any"),
            Text("\n".join(range_words(days) for days in truck.out) or "-"),
        )
    show_table(console, table)


def _weight(pounds: float, units: str) -> str:
    return f"{to_shown(pounds, 'lb', units)[0]:,.0f}" if pounds else "-"
