"""A crew's link opens that crew's days and nothing else; what it sends counts once."""

from __future__ import annotations

import re
from datetime import date, datetime, time, timedelta

import pytest
from PIL import Image

from planner.flow.crew_day.links import crew_of, cut_link, renew_link
from planner.flow.crew_day.sheet import crew_sheets
from planner.flow.hours.logs import list_logs
from planner.flow.keeping.photos import list_photos, read_photo
from planner.web.keys import Tries
from tests.walkthrough import returned
from tests.web.conftest import HOST, Browser, picture

OURS = {"sec-fetch-site": "same-origin", "origin": HOST, "content-type": "text/plain"}


def test_the_link_shows_the_sheet_without_a_session_and_no_other_page(browser: Browser) -> None:
    db = str(browser.db)
    days = [date(2027, 4, 5) + timedelta(days=n) for n in range(40)]
    day = next(d for d in days if crew_sheets(db, "North", [d])[0].tasks)
    browser.clock[0] = datetime.combine(day, time(6, 45))
    word = renew_link(db, "North")
    browser.client.cookies.clear()
    page = browser.look(f"/c/{word}")
    assert page.status_code == 200
    assert f'data-to="/c/{word}/back"' in page.text
    assert "South" not in page.text
    assert "$" not in re.sub(r"<script>.*?</script>", "", page.text, flags=re.DOTALL)
    for address in ("/", "/jobs", "/plan", "/firm", "/links", "/sheet/North", f"/c/{word}/../../jobs", "/c/"):
        assert browser.look(address).status_code in (403, 404), address


def test_renewed_and_cut_links_stop_to_work(browser: Browser) -> None:
    old = renew_link(str(browser.db), "North")
    new = renew_link(str(browser.db), "North")
    assert old != new
    assert browser.look(f"/c/{old}").status_code == 404
    assert browser.look(f"/c/{new}").status_code == 200
    assert cut_link(str(browser.db), "North")
    assert browser.look(f"/c/{new}").status_code == 404
    assert renew_link(str(browser.db), "North") not in (old, new)
    place = browser.db.with_name("crew-links.json")
    assert place.stat().st_mode & 0o777 == 0o600
    assert new not in place.read_text("utf-8")


def test_a_wrong_word_is_tried_only_so_often(browser: Browser) -> None:
    word = renew_link(str(browser.db), "North")
    for n in range(20):
        assert browser.look(f"/c/{n:032x}").status_code == 404
    assert browser.look(f"/c/{word}").status_code == 404, "the right word waits too"
    assert crew_of(str(browser.db), word) == "North"


def test_another_crews_text_and_nonsense_are_not_kept(browser: Browser) -> None:
    word = renew_link(str(browser.db), "South")
    before = len(list_logs(str(browser.db))[0])
    for text in ("", "hello", "DAYSHEET-AAAA-00000000", "x" * 100_000):
        assert browser.client.post(f"/c/{word}/back", content=text, headers=OURS).status_code in (409, 422)
    assert len(list_logs(str(browser.db))[0]) == before


def test_a_post_from_another_site_is_refused(browser: Browser) -> None:
    word = renew_link(str(browser.db), "North")
    foreign = {"origin": "http://evil.example", "content-type": "text/plain"}
    assert browser.client.post(f"/c/{word}/back", content="x", headers=foreign).status_code == 403


def test_tries_wait_for_a_while_only_and_only_where_they_came_from() -> None:
    clock = [0.0]
    tries = Tries(20, lambda: clock[0])
    for _ in range(20):
        assert not tries.too_many("here")
        tries.wrong("here")
    assert tries.too_many("here")
    assert not tries.too_many("there")
    for n in range(180):
        tries.wrong(f"from {n}")
    assert tries.too_many("there"), "many addresses together wait as well"
    clock[0] = Tries.WINDOW_S + 1
    assert not tries.too_many("here")


@pytest.mark.parametrize("crew", ["Nobody", "", "../North"])
def test_no_link_for_a_crew_that_is_not_there(browser: Browser, crew: str) -> None:
    assert browser.post("/links/renew", crew=crew).status_code == 422


