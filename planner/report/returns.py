"""What a returned sheet will log, as a page."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from planner.domain.actuals import Log
from planner.domain.returns import Reading
from planner.report.terminal import say
from planner.report.wording import hours, long_day, one_line

if TYPE_CHECKING:
    from rich.console import Console


def print_reading(reading: Reading, again: bool, replaces: bool, console: Console) -> None:
    """What one return says, what was missed, what wants a yes."""
    sheet = reading.sheet
    signed = f", checked by {one_line(sheet.checked_by)}" if sheet.checked_by.strip() else ""
    head = f"{one_line(sheet.crew)}, {long_day(sheet.day)}, plan {sheet.plan_number}{signed}"
    say(console, head, style="bold")
    if again:
        say(console, "  This return was logged before: nothing to do.")
        return
    for log in reading.logs:
        say(console, f"  {log_words(log)}", hang=4)
    if not reading.logs:
        say(console, "  Nothing is filled in.")
    for miss in reading.misses:
        say(
            console,
            f"  ! MISSED {one_line(miss.job)} {miss.phase.words}: {miss.text}",
            hang=4,
            style="bold red",
        )
    if replaces:
        say(
            console, "  This sheet was logged before and has changed: the new return takes its place.", hang=4
        )
    for question in reading.questions:
        say(console, f"  ? {question}", hang=4, style="bold")


def log_words(log: Log) -> str:
    """One log in one line: "P-014 dig: 7.5 h, 60 % done, lost 0.5 h (rain)"."""
    parts = [f"{one_line(log.job)} {log.phase.words}: {hours(log.crew_h)}"]
    if log.people:
        parts.append(f"{log.people} people")
    if log.done:
        parts.append("finished")
    elif log.share_done is not None:
        parts.append(f"{100 * log.share_done:.0f} % of the phase done")
    if log.lost_h:
        parts.append(f"lost {hours(log.lost_h)}" + (f" ({one_line(log.lost_why)})" if log.lost_why else ""))
    own = [line for line in log.note.splitlines() if not line.startswith(("MISSED ", "checked by "))]
    return ", ".join(parts) + (f"; note: {one_line(' '.join(own))}" if own else "")


def reading_data(reading: Reading, again: bool, logged: bool) -> dict[str, Any]:
    """One return for `--json`."""
    sheet = reading.sheet
    return {
        "crew": sheet.crew,
        "day": sheet.day.isoformat(),
        "plan": sheet.plan_number,
        "mark": sheet.mark,
        "checked_by": sheet.checked_by,
        "again": again,
        "logged": logged,
        "logs": [
            {
                "job": log.job,
                "phase": log.phase.value,
                "crew_h": log.crew_h,
                "share_done": log.share_done,
                "done": log.done,
                "lost_h": log.lost_h,
                "lost_why": log.lost_why,
                "people": log.people,
                "note": log.note,
            }
            for log in reading.logs
        ],
        "missed": [
            {"job": m.job, "phase": m.phase.value, "step": m.key, "text": m.text} for m in reading.misses
        ],
        "questions": list(reading.questions),
    }
