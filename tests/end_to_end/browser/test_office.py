"""The office in Chromium against the real server: a first day end to end, without a script too, a crew lead
who loses the network, and every page looked at for accessibility, reach by keyboard, zoom and paper.
"""

from __future__ import annotations

import io
import os
import re
import shutil
import subprocess
import sys
from contextlib import contextmanager
from pathlib import Path

import pytest
from PIL import Image
from pypdf import PdfReader

from planner.flow.crew_day.links import renew_link
from planner.flow.crew_day.sheet import crew_sheets
from planner.flow.hours.logs import list_logs
from planner.flow.keeping.photos import list_photos, read_photo

pytestmark = pytest.mark.browser
#: The accessibility checker from npm; `.ci/run` puts it there.
AXE = Path(__file__).parents[3] / ".ci" / "node_modules" / "axe-core" / "axe.min.js"
MORNING = "2027-04-05T06:45"
#: Every hold point of a task is passed over with a reason, one after the other as they open.
PASSED_OVER = """(task) => {
  for (const line of task.querySelectorAll(".check.hold")) {
    const answer = line.querySelector("[data-answer]"), reason = line.querySelector("[data-reason]");
    answer.value = "over"; answer.dispatchEvent(new Event("change", { bubbles: true }));
    reason.value = "stone in the way"; reason.dispatchEvent(new Event("input", { bubbles: true }));
  }
}"""
PAGES = (
    *("/", "/first", "/week", "/week?day=2027-04-12", "/jobs", "/jobs/new", "/jobs/P-2", "/jobs/P-2/design"),
    *("/jobs/P-2/price", "/jobs/P-2/messages", "/office", "/office?past=yes", "/hours", "/hours/lost"),
    *("/hours/against", "/hours/learn", "/plan", "/plan/what-if", "/firm", "/firm/crew", "/firm/machine"),
    *("/firm/crew?name=North", "/firm/password", "/links", "/undo", "/enter", "/sheets", "/calendars"),
    *("/plan/chances", "/plan/differ", "/promises", "/promises/ask?code=P-3", "/visits", "/visits/new"),
    *(
        "/jobs/P-1/orders",
        "/office/locate",
        "/office/deliveries",
        "/hours/week",
        "/season",
        "/weather",
        "/rates",
    ),
    *("/week/move?job=P-2&phase=dig&crew=North&day=2027-04-12", "/jobs/none"),
)


@contextmanager
def office(db: Path, now: str = MORNING):
    """`planner open` on a database of its own; gives the start link."""
    env = {**os.environ, "PLANNER_DB": str(db), "PLANNER_NOW": now, "PLANNER_USER": "ada"}
    words = [sys.executable, "-m", "planner", "open", "--no-browser"]
    with subprocess.Popen(words, env=env, stdout=subprocess.PIPE, text=True) as served:
        try:
            assert served.stdout is not None
            yield served.stdout.readline().strip()
        finally:
            served.terminate()


@contextmanager
def person(chromium, link: str, **how):
    """A person with a browser, inside by the start link; a fault of a script fails the test."""
    context = chromium.new_context(**{"viewport": {"width": 1280, "height": 900}, **how})
    page = context.new_page()
    faults: list[str] = []
    page.on("pageerror", lambda e: faults.append(str(e)))
    page.on("console", lambda m: faults.append(m.text) if "Content Security" in m.text else None)
    page.goto(link)
    page.wait_for_url(re.compile(r"/(first)?$"))
    yield page
    context.close()
    assert faults == []


@pytest.fixture
def season(tmp_path, planned) -> Path:
    """A season of its own."""
    db = tmp_path / "season.sqlite3"
    shutil.copy(planned / "season.sqlite3", db)
    return db


def press(page, words: str) -> None:
    page.get_by_role("button", name=words, exact=True).first.click()


def tab(page, words: str) -> None:
    page.get_by_role("navigation").get_by_role("link", name=words, exact=True).click()


