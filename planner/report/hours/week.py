"""The owner's week for the terminal, and as data."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from typing import TYPE_CHECKING, Any

from planner.domain.dates import day_words, long_day
from planner.domain.wording import counted
from planner.report.terminal import say, show_table
from planner.report.wording import one_line

if TYPE_CHECKING:
    from rich.console import Console
    from rich.table import Table

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
        "in $",
        "idle ahead",
        "in $",
    ):
        table.add_column(name, justify="left" if name == "crew" else "right", no_wrap=True)
    for row in seen.crews:
        hours = (row.paid_h, row.planned_h, row.worked_h, row.idle_h)
        cells = [one_line(row.crew), str(row.people), *(f"{h:.1f}" for h in hours)]
        cells += [f"{row.behind_usd:,.0f}", f"{row.ahead_h:.1f}", f"{row.ahead_usd:,.0f}"]
        table.add_row(*map(Text, cells))
    show_table(console, table)
    for text in silent_lines(seen):
        say(console, text, style="bold", hang=2)
    say(console, "")
    show_table(console, _weeks(("the next four weeks", "paid", "planned", "idle", "in $"), _ahead(seen)))
    say(console, "")
    heads = ("the last four weeks", "paid", "worked", "idle", "in $", "not reported")
    show_table(console, _weeks(heads, _behind(seen)))
    say(console, "")
    say(console, basis_words(seen))


def _weeks(heads: Sequence[str], rows: Iterable[Sequence[str]]) -> Table:
    from rich.table import Table
    from rich.text import Text

    table = Table(box=None, pad_edge=False)
    for n, name in enumerate(heads):
        table.add_column(name, justify="right" if n else "left", no_wrap=True)
    for row in rows:
        table.add_row(*map(Text, row))
    return table


def _ahead(seen: Week) -> Iterator[tuple[str, ...]]:
    for one in seen.ahead:
        hours = (one.paid_h, one.planned_h, one.idle_h)
        yield (day_words(one.monday), *(f"{h:.1f}" for h in hours), f"{one.usd:,.0f}")


def _behind(seen: Week) -> Iterator[tuple[str, ...]]:
    for one in seen.behind:
        told = (f"{one.paid_h:.1f}", f"{one.worked_h:.1f}", f"{one.idle_h:.1f}", f"{one.usd:,.0f}")
        known = one.paid_h > 0
        yield (
            day_words(one.monday),
            *(told if known else ("no data", "", "", "")),
            counted(one.silent, "crew day") if one.silent else "",
        )


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
                "idle_so_far_usd": round(row.behind_usd, 2),
                "idle_ahead_usd": round(row.ahead_usd, 2),
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
        "behind": [
            {
                "monday": one.monday,
                "paid_crew_h": one.paid_h,
                "worked_crew_h": one.worked_h,
                "idle_crew_h": one.idle_h,
                "idle_usd": round(one.usd, 2),
                "not_reported_crew_days": one.silent,
            }
            for one in seen.behind
        ],
    }
