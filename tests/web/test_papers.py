"""What leaves the office from the browser: board, sheets, calendars, lists; what arrived; the locate rule."""

from __future__ import annotations

from datetime import date

import icalendar
import pytest

from planner.flow.crew_day.board import week_board
from planner.flow.office.office import job_order_rows
from planner.report.crew_day.board import board_csv
from tests.web.conftest import MORNING, Browser


def test_the_board_goes_out_as_a_table_and_for_the_wall(browser: Browser) -> None:
    table = browser.look("/week/board.csv?day=2027-04-12")
    board = week_board(str(browser.db), date(2027, 4, 12), MORNING.date())
    assert table.text == board_csv(board)
    assert "board-2027-04-12.csv" in table.headers["content-disposition"]
    assert "17in 11in" in browser.look("/week/wall").text
    assert "17in 11in" not in browser.look("/week/wall?small=yes").text


@pytest.mark.parametrize(
    ("whose", "file"), [("firm:", "firm"), ("crew:North", "north"), ("machine:excavator", "excavator")]
)
def test_a_calendar_file_is_made_and_moves_instead_of_doubling(
    browser: Browser, whose: str, file: str
) -> None:
    first = browser.post("/calendars/file", whose=whose)
    assert f'filename="{file}.ics"' in first.headers["content-disposition"]
    found = icalendar.Calendar.from_ical(first.text).walk("VEVENT")
    again = icalendar.Calendar.from_ical(browser.post("/calendars/file", whose=whose).text).walk("VEVENT")
    assert found
    assert [e["UID"] for e in found] == [e["UID"] for e in again]


@pytest.mark.parametrize("wrong", ["crew:Nobody", "job:P-99", "dog:", ""])
def test_a_calendar_of_nobody_is_refused(browser: Browser, wrong: str) -> None:
    assert browser.post("/calendars/file", whose=wrong).status_code == 422


def test_sheets_of_a_week_carry_the_weather_that_was_typed(browser: Browser) -> None:
    asked = "/sheets/paper?crew=all&day=2027-04-08&week=yes&temp=96F&humidity=55&sky=shade"
    paper = browser.look(asked)
    assert paper.status_code == 200, paper.text
    assert "Heat index 112 F in the shade" in paper.text
    assert paper.text.count("North") > 1
    assert "South" in paper.text
    back = browser.look("/sheets/paper?crew=North&day=2027-04-08&temp=hot&humidity=55")
    assert back.status_code == 422
    assert 'value="hot"' in back.text
    assert 'id="w-temp"' in back.text


def test_material_is_said_to_be_here_or_to_come(browser: Browser) -> None:
    where = "/jobs/P-3/orders"
    assert "not ordered" in browser.look(where).text
    browser.post(f"{where}/say", order="liner", what="here")
    stands = {order.lead.key: order for order, _ in job_order_rows(str(browser.db), "P-3")}
    assert stands["liner"].here
    assert not stands["stone"].here
    browser.post(f"{where}/say", order="stone", what="arrives", on="2027-04-20")
    assert "confirmed for Tue Apr 20" in browser.look(where).text
    assert browser.post(f"{where}/say", order="gold", what="here").status_code == 422
    assert browser.post(f"{where}/say", order="stone", what="arrives", on="").status_code == 422


def test_the_offices_list_goes_out_as_a_table(browser: Browser) -> None:
    rows = browser.look("/office/list.csv?days=30&job=P-1").text.splitlines()
    assert rows[0].startswith("due,kind,job")
    assert len(rows) > 1
    assert all(",P-1," in row for row in rows[1:])
    assert browser.look("/office/list.csv?days=500").status_code == 422


def test_the_locate_rule_of_another_state_and_the_dates_of_a_request(browser: Browser) -> None:
    assert "Ohio" in browser.look("/office/locate").text
    other = browser.look("/office/locate?state=PA&asked=2027-05-18T10:00").text
    assert "Pennsylvania" in other
    assert "May 18" in other
    assert browser.look("/office/locate?asked=soon").status_code == 422
