"""The morning's page: crews, promises at risk, the office's items that are due, what to do next."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from planner.domain.dates import day_words, long_day
from planner.domain.office.morning import Morning
from planner.report.crew_day.board import (
    appointment_data,
    promise_words,
    worked_data,
    worked_words,
)
from planner.report.crew_day.locates import locates_block, locates_data
from planner.report.crew_day.misses import miss_data, print_misses
from planner.report.forecast.weather import forecast_data
from planner.report.terminal import say
from planner.report.wording import hours_words, one_line, phase_words, plan_words

if TYPE_CHECKING:
    from rich.console import Console

    from planner.domain.crew_day.board import Cell

#: How many promises and office items the page shows before it only counts the rest.
MOST = 5


def morning_page(console: Console, seen: Morning) -> None:
    """The page; a firm without a plan sees only what to do first."""
    if seen.plan_number is None:
        say(console, f"{one_line(seen.firm)}: {long_day(seen.day)}. No plan yet.", style="bold")
    else:
        told = plan_words(seen.plan_number, seen.published, seen.moved)
        say(console, f"{one_line(seen.firm)}: {long_day(seen.day)}  ({told})", style="bold")
        print_misses(console, seen.missed)
        _crews(console, seen)
        for text in weather_lines(seen):
            say(console, text, hang=2)
        for one in seen.visiting:
            say(console, f"From outside: {one_line(one.words)}", hang=2, style="bold" if one.misfit else "")
        locates_block(console, seen.locates)
        _risks(console, seen)
        _office(console, seen)
    say(console, "")
    say(console, "Next")
    wide = max((len(step.command) for step in seen.steps), default=0)
    for step in seen.steps:
        say(console, f"  {step.command:<{wide}}  {one_line(step.why)}", hang=wide + 4)


def _crews(console: Console, seen: Morning) -> None:
    wide = max((len(one_line(crew)) for crew, _ in seen.rows), default=0)
    for crew, cell in seen.rows:
        say(console, f"  {one_line(crew):<{wide}}  {_cell_words(cell)}", hang=wide + 4)


def weather_lines(seen: Morning) -> list[str]:
    """Today's weather by the forecast, and each working day that rain is likely to take."""
    if seen.forecast is None:
        return [f"Weather: the kept forecast is not used, {seen.no_forecast}"] if seen.no_forecast else []
    told = seen.forecast.on(seen.day)
    today = told.words(seen.units) if told else "nothing told of today"
    taken = [
        f"! {day_words(day)}: rain may take the day, {100 * p:.0f} % likely" for day, p in seen.rain.items()
    ]
    return [f"Weather: {today} ({one_line(seen.forecast.source)})", *taken]


def _cell_words(cell: Cell | None) -> str:
    if cell is None:
        return "no work today"
    short = f" ({cell.short})" if cell.short else ""
    if not cell.stints and not cell.worked:
        return (cell.why or "free") + short
    work = (
        f"{s.key.job} {phase_words(s)} {hours_words(s)}" + (f" ({s.hindrance})" if s.hindrance else "")
        for s in cell.stints
    )
    return ", ".join([*map(worked_words, cell.worked), *work]) + short


def _risks(console: Console, seen: Morning) -> None:
    say(console, "")
    if not seen.risks:
        say(console, "Promises: every one is in time with days to spare.")
        return
    _first_of(console, "Promises at risk", [promise_words(p) for p in seen.risks], "planner board")


def _office(console: Console, seen: Morning) -> None:
    say(console, "")
    if not seen.office:
        say(console, "Office: nothing due today.")
        return
    due = [f"{'!' if item.pressing else ' '} {one_line(item.words)}" for item in seen.office]
    _first_of(console, "Office, due by today", due, "planner office list")


def _first_of(console: Console, title: str, lines: Sequence[str], rest: str) -> None:
    """The title and the first lines; rest: the command that shows the others."""
    say(console, title)
    for line in lines[:MOST]:
        say(console, f"  {line}", hang=4)
    if len(lines) > MOST:
        say(console, f"  and {len(lines) - MOST} more: {rest}")


def morning_data(seen: Morning) -> dict[str, Any]:
    """The morning for `--json`."""
    return {
        "day": seen.day,
        "firm": seen.firm,
        "plan": seen.plan_number,
        "published": seen.published,
        "missed_open": [miss_data(m) for m in seen.missed],
        "stale": [m.words for m in seen.moved],
        "crews": [
            {
                "crew": crew,
                "work": [
                    {
                        "job": s.key.job,
                        "phase": s.key.phase.value,
                        "part": s.key.part,
                        "crew_h": s.crew_h,
                        "hindrance": s.hindrance,
                    }
                    for s in (cell.stints if cell else ())
                ],
                "worked": [worked_data(e) for e in (cell.worked if cell else ())],
                "why_none": "" if cell is None else cell.why,
                "short": "" if cell is None else cell.short,
            }
            for crew, cell in seen.rows
        ],
        "promises_at_risk": list(seen.risks),
        "locates": locates_data(seen.locates),
        "from_outside": [appointment_data(one) for one in seen.visiting],
        "office": list(seen.office),
        "weather": None
        if seen.forecast is None
        else forecast_data(seen.forecast, "")
        | {"rain_may_take": [{"day": d, "chance": p} for d, p in seen.rain.items()]},
        "hours_missing": list(seen.unlogged),
        "next": list(seen.steps),
    }
