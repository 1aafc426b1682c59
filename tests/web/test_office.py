"""Calls with their messages; hours taken back, lost time, planned against worked, what rates would learn."""

from __future__ import annotations

import re
from urllib.parse import unquote

from planner.flow.hours.lost import list_lost
from planner.flow.office.office import office_items
from tests.web.conftest import MORNING, Browser


def test_a_call_comes_with_its_message_and_is_ticked_when_told(browser: Browser) -> None:
    form = {"job": "P-2", "phase": "dig", "crew": "South", "day": "2027-04-20"}
    kept = browser.post("/week/move/keep", **form)
    number = kept.headers["location"].rpartition("=")[2]
    browser.post("/jobs/save", _code="P-2", phone="614-555-0102")
    assert browser.post("/plan/publish", number=number, even_so="yes").status_code == 303
    page = browser.look("/office?kind=call").text
    calls = [i for i in office_items(str(browser.db), MORNING) if i.key.startswith("call:P-2")]
    assert len(calls) == 1, page
    texts = re.findall(r'href="sms:6145550102\?body=([^"]+)"', page)
    assert len(texts) == 1
    assert "P-2" not in unquote(texts[0])
    assert "Tuesday, April 20" in unquote(texts[0])
    assert browser.post("/office/tick", key=calls[0].key).status_code == 303
    assert calls[0].key not in browser.look("/office?kind=call").text
    assert browser.post("/office/untick", key=calls[0].key).status_code == 303
    assert calls[0].key in browser.look("/office").text


def test_every_message_of_a_job_is_ready(browser: Browser) -> None:
    page = browser.look("/jobs/P-1/messages").text
    assert page.count("<textarea") == 7
    assert "{" not in re.sub(r"<[^>]+>", "", page)


def test_logged_hours_are_taken_back_one_by_one(browser: Browser) -> None:
    form = {"job": "P-1", "phase": "dig", "crew": "North", "day": "2027-04-05", "hours": "6.5", "share": "60"}
    browser.post("/hours/log", **form)
    number = re.findall(r'name="id" value="(\d+)"', browser.look("/hours").text)[0]
    assert browser.post("/hours/log/back", id=number).status_code == 303
    assert "6.5 h" not in browser.look("/hours").text.partition("two weeks")[2]


def test_lost_time_is_entered_and_taken_back(browser: Browser) -> None:
    db = str(browser.db)
    sick = {"kind": "crew off", "first": "2027-04-06", "last": "2027-04-07", "crew": "South"}
    assert browser.post("/hours/lost/add", **sick).headers["location"] == "/hours/lost"
    late = {
        "kind": "late delivery",
        "first": "2027-04-05",
        "last": "2027-04-12",
        "job": "P-2",
        "phase": "rock",
    }
    assert browser.post("/hours/lost/add", **late).status_code == 303
    found = {e.kind.value: e for e in list_lost(db)}
    assert str(found["late delivery"].days.last) == "2027-04-11", "work may start on the day it comes"
    assert "South off" in browser.look("/hours/lost").text
    for wrong in ({**sick, "crew": "Nobody"}, {**sick, "last": "2027-04-01"}, {**late, "last": "2027-04-05"}):
        assert browser.post("/hours/lost/add", **wrong).status_code == 422
    assert browser.post("/hours/lost/back", id=str(found["crew off"].id)).status_code == 303
    assert len(list_lost(db)) == 1


def test_the_owners_page_tells_what_hours_tells(browser: Browser) -> None:
    """The same tables as `planner hours`, and the pictures or the word that none can be drawn yet."""
    page = browser.look("/hours/owner").text
    assert "Hours sold, worked, left" in page and "By crew" in page
    assert "<svg" in page or "No phase is finished yet" in page


def test_planned_is_held_against_worked(browser: Browser) -> None:
    form = {"job": "P-1", "phase": "dig", "crew": "North", "day": "2027-04-05", "hours": "90", "share": "100"}
    browser.post("/hours/log", **{**form, "hours": "8", "done": "yes"})
    page = browser.look("/hours/against").text
    assert ">P-1<" in page
    assert re.search(r"\d+ % (over|under)", page)


def test_what_the_rates_would_learn_is_shown_and_a_changed_proposal_refused(browser: Browser) -> None:
    page = browser.look("/hours/learn")
    assert page.status_code == 200
    assert browser.post("/hours/learn/accept", edition="1999-01").status_code == 409


def test_an_order_is_confirmed_for_a_day(browser: Browser) -> None:
    # it was said to be here; taken back, nobody has ordered it: the list asks, and takes the supplier's day
    assert browser.post("/office/untick", key="here:P-1:liner").status_code == 303
    asked = browser.look("/office?kind=order").text
    assert 'value="order:P-1:liner"' in asked and 'action="/office/arrives"' in asked
    assert browser.post("/office/arrives", key="order:P-1:liner", on="2027-05-03").status_code == 303
    page = browser.look("/office").text
    assert 'value="order:P-1:liner"' not in page
    assert "liner and underlayment for P-1 confirmed for Mon" in page
