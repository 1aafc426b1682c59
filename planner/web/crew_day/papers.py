"""What leaves the office as a file: the board for the wall and as a table, day sheets, calendars."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from planner.domain.firm import entry
from planner.errors import BadInput
from planner.web.desk import File, Page, Visit
from planner.web.keeping.forms import Blank, faults_by_field
from planner.web.render import without_plan
from planner.web.seen import all_jobs

if TYPE_CHECKING:
    from collections.abc import Mapping
    from datetime import date

    from planner.domain.crew_day.board import Board
    from planner.domain.safety.heat import Forecast

#: Paper runs nothing and asks for nothing.
PAPER = "default-src 'none'; style-src 'unsafe-inline'; img-src data:; base-uri 'none'; form-action 'none'"
#: A day sheet carries its own script; it sends nothing.
SHEET = (
    "default-src 'none'; style-src 'unsafe-inline'; script-src 'unsafe-inline'; img-src data:; "
    "base-uri 'none'; form-action 'none'; frame-ancestors 'none'"
)
#: Field of the weather on a sheet -> how the form says it.
WEATHER = {
    "temp": "High of the day, like 96F or 35C",
    "humidity": "Relative humidity at the high, percent",
    "low": "Low of the day, like 38F or 3C",
    "wind": "Wind, like 15mph or 24km/h",
}
#: How a calendar tells time -> whether by whole days; None: as is usual for whose it is.
LENGTHS = {"usual": None, "days": True, "hours": False}


def wall(visit: Visit) -> File:
    """The week's board for the wall, on 17 by 11 in; with small=yes on the paper of the desk."""
    from planner.report.pages import board_page

    made = board_page(board_of(visit), wall=visit.typed("small") != "yes")
    return File(made, "text/html; charset=utf-8", policy=PAPER)


def board_table(visit: Visit) -> File:
    """The week's board as CSV."""
    from planner.report.crew_day.board import board_csv

    board = board_of(visit)
    return File(board_csv(board), "text/csv; charset=utf-8", f"board-{board.days[0]}.csv")


def board_of(visit: Visit) -> Board:
    """The board of the week of ?day=, by the plan of ?plan=, the newest with ?draft=1, else the published."""
    from planner.flow.crew_day.board import week_board

    draft, number = visit.typed("draft") == "1", visit.number("plan")
    day = day_of(visit)
    return visit.desk.once(
        ("board", day, draft, number),
        lambda: week_board(visit.location, day, visit.today, number=number, draft=draft),
    )


def day_of(visit: Visit) -> date:
    """?day= as it was typed, today without one."""
    typed = visit.typed("day").strip()
    return entry.day("day", typed, visit.today) if typed else visit.today


def sheets(visit: Visit) -> Page:
    """The form: whose sheets, of which day or week, with the weather as it is known."""
    return without_plan(visit) or _sheet_form(visit, {})


def sheet_paper(visit: Visit) -> Page | File:
    """The sheets as they were asked for, on one page; a wrong field comes back with the form."""
    from planner.flow.crew_day.sheet import crew_sheets, week_of
    from planner.report.pages import sheet_page

    try:
        day = day_of(visit)
        days = week_of(day) if visit.typed("week") == "yes" else [day]
        forecast = _weather(visit)
        made = crew_sheets(
            *(visit.location, visit.typed("crew"), days),
            today=visit.today,
            draft=visit.typed("draft") == "yes",
            forecast=forecast,
        )
    except BadInput as refusal:
        return _sheet_form(visit, faults_by_field(refusal))
    return File(sheet_page(made), "text/html; charset=utf-8", policy=SHEET)


def _weather(visit: Visit) -> Forecast | None:
    from planner.domain.safety.forecast import read_forecast

    typed = {name: visit.typed(name).strip() or None for name in WEATHER}
    humidity = typed.pop("humidity")
    wet = entry.number("--humidity", humidity) if humidity else None
    return read_forecast(typed["temp"], wet, typed["low"], typed["wind"], visit.typed("sky") or "sun")


def _sheet_form(visit: Visit, faults: Mapping[str, str]) -> Page:
    from planner.domain.safety.heat import Sky
    from planner.flow.crew_day.sheet import ALL_CREWS
    from planner.flow.keeping.crews import load_crews

    wrong = {field.removeprefix("--"): fix for field, fix in faults.items()}
    crews = (ALL_CREWS, *(crew.name for crew in load_crews(visit.location)))
    day = visit.typed("day") or visit.today.isoformat()
    blanks = [
        Blank("crew", "Crew", visit.typed("crew"), "choice", crews, wrong.get("crew", "")),
        Blank("day", "Day", day, "day", (), wrong.get("day", "")),
    ]
    weather = [Blank(n, words, visit.typed(n), "line", (), wrong.get(n, "")) for n, words in WEATHER.items()]
    sky = Blank("sky", "Sky", visit.typed("sky"), "choice", tuple(Sky), wrong.get("sky", ""))
    named = {*WEATHER, "crew", "day", "sky"}
    view = {
        "blanks": blanks,
        "weather": [*weather, sky],
        "week": visit.typed("week") == "yes",
        "draft": visit.typed("draft") == "yes",
        "lines": [f"{field}: {fix}" for field, fix in wrong.items() if field not in named],
    }
    return Page("crew_day/sheets.html", view, 422 if faults else 200)


def calendars(visit: Visit) -> Page:
    """Whose calendar file: the firm's, a crew's, a machine's, or a job's to share with the client."""
    from planner.flow.keeping.crews import load_crews
    from planner.flow.keeping.machines import load_machines

    if (empty := without_plan(visit)) is not None:
        return empty
    view = {
        "asked": visit.typed("whose"),
        "groups": {
            "crew": [(c.name, c.name) for c in load_crews(visit.location)],
            "machine": [(m.key, m.key) for m in load_machines(visit.location)[0]],
            "job": [(j.code, f"{j.code} {j.client}") for j in all_jobs(visit)],
        },
    }
    return Page("crew_day/calendars.html", view)


def calendar(visit: Visit) -> File:
    """The calendar file; what was sent is remembered, so that the next one moves events, doubles none."""
    from planner.domain.office.events import Whose
    from planner.flow.crew_day.calendars import Sent, send_calendar
    from planner.report.crew_day.calendars import calendar_file

    kind, _, name = visit.typed("whose").partition(":")
    whose = entry.choice("whose", kind, Whose)
    length = visit.typed("length") or "usual"
    if length not in LENGTHS:
        raise BadInput("length", length, f"use one of: {', '.join(LENGTHS)}")
    made: list[bytes] = []

    def deliver(sent: Sent) -> None:
        made.append(calendar_file(sent.title, sent.events, sent.time_zone, visit.now))

    send_calendar(
        *(visit.location, visit.who, whose, name, visit.today),
        all_day=LENGTHS[length],
        draft=visit.typed("draft") == "yes",
        deliver=deliver,
    )
    plain = re.sub(r"[^A-Za-z0-9-]+", "-", name).strip("-").lower()
    return File(made[0], "text/calendar; charset=utf-8", f"{plain or 'firm'}.ics")


#: (address, what answers, whether it writes)
PAGES = (
    ("/week/wall", wall, False),
    ("/week/board.csv", board_table, False),
    ("/sheets", sheets, False),
    ("/sheets/paper", sheet_paper, False),
    ("/calendars", calendars, False),
    ("/calendars/file", calendar, True),
)
