"""Visits and held places by form: entered, changed, seen by a second person, refused at their field."""

from __future__ import annotations

import re
from datetime import date

import pytest

from planner.domain.firm.phases import Phase
from planner.flow.keeping.jobs import load_job
from planner.flow.season.promise import holds
from tests.web.conftest import Browser


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


def _form_of(page: str) -> dict[str, str]:
    """What the page's visit form carries besides what is typed."""
    return {
        name: re.search(rf'name="{name}" value="([^"]*)"', page)[1]  # type: ignore[index]
        for name in ("_code", "_seen")
    }
