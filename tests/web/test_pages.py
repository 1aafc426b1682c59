"""Every page answers, says what the terminal says, and a form that is refused comes back with its fault."""

from __future__ import annotations

import html
import re
import shutil
from pathlib import Path

import pytest
from starlette.testclient import TestClient

from planner.flow.keeping.jobs import load_job
from planner.web.app import application
from planner.web.desk import Desk
from planner.web.keys import Keys
from tests.web.conftest import HOST, MORNING, Browser


@pytest.mark.parametrize(
    "address",
    [
        *(
            "/",
            "/week",
            "/jobs",
            "/jobs/new",
            "/jobs/P-1",
            "/office",
            "/plan",
            "/season",
            "/hours",
            "/firm",
            "/undo",
        ),
        *("/firm/crew", "/firm/crew?name=North", "/firm/machine", "/firm/machine?name=excavator"),
    ],
)
def test_every_page_answers_with_its_policy(browser: Browser, address: str) -> None:
    page = browser.look(address)
    assert page.status_code == 200, page.text
    assert "default-src 'none'" in page.headers["content-security-policy"]
    assert "Traceback" not in page.text


def test_a_job_is_entered_by_form_and_names_are_escaped(browser: Browser) -> None:
    done = browser.post(
        "/jobs/save",
        code="P-7",
        client="<script>alert(1)</script>",
        promised="2027-06-01",
        **{"item.liner_ft2": "420"},
    )
    assert done.status_code == 303, done.text
    job = load_job(str(browser.db), "P-7").job
    assert (job.client, job.amount("liner_ft2")) == ("<script>alert(1)</script>", 420)
    assert "<script>alert" not in browser.look("/jobs").text


def test_a_refused_form_keeps_what_was_typed_and_names_the_field(browser: Browser) -> None:
    back = browser.post("/jobs/save", code="P-8", client="Reed", promised="soon", depth_in="deep")
    assert back.status_code == 422
    assert 'value="Reed"' in back.text
    assert 'value="deep"' in back.text
    assert back.text.count('class="fault"') == 2
    assert "P-8" not in browser.look("/jobs").text


def test_a_second_saver_is_told(browser: Browser) -> None:
    seen = str(load_job(str(browser.db), "P-1").revision)
    assert browser.post("/jobs/save", _code="P-1", _seen=seen, client="One").status_code == 303
    late = browser.post("/jobs/save", _code="P-1", _seen=seen, client="Two")
    assert late.status_code in (409, 422)
    assert load_job(str(browser.db), "P-1").job.client == "One"


def test_rain_takes_the_day_and_a_new_plan_is_published(browser: Browser) -> None:
    assert browser.post("/week/lost").status_code == 303
    number = browser.planned()
    assert browser.post("/plan/publish", number=number).headers["location"] == "/week"
    assert "rain" in browser.look("/week").text


def test_a_piece_is_moved_only_when_it_is_kept(browser: Browser) -> None:
    from planner.flow.season.plans import plan_heads

    form = {"job": "P-2", "phase": "dig", "crew": "South", "day": "2027-04-12"}
    before = len(plan_heads(str(browser.db)))
    seen = browser.post("/week/move/look", **form)
    assert seen.status_code == 200, seen.text
    assert "The season" in seen.text
    assert len(plan_heads(str(browser.db))) == before
    assert not load_job(str(browser.db), "P-2").job.pins
    kept = browser.post("/week/move/keep", **form)
    assert kept.status_code == 303, kept.text
    assert len(plan_heads(str(browser.db))) == before + 1
    pin = load_job(str(browser.db), "P-2").job.pins[0]
    assert (pin.crew, str(pin.start)) == ("South", "2027-04-12 07:00:00")


@pytest.mark.parametrize(
    ("field", "value"), [("day", "2027-03-01"), ("crew", "Nobody"), ("job", "X"), ("phase", "paint")]
)
def test_a_move_that_cannot_be_is_refused_in_one_line(browser: Browser, field: str, value: str) -> None:
    form = {"job": "P-2", "phase": "dig", "crew": "South", "day": "2027-04-12", field: value}
    answer = browser.post("/week/move/look", **form)
    assert answer.status_code == 422
    assert field in answer.text


def test_hours_are_logged_by_hand_and_taken_back(browser: Browser) -> None:
    form = {"job": "P-1", "phase": "dig", "crew": "North", "day": "2027-04-05", "hours": "6.5", "share": "60"}
    assert browser.post("/hours/log", **form).headers["location"] == "/hours"
    assert "6.5" in browser.look("/hours").text
    action = re.search(r'name="action" value="(\d+)"', browser.look("/undo").text)
    assert action
    assert browser.post("/undo/go", action=action.group(1)).status_code == 303
    assert "6.5" not in browser.look("/hours").text


