"""What-if figures side by side."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from planner.domain.dates import day_words
from planner.domain.standing.whatif import Measure
from planner.report.season.plans import money
from planner.report.terminal import say, show_table

if TYPE_CHECKING:
    from rich.console import Console


def whatif_page(console: Console, found: Sequence[Measure]) -> None:
    """One variant a row; the first is the season as it is."""
    from rich.table import Table
    from rich.text import Text

    table = Table(box=None, pad_edge=False)
    table.add_column("what if", overflow="fold")
    for name in ("kept", "days late", "finish", "cost", "overtime", "idle"):
        table.add_column(name, justify="right", no_wrap=True)
    for m in found:
        table.add_row(
            Text(m.words),
            f"{m.kept} of {m.promised}",
            str(m.late_days),
            day_words(m.finish),
            money(m.cost_cents),
            f"{m.overtime_h:.0f} h",
            f"{m.idle_days} d",
        )
    show_table(console, table)
    say(console, "")
    say(
        console,
        "kept: promises. cost: the plan's money weights and the rental, wages not counted. overtime: crew-"
        "hours on days off. idle: crew days without work up to the finish. Each plan is the best found with "
        "the same effort, not proven best: small differences mean little.",
    )
