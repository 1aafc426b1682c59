"""What a returned sheet will log, as a page."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING, Any

from planner.domain.crew_day.misses import LoggedMiss, crew_notes, own_note
from planner.domain.dates import long_day
from planner.domain.firm.actuals import Log
from planner.domain.hours.returns import Reading
from planner.domain.wording import counted
from planner.report.crew_day.misses import miss_data, miss_words
from planner.report.terminal import say
from planner.report.wording import hours, one_line

if TYPE_CHECKING:
    from rich.console import Console


def print_reading(reading: Reading, open_before: Sequence[LoggedMiss], again: bool, console: Console) -> None:
    """What was missed first, then what one return says and what wants a yes."""
    sheet = reading.sheet
    signed = f", checked by {one_line(sheet.checked_by)}" if sheet.checked_by.strip() else ""
    head = f"{one_line(sheet.crew)}, {long_day(sheet.day)}, plan {sheet.plan_number}{signed}"
    say(console, head, style="bold")
    if again:
        say(console, "  This return was logged before: nothing to do.")
        return
    for miss in reading.misses:
        say(
            console,
            f"  ! MISSED {one_line(miss.job)} {miss.phase.words}: {miss.text}",
            hang=4,
            style="bold red",
        )
    for before in open_before:
        say(console, f"  ! still open: {miss_words(before)}", hang=4, style="bold red")
    for log in reading.logs:
        say(console, f"  {log_words(log)}", hang=4)
    if not reading.logs:
        say(console, "  Nothing is filled in.")
    for log in reading.replaced:
        say(console, f"  takes the place of entry {log.id}: {log_words(log)}", hang=4)
    if reading.changed and reading.misses:
        say(console, "  The sheet says something else now: judged by what the crew saw.", hang=4)
    for question in reading.questions:
        say(console, f"  ? {question}", hang=4, style="bold")


def after_words(readings: Iterable[Reading]) -> list[str]:
    """What becomes of the missed checks and the notes of returns that were just logged."""
    readings = list(readings)
    said = []
    if any(reading.misses for reading in readings):
        said.append("what was missed stands first everywhere until it is settled: planner office list")
    notes = len(crew_notes(log for reading in readings for log in reading.logs))
    if notes:
        count = "1 note" if notes == 1 else f"{notes} notes"
        said.append(f"{count} from the crew on the office's list until ticked: planner office list")
    return said


def log_words(log: Log) -> str:
    """One log in one line: "P-014 dig: 7.5 h, 60 % done, lost 0.5 h (rain)"."""
    parts = [f"{one_line(log.job)} {log.phase.words}: {hours(log.crew_h)}"]
    if log.people:
        parts.append(counted(log.people, "person", "people"))
    if log.done:
        parts.append("finished")
    elif log.share_done is not None:
        parts.append(f"{100 * log.share_done:.0f} % of the phase done")
    if log.lost_h:
        parts.append(f"lost {hours(log.lost_h)}" + (f" ({one_line(log.lost_why)})" if log.lost_why else ""))
    own = one_line(own_note(log.note))
    return ", ".join(parts) + (f"; note: {own}" if own else "")


def reading_data(
    reading: Reading, open_before: Sequence[LoggedMiss], again: bool, logged: bool
) -> dict[str, Any]:
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
        "missed_open_before": [miss_data(m) for m in open_before],
        "takes_the_place_of": [log.id for log in reading.replaced],
        "sheet_changed_since": reading.changed,
        "questions": list(reading.questions),
    }