def test_a_first_day_from_an_empty_book_to_paper_on_the_wall(chromium, tmp_path):
    with office(tmp_path / "new.sqlite3") as link, person(chromium, link) as page:
        page.get_by_label("Name").fill("Fern & Sons")
        page.get_by_label("State").fill("OH")
        page.get_by_label("Shift start").fill("late")
        press(page, "Keep and go on")
        page.locator(".fault").wait_for()
        assert page.get_by_label("Name").input_value() == "Fern & Sons", "nothing typed is lost"
        page.get_by_label("Shift start").fill("7:00")
        press(page, "Keep and go on")
        page.get_by_label("Crew").fill("Heron")
        page.get_by_label("Lead").fill("Ada Marsh")
        page.get_by_label("Size").fill("3")
        page.get_by_label("Skills").fill("excavator stonework plumbing")
        press(page, "Keep")
        page.get_by_role("link", name="New machine").click()
        page.get_by_label("Machine").fill("excavator")
        page.get_by_label("Words").fill("mini excavator")
        press(page, "Keep")
        tab(page, "Jobs")
        page.get_by_role("link", name="New job").click()
        page.get_by_label("Code", exact=True).fill("F-1")
        page.get_by_label("Client", exact=True).fill("Ida Moss")
        page.get_by_label("Promised finish").fill("2027-06-30")
        press(page, "Keep")
        page.get_by_role("link", name="Design and drawing").click()
        press(page, "Begin")
        page.get_by_label("Length [ft]").first.fill("20")
        page.locator("#seen").get_by_text("ellipse 20 x 11 ft").first.wait_for()
        press(page, "Look")
        agreed = page.get_by_label("the changes shown may be made").first
        if agreed.count():
            agreed.check()
        press(page, "Keep with the job")
        assert page.locator("#f-item\\.liner_ft2").input_value() != ""
        tab(page, "Plan")
        page.get_by_label("Seconds to search").fill("1")
        press(page, "Plan the season")
        page.wait_for_url("**/plan?number=1", timeout=60_000)
        press(page, "Publish plan 1")
        page.wait_for_url("**/week")
        days = crew_days(tmp_path / "new.sqlite3", "Heron")
        page.goto(page.url + f"?day={days[0]}")
        assert "F-1" in page.locator("table.board").inner_text()
        page.get_by_role("link", name="move").first.click()
        page.get_by_label("On", exact=True).fill(str(days[2]))
        press(page, "See what follows")
        assert "The season" in page.locator("main").inner_text()
        press(page, "Keep as a draft")
        page.wait_for_url("**/plan?number=2")
        press(page, "Publish plan 2")
        page.goto(page.url + f"?day={days[2]}")
        assert "pinned by the office" in page.locator("table.board").inner_text()
        assert "F-1" in words_on(page.pdf())
        page.goto(
            page.url.partition("/week")[0]
            + f"/sheet/Heron?day={crew_days(tmp_path / 'new.sqlite3', 'Heron')[0]}"
        )
        assert "F-1" in words_on(page.pdf())
        page.goto(page.url.partition("/sheet")[0] + "/undo")
        press(page, "Take it back")
        assert "taken back" in page.locator(".note").inner_text()


def crew_days(db: Path, crew: str):
    """The days with work on the crew's sheets."""
    from datetime import date, timedelta

    days = [date(2027, 4, 5) + timedelta(days=n) for n in range(40)]
    return [d for d in days if crew_sheets(str(db), crew, [d])[0].tasks]


def words_on(paper: bytes) -> str:
    return "".join(page.extract_text() for page in PdfReader(io.BytesIO(paper)).pages)


def test_without_a_script_hours_are_logged_and_a_plan_is_made(chromium, season):
    with office(season) as link, person(chromium, link, java_script_enabled=False) as page:
        tab(page, "Hours")
        page.locator('input[name="job"]').fill("P-1")
        page.get_by_label("Hours of the whole crew").fill("2.25")
        page.get_by_label("Done so far, percent").fill("60")
        press(page, "Log")
        assert "2.25 h" in page.locator("main").inner_text()
        tab(page, "Plan")
        page.get_by_label("Seconds to search").fill("1")
        press(page, "Plan again")
        page.wait_for_url("**/plan?number=2", timeout=60_000)
        assert "saved as draft 2" in page.locator(".note").inner_text()
        tab(page, "Jobs")
        page.get_by_label("Code, client, address or region").fill("P-2")
        press(page, "Look")
        assert page.locator("tbody tr").count() == 1


def test_a_lead_on_the_phone_loses_the_network_and_the_day_is_sent_later(chromium, season):
    db = str(season)
    day = crew_days(season, "South")[0]
    before = len(list_logs(db)[0])
    word = renew_link(db, "South")
    with office(season, f"{day}T16:00") as link:
        base = link.partition("/start/")[0]
        context = chromium.new_context(viewport={"width": 375, "height": 812})
        page = context.new_page()
        page.goto(f"{base}/c/{word}")
        assert page.evaluate("document.documentElement.scrollWidth") <= 375
        assert "$" not in page.locator("main").inner_text()
        task = page.locator(".task").first
        for one in page.locator(".task").all():
            one.evaluate(PASSED_OVER)
        task.locator('[data-part-of="h"]').fill("4")
        task.locator('[data-part-of="pct"]').fill("50")
        context.set_offline(True)
        page.locator('[data-do="send"]').first.click()
        page.get_by_text("No signal").first.wait_for()
        assert len(list_logs(db)[0]) == before
        context.set_offline(False)
        page.reload()
        page.get_by_text("The office has it").first.wait_for()
        logged = len(list_logs(db)[0])
        assert logged > before
        page.locator('[data-do="send"]').first.click()
        page.get_by_text("already").first.wait_for()
        assert len(list_logs(db)[0]) == logged, "sent twice counts once"
        for foreign in ("/", "/jobs", "/plan"):
            assert page.request.get(base + foreign).status == 403
        context.close()


