"""The office keeps its records by form: days off, pins, needs, sheets in and out, copies, history, guide."""

from __future__ import annotations

import re
from base64 import b64encode
from dataclasses import replace
from datetime import date, datetime
from pathlib import Path

import pytest

from planner.cli.keeping.files import KINDS as TERMINAL_KINDS
from planner.cli.keeping.history import NOUNS as TERMINAL_NOUNS
from planner.domain.firm.jobs import DayRange
from planner.domain.firm.phases import Phase
from planner.domain.firm.records import NOUNS
from planner.flow.keeping.crews import edit_crew, load_crews
from planner.flow.keeping.files import FIRM, export_text
from planner.flow.keeping.firm import load_firm
from planner.flow.keeping.jobs import load_job
from planner.flow.keeping.kinds import KINDS
from planner.flow.keeping.machines import load_machines
from planner.web.keeping.tables import SHEET_BYTES
from tests.web.conftest import HOST, Browser

JULY = DayRange(date(2027, 7, 6), date(2027, 7, 9), "holiday")


def test_a_crews_days_off_are_kept_and_taken_away(browser: Browser) -> None:
    days = {"first": "2027-07-06", "last": "2027-07-09", "why": "holiday"}
    name = load_crews(str(browser.db))[0].name
    assert browser.post("/firm/crew/away", name=name, **days).status_code == 303
    assert JULY in load_crews(str(browser.db))[0].days_off
    assert "holiday" in browser.look(f"/firm/crew?name={name}").text
    assert browser.post("/firm/crew/away", name=name, **days, drop="yes").status_code == 303
    assert JULY not in load_crews(str(browser.db))[0].days_off


def test_people_are_named_lent_and_taken_off_on_their_crews_form(browser: Browser) -> None:
    home, host = (crew.name for crew in load_crews(str(browser.db))[:2])
    sent = {"crew": home, "name": "Ada Marsh", "may": "tow stonework", "counts": "0.5", "_new": "yes"}
    assert browser.post("/firm/person/save", **sent).status_code == 303
    wrong = browser.post("/firm/person/save", **{**sent, "name": "Ben", "may": "tpw"})
    assert wrong.status_code == 422
    assert "tow" in re.sub(r"<[^>]+>", "", wrong.text)
    lent = {"name": "Ada Marsh", "to": host, "first": "2027-07-06", "last": "2027-07-09"}
    assert browser.post("/firm/person/away", **lent).status_code == 303
    assert "Ada Marsh comes from" in browser.look(f"/firm/crew?name={host}").text
    assert browser.post("/firm/person/away", **lent, drop="yes").status_code == 303
    assert browser.post("/firm/person/away", **{**lent, "to": ""}, why="course").status_code == 303
    assert "course" in browser.look(f"/firm/crew?name={home}").text
    assert browser.post("/firm/person/remove", name="Ada Marsh").status_code == 303
    assert not any(crew.people for crew in load_crews(str(browser.db)))


def test_a_machine_is_out_for_some_days(browser: Browser) -> None:
    key = load_machines(str(browser.db))[0][0].key
    sent = {"name": key, "first": "2027-06-01", "last": "2027-06-03", "why": "service"}
    assert browser.post("/firm/machine/away", **sent, units="1").status_code == 303
    out = load_machines(str(browser.db))[0][0].out[-1]
    assert (out.days.first, out.days.last, out.units) == (date(2027, 6, 1), date(2027, 6, 3), 1)
    wrong = browser.post("/firm/machine/away", **sent, units="many")
    assert wrong.status_code == 422
    assert "how many" in wrong.text
    assert browser.post("/firm/machine/away", **sent, drop="yes").status_code == 303
    assert out not in load_machines(str(browser.db))[0][0].out


def test_the_firm_closes_works_saturdays_and_half_days(browser: Browser) -> None:
    browser.post("/firm/closed", first="2027-07-05", last="2027-07-09", why="summer break")
    browser.post("/firm/worked", day="2027-05-01")
    browser.post("/firm/half-day", day="2027-07-02")
    firm = load_firm(str(browser.db))
    assert DayRange(date(2027, 7, 5), date(2027, 7, 9), "summer break") in firm.days_off
    assert date(2027, 5, 1) in firm.work_days
    assert date(2027, 7, 2) in firm.half_days
    page = browser.look("/firm").text
    assert "summer break" in page
    browser.post("/firm/worked", day="2027-05-01", drop="yes")
    assert date(2027, 5, 1) not in load_firm(str(browser.db)).work_days
    assert browser.post("/firm/worked", day="2027-05-01", drop="yes").status_code == 422
    assert browser.post("/firm/closed", first="2027-07-05", last="2027-07-01").status_code == 422


