"""What changes between two plans, as a page and as data: one job a line, the reason below it."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING, Any

from planner.domain.dates import day_words
from planner.domain.standing.changes import PlanChange, calls
from planner.domain.standing.disturbance import Disturbance
from planner.report.terminal import say
from planner.report.wording import one_line

if TYPE_CHECKING:
    from rich.console import Console


def calls_words(found: Sequence[PlanChange]) -> str:
    """ "3 jobs change, 2 customers to call"."""
    jobs, people = len(found), calls(found)
    return (
        f"{jobs} {'job changes' if jobs == 1 else 'jobs change'}, "
        f"{people or 'no'} {'customer' if people == 1 else 'customers'} to call"
    )


def disturbance_words(found: Disturbance) -> str:
    """ "2 clients to call, 5 crew days change, $12,345"."""
    people, days = found.calls, found.crew_days
    return (
        f"{people or 'no'} {'client' if people == 1 else 'clients'} to call, "
        f"{days or 'no'} crew {'day changes' if days == 1 else 'days change'}, ${found.cents / 100:,.0f}"
    )


def disturbance_data(found: Disturbance) -> dict[str, int]:
    """The same for `--json`."""
    return {
        "customers_to_call": found.calls,
        "crew_days": found.crew_days,
        "total_cents": found.cents,
    }


def repairs_page(console: Console, repairs: Sequence[tuple[str, Disturbance]], taken: int | None) -> None:
    """The repairs by number, the least disturbing first; taken: the one that the draft is."""
    if not repairs:
        return
    say(console, "Repairs, the least disturbing first; another one: --repair NUMBER", style="bold")
    for number, (words, found) in enumerate(repairs, start=1):
        mine = " (this draft)" if number == taken else ""
        say(console, f"{number:3}  {disturbance_words(found)}{mine}: {one_line(words)}", hang=5)
    say(console, "")


def repairs_data(repairs: Iterable[tuple[str, Disturbance]]) -> list[dict[str, Any]]:
    """The same for `--json`."""
    return [disturbance_data(found) | {"words": words} for words, found in repairs]


def changes_page(console: Console, found: Sequence[PlanChange], old: str, new: str) -> None:
    """Every change by new first day, and how many customers must be called.

    old, new: how the two plans are called, like "plan 3 (published)".
    """
    if not found:
        say(console, f"{new} against {old}: nothing changes.")
        return
    say(console, f"{new} against {old}: {calls_words(found)}.", style="bold")
    say(console, "")
    for change in found:
        mark = "call" if change.call else "    "
        client = f" {one_line(change.client)[:40]}" if change.client else ""
        say(console, f"{mark}  {change.job}{client}: {change.words}", hang=10)
        say(console, f"          because: {change.why}", hang=19)


def crew_changes_page(console: Console, found: Sequence[PlanChange]) -> None:
    """The same for the crews: each phase that changes its day or its crew."""
    for change in found:
        for move in change.moves:
            old = f"{day_words(move.old_day)} {move.old_crew}" if move.old_day else "not planned"
            new = f"{day_words(move.new_day)} {move.new_crew}" if move.new_day else "not planned"
            say(console, f"      {move.key.words}: {new} instead of {old}", hang=10)


def changes_data(found: Sequence[PlanChange]) -> dict[str, Any]:
    """The changes for `--json`; a missing day is null."""
    return {
        "jobs": len(found),
        "customers_to_call": calls(found),
        "changes": [
            {
                "job": c.job,
                "client": c.client,
                "old_day": c.old_day,
                "new_day": c.new_day,
                "old_finish": c.old_finish,
                "new_finish": c.new_finish,
                "old_crew": c.old_crew,
                "new_crew": c.new_crew,
                "why": c.why,
                "call": c.call,
                "begun": c.begun,
                "promised": c.promised,
                "late": c.late,
                "words": c.words,
                "phases": [
                    {
                        "phase": m.key.phase.value,
                        "part": m.key.part,
                        "old_day": m.old_day,
                        "new_day": m.new_day,
                        "old_crew": m.old_crew,
                        "new_crew": m.new_crew,
                    }
                    for m in c.moves
                ],
            }
            for c in found
        ],
    }