def test_a_leads_photo_reaches_the_office_without_its_place_with_and_without_a_signal(
    chromium, season, tmp_path
):
    db = str(season)
    day = crew_days(season, "South")[0]
    word = renew_link(db, "South")
    first, later = (tmp_path / name for name in ("first.jpg", "later.jpg"))
    exif = Image.Exif()
    exif[0x010F] = "Phone of Ada"  # TIFF tag Make
    exif.get_ifd(0x8825)[2] = (40.0, 6.0, 43.0)  # GPSLatitude
    for file, color in ((first, (20, 90, 60)), (later, (120, 90, 60))):
        Image.new("RGB", (2400, 1200), color).save(file, exif=exif.tobytes())
        assert b"Phone of Ada" in file.read_bytes()
    with office(season, f"{day}T16:00") as link:
        context = chromium.new_context(viewport={"width": 375, "height": 812})
        page = context.new_page()
        page.goto(f"{link.partition('/start/')[0]}/c/{word}")
        box = page.locator("[data-photos]").first
        job = box.locator("select").input_value()
        box.locator("[type=file]").set_input_files(str(first))
        box.locator("[data-photo-send]").click()
        page.get_by_text("The office has the photo").first.wait_for()
        context.set_offline(True)
        box.locator("[type=file]").set_input_files(str(later))
        box.locator("[data-photo-send]").click()
        page.get_by_text("No signal: 1 photo waits").first.wait_for()
        assert len(list_photos(db, job)) == 1
        context.set_offline(False)
        page.reload()
        page.get_by_text("The office has the photo").first.wait_for()
        context.close()
        with person(chromium, link) as office_page:
            office_page.goto(f"{link.partition('/start/')[0]}/jobs/{job}")
            shown = office_page.locator(".photos img")
            assert shown.count() == 2
            shown.first.scroll_into_view_if_needed()  # it is loaded only when it comes into view
            assert shown.first.evaluate("(i) => i.decode().then(() => i.naturalWidth)") == 1600
    for photo in list_photos(db, job):
        kept = read_photo(db, job, photo.name)
        assert b"Phone of Ada" not in kept
        assert not dict(Image.open(io.BytesIO(kept)).getexif())


@pytest.mark.parametrize("width", [320, 375, 640, 768, 1280])
def test_no_page_is_wider_than_its_window_at_any_zoom(chromium, season, width):
    with office(season) as link, person(chromium, link) as page:
        page.set_viewport_size({"width": width, "height": 900})
        base = page.url.rstrip("/")
        wide = {}
        for path in PAGES:
            page.goto(base + path)
            over = page.evaluate("document.documentElement.scrollWidth") - width
            wide |= {path: over} if over > 0 else {}
        assert wide == {}


def test_the_keyboard_alone_reaches_everything_and_shows_where_it_is(chromium, season):
    with office(season) as link, person(chromium, link) as page:
        base = page.url.rstrip("/")
        for path in ("/", "/week?day=2027-04-12", "/office", "/plan", "/links"):
            page.goto(base + path)
            wanted = page.evaluate(
                "[...document.querySelectorAll('a[href],button,input:not([type=hidden]),select,textarea,summary,"
                '[tabindex="0"]\')].filter((e) => e.checkVisibility() && !e.disabled).length'
            )
            seen = set()
            for _ in range(wanted + 40):
                page.keyboard.press("Tab")
                at = page.evaluate(
                    "(() => { const e = document.activeElement; if (!e || e === document.body) return null;"
                    " const s = getComputedStyle(e); return [[...document.querySelectorAll('*')].indexOf(e),"
                    " s.outlineStyle !== 'none' && parseFloat(s.outlineWidth) >= 2]; })()"
                )
                if at is None:
                    continue
                seen.add(at[0])
                assert at[1], f"{path}: the focus is not seen"
            assert len(seen) >= wanted, path


if AXE.exists():

    @pytest.mark.parametrize(("width", "scheme"), [(1280, "light"), (375, "light"), (768, "dark")])
    def test_axe_finds_no_fault_on_any_page(chromium, season, width, scheme):
        how = {"viewport": {"width": width, "height": 900}, "color_scheme": scheme, "bypass_csp": True}
        with office(season) as link, person(chromium, link, **how) as page:
            base, told = page.url.rstrip("/"), []
            for path in PAGES:
                page.goto(base + path)
                page.add_script_tag(path=str(AXE))
                found = page.evaluate("axe.run(document, {resultTypes: ['violations']})")
                told += [f"{path} {v['id']}: {v['nodes'][0]['html'][:90]}" for v in found["violations"]]
            assert told == []
