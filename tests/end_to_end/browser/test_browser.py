"""The pages in Chromium: phone width and desk width, offline, reload, return, paper, accessibility."""

import io
from dataclasses import replace
from datetime import date
from pathlib import Path
from unicodedata import normalize

import pytest
from pypdf import PdfReader

from planner.domain.crew_day.board import board
from planner.domain.crew_day.daysheet import day_sheet
from planner.domain.crew_day.misses import missed_in
from planner.domain.crew_day.returned import decode_all, encode
from planner.domain.design.read import read_design
from planner.domain.firm.phases import ORDER, Phase
from planner.domain.safety.heat import Forecast
from planner.flow.crew_day.sheet import crew_sheets, week_of
from planner.flow.hours.returns import log_returns, open_returns
from planner.report.crew_day.paper import on_paper
from planner.report.pages import board_page, sheet_page
from planner.store.engine import Store
from planner.store.shipped.rules import phase_rules
from tests.report.conftest import FERN

pytestmark = pytest.mark.browser
#: The accessibility checker from npm; `.ci/run` puts it there.
AXE = Path(__file__).parents[3] / ".ci" / "node_modules" / "axe-core" / "axe.min.js"
TUESDAY = date(2027, 4, 6)
HARSH = Forecast(96, 55, low_f=35, wind_mph=26)


@pytest.fixture
def sheet(roster, plan, lists):
    return day_sheet(roster, plan, "North", TUESDAY, lists, rules=phase_rules(), forecast=HARSH)


def fill(page) -> None:
    """What a crew lead would tick and type."""
    dig, filters = (page.locator(".task").nth(n) for n in (0, 1))
    dig.locator('[data-value="shelf-1"]').fill("6 1/4")
    dig.locator('[data-value="rim-level"]').fill("0,25")
    for box in dig.locator("[data-tick]").all():
        box.check()
    for name, value in (("h", "5.5"), ("people", "3"), ("pct", "100")):
        dig.locator(f'[data-part-of="{name}"]').fill(value)
    dig.locator('[data-part-of="done"]').check()
    filters.locator('[data-tick="ends"]').check()
    filters.locator('[data-value="skimmer-level"]').fill("1/8")
    filters.locator('[data-tick="skimmer-level"]').check()
    filters.locator('[data-value="skimmer-water-line"]').fill("2.5")
    filters.locator('[data-answer="skimmer-water-line"]').select_option("over")
    filters.locator('[data-reason="skimmer-water-line"]').fill("box too low, new seat tomorrow")
    filters.locator('[data-answer="fall-level"]').select_option("later")
    for name, value in (
        ("h", "2"),
        ("pct", "60"),
        ("lost", ".5"),
        ("why", "rain 🌧"),
        ("note", "box 2 <short> a lid"),
    ):
        filters.locator(f'[data-part-of="{name}"]').fill(value)
    page.locator("#d1-load-1").check()
    page.locator("[data-by]").fill("Ana")


def answered(root) -> None:
    """Every hold point passed over, so that the day can be sent."""
    for n in range(root.locator("[data-answer]").count()):
        root.locator("[data-answer]").nth(n).select_option("over")
        root.locator("[data-reason]").nth(n).fill("tried")


def text_from(page) -> str:
    page.locator('[data-do="make"]').click()
    return page.locator("[data-out]").input_value()


def test_what_is_typed_survives_a_reload_and_a_new_tab(opened, sheet):
    page = opened(sheet_page([sheet]))
    fill(page)
    before = text_from(page)
    page.reload()
    assert text_from(page) == before
    other = page.context.new_page()
    other.told = []
    other.goto(page.url)
    assert text_from(other) == before and other.locator("#d1-load-1").is_checked()