def test_a_booked_crew_goes_only_when_it_is_said_twice(browser: Browser) -> None:
    name = load_crews(str(browser.db))[0].name
    refused = browser.post("/firm/crew/remove", name=name)
    assert refused.status_code == 409
    assert "is booked in published plan" in refused.text
    assert browser.post("/firm/crew/remove", name=name, even_so="yes").status_code == 303
    assert name not in {c.name for c in load_crews(str(browser.db))}


def test_a_phase_is_pinned_and_let_go(browser: Browser) -> None:
    crew = load_crews(str(browser.db))[0].name
    assert browser.post("/jobs/P-2/pin", phase="rock", crew=crew, start="2027-05-04T07:00").status_code == 303
    (pin,) = load_job(str(browser.db), "P-2").job.pins
    assert (pin.phase, pin.crew, pin.start) == (Phase.ROCK, crew, datetime(2027, 5, 4, 7))
    assert "Let go" in browser.look("/jobs/P-2").text
    assert browser.post("/jobs/P-2/pin", phase="rock").status_code == 422
    assert browser.post("/jobs/P-2/pin", phase="rock", crew="Nobody").status_code == 422
    assert browser.post("/jobs/P-2/pin", phase="rock", drop="yes").status_code == 303
    assert not load_job(str(browser.db), "P-2").job.pins


def test_a_job_has_needs_of_its_own(browser: Browser) -> None:
    sent = {"phase": "dig", "own_skills": "yes", "skills": "", "own_machines": "yes", "machines": "barrow=2"}
    assert browser.post("/jobs/P-2/need", **sent).status_code == 303
    need = load_job(str(browser.db), "P-2").job.needs[Phase.DIG]
    assert need.skills == frozenset()
    assert need.machines is not None
    assert dict(need.machines) == {"barrow": 2}
    assert "2 barrow" in browser.look("/jobs/P-2").text
    assert browser.post("/jobs/P-2/need", phase="dig").status_code == 422
    assert browser.post("/jobs/P-2/need", phase="dig", drop="yes").status_code == 303
    assert not load_job(str(browser.db), "P-2").job.needs


@pytest.mark.parametrize("what", ["crew", "machine", "firm"])
def test_the_second_saver_of_any_form_is_told_and_keeps_his_text(browser: Browser, what: str) -> None:
    if what == "firm":
        page, save, named = "/firm", "/firm/save", {}
        mine, theirs, left = "phone", "daily_setup_h", "road_mph"
    elif what == "crew":
        name = load_crews(str(browser.db))[0].name
        page, save, named = f"/firm/crew?name={name}", "/firm/crew/save", {"_name": name}
        mine, theirs, left = "lead", "pace", "size"
    else:
        name = load_machines(str(browser.db))[0][0].key
        page, save, named = f"/firm/machine?name={name}", "/firm/machine/save", {"_name": name}
        mine, theirs, left = "words", "move_h", "move_cost_usd"
    form = browser.look(page).text
    seen = re.search(r'name="_seen" value="(\d+)"', form)
    assert seen
    held = {field: _value(form, field) for field in (mine, theirs, left)}
    first = {**held, theirs: "2", left: "5"}
    assert browser.post(save, _seen=seen.group(1), **named, **first).status_code == 303
    late = browser.post(save, _seen=seen.group(1), **named, **{**held, mine: "later", left: "1"})
    assert late.status_code == 409
    assert "nothing was written yet" in late.text
    assert re.search(rf"ada, \d\d:\d\d: .*{theirs.rpartition('_')[0] or theirs}", late.text)
    assert _value(late.text, mine) == "later"
    assert _value(late.text, theirs) == "2", "what he did not touch is as it stands now"
    assert _value(late.text, left) == "1"
    assert "ada wrote 5 here meanwhile" in late.text
    again = re.search(r'name="_seen" value="(\d+)"', late.text)
    assert again
    fields = {mine: "later", theirs: "2", left: "1"}
    assert browser.post(save, _seen=again.group(1), **named, **fields).status_code == 303
    assert _value(browser.look(page).text, mine) == "later"


def _value(page: str, field: str) -> str:
    found = re.search(rf'name="{field}" value="([^"]*)"', page)
    assert found, field
    return found.group(1)


def _sheet(browser: Browser, address: str, content: bytes, **fields: str) -> str:
    answer = browser.client.post(
        address,
        data={"_token": browser.token(), **fields},
        files={"file": ("sheet.csv", content, "text/csv")},
        headers={"sec-fetch-site": "same-origin", "origin": HOST},
        follow_redirects=False,
    )
    return f"{answer.status_code} {answer.text}"


