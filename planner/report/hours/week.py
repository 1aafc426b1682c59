"""The owner's week for the terminal, and as data."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from planner.domain.dates import day_words, long_day
from planner.report.terminal import say, show_table
from planner.report.wording import one_line

if TYPE_CHECKING:
    from rich.console import Console

    from planner.domain.hours.week import Week


def week_page(console: Console, seen: Week) -> None:
    """Crews of the week, who has not reported, the weeks ahead; hours are crew-hours."""
    from rich.table import Table
    from rich.text import Text

    say(console, f"Week from {long_day(seen.monday)}, in crew-hours", style="bold")
    table = Table(box=None, pad_edge=False)
    for name in (
        "crew",
        "people",
        "paid",
        "planned",
        "worked",
        "idle so far",
        "idle ahead",
        "idle in dollars",
    ):
        table.add_column(name, justify="left" if name == "crew" else "right", no_wrap=True)
    for row in seen.crews:
        hours = (row.paid_h, row.planned_h, row.worked_h, row.idle_h, row.ahead_h)
        cells = [one_line(row.crew), str(row.people), *(f"{h:.1f}" for h in hours), f"${row.usd:,.0f}"]
        table.add_row(*map(Text, cells))
    show_table(console, table)
    for text in silent_lines(seen):
        say(console, text, style="bold", hang=2)
    say(console, "")
    ahead = Table(box=None, pad_edge=False)
    for name in ("the next four weeks", "paid", "planned", "idle", "idle in dollars"):
        ahead.add_column(name, justify="left" if name[:3] == "the" else "right", no_wrap=True)
    for one in seen.ahead:
        spans = (one.paid_h, one.planned_h, one.idle_h)
        cells = [day_words(one.monday), *(f"{h:.1f}" for h in spans), f"${one.usd:,.0f}"]
        ahead.add_row(*map(Text, cells))
    show_table(console, ahead)
    say(console, "")
    say(console, basis_words(seen))


def silent_lines(seen: Week) -> list[str]:
    """Who has not reported, and for which days."""
    return [
        f"! {one_line(row.crew)} has not reported {', '.join(map(day_words, row.silent))}: planner log"
        for row in seen.crews
        if row.silent
    ]


def basis_words(seen: Week) -> str:
    """What the dollars rest on."""
    return (
        f"Idle is paid time without work, of days that were reported or are to come; at ${seen.usd_h:.2f} a "
        "labour-hour, wages with taxes, insurance and leave (money.toml: planner guide own-files)."
    )


def week_data(seen: Week) -> dict[str, Any]:
    """The week for `--json`."""
    return {
        "monday": seen.monday,
        "burdened_labour_h_usd": round(seen.usd_h, 4),
        "crews": [
            {
                "crew": row.crew,
                "people": row.people,
                "paid_crew_h": row.paid_h,
                "planned_crew_h": row.planned_h,
                "worked_crew_h": row.worked_h,
                "idle_so_far_crew_h": row.idle_h,
                "idle_ahead_crew_h": row.ahead_h,
                "idle_usd": round(row.usd, 2),
                "not_reported": list(row.silent),
            }
            for row in seen.crews
        ],
        "ahead": [
            {
                "monday": one.monday,
                "paid_crew_h": one.paid_h,
                "planned_crew_h": one.planned_h,
                "idle_crew_h": one.idle_h,
                "idle_usd": round(one.usd, 2),
            }
            for one in seen.ahead
        ],
    }
