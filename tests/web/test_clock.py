"""A time clock's file handed in at the page of hours: read, looked at, logged once."""

from __future__ import annotations

from html import unescape
from re import search

import httpx2 as httpx

from tests.web.conftest import Browser
from tests.web.test_jobs import OURS

WEEK = b"Who,Clock In,out,job,phase\nAnn,4/5/2027 5:00 AM,4/5/2027 6:30 AM,P-2,dig\n"
WORDS = "column person=Who\ncolumn in=Clock In\nperson Ann=North"


def sent(browser: Browser, address: str, content: bytes, words: str) -> httpx.Response:
    files = {"file": ("week.csv", content, "text/csv")}
    form = {"_token": browser.token(), "words": words}
    return browser.client.post(address, data=form, files=files, headers=OURS, follow_redirects=False)


def keep(browser: Browser, page: str, **more: str) -> httpx.Response:
    text = search(r'name="text" value="([^"]*)"', page)
    assert text, page
    return browser.post("/hours/clock/keep", text=unescape(text.group(1)), name="week.csv", **more)


def test_a_clocks_file_is_looked_at_and_logged_once(browser: Browser) -> None:
    page = sent(browser, "/hours/clock/read", WEEK, words=WORDS)
    assert page.status_code == 200, page.text
    assert "1 person, 1.5 labour-h" in page.text
    assert keep(browser, page.text).status_code == 303
    assert "P-2</a> dig, North, Mon Apr 5: 1.5 h" in browser.look("/hours").text
    again = sent(browser, "/hours/clock/read", WEEK, words="")
    assert "has these hours already" in again.text


def test_faults_are_told_and_nothing_is_logged(browser: Browser) -> None:
    bad = WEEK.replace(b"6:30 AM", b"4:00 AM")
    page = sent(browser, "/hours/clock/read", bad, words=WORDS)
    assert page.status_code in {400, 422}
    assert "write a later time" in page.text
    assert sent(browser, "/hours/clock/read", WEEK, words="columns are odd").status_code in {400, 422}
    assert "1.5 h" not in browser.look("/hours").text


def test_what_looks_odd_wants_its_tick(browser: Browser) -> None:
    long = WEEK.replace(b"4/5/2027 5:00 AM", b"4/4/2027 5:00 PM").replace(b"6:30 AM", b"6:30 AM")
    page = sent(browser, "/hours/clock/read", long, words=WORDS)
    assert "worked 13.5 h" in page.text
    refused = keep(browser, page.text)
    assert refused.status_code in {400, 409, 422}
    assert "tick the box" in refused.text
    assert keep(browser, page.text, accept="yes").status_code == 303