def test_a_number_outside_its_band_is_told_in_words_at_once(opened, sheet):
    page = opened(sheet_page([sheet]))
    field = page.locator('[data-value="shelf-1"]')
    told = field.locator("xpath=ancestor::*[contains(@class,'measure')]").locator(".outside")
    for typed, words in (
        ("7", ""),
        ("7.01", "too much"),
        ("4", "too little"),
        ("6 1/2", ""),
        ("deep", "Not a number"),
    ):
        field.fill(typed)
        assert words in told.inner_text() and (words != "" or not told.is_visible()), typed
    page.locator('[data-part-of="h"]').first.fill("25")
    assert text_from(page) == "" and "Fix" in page.locator("[data-said]").inner_text()


def test_hours_come_back_as_they_were_typed_by_text_and_by_file(opened, stored):
    page = opened(sheet_page(crew_sheets(stored, "North", [TUESDAY])))
    fill(page)
    text = text_from(page)
    with page.expect_download() as waiting:
        page.locator('[data-do="save"]').click()
    saved = waiting.value
    assert saved.suggested_filename == "day-North-2027-04-06.txt"
    assert decode_all(Path(saved.path()).read_text("utf-8")) == decode_all(text)
    (arrival,) = open_returns(stored, text, TUESDAY)
    assert arrival.reading.questions == () and arrival.reading.sheet.checked_by == "Ana"
    log_returns(stored, "test", [arrival])
    with Store(stored).reading() as book:
        logs = {log.phase: log for log in book.logs()}
    dig, filters = logs[Phase.DIG], logs[Phase.SET_FILTERS]
    assert (dig.crew_h, dig.done, dig.people, missed_in(dig)) == (5.5, True, 3, [])
    assert (filters.crew_h, filters.share_done, filters.lost_h, filters.lost_why) == (2.0, 0.6, 0.5, "rain 🌧")
    assert "box 2 <short> a lid" in filters.note and len(missed_in(filters)) == 2


def test_the_page_packs_exactly_as_the_program_does(opened, sheet):
    page = opened(sheet_page([sheet]))
    fill(page)
    (back,) = decode_all(text_from(page))
    page.locator("[data-out]").fill(encode(back))
    page.locator('[data-do="read"]').click()
    assert page.locator("[data-said]").inner_text() == "Read back in."
    assert replace(decode_all(text_from(page))[0], digest="") == replace(back, digest="")


def test_a_sent_text_can_be_read_back_into_an_empty_phone(opened, sheet):
    html = sheet_page([sheet])
    page = opened(html)
    fill(page)
    text = text_from(page)
    other = opened(html, name="other.html")
    other.evaluate("localStorage.clear()")
    other.reload()
    other.locator("[data-out]").fill(text)
    other.locator('[data-do="read"]').click()
    assert text_from(other) == text
    other.locator("[data-out]").fill(text[:-4])
    other.locator('[data-do="read"]').click()
    assert "cut" in other.locator("[data-said]").inner_text()


def test_a_new_print_keeps_what_was_ticked_and_asks_again_what_it_says_anew(
    opened, roster, plan, lists, sheet, tmp_path
):
    # The office draws the floor deeper and publishes again while the crew works: another mark, the same day.
    deeper = replace(roster, designs={"P-014": read_design(FERN.replace("down_in = 7", "down_in = 13"))})
    later = day_sheet(deeper, replace(plan, number=5), "North", TUESDAY, lists, rules=phase_rules())
    assert later.mark != sheet.mark
    page = opened(sheet_page([sheet]))
    fill(page)
    before = text_from(page)
    (tmp_path / "page.html").write_text(sheet_page([later]), "utf-8")
    page.reload()

    def stands() -> list[bool]:
        keys = ("rim-level", "clean", "floor")
        return [page.locator(f'.task >> [data-tick="{key}"]').first.is_checked() for key in keys]

    assert stands() == [True, True, False] and page.locator("#d1-load-1").is_checked()
    assert "say something else now" in page.locator("[data-said]").inner_text()
    (back,) = decode_all(text_from(page))
    assert (back.mark, back.plan_number, back.tasks[0].crew_h) == (later.mark, 5, 5.5)
    asked = {line.key: line.wanted for line in back.tasks[0].asked}
    assert asked["floor"] == next(n.wanted for n in later.tasks[0].ready.lines if n.key == "floor")
    page.locator('[data-do="clear"]').click()
    page.locator("[data-out]").fill(before)
    page.locator('[data-do="read"]').click()
    assert page.locator("[data-said]").inner_text() == "Read back in."
    assert stands() == [True, True, False] and page.locator('[data-part-of="h"]').first.input_value() == "5.5"


