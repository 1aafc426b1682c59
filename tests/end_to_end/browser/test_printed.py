"""Pages as PDF: on the right paper, nothing blank, fonts inside, a drawing at its scale."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest
from pypdf import PdfReader

from planner.cli.main import main
from planner.domain.standing.view import finished_bars
from planner.flow.season.season import season_line
from planner.report.season.season_page import ROWS_A_PANEL, picture, season_page
from planner.store.engine import Store

pytestmark = pytest.mark.browser
IN = 72.0


@pytest.fixture
def office(stored, monkeypatch, tmp_path):
    monkeypatch.setenv("PLANNER_DB", stored)
    monkeypatch.setenv("PLANNER_NOW", "2027-04-05T06:45")
    monkeypatch.chdir(tmp_path)
    return stored


def printed(*words: str, name: str = "out.pdf") -> PdfReader:
    assert main([*words, name]) == 0
    return PdfReader(name)


def fonts_are_inside(pdf: PdfReader) -> bool:
    """Every font of every page carries its own file (a Type 3 font is drawn by its glyphs)."""
    found = []
    for page in pdf.pages:
        for font in page["/Resources"].get("/Font", {}).values():
            own = font.get_object()
            below = own["/DescendantFonts"][0].get_object() if "/DescendantFonts" in own else own
            paper = below.get("/FontDescriptor", {})
            files = [key for key in ("/FontFile", "/FontFile2", "/FontFile3") if key in paper]
            found.append(bool(files) or own["/Subtype"] == "/Type3")
    return bool(found) and all(found)


def size_in(pdf: PdfReader) -> tuple[float, float]:
    box = pdf.pages[0].mediabox
    return round(float(box.width) / IN, 1), round(float(box.height) / IN, 1)


def test_each_paper_has_its_size_its_words_and_its_fonts(office):
    sheet = printed("sheet", "North", "2027-04-05", "--page")
    assert (size_in(sheet), len(sheet.pages)) == ((8.5, 11.0), 3)
    drawing = sheet.pages[2].mediabox
    assert (float(drawing.width) / IN, float(drawing.height) / IN) == pytest.approx((11, 8.5), abs=0.01)
    wall = printed("board", "--week", "2027-04-05", "--wall", "--page")
    assert size_in(wall) == (17.0, 11.0)
    season = printed("season", "--page")
    assert size_in(season) == (11.0, 8.5)
    for pdf in (sheet, wall, season):
        assert fonts_are_inside(pdf)
        assert all(page.extract_text().strip() for page in pdf.pages), "no page is blank"
    assert "P-014 Fern Hollow" in season.pages[0].extract_text().replace("\n", " "), "bars on the first page"


def test_an_estimate_is_printed_a_job_a_page(office):
    pdf = printed("estimate", "P-014", "P-015", "--page")
    first, second = (page.extract_text() for page in pdf.pages)
    assert "P-014" in first and "P-015" in second and "safe" in first and fonts_are_inside(pdf)


def test_a_drawing_fills_its_paper_so_that_its_scale_is_true(office):
    pdf = printed("design", "draw", "P-014", "-o")
    assert (size_in(pdf), len(pdf.pages)) == ((11.0, 8.5), 1)
    assert "Plan, " in pdf.pages[0].extract_text() and fonts_are_inside(pdf)


def test_without_a_browser_the_way_out_is_told(office, monkeypatch, capsys):
    monkeypatch.setenv("PLANNER_BROWSER", "no-such-browser")
    assert main(["board", "--page", "out.pdf"]) == 1
    assert "write an .html file and print that" in capsys.readouterr().err
    assert main(["board", "--wall"]) == 2


def test_a_long_season_is_printed_in_panels_that_no_page_cuts(opened, office):
    from datetime import datetime

    view = season_line(office, datetime(2027, 4, 5, 7))
    (bar, *_) = view.bars
    many = tuple(
        replace(bar, job=f"J{n:03d}", client="A very long client's name of the county") for n in range(60)
    )
    view = replace(view, crews={"North": many[:35], "South": many[35:]})
    drawn = picture(view)
    assert [len(panel.bars) for panel in drawn.panels] == [ROWS_A_PANEL, ROWS_A_PANEL, 60 - 2 * ROWS_A_PANEL]
    assert [name for panel in drawn.panels for name, _ in panel.crews] == ["North", "North", "South", "South"]
    page = opened(season_page(view), 1280)
    page.emulate_media(media="print")
    highs = [svg.bounding_box()["height"] for svg in page.locator("svg.season").all()]
    assert max(highs) <= 172 * 96 / 25.4 + 1
    shown = page.locator("svg.season text").first.evaluate("e => e.getBoundingClientRect().height")
    assert shown >= 5


def test_finished_jobs_and_inquiries_stand_on_the_seasons_page(office):
    with Store(office).reading() as book:
        firm, jobs = book.firm(), book.jobs()
    from planner.domain.firm.actuals import Log
    from planner.domain.firm.jobs import Status
    from planner.domain.firm.phases import Phase

    job = replace(jobs[0], status=Status.DONE, promised=date(2027, 4, 8))
    logs = [Log(date(2027, 4, d), "North", job.code, Phase.DIG, 8.0, id=d) for d in (9, 5, 12)]
    (bar,) = finished_bars([job, jobs[1]], logs, firm)
    assert (bar.first.day, bar.finish.day, bar.crew, bar.late_days) == (5, 12, "North", 2)
