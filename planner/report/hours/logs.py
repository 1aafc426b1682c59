"""Logged hours and lost time as pages."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from planner.domain.crew_day.misses import LoggedMiss, checked_lines, misses_in, own_note
from planner.domain.dates import day_words
from planner.domain.firm.actuals import Log, Progress
from planner.domain.firm.lost import LostKind, LostTime
from planner.domain.plain import to_plain
from planner.domain.wording import counted
from planner.report.crew_day.misses import miss_data, miss_words, print_misses
from planner.report.terminal import say
from planner.report.wording import hours, one_line

if TYPE_CHECKING:
    from rich.console import Console


def entry_words(entry: Log) -> str:
    """ "P-014 dig, Heron, Tue Apr 6: 7.5 h, 60 % done"."""
    parts = [hours(entry.crew_h)]
    if entry.done:
        parts.append("done")
    elif entry.share_done is not None:
        parts.append(f"{entry.share_done * 100:.0f} % done")
    if entry.lost_h:
        parts.append(
            f"{hours(entry.lost_h)} lost" + (f" ({one_line(entry.lost_why)})" if entry.lost_why else "")
        )
    return f"{entry.job} {entry.phase.words}, {entry.crew}, {day_words(entry.day)}: {', '.join(parts)}"


def so_far_words(so_far: Progress, planned_h: float | None) -> str:
    """ "12 h so far of 20 h planned, 60 % done"."""
    planned = f" of {hours(planned_h)} planned" if planned_h else ""
    share = "done" if so_far.done else f"{so_far.share * 100:.0f} % done"
    return f"{hours(so_far.spent_crew_h)} so far{planned}, {share}"


def so_far_data(so_far: Progress) -> dict[str, Any]:
    """The same for `--json`."""
    return {
        "share": so_far.share,
        "spent_crew_h": so_far.spent_crew_h,
        "first": so_far.first,
        "last": so_far.last,
        "done": so_far.done,
    }


def logs_page(console: Console, logs: Sequence[Log], misses: Sequence[LoggedMiss]) -> None:
    """Open misses first, then the entries, one a line, with their numbers."""
    if not logs:
        say(console, "no hours are logged here yet: planner log add JOB PHASE CREW HOURS")
        return
    print_misses(console, [miss for miss in misses if not miss.settled])
    for entry in logs:
        note = f"  [{one_line(own_note(entry.note))}]" if own_note(entry.note) else ""
        say(console, f"{entry.id:>5}  {entry_words(entry)}{note}", hang=7)
        for miss in misses_in(entry, misses):
            say(console, f"       {miss_words(miss)}", hang=9)
        for line in checked_lines(entry.note):
            say(console, f"       {one_line(line)}", hang=9)
    worked, lost = sum(e.crew_h for e in logs), sum(e.lost_h for e in logs)
    count = counted(len(logs), "entry", "entries")
    say(console, f"       {count}, {hours(worked)} worked, {hours(lost)} lost", style="bold")


def logs_data(logs: Sequence[Log], misses: Sequence[LoggedMiss]) -> list[dict[str, Any]]:
    """The entries for `--json`, each with its missed checks."""
    return [{**to_plain(entry), "missed": [miss_data(m) for m in misses_in(entry, misses)]} for entry in logs]


def lost_words(entry: LostTime) -> str:
    """ "rain in north, Thu Apr 8" or "Heron short of 1, Mon Apr 5 to Tue Apr 6"."""
    days = day_words(entry.days.first)
    if entry.days.last != entry.days.first:
        days += f" to {day_words(entry.days.last)}"
    phase = f" {entry.phase.replace('_', ' ')}" if entry.phase else ""
    what = {
        LostKind.RAIN: f"rain in {entry.target}" if entry.target else "rain everywhere",
        LostKind.CREW_OFF: f"{entry.target} off",
        LostKind.CREW_SHORT: f"{entry.target} short of {entry.people}",
        LostKind.MACHINE_DOWN: f"{entry.people} {entry.target} out of order",
        LostKind.DELIVERY: f"late delivery for {entry.target}{phase}",
        LostKind.INSPECTION: f"failed inspection at {entry.target}{phase}",
    }[entry.kind]
    note = f" ({one_line(entry.note)})" if entry.note else ""
    return f"{what}, {days}{note}"


def lost_page(console: Console, entries: Sequence[LostTime]) -> None:
    """The entries, one a line, with their numbers."""
    if not entries:
        say(console, "no lost time is entered: planner lost rain, planner lost sick CREW, ...")
        return
    for entry in entries:
        say(console, f"{entry.id:>5}  {lost_words(entry)}", hang=7)
