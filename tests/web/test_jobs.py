"""A job's pages: searched, copied, called back, its gates and days, photos, and two people at once."""

from __future__ import annotations

import re
from datetime import date
from io import BytesIO
from pathlib import Path

import httpx2 as httpx
import pytest
from PIL import Image

from planner.flow.keeping.jobs import load_job
from planner.store.safekeeping.photos import MOST_BYTES
from tests.web.conftest import HOST, Browser, picture

OURS = {"sec-fetch-site": "same-origin", "origin": HOST}


def send(browser: Browser, content: bytes, code: str = "P-1", name: str = "a.jpg") -> httpx.Response:
    files = {"photo": (name, content, "image/jpeg")}
    form = {"_token": browser.token()}
    address = f"/jobs/{code}/photo"
    return browser.client.post(address, data=form, files=files, headers=OURS, follow_redirects=False)


def test_jobs_are_found_by_their_words_and_state(browser: Browser) -> None:
    client = load_job(str(browser.db), "P-1").job.client
    page = browser.look(f"/jobs?words={client.lower()}").text
    assert ">P-1<" in page
    assert ">P-3<" not in page
    assert "No job fits" in browser.look("/jobs?words=nobody-there").text
    assert ">P-1<" not in browser.look("/jobs?status=done").text
    assert browser.look("/jobs?status=half").status_code == 422


def test_a_job_is_copied_at_another_size_and_called_back(browser: Browser) -> None:
    held = load_job(str(browser.db), "P-1").job
    page = browser.look("/jobs/new?like=P-1&size=2").text
    amount = re.search(r'name="item.liner_ft2" value="([\d.]+)"', page)
    assert amount
    assert float(amount.group(1)) == pytest.approx(2 * held.amount("liner_ft2"), abs=0.6)
    assert f'value="{held.client}"' not in page
    again = browser.look("/jobs/new?again=P-1").text
    assert f'value="{held.client}"' in again
    assert "called back after P-1" in again
    assert 'name="item.liner_ft2" value=""' in again


def test_a_job_goes_from_sold_to_done_and_cannot_be_anything(browser: Browser) -> None:
    assert browser.post("/jobs/P-2/status", status="under way").status_code == 303
    assert browser.post("/jobs/P-2/status", status="done").status_code == 303
    assert load_job(str(browser.db), "P-2").job.status.value == "done"
    assert browser.post("/jobs/P-2/status", status="half done").status_code == 422


def test_gates_and_days_without_crews_are_kept_met_and_taken_away(browser: Browser) -> None:
    gate = {"kind": "material arrival", "opens": "2027-05-03", "phase": "rock", "note": "12 ton"}
    assert browser.post("/jobs/P-2/gate", **gate).status_code == 303
    assert browser.post("/jobs/P-2/gate", **gate, met="yes").status_code == 303
    job = load_job(str(browser.db), "P-2").job
    assert [g.met for g in job.gates if g.kind.value == "material arrival"] == [True]
    assert browser.post("/jobs/P-2/gate", **gate, drop="yes").status_code == 303
    assert browser.post("/jobs/P-2/gate", **{**gate, "opens": "soon"}).status_code == 422
    assert browser.post("/jobs/P-2/blackout", first="2027-05-08", last="2027-05-07").status_code == 422
    assert browser.post("/jobs/P-2/blackout", first="2027-05-08", why="wedding").status_code == 303
    held = load_job(str(browser.db), "P-2").job
    assert [(d.first, d.why) for d in held.blackouts] == [(date(2027, 5, 8), "wedding")]
    assert "wedding" in browser.look("/jobs/P-2").text
    assert browser.post("/jobs/P-2/blackout", first="2027-05-08", drop="yes").status_code == 303


def test_a_photo_is_made_anew_without_place_and_device(browser: Browser) -> None:
    exif = Image.Exif()
    exif[0x010F] = "Phone of Ada"  # TIFF tag Make
    exif.get_ifd(0x8825)[2] = (40.0, 6.0, 43.0)  # GPSLatitude
    sent = picture(exif=exif.tobytes(), size=(2600, 1300))
    assert b"Phone of Ada" in sent
    assert send(browser, sent).status_code == 303
    (folder,) = (browser.db.with_name("season.photos")).iterdir()
    (kept,) = folder.iterdir()
    assert "P-1" not in str(kept.relative_to(browser.db.parent))
    assert b"Phone of Ada" not in kept.read_bytes()
    with Image.open(kept) as opened:
        assert not dict(opened.getexif())
        assert opened.size == (2000, 1000)
    assert kept.stat().st_mode & 0o777 == 0o600
    assert send(browser, sent).status_code == 303
    assert len(list(folder.iterdir())) == 1, "the same picture is kept once"
    address = f"/jobs/P-1/photo/{kept.name}"
    assert address in browser.look("/jobs/P-1").text
    shown = browser.look(address)
    assert shown.headers["content-type"] == "image/jpeg"
    assert shown.headers["x-content-type-options"] == "nosniff"
    assert browser.post("/jobs/P-1/photo/drop", name=kept.name).status_code == 303
    assert not list(folder.iterdir())


