"""The plan's pages: made while one watches, stopped, compared, gone back to; why, what if, a promise."""

from __future__ import annotations

import json
import re

import pytest

from planner.flow.season.plans import plan_heads
from tests.web.conftest import Browser


def test_a_plan_is_made_while_one_watches_and_a_stop_keeps_the_best(browser: Browser) -> None:
    before = len(plan_heads(str(browser.db)))
    begun = browser.post("/plan/make", seconds="500")
    assert begun.headers["location"] == "/work"
    seen = browser.look("/work").text
    assert "planning the season" in seen.lower()
    assert 'data-events="/work/events"' in seen
    assert '<meta http-equiv="refresh"' in seen, "without a script the page renews itself"
    twice = browser.post("/plan/make", seconds="1")
    assert twice.status_code == 409
    assert "ada is at it already" in twice.text
    assert browser.post("/work/stop").headers["location"] == "/work"
    kept = browser.worked(begun)
    assert kept.status_code == 303
    assert len(plan_heads(str(browser.db))) == before + 1
    assert "saved as draft" in browser.look(kept.headers["location"]).text


def test_the_events_tell_how_far_it_is_and_end_with_the_work(browser: Browser) -> None:
    browser.post("/plan/make", seconds="1")
    with browser.client.stream("GET", "/work/events") as told:
        assert told.headers["content-type"].startswith("text/event-stream")
        lines = [line for line in told.iter_lines() if line]
    assert lines[-2:] == ["event: over", "data: {}"]
    assert {"line", "seconds"} == set(json.loads(lines[0].removeprefix("data: ")))
    browser.client.cookies.clear()
    assert browser.look("/work/events").status_code == 403


def test_a_refusal_of_the_work_is_its_page_and_then_the_desk_is_free(browser: Browser) -> None:
    refused = browser.worked(browser.post("/plan/what-if/try", crew="North", size="99"))
    assert refused.status_code == 409
    assert "1 to 12" in refused.text
    assert browser.look("/work").url.path == "/plan"


@pytest.mark.parametrize("seconds", ["0", "-1", "3601", "many"])
def test_a_search_without_sense_is_refused(browser: Browser, seconds: str) -> None:
    assert browser.post("/plan/make", seconds=seconds).status_code == 422


def test_two_plans_are_compared_one_is_published_and_one_gone_back_to(browser: Browser) -> None:
    heads = [h for h in plan_heads(str(browser.db)) if h.published_at]
    counts = heads[0].number
    draft = browser.planned(how="order")
    seen = browser.look(f"/plan/differ?old={counts}&new={draft}")
    assert seen.status_code == 200
    assert f"plan {counts} (published) to" in seen.text or f"plan {counts}, published to" in seen.text
    assert browser.post("/plan/publish", number=draft).headers["location"] == "/week"
    assert browser.post("/plan/back").status_code == 409, "hours were logged since: it is stale"
    gone = browser.post("/plan/back", even_so="yes")
    assert gone.status_code == 303, gone.text
    told = {h.number: h.published_at for h in plan_heads(str(browser.db)) if h.published_at}
    assert max(told, key=lambda n: told[n]) == counts


def test_why_and_what_would_help_are_told(browser: Browser) -> None:
    assert browser.look("/plan/why").status_code == 409, "a stale plan's reasons are not today's"
    browser.post("/plan/publish", number=browser.planned(how="order"))
    assert "what holds" in browser.look("/plan/why").text
    eased = browser.worked(browser.client.get("/plan/why?relief=yes", follow_redirects=False))
    assert eased.status_code == 200
    assert "what holds" in eased.text
    assert browser.look("/work").text.count("what holds") == 1, "the answer stays on a reload"


def test_what_if_tells_each_way_and_keeps_nothing(browser: Browser) -> None:
    before = len(plan_heads(str(browser.db)))
    done = browser.worked(browser.post("/plan/what-if/try", people="3", seconds="0.3"))
    assert "one more crew of 3" in done.text
    assert "as it is" in done.text
    assert len(plan_heads(str(browser.db))) == before
    assert browser.post("/plan/what-if/try").status_code == 422


def test_an_inquiry_is_offered_a_date_and_its_place_held(browser: Browser) -> None:
    amounts = {"item.dig_machine_cy": "4", "item.liner_ft2": "200", "item.fill_gal": "600"}
    browser.post("/jobs/save", code="I-1", client="Reed", status="inquiry", **amounts)
    assert "Which date to promise" in browser.look("/jobs/I-1").text
    page = browser.look("/jobs/I-1/promise")
    assert page.status_code == 200, page.text
    held = browser.post("/jobs/I-1/promise/hold", until="2027-04-06")
    assert held.status_code == 303, held.text
    assert "Give the place up" in browser.look("/jobs/I-1/promise").text
    assert browser.post("/jobs/I-1/promise/drop").headers["location"] == "/jobs/I-1"


def test_the_season_stands_in_the_frame_zooms_and_leads_to_the_job(browser: Browser) -> None:
    page = browser.look("/season").text
    assert 'aria-current="page">Season' in page
    assert 'href="/jobs/P-1"' in page
    wide = {zoom: _width(browser.look(f"/season?zoom={zoom}").text) for zoom in (1, 2, 4)}
    weeks = (wide[2] - wide[1], (wide[4] - wide[2]) / 2)
    assert weeks[0] == weeks[1] > 0, "each week is twice and four times as wide; the names beside are not"
    assert browser.look("/season?zoom=3").status_code == 422
    assert "P-1" in browser.look("/season/jobs.csv").text
    assert "/jobs/P-1" not in browser.look("/season/paper").text, "a file leads nowhere"


def test_the_chances_stand_on_the_season_until_something_changes(browser: Browser) -> None:
    assert "Chance to keep it" not in browser.look("/season").text
    assert (
        "Chances of the promises"
        in browser.worked(browser.client.get("/plan/chance", follow_redirects=False)).text
    )
    page = browser.look("/season").text
    assert "Chance to keep it" in page
    assert re.search(r"<td>\d+ ?%", page)
    browser.post("/jobs/save", code="Z-1", client="Reed")
    assert "Chance to keep it" not in browser.look("/season").text


def _width(page: str) -> float:
    found = re.search(r'class="season[^"]*"[^>]* viewBox="0 0 ([\d.]+)', page)
    assert found
    return float(found[1])
