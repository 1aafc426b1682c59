"""The firm's settings, days off, worked days and money weights."""

from __future__ import annotations

from typing import TYPE_CHECKING

from rich.text import Text

from planner.domain.dates import long_day
from planner.domain.firm.fields import FIRM_FIELDS
from planner.domain.firm.firm import Firm
from planner.report.keeping.rows import field_words, range_words, table_of
from planner.report.terminal import show_table

if TYPE_CHECKING:
    from rich.console import Console


def firm_page(console: Console, firm: Firm) -> None:
    """The settings, one a line, then days off, worked days and weights."""
    table = table_of("setting", "value", fold=("value",))
    for field in FIRM_FIELDS:
        table.add_row(
            field.name(firm.units), Text(field_words(field, getattr(firm, field.attr), firm.units) or "-")
        )
    for days in firm.days_off:
        table.add_row("closed", Text(range_words(days)))
    for day in firm.work_days:
        table.add_row("worked", f"{long_day(day)}")
    for day in firm.half_days:
        table.add_row("half day", f"{long_day(day)}")
    show_table(console, table)
    console.print()
    table = table_of("weight", "US dollars", right=("US dollars",))
    for name, value in firm_weights(firm).items():
        table.add_row(name, f"{value:g}")
    show_table(console, table)


def firm_weights(firm: Firm) -> dict[str, float]:
    """Weight name -> value, as stored; near_days is a number of days."""
    return {name: getattr(firm.weights, name) for name in firm.weights.__dataclass_fields__}
