"""What a time clock's file comes to, as lines and as data."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from planner.domain.dates import day_words
from planner.domain.hours.clock import ClockDay, ClockReading, Does
from planner.domain.wording import counted
from planner.report.terminal import say
from planner.report.wording import hours, one_line

if TYPE_CHECKING:
    from rich.console import Console


def clock_page(console: Console, reading: ClockReading) -> None:
    """One line a crew, day, job and phase, with its people and what it does to the log; questions last."""
    for day in reading.days:
        say(console, day_line(day), hang=2)
    if not reading.days:
        say(console, "no stretch of work in this file")
    if reading.left_out_h:
        say(console, f"{hours(reading.left_out_h)} of people on work that is not logged are left out")
    for question in reading.questions:
        say(console, f"? {question}", hang=2)


def day_line(day: ClockDay) -> str:
    """ "P-014 dig, North, Tue Apr 6: 3 people, 22.5 labour-h (Ann Lee 8 h, ...)"."""
    people = counted(len(day.hours_h), "person", "people")
    who = ", ".join(f"{one_line(name)} {hours(h)}" for name, h in sorted(day.hours_h.items()))
    work = f"{day.job} {day.phase.words}, {day.crew}, {day_words(day.day)}"
    told = f"{work}: {people}, {day.labour_h:g} labour-h ({who})"
    if day.does is Does.NEW or day.old is None:
        return told
    return f"{told}; {day.does.value}: {hours(day.old.crew_h)} from {day.old.source}, entry {day.old.id}"


def clock_data(reading: ClockReading, logged: int) -> dict[str, Any]:
    """The same for `--json`."""
    days = [
        {
            "crew": day.crew,
            "day": day.day,
            "job": day.job,
            "phase": day.phase,
            "people": [{"person": name, "labour_h": h} for name, h in sorted(day.hours_h.items())],
            "labour_h": round(day.labour_h, 4),
            "does": day.does.value,
        }
        for day in reading.days
    ]
    return {
        "days": days,
        "questions": list(reading.questions),
        "not_logged_labour_h": reading.left_out_h,
        "logged_count": logged,
    }
