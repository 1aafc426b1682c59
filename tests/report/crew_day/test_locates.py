"""The day sheet says how the utility locate of its dig stands."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime

from planner.domain.crew_day.daysheet import DaySheet, day_sheet
from planner.domain.firm.records import OfficeMark
from planner.domain.standing.locate_standing import LocateFile, locate_standings
from planner.report.pages import sheet_page
from planner.store.shipped.locates import locate_rule
from tests.report.crew_day.test_sheet import TUESDAY, drawn


def test_the_sheet_says_how_the_locate_stands_and_keeps_its_mark(roster, plan, lists):
    def made(marks: dict[str, OfficeMark]) -> DaySheet:
        file = LocateFile(locate_rule("OH"), marks, datetime(2027, 4, 5, 6))
        found = locate_standings(file, roster.jobs, plan.bookings, {})
        return day_sheet(replace(roster, locates=found), plan, "North", TUESDAY, lists)

    none = made({})
    assert none.tasks[0].locate.startswith("no locate on file")
    assert "No digging before the office says" in " ".join(drawn(none).split())
    assert "no locate on file" in sheet_page([none])
    asked = OfficeMark("locate:P-014", "done", at=datetime(2027, 3, 29, 9))
    told = OfficeMark("cleared:P-014:2027-03-29", "done", at=datetime(2027, 4, 1, 9))
    clear = made({asked.key: asked, told.key: told})
    assert clear.tasks[0].locate == ""
    assert clear.mark == none.mark  # what the office hears in the course of the day changes no tick
