"""The crews, one line each, with their days off."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from rich.text import Text

from planner.domain.firm.crews import Crew
from planner.report.keeping.rows import range_words, table_of, tell
from planner.report.terminal import show_table
from planner.report.wording import one_line

if TYPE_CHECKING:
    from rich.console import Console


def crews_page(console: Console, crews: Sequence[Crew]) -> None:
    """One line a crew, with its days off."""
    if not crews:
        tell(console, 'no crews: add one with  planner crew add NAME --lead "WHO" --size 3')
        return
    table = table_of("crew", "lead", "people", "pace", "skills", "days off", right=("people", "pace"))
    for column in table.columns:
        column.no_wrap = False
    for crew in crews:
        table.add_row(
            Text(one_line(crew.name)),
            Text(one_line(crew.lead)),
            str(crew.size),
            f"{crew.pace:g}",
            ", ".join(sorted(crew.skills)) or "-",
            Text("\n".join(range_words(d) for d in crew.days_off) or "-"),
        )
    show_table(console, table)
