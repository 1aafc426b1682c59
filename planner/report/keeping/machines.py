"""The machines, one line a kind, with their days out."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from rich.text import Text

from planner.domain.firm.crews import Machine
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
    heads = ("machine", "words", "units", "move $", "move h", f"bucket {bucket}", "mass t", "rented", "out")
    table = table_of(*heads, right=heads[2:7], fold=("words", "out"))
    for m in machines:
        table.add_row(
            m.key,
            Text(one_line(m.words)),
            str(m.units),
            f"{m.move_cost_usd:g}",
            f"{m.move_h:g}",
            f"{to_shown(m.bucket_ft3, 'ft3', units)[0]:.2g}" if m.bucket_ft3 else "-",
            f"{m.mass_t:g}" if m.mass_t else "-",
            "yes" if m.rented else "no",
            Text("\n".join(f"{o.units}: {range_words(o.days)}" for o in m.out) or "-"),
        )
    show_table(console, table)