def test_a_sheet_is_looked_at_and_then_read_in(browser: Browser) -> None:
    assert (*KINDS, FIRM) == TERMINAL_KINDS
    told = browser.look("/firm/tables/crews.csv")
    assert "attachment" in told.headers["content-disposition"]
    assert told.text == export_text(str(browser.db), "crews", to_file=True)
    name = load_crews(str(browser.db))[0].name
    edited = f"name,lead\n{name},Zoe Invented\n".encode()
    seen = _sheet(browser, "/firm/tables/look", edited, kind="crews")
    assert f"1 changed: {name}" in seen
    assert load_crews(str(browser.db))[0].lead != "Zoe Invented", "nothing is changed by a look"
    content = re.search(r'name="content" value="([^"]+)"', seen)
    assert content
    done = browser.post("/firm/tables/read", kind="crews", name="sheet.csv", content=content.group(1))
    assert done.status_code == 303
    assert load_crews(str(browser.db))[0].lead == "Zoe Invented"
    assert "Everything stands in the book" in _sheet(browser, "/firm/tables/look", edited, kind="crews")


def test_every_fault_of_a_sheet_is_told_and_nothing_kept(browser: Browser) -> None:
    seen = _sheet(browser, "/firm/tables/look", b"code,client,depth_in\nZ-1,Ida,deep\nZ-2,,9\n", kind="jobs")
    assert seen.startswith("422")
    assert "sheet.csv line 2" in seen
    wrong = browser.post(
        "/firm/tables/read", kind="jobs", content=b64encode(b"code,client,depth_in\nZ-1,Ida,deep\n").decode()
    )
    assert wrong.status_code == 422
    assert "Z-1" not in browser.look("/jobs").text
    assert browser.post("/firm/tables/read", kind="jobs", content="%%%").status_code == 422
    assert _sheet(browser, "/firm/tables/look", b"x", kind="stones").startswith("422")
    assert _sheet(browser, "/firm/tables/look", b"x" * (SHEET_BYTES + 1), kind="jobs").startswith("422")
    assert browser.look("/firm/tables/stones.csv").status_code == 422


def test_an_empty_sheet_can_be_filled_in(browser: Browser) -> None:
    empty = browser.look("/firm/tables/jobs-empty.csv").text
    assert "#:" in empty
    filled = empty.encode() + b"Z-9,Ida Example\n"
    columns = empty.lstrip("\ufeff").splitlines()[0].split(",")
    assert columns[:2] == ["code", "client"]
    assert "1 new: Z-9" in _sheet(browser, "/firm/tables/look", filled, kind="jobs")


def test_the_whole_firm_goes_into_an_empty_book_only(browser: Browser) -> None:
    whole = browser.look("/firm/tables/firm.json")
    assert whole.headers["content-type"].startswith("application/json")
    assert _sheet(browser, "/firm/tables/firm", whole.content).startswith("4")
    assert "is not empty" in _sheet(browser, "/firm/tables/firm", whole.content)


def test_a_copy_is_brought_back_and_the_pages_follow(browser: Browser) -> None:
    page = browser.post("/firm/database/copy")
    assert page.status_code == 303
    browser.post("/jobs/save", code="F-9", client="Fern Reed")
    assert "Fern Reed" in browser.look("/jobs?words=F-9").text
    path = re.search(
        r'<option value="([^"]+)"', browser.look("/firm/database").text.partition("choose one")[2]
    )
    assert path
    assert browser.post("/firm/database/restore", copy=path.group(1)).status_code == 422
    back = browser.post("/firm/database/restore", copy=path.group(1), sure="yes")
    assert back.headers["location"] == "/firm/database?check=yes"
    assert "the book as it was before is kept at" in browser.look("/firm/database?check=yes").text
    assert "Fern Reed" not in browser.look("/jobs").text
    assert browser.post("/firm/database/restore", sure="yes").status_code == 422
    assert browser.post("/firm/database/restore", sure="yes", other="/etc/passwd").status_code in (409, 422)


def test_a_copy_goes_to_a_named_file_but_never_over_one(browser: Browser, tmp_path: Path) -> None:
    stick = tmp_path / "stick.sqlite3"
    assert browser.post("/firm/database/copy", to=str(stick)).status_code == 303
    assert stick.read_bytes()[:6] == b"SQLite"
    assert browser.post("/firm/database/copy", to=str(stick)).status_code == 422


def test_the_history_is_narrowed_and_the_guide_read(browser: Browser) -> None:
    assert NOUNS == TERMINAL_NOUNS
    crew = load_crews(str(browser.db))[0]
    edit_crew(str(browser.db), "zoe", crew.name, lambda c: replace(c, lead="Another"))
    assert "zoe" in browser.look("/history?noun=crew").text
    assert "zoe" not in browser.look("/history?noun=job").text
    assert browser.look("/history?noun=cow").status_code == 422
    topics = re.findall(r'<dt><a href="(/guide/[a-z-]+)"', browser.look("/guide").text)
    assert len(topics) > 15
    for topic in topics:
        page = browser.look(topic)
        assert page.status_code == 200, topic
        for link in re.findall(r'href="(/guide/[a-z-]+)"', page.text):
            assert browser.look(link).status_code == 200
    assert browser.look("/guide/nothing").status_code == 422