def test_a_text_of_another_day_is_not_read_in(opened, roster, plan, lists, sheet):
    page = opened(sheet_page([sheet]))
    monday = day_sheet(roster, plan, "North", date(2027, 4, 5), lists)
    other = opened(sheet_page([monday]), name="monday.html")
    answered(other)
    page.locator("[data-out]").fill(text_from(other))
    page.locator('[data-do="read"]').click()
    assert "another sheet" in page.locator("[data-said]").inner_text()


def test_each_day_of_a_week_page_keeps_to_itself(opened, stored):
    days = [s for s in crew_sheets(stored, "North", week_of(TUESDAY)) if s.tasks]
    page = opened(sheet_page(days))
    assert page.locator(".day").count() == 5
    page.locator('#d1 [data-part-of="h"]').first.fill("7")
    page.locator('#d3 [data-part-of="h"]').first.fill("6")
    page.reload()
    texts = []
    for n in (1, 3):
        answered(page.locator(f"#d{n}"))
        page.locator(f'#d{n} [data-do="make"]').click()
        texts.append(page.locator(f"#d{n} [data-out]").input_value())
    found = decode_all("\n".join(texts))
    assert [(r.day.day, r.tasks[0].crew_h) for r in found] == [(5, 7.0), (7, 6.0)]


@pytest.mark.parametrize("width", [375, 1280])
def test_nothing_runs_off_the_side(opened, sheet, roster, plan, width):
    for html in (sheet_page([sheet]), board_page(board(roster, plan, TUESDAY))):
        page = opened(html, width)
        assert page.evaluate("document.documentElement.scrollWidth") <= width


def test_fingers_find_their_targets(opened, sheet):
    # WCAG 2.2, 2.5.5 (level AAA): targets at least 44 by 44 CSS px; of a step the whole row is the target.
    page = opened(sheet_page([sheet]))
    for box in page.locator(
        "label.row:visible, button:visible, input[type=text]:visible, select:visible"
    ).all():
        size = box.bounding_box()
        assert size["height"] >= 44 and size["width"] >= 44


def test_hostile_names_run_nothing(opened, hostile, plan, lists):
    made = day_sheet(hostile, plan, "North", TUESDAY, lists)
    page = opened(sheet_page([made]))
    fill(page)
    assert decode_all(text_from(page))[0].tasks[0].crew_h == 5.5
    assert page.evaluate("document.documentElement.scrollWidth") <= 375
    opened(board_page(board(hostile, plan, TUESDAY)), 1280)


def pages_of(page, size: str) -> int:
    return len(PdfReader(io.BytesIO(page.pdf(format=size))).pages)


def days_on_paper(roster, plan, lists):
    """Sheets of one to three phases in a day; each phase as full as a first day is."""
    first = plan.bookings[0]
    for booked in [[p] for p in ORDER] + [
        list(ORDER[:2]),
        list(ORDER[3:5]),
        list(ORDER[:3]),
        list(ORDER[3:]),
    ]:
        bookings = tuple(
            replace(
                first,
                key=first.key._replace(phase=phase),
                start=first.start.replace(hour=7 + n),
                end=first.start.replace(hour=8 + n),
            )
            for n, phase in enumerate(booked)
        )
        yield day_sheet(
            roster, replace(plan, bookings=bookings), "North", date(2027, 4, 5), lists,
            rules=phase_rules(), forecast=HARSH,
        )  # fmt: skip


