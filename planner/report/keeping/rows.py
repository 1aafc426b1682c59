"""Tables, lines and short words that the pages of the records share."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date, datetime
from typing import TYPE_CHECKING, Any

from rich.table import Table
from rich.text import Text

from planner.domain.dates import figures, long_span
from planner.domain.firm.fields import Field
from planner.domain.firm.jobs import DayRange
from planner.report.wording import one_line
from planner.units import to_shown

if TYPE_CHECKING:
    from rich.console import Console


def table_of(*heads: str, right: Iterable[str] = (), fold: Iterable[str] = ()) -> Table:
    """An unboxed table; right: columns of numbers; fold: columns whose text may wrap."""
    table = Table(box=None, pad_edge=False, header_style="bold")
    for head in heads:
        table.add_column(
            head,
            justify="right" if head in right else "left",
            overflow="fold",
            no_wrap=head not in fold,
        )
    return table


def tell(console: Console, text: str, style: str = "") -> None:
    """One line of text, never read as markup."""
    console.print(Text(text, style=style))


def field_words(field: Field, value: Any, units: str) -> str:
    """A field's value in the units shown, numbers to five figures."""
    if isinstance(value, float) and field.unit != "deg":
        return f"{to_shown(value, field.unit, units)[0]:.5g}"
    return field.write(value, units)


def range_words(days: DayRange) -> str:
    """ "Mon Jul 5 to Fri Jul 9, 2027 (summer break)"."""
    return long_span(days.first, days.last) + (f" ({one_line(days.why)})" if days.why else "")


def date_words(day: date | datetime | None) -> str:
    """ "7/5/2027", or "-"."""
    return figures(day) if day else "-"


def short(text: str, width: int) -> str:
    """The text on one line, cut to `width` characters."""
    flat = one_line(text)
    return flat if len(flat) <= width else flat[: width - 1] + "…"