def test_undo_is_refused_when_somebody_did_something_meanwhile(browser: Browser) -> None:
    action = re.search(r'name="action" value="(\d+)"', browser.look("/undo").text)
    assert action
    browser.post("/jobs/save", code="P-7", client="Reed")
    assert browser.post("/undo/go", action=action.group(1)).status_code == 409
    assert load_job(str(browser.db), "P-7").job.client == "Reed"


def test_crews_machines_and_the_firm_are_kept_by_form(browser: Browser) -> None:
    assert (
        browser.post("/firm/crew/save", name="East", lead="Cy", size="2", skills="plumbing").status_code
        == 303
    )
    assert browser.post("/firm/machine/save", key="truck", words="tipper", units="1").status_code == 303
    assert browser.post("/firm/save", name="Reed & Sons").status_code == 303
    page = browser.look("/firm").text
    assert "East" in page
    assert "truck" in page
    assert "Reed &amp; Sons" in page
    wrong = browser.post("/firm/crew/save", _name="East", size="many")
    assert wrong.status_code == 422
    assert 'value="many"' in wrong.text


def test_a_pasted_text_that_is_damaged_is_refused(browser: Browser) -> None:
    answer = browser.post("/hours/read", text="PLANNER DAY North 2027-04-05")
    assert answer.status_code == 422


def test_a_design_is_begun_looked_at_and_kept(browser: Browser) -> None:
    begun = browser.post(
        "/jobs/P-2/design/begin", shape="ellipse", length="16 ft", width="11 ft", depth="24 in", shelves="2"
    )
    assert begun.status_code == 200, begun.text
    assert "data:image/svg+xml;base64," in begun.text
    text = html.unescape(re.findall(r"<textarea[^>]*>(.*?)</textarea>", begun.text, re.DOTALL)[0])
    assert browser.look("/jobs/P-2/drawing.svg").status_code in (409, 422), "nothing is kept yet"
    wrong = browser.post("/jobs/P-2/design/look", text=text.replace("ellipse", "blob"), part="yes")
    assert "outline" in wrong.text
    assert "<html" not in wrong.text
    assert 'name="d.outline.length_ft" value="16"' in begun.text
    longer = browser.post("/jobs/P-2/design/look", text=text, part="yes", **{"d.outline.length_ft": "20"})
    assert "ellipse 20 x 11 ft" in longer.text
    odd = browser.post("/jobs/P-2/design/look", text=text, **{"d.outline.length_ft": "long"})
    assert 'value="long"' in odd.text, "nothing typed is lost"
    assert "length_ft" in odd.text
    kept = browser.post("/jobs/P-2/design/keep", text=text, agreed="yes", **{"d.outline.length_ft": "17"})
    assert kept.headers["location"] == "/jobs/P-2"
    assert 'value="17"' in browser.look("/jobs/P-2/design").text
    assert browser.look("/jobs/P-2/drawing.svg").headers["content-type"].startswith("image/svg+xml")
    assert "crew-h" in browser.look("/jobs/P-2/price?explain=yes").text


def test_a_first_day_leads_from_an_empty_book_to_a_published_week(tmp_path: Path, ready: Path) -> None:
    db = tmp_path / "season.sqlite3"
    shutil.copy(ready, db)
    keys = Keys()
    app = application(Desk(str(db), lambda: MORNING, keys), ["127.0.0.1:8000"])
    with TestClient(app, base_url=HOST) as client:
        client.get(f"/start/{keys.start_link('ada')}")
        browser = Browser(client, db, keys, [MORNING])
        empty = browser.look("/")
        assert empty.url.path == "/first"
        for field, value in (("name", ""), ("state", "Ohio"), ("shift_start", "late")):
            wrong = browser.post("/first/save", **{"name": "Fern & Sons", field: value})
            assert wrong.status_code == 422, field
            assert wrong.text.count('class="fault"') == 1, field
        kept = browser.post("/first/save", name="Fern & Sons", state="OH", shift_start="6:30", paid_h_day="8")
        assert kept.headers["location"] == "/firm/crew"
        assert 'href="/jobs/new"' in browser.look("/").text
        skills = "excavator stonework plumbing"
        assert (
            browser.post("/firm/crew/save", name="Heron", lead="Ada", size="3", skills=skills).status_code
            == 303
        )
        assert browser.post("/firm/machine/save", key="excavator", words="mini", units="1").status_code == 303
        amounts = {"item.dig_machine_cy": "9", "item.liner_ft2": "300", "item.fill_gal": "900"}
        kept = browser.post(
            "/jobs/save", code="F-1", client="Marsh", status="sold", promised="2027-06-30", **amounts
        )
        assert kept.status_code == 303, kept.text
        assert browser.planned() == "1"
        assert browser.post("/plan/publish", number="1").headers["location"] == "/week"
        assert "F-1" in browser.look("/season").text
