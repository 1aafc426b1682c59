"""The week's board, a day lost to rain, and the crews' day sheets."""

from __future__ import annotations

from datetime import timedelta

from planner.domain.dates import day_words
from planner.web.crew_day.lead import shared_link
from planner.web.crew_day.papers import SHEET, board_of, day_of
from planner.web.desk import File, Go, Page, Visit
from planner.web.render import without_plan


def week(visit: Visit) -> Page:
    """The board of a week; ?day= any day of it, ?plan= the plan of that number, ?draft=1 the newest."""
    from planner.domain.standing.standing import plan_standing
    from planner.flow.season.plans import plan_and_roster
    from planner.report.crew_day.weather import week_lines
    from planner.report.wording import spare_words

    if (empty := without_plan(visit)) is not None:
        return empty
    day = day_of(visit)
    draft, number = visit.typed("draft") == "1", visit.number("plan")

    def to_spare() -> dict[str, str]:
        standing = plan_standing(*plan_and_roster(visit.location, visit.today, number, draft=draft))
        return {job.code: spare_words(job.spare_days) for job in standing.jobs}

    board, room = board_of(visit), visit.desk.once(("room", draft, number), to_spare)
    view = {
        "board": board,
        "weather_lines": week_lines(board.weather, board.units),
        "room": room,
        "draft": draft,
        "which": f"&plan={number}" if number else "&draft=1" if draft else "",
        "before": day - timedelta(days=7),
        "after": day + timedelta(days=7),
    }
    return Page("crew_day/week.html", {**view, "today": visit.today})


def lose_day(visit: Visit) -> Go:
    """Rain: no crew works outside today (or on the day typed)."""
    from planner.domain.firm.jobs import DayRange
    from planner.domain.firm.lost import LostKind, LostTime
    from planner.flow.hours.lost import add_lost

    day = day_of(visit)
    add_lost(visit.location, LostTime(LostKind.RAIN, DayRange(day, day)), who=visit.who)
    return Go("/plan", f"{day_words(day)} is lost to rain; now plan again")


def sheet(visit: Visit) -> File:
    """One crew's day sheet as its own page, as the crew sees it."""
    from planner.flow.crew_day.sheet import crew_sheets
    from planner.report.pages import sheet_page

    day = day_of(visit)
    crew = visit.request.path_params["crew"]
    sheets = visit.desk.once(("sheet", crew, day), lambda: crew_sheets(visit.location, crew, [day]))
    link = shared_link(visit, sheets[0].crew)
    return File(sheet_page(sheets, link=link), "text/html; charset=utf-8", policy=SHEET)


#: (address, what answers, whether it writes)
PAGES = (
    ("/week", week, False),
    ("/week/lost", lose_day, True),
    ("/sheet/{crew:path}", sheet, False),
)