@pytest.mark.parametrize(
    "content",
    [
        b"<script>alert(1)</script>",
        b"",
        b"GIF89a" + b"\0" * 40,
        picture()[:200],
        b"\xff\xd8\xff\xe0" + b"<html>" * 50,
        b"x" * (MOST_BYTES + 1),
        b"<svg xmlns='http://www.w3.org/2000/svg'><script>alert(1)</script></svg>",
    ],
    ids=["script", "nothing", "gif", "half", "false head", "too long", "svg"],
)
def test_a_picture_that_is_no_picture_is_refused(browser: Browser, content: bytes) -> None:
    assert send(browser, content).status_code == 422
    assert not list(browser.db.parent.rglob("*.jpg"))


def test_a_picture_of_too_many_dots_is_refused_before_it_is_unpacked(browser: Browser) -> None:
    bomb = BytesIO()
    Image.new("1", (20_000, 20_000)).save(bomb, "PNG")
    assert len(bomb.getvalue()) < 100_000
    refused = send(browser, bomb.getvalue())
    assert refused.status_code == 422
    assert "dots" in refused.text or "picture" in refused.text


@pytest.mark.parametrize("name", ["../season.sqlite3", "..%2Fseason.sqlite3", "%2e%2e/x", "x.jpg"])
def test_no_other_file_is_shown_as_a_photo(browser: Browser, name: str) -> None:
    send(browser, picture())
    assert browser.look(f"/jobs/P-1/photo/{name}").status_code in (404, 422)
    assert browser.post("/jobs/P-1/photo/drop", name=name).status_code == 422
    assert browser.db.exists()


def test_a_client_who_is_forgotten_leaves_no_photo(browser: Browser) -> None:
    browser.post("/jobs/save", code="F-9", client="Fern Reed", status="inquiry")
    assert send(browser, picture(), "F-9").status_code == 303
    assert send(browser, picture("PNG"), "nobody").status_code in (404, 409, 422)
    assert browser.post("/jobs/F-9/forget").status_code == 422
    assert browser.post("/jobs/F-9/forget", sure="yes").status_code == 303
    assert "Fern Reed" not in browser.look("/jobs").text
    assert not list(Path(browser.db.parent).rglob("*.jpg"))


def test_the_second_of_two_savers_is_told_who_changed_what_and_keeps_his_text(browser: Browser) -> None:
    card = load_job(str(browser.db), "P-1")
    seen, form = str(card.revision), {"client": card.job.client, "notes": card.job.notes, "depth_in": "24"}
    first = {**form, "client": "Reed", "depth_in": "30"}
    assert browser.post("/jobs/save", _code="P-1", _seen=seen, **first).status_code == 303
    late = browser.post(
        "/jobs/save", _code="P-1", _seen=seen, **{**form, "notes": "a gate", "depth_in": "18"}
    )
    assert late.status_code == 409
    assert "ada" in late.text
    assert "nothing was written yet" in late.text
    assert re.search(r"client .* → Reed", late.text)
    assert 'name="client" value="Reed"' in late.text, "what he did not touch is as it stands now"
    assert ">a gate</textarea>" in late.text
    assert 'name="depth_in" value="18"' in late.text
    assert "ada wrote 30 here meanwhile" in late.text
    assert load_job(str(browser.db), "P-1").job.notes == card.job.notes
    token = re.search(r'name="_seen" value="(\d+)"', late.text)
    assert token
    again = {**form, "client": "Reed", "notes": "a gate", "depth_in": "18"}
    assert browser.post("/jobs/save", _code="P-1", _seen=token.group(1), **again).status_code == 303
    job = load_job(str(browser.db), "P-1").job
    assert (job.client, job.notes, job.depth_in) == ("Reed", "a gate", 18)


def test_a_job_entered_by_mistake_is_taken_off_and_brought_back(browser: Browser) -> None:
    browser.post("/jobs/save", code="F-8", client="Fern")
    assert browser.post("/jobs/F-8/remove").headers["location"] == "/jobs"
    assert "F-8" not in browser.look("/jobs?words=F-8").text.partition("<tbody>")[2]
    assert browser.post("/jobs/P-1/remove").status_code == 409, "hours are logged"


def test_a_form_makes_a_visit_only_where_one_is_chosen(browser: Browser) -> None:
    page = browser.look("/jobs/new").text
    shown = re.search(r'<select id="f-visit" name="visit"[^>]*>(.*?)</select>', page, re.DOTALL)
    assert shown
    assert shown.group(1).startswith("<option>none</option>")  # what a browser sends untouched
    assert "selected" not in shown.group(1)
    assert 'name="visit"' not in browser.look("/jobs/P-1").text
    typed = {"client": "Invented", "status": "sold", "day_part": "any time", "hands": "1"}
    liner = {"item.liner_ft2": "300"}
    made = browser.post("/jobs/save", code="W-1", _code="", visit="none", **typed, **liner)
    assert made.status_code == 303
    assert load_job(str(browser.db), "W-1").job.visit is None
    assert browser.post("/jobs/save", code="W-2", _code="", visit="leak search", **typed).status_code == 303
    leak = load_job(str(browser.db), "W-2").job
    assert leak.visit_words == "leak search, 1 hand"
    page = browser.look("/jobs/W-2").text
    assert re.search(r"<option selected>leak search</option>", page)
    assert 'name="depth_in"' not in page
