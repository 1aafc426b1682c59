"""Pages as PDF: on the right paper, nothing blank, fonts inside, a drawing at its scale."""

from __future__ import annotations

import re
import subprocess
from dataclasses import replace
from datetime import date
from fractions import Fraction

import pytest
from pypdf import PdfReader

from planner.cli.main import main
from planner.domain.crew_day.daysheet import day_sheet
from planner.domain.design.design import Design, Falls
from planner.domain.design.outline import ellipse
from planner.domain.design.shelves import Step
from planner.domain.firm.jobs import DayRange
from planner.domain.firm.lost import LostKind, LostTime
from planner.domain.quantities.takeoff import take_off
from planner.domain.standing.view import finished_bars
from planner.flow.crew_day.printing import as_pdf
from planner.flow.season.season import season_line
from planner.report.design.drawing import drawing_sheets
from planner.report.pages import drawing_page, sheet_page
from planner.report.season.season_page import ROWS_A_PANEL, picture, season_page
from planner.store.engine import Store

pytestmark = pytest.mark.browser
IN = 72.0
#: the stroke round a check bar, half of it on either side
STROKE_IN = 0.014


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
    assert (size_in(sheet), len(sheet.pages)) == ((8.5, 11.0), 4)
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
    assert (size_in(pdf), len(pdf.pages)) == ((11.0, 8.5), 2)
    assert "Plan, " in pdf.pages[0].extract_text() and fonts_are_inside(pdf)


@pytest.mark.parametrize("units", ["us", "metric"])
def test_a_tape_laid_on_the_check_bars_of_a_printed_drawing_reads_true(tmp_path, units):
    """Counted in the PDF as poppler paints it at 300 dots an inch, against the scale that the words name."""
    design = Design("bar", ellipse(20, 14), (Step(9, 12), Step(9)), units=units, falls=Falls((14.0,), 20.0))
    sheets = drawing_sheets(take_off(design), units)
    (tmp_path / "bar.pdf").write_bytes(as_pdf(drawing_page(sheets, units)))
    subprocess.run(["pdftoppm", "-r", "300", "-gray", "bar.pdf", "p"], cwd=tmp_path, check=True)
    for number, sheet in enumerate(sheets, 1):
        pixels = gray(next(tmp_path.glob(f"p-*{number}.pgm")))
        told = re.findall(r"(?:Plan|Section X-X|Setting out|Falls in section), (.*?) ?<", sheet)
        names = re.findall(r">([\d.]+) (ft|m)<", sheet)
        bars = re.findall(r'<rect x="([\d.]+)" y="([\d.]+)" width="([\d.]+)" height="5" class="box"', sheet)
        assert len(told) == len(bars) == 2
        for words, (x, y, wide), (length, _) in zip(told, bars, names, strict=False):
            row, start = pixels[round(3 * (float(y) + 2.5))], round(3 * float(x))
            end = start + round(3 * float(wide))
            ink = [n for n in range(start - 12, end + 13) if row[n] < 110]
            on_paper_in = (ink[-1] - ink[0]) / 300 - STROKE_IN
            assert on_paper_in == pytest.approx(float(length) * paper_in(words), abs=0.012), (number, words)


def gray(path):
    """The rows of a portable graymap."""
    head, size, _, pixels = path.read_bytes().split(b"\n", 3)
    assert head == b"P5"
    width, height = map(int, size.split())
    return [pixels[n * width : (n + 1) * width] for n in range(height)]


def paper_in(words):
    """Inches of paper for a foot (3/16" = 1 ft) or a meter (1:50) of ground."""
    if words.startswith("1:"):
        return 100 / 2.54 / float(words[2:])
    paper, ground = words.split('" = ')
    return float(Fraction(paper)) / float(ground.split()[0])


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


def test_a_rain_day_keeps_to_its_sheet_of_paper_and_begins_with_that(roster, plan, lists, tmp_path):
    rain = LostTime(LostKind.RAIN, DayRange(date(2027, 4, 6), date(2027, 4, 6)))
    roster = replace(roster, lost=(rain,), known=roster)
    made = day_sheet(roster, plan, "North", date(2027, 4, 6), lists)
    (tmp_path / "rain.pdf").write_bytes(as_pdf(sheet_page([made])))
    pages = PdfReader(tmp_path / "rain.pdf").pages
    text = pages[0].extract_text()
    assert text.index("No work today: rain.") < text.index("What may be done") < text.index("Bring")
    assert len(pages) == 2 + len(made.sites) * 2 and "Cautions for today" in pages[1].extract_text()
