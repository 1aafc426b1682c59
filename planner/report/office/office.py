"""The office's list as a page, as CSV and as data."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from itertools import groupby
from typing import TYPE_CHECKING, Any

from planner.domain.dates import day_words
from planner.domain.office.items import OfficeItem
from planner.domain.wording import counted
from planner.report.cells import table_csv
from planner.report.crew_day.misses import SETTLE
from planner.report.terminal import say
from planner.report.wording import one_line

if TYPE_CHECKING:
    from rich.console import Console


def office_page(console: Console, items: Sequence[OfficeItem], today: date, until: date, plan: str) -> None:
    """The items by due day, overdue ones first under their own head; each with the key that ticks it.

    plan: by which plan, in words.
    """
    say(console, f"By {plan}", style="bold")
    if not items:
        say(console, f"nothing to do up to {day_words(until)}.")
        return
    for head, group in groupby(items, key=lambda i: _head(i, today)):
        say(console, head, style="bold")
        for item in group:
            sign = "!" if item.pressing else " "
            say(console, f" {sign} {one_line(item.words)}", hang=5)
            if item.pressing and not item.open_miss:
                say(console, f"     late: {item.pressing}", style="bold", hang=5)
            state = (
                f"  {item.state}{f' until {day_words(item.until)}' if item.until else ''}"
                if item.state
                else ""
            )
            say(console, f"     [{item.key}]{state}", style="dim", hang=5)
    say(console, "")
    count = counted(len(items), "item")
    last = max(item.due for item in items)
    up_to = f"up to {day_words(until)}" if last <= until else f"the last due {day_words(last)}"
    say(console, f"{count}, {up_to}. Tick one off: planner office tick KEY")


def _head(item: OfficeItem, today: date) -> str:
    if item.open_miss:
        return f"missed on site, still open. {SETTLE}"
    if item.rank == 1:
        return "crews wrote: read, answer or do, then tick"
    if item.due < today:
        return "overdue"
    return "today" if item.due == today else day_words(item.due)


COLUMNS = ("due", "kind", "job", "what", "pressing", "state", "until", "key")


def office_csv(items: Sequence[OfficeItem]) -> str:
    """The items, one row each."""
    rows = (
        (i.due, i.kind.value, i.job, one_line(i.words), i.pressing, i.state, i.until, i.key) for i in items
    )
    return table_csv(COLUMNS, rows)


def office_data(items: Sequence[OfficeItem]) -> list[dict[str, Any]]:
    """The items for `--json`."""
    return [
        {
            "key": i.key,
            "due": i.due,
            "kind": i.kind.value,
            "job": i.job,
            "what": i.words,
            "pressing": i.pressing,
            "state": i.state,
            "until": i.until,
            "order": [
                {"material": row.key, "words": row.words, "amount": row.order, "unit": row.order_unit}
                for row in i.rows
            ],
        }
        for i in items
    ]