def test_the_office_sees_each_crews_link_with_its_picture(browser: Browser) -> None:
    assert browser.post("/links/renew", crew="North").headers["location"] == "/links"
    page = browser.look("/links").text
    assert page.count("data:image/svg+xml") == 1
    assert "/c/" in page


def test_the_days_text_comes_straight_back_and_counts_once(
    browser: Browser, monkeypatch: pytest.MonkeyPatch
) -> None:
    db = str(browser.db)
    days = [date(2027, 4, 5) + timedelta(days=n) for n in range(40)]
    day = next(d for d in days if crew_sheets(db, "South", [d])[0].tasks)
    browser.clock[0] = datetime.combine(day, time(17, 0))
    word, other = renew_link(db, "South"), renew_link(db, "North")
    monkeypatch.setenv("PLANNER_DB", db)
    text = returned("South", day)
    assert browser.client.post(f"/c/{other}/back", content=text, headers=OURS).status_code == 409
    before = len(list_logs(db)[0])
    first = browser.client.post(f"/c/{word}/back", content=text, headers=OURS)
    assert first.status_code == 200, first.text
    logged = len(list_logs(db)[0])
    assert logged > before
    again = browser.client.post(f"/c/{word}/back", content=text, headers=OURS)
    assert "already" in again.text
    assert len(list_logs(db)[0]) == logged


def test_paper_carries_the_crews_page_as_a_code_once_it_is_shared(browser: Browser) -> None:
    day = next(
        d
        for n in range(40)
        if crew_sheets(str(browser.db), "North", [d := date(2027, 4, 5) + timedelta(days=n)])[0].tasks
    )
    word = renew_link(str(browser.db), "North")
    assert f"/c/{word}" not in browser.look(f"/sheet/North?day={day}").text
    browser.client.app.state.desk.sharing.base = "http://192.0.2.7:8000"  # type: ignore[attr-defined]
    page = browser.look(f"/sheet/North?day={day}").text
    assert f"http://192.0.2.7:8000/c/{word}" in page and 'img src="data:image/svg+xml' in page


def test_a_leads_photo_is_made_anew_kept_once_and_only_of_the_crews_own_job(browser: Browser) -> None:
    db = str(browser.db)
    days = [date(2027, 4, 5) + timedelta(days=n) for n in range(40)]
    day = next(d for d in days if crew_sheets(db, "South", [d])[0].tasks)
    job = crew_sheets(db, "South", [day])[0].tasks[0].stint.key.job
    browser.clock[0] = datetime.combine(day, time(15, 0))
    word = renew_link(db, "South")
    assert f'data-photos="/c/{word}/photo"' in browser.look(f"/c/{word}").text
    sent = picture(exif=_placed(), size=(1200, 900))
    at = f"/c/{word}/photo?job={job}"
    done = browser.client.post(at, content=sent, headers=OURS)
    assert done.status_code == 200, done.text
    assert browser.client.post(at, content=sent, headers=OURS).status_code == 200
    (photo,) = list_photos(db, job)
    assert b"Phone of Ada" not in read_photo(db, job, photo.name)
    for other in ("P-999", "../x", ""):
        assert (
            browser.client.post(f"/c/{word}/photo?job={other}", content=sent, headers=OURS).status_code == 409
        )
    assert browser.client.post(at, content=b"<script>", headers=OURS).status_code == 422
    assert browser.client.post(at, content=b"x" * 12_000_001, headers=OURS).status_code == 413
    assert (
        browser.client.post(at, content=sent, headers={**OURS, "origin": "http://evil.example"}).status_code
        == 403
    )
    cut_link(db, "South")
    assert browser.client.post(at, content=sent, headers=OURS).status_code == 404
    assert len(list_photos(db, job)) == 1


def _placed() -> bytes:
    exif = Image.Exif()
    exif[0x010F] = "Phone of Ada"  # TIFF tag Make
    exif.get_ifd(0x8825)[2] = (40.0, 6.0, 43.0)  # GPSLatitude
    return exif.tobytes()
