"""What leaves the office from the browser; visits, held places, orders, chances and old drafts by form."""

from __future__ import annotations

import re
from datetime import date

import icalendar
import pytest

from planner.domain.firm.phases import Phase
from planner.flow.crew_day.board import week_board
from planner.flow.forecast.climate import own_station
from planner.flow.keeping.jobs import load_job
from planner.flow.office.office import job_order_rows
from planner.flow.season.plans import plan_heads
from planner.flow.season.promise import holds
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


def test_a_place_is_held_listed_and_given_up(browser: Browser) -> None:
    assert "No place is held" in browser.look("/promises").text
    assert "kept in" in browser.look("/promises/ask?code=P-3&sure=80").text
    unstored = browser.look("/promises/ask?code=N-1&like=P-1&size=1.5").text
    assert "Nothing is stored" in unstored
    assert browser.post("/jobs/P-3/promise/hold", until="2027-04-12", note="asked twice").status_code == 303
    listed = browser.look("/promises").text
    assert "asked twice" in listed
    assert "Mon Apr 12" in listed
    assert browser.post("/jobs/P-3/promise/drop").status_code == 303
    assert holds(str(browser.db)) == []


def test_a_visit_is_entered_changed_and_comes_again(browser: Browser) -> None:
    sent = {"code": "V-1", "visit": "winter closing", "pond": "P-1", "on_site_h": "3", "opens": "2027-10-04"}
    done = browser.post("/visits/save", **sent, skills="plumbing", hands="2")
    assert done.headers["location"] == "/visits/V-1", done.text
    kept = load_job(str(browser.db), "V-1")
    assert (kept.job.client, kept.job.on_site_h, kept.job.hands) == ("Marsh", 3.0, 2)
    assert kept.job.needs[Phase.VISIT].skills == {"plumbing"}
    assert kept.job.release(Phase.VISIT) == date(2027, 10, 4)
    page = browser.look("/visits/V-1").text
    assert 'value="2027-10-04"' in page
    form = _form_of(page)
    assert browser.post("/visits/save", **form, on_site_h="2.5").status_code == 303
    assert load_job(str(browser.db), "V-1").job.on_site_h == 2.5
    late = browser.post("/visits/save", **form, on_site_h="4")
    assert late.status_code == 409
    assert "nothing was written yet" in late.text
    again = browser.post("/visits/V-1/repeat", every="every year", until="2029-12-31")
    assert again.status_code == 303, again.text
    assert browser.look("/visits").text.count("winter closing") >= 3


@pytest.mark.parametrize(
    ("field", "value"),
    [("code", ""), ("client", ""), ("on_site_h", "12"), ("promised", "2027-01-04"), ("opens", "soon")],
)
def test_a_visit_that_cannot_be_comes_back_with_its_fault(browser: Browser, field: str, value: str) -> None:
    sent = {"code": "V-1", "visit": "call-back", "client": "Reed", "notes": "typed by hand", field: value}
    back = browser.post("/visits/save", **sent)
    assert back.status_code == 422
    assert f'id="w-{field}"' in back.text
    assert "typed by hand" in back.text
    assert "V-1" not in browser.look("/visits").text


def test_old_drafts_go_only_when_it_is_meant(browser: Browser) -> None:
    browser.planned(how="order", note="first try")
    browser.planned(how="order")
    assert "first try" in browser.look("/plan").text
    assert browser.post("/plan/thin", keep="1", days="0").status_code == 422
    assert len(plan_heads(str(browser.db))) == 3
    browser.clock[0] = MORNING.replace(month=6)
    assert browser.post("/plan/thin", keep="1", days="0", sure="yes").status_code == 303
    assert [head.number for head in plan_heads(str(browser.db))] in ([1, 3], [3, 1])
    assert browser.post("/plan/thin", keep="0", sure="yes").status_code == 422


def test_a_plan_is_made_with_all_that_the_terminal_can_say(browser: Browser) -> None:
    number = browser.planned(
        how="afresh", seconds="0", steps="50", slack="2", on_paper="yes", even_if="told", note="for the owner"
    )
    page = browser.look(f"/plan?number={number}").text
    assert "for the owner" in page
    assert "told" in page
    for wrong in ({"steps": "5", "how": "again"}, {"fewest_calls": "yes", "how": "afresh"}, {"cores": "65"}):
        assert browser.post("/plan/make", **wrong).status_code == 422
    browser.planned(how="again", fewest_calls="yes")


def test_the_season_is_played_as_asked_and_an_own_gauge_kept(browser: Browser) -> None:
    asked = "/plan/chance?seasons=50&station=Columbus OH&quick=yes"
    begun = browser.client.get(asked, follow_redirects=False)
    assert "Columbus" in browser.worked(begun).text
    assert browser.look("/plan/chance?seasons=5").status_code == 422
    rows = "month,wet_days\n" + "".join(f"{n},6\n" for n in range(1, 13))
    headers = {"sec-fetch-site": "same-origin", "origin": "http://127.0.0.1:8000"}
    kept = browser.client.post(
        "/plan/chances/station",
        data={"_token": browser.token()},
        files={"file": ("gauge.csv", rows.encode())},
        headers=headers,
        follow_redirects=False,
    )
    assert kept.status_code == 303, kept.text
    found = own_station(str(browser.db))
    assert found is not None
    assert sum(found.wet_days) == 72


def test_hours_are_logged_by_amount_with_lost_time_and_looked_up(browser: Browser) -> None:
    sent = {"job": "P-2", "phase": "dig", "crew": "South", "day": "2027-04-05", "hours": "5"}
    more = {"quantity": "6", "item": "dig_machine_cy", "lost": "0.5", "lost_why": "truck was late"}
    assert browser.post("/hours/log", **sent, **more, people="1").status_code == 303
    page = browser.look("/hours?of_crew=South&first=2027-04-01").text
    assert "truck was late" in page
    assert "truck was late" not in browser.look("/hours?of_crew=North").text
    assert browser.post("/hours/log", **sent, share="50", quantity="6").status_code == 422
    assert "in crew-hours" in browser.look("/hours/week").text


def _form_of(page: str) -> dict[str, str]:
    """What the page's visit form carries besides what is typed."""
    return {
        name: re.search(rf'name="{name}" value="([^"]*)"', page)[1]  # type: ignore[index]
        for name in ("_code", "_seen")
    }