@pytest.mark.parametrize("size", ["Letter", "A4"])
def test_a_day_prints_on_one_sheet_of_two_sides_with_everything_on_it(opened, roster, plan, lists, size):
    for made in days_on_paper(roster, plan, lists):
        lay = on_paper(made)
        page = opened(sheet_page([made]), 1280)
        pdf = PdfReader(io.BytesIO(page.pdf(format=size)))
        sides = [" ".join(normalize("NFKC", p.extract_text()).split()) for p in pdf.pages]
        assert len(sides) == (5 if lay.apart else 4), [t.key for t in made.tasks]
        detail, drawing = sides.pop(), sides.pop()
        assert "Setting out" in detail and "Levels, from the benchmark" in detail
        assert "Plan, " in drawing and "Section X-X" in drawing, "the job's drawing is the second sheet"
        for n, task in enumerate(made.tasks):
            for line in task.ready.lines:
                assert line.text[:24] in sides[0 if n < lay.front else 1], (task.key, line.key)
        assert "Cautions are reminders" in sides[-1] and made.mark in sides[-1]
        assert "Send the day back" not in " ".join(sides)
        front = sides[0].replace(" ", "")
        told = [f"{t.stint.key.job}{t.stint.key.phase.words}".replace(" ", "") in front for t in made.tasks]
        assert all(told), "what the front has no room for is said on it"


def test_type_on_paper_is_9_pt_or_more_and_boxes_are_5_mm(opened, roster, plan, lists):
    for made in days_on_paper(roster, plan, lists):
        page = opened(sheet_page([made]), 1280)
        page.emulate_media(media="print")
        small = """[...document.querySelectorAll('.cols *')].filter(e => e.checkVisibility() &&
            parseFloat(getComputedStyle(e).fontSize) < 9 * 96 / 72 - 0.01).map(e => e.className)"""
        assert page.evaluate(small) == []
        for box in page.locator(".cols input[type=checkbox]").all()[:8]:
            size = box.bounding_box()
            assert abs(size["width"] - 5 * 96 / 25.4) < 0.5 and abs(size["height"] - 5 * 96 / 25.4) < 0.5
        assert on_paper(made).caution_pt >= 7.5


def test_a_week_prints_a_sheet_a_day_and_the_board_one(opened, stored, roster, plan):
    days = [s for s in crew_sheets(stored, "North", week_of(TUESDAY)) if s.tasks]
    assert pages_of(opened(sheet_page(days), 1280), "Letter") == 12, "the drawing once"
    assert pages_of(opened(board_page(board(roster, plan, TUESDAY)), 1280), "A4") == 1


@pytest.fixture
def season_html(stored, tmp_path, monkeypatch) -> str:
    """The season page, by its command."""
    from planner.cli.main import main

    monkeypatch.setenv("PLANNER_DB", stored)
    monkeypatch.setenv("PLANNER_NOW", "2027-04-05T06:45")
    path = tmp_path / "season.html"
    assert main(["season", "--page", str(path)]) == 0
    return path.read_text("utf-8")


def test_the_season_page_keeps_to_its_width_and_asks_for_nothing(opened, season_html):
    for width in (375, 1280):
        page = opened(season_html, width)
        assert page.evaluate("document.documentElement.scrollWidth") <= width


if AXE.exists():

    @pytest.mark.parametrize("width", [375, 1280])
    @pytest.mark.parametrize("which", ["sheet", "board", "week", "season"])
    def test_axe_finds_no_fault(chromium, tmp_path, sheet, roster, plan, lists, season_html, which, width):
        week = [day_sheet(roster, plan, "North", d, lists) for d in week_of(TUESDAY)[:5]]
        html = {
            "sheet": sheet_page([sheet]),
            "week": sheet_page(week),
            "board": board_page(board(roster, plan, TUESDAY)),
            "season": season_html,
        }[which]
        path = tmp_path / "page.html"
        path.write_text(html, "utf-8")
        view = {"width": width, "height": 812}
        context = chromium.new_context(viewport=view, offline=True, bypass_csp=True)
        page = context.new_page()
        page.goto(path.as_uri())
        page.add_script_tag(path=str(AXE))
        found = page.evaluate("axe.run(document, {resultTypes: ['violations']})")
        context.close()
        told = [f"{v['id']}: {v['nodes'][0]['html'][:90]}" for v in found["violations"]]
        assert told == []
        assert len(found["passes"]) > 15
