"""The week's board: cells, promises at risk, widths, files."""

import csv
import io
from dataclasses import replace
from datetime import date, datetime

import pytest
from rich.console import Console

from planner.domain.crew_day.board import Risk, board, promises, week_day
from planner.domain.firm.crews import Crew
from planner.errors import BadInput
from planner.report.cells import safe_cell
from planner.report.crew_day.board import board_csv, board_data, print_board
from planner.report.pages import board_page


def drawn(made, width: int) -> str:
    out = io.StringIO()
    print_board(made, Console(file=out, width=width, markup=False, highlight=False, emoji=False))
    return out.getvalue()


def test_cells_hold_each_crew_and_day(roster, plan):
    made = board(roster, plan, date(2027, 4, 8))
    assert made.week == "2027-W14" and [d.day for d in made.days] == [5, 6, 7, 8, 9]
    north = next(r for r in made.rows if r.crew == "North")
    assert [[s.key.phase.value for s in c.stints] for c in north.cells] == [
        ["dig"],
        ["dig", "set_filters"],
        ["liner"],
        ["liner", "rock"],
        ["rock"],
    ]
    river = next(r for r in made.rows if r.crew == "River")
    assert river.cells[2].why == "training"


def test_risk_counts_working_days_between_plan_and_promise(roster, plan):
    # P-014 ends Wed 14 April, promised Mon 12: Tuesday and Wednesday are two working days late.
    # P-015 ends Fri 9 April, promised Thu 8: one day late.
    found = {p.job: (p.risk, p.spare_days) for p in promises(roster, plan)}
    assert found == {"P-014": (Risk.LATE, -2), "P-015": (Risk.LATE, -1)}
    jobs = dict(roster.jobs)
    jobs["P-014"] = replace(jobs["P-014"], promised=date(2027, 4, 15))
    jobs["P-015"] = replace(jobs["P-015"], promised=date(2027, 4, 13))
    found = {p.job: (p.risk, p.spare_days) for p in promises(replace(roster, jobs=jobs), plan)}
    assert found == {"P-014": (Risk.TIGHT, 1), "P-015": (Risk.SAFE, 2)}
    without = replace(plan, bookings=tuple(b for b in plan.bookings if b.job != "P-015"))
    assert {p.job: p.risk for p in promises(roster, without)}["P-015"] is Risk.UNPLANNED


def test_late_over_a_weekend_is_late_even_without_a_working_day_between(roster, plan):
    jobs = {c: replace(j, promised=date(2027, 4, 10)) for c, j in roster.jobs.items()}
    firm = replace(roster.firm, work_days=(date(2027, 4, 11),))
    bookings = tuple(b for b in plan.bookings if b.job == "P-015")
    bookings = (replace(bookings[0], end=datetime(2027, 4, 11, 15, 30)),)
    (p,) = [
        p
        for p in promises(replace(roster, jobs=jobs, firm=firm), replace(plan, bookings=bookings))
        if p.finish
    ]
    assert (p.risk, p.spare_days) == (Risk.LATE, -1)


@pytest.mark.parametrize("width", [80, 100, 140])
def test_four_crews_fit_the_width(roster, plan, width):
    crews = {**roster.crews, "Night": Crew("Night", "Dee", 2)}
    text = drawn(board(replace(roster, crews=crews), plan, date(2027, 4, 5)), width)
    assert max(len(line) for line in text.splitlines()) <= width
    for word in ("P-014", "dig", "set filters" if width >= 100 else "filters", "excavator", "training"):
        assert word in text


def test_narrow_becomes_a_list_and_loses_nothing(roster, plan):
    text = drawn(board(roster, plan, date(2027, 4, 5)), 50)
    assert max(len(line) for line in text.splitlines()) <= 50
    assert "┌" not in text and text.count("P-015 dig") == 5


def test_risk_shows_without_color(roster, plan):
    text = drawn(board(roster, plan, date(2027, 4, 5)), 100)
    assert "!*P-014 dig" in text and "2 working days late" in text and "\x1b" not in text


def test_golden_board(roster, plan, golden):
    golden("board-100.txt", drawn(board(roster, plan, date(2027, 4, 5)), 100))


def test_weeks_by_iso_8601():
    # ISO 8601 week dates; 2026 has 53 weeks (reference: 2026-12-28 to 2027-01-03 is 2026-W53).
    assert week_day("2026-W53") == date(2026, 12, 28)
    assert week_day("2027-W01") == date(2027, 1, 4)
    assert week_day("2025-w01") == date(2024, 12, 30)
    for wrong in ("2027-W53", "2027-W00", "2027-15", "W15", "2027-W1²", ""):
        with pytest.raises(BadInput):
            week_day(wrong)


def test_csv_has_a_row_for_each_stint_and_runs_no_formula(roster, plan):
    jobs = {c: replace(j, client="=cmd|' /C calc'!A0\n,\"x") for c, j in roster.jobs.items()}
    made = board(replace(roster, jobs=jobs), plan, date(2027, 4, 5))
    rows = list(csv.DictReader(io.StringIO(board_csv(made))))
    assert len(rows) == sum(len(c.stints) for r in made.rows for c in r.cells)
    assert all(row["client"].startswith("'=") for row in rows)
    assert sum(float(row["crew_h"]) for row in rows if row["crew"] == "North") == 40
    assert safe_cell("@x") == "'@x" and safe_cell("+3.5") == "+3.5" and safe_cell("plain") == "plain"


def test_json_names_the_plan_and_the_risk(roster, plan):
    data = board_data(board(roster, plan, date(2027, 4, 5)))
    assert data["plan"] == 4 and data["published"] is True
    assert {p["job"]: p["risk"] for p in data["promises"]} == {"P-014": "late", "P-015": "late"}
    assert data["stints"][0]["start"] == "2027-04-05T07:00"


def test_hostile_names_harm_neither_terminal_nor_page(hostile, plan):
    made = board(hostile, plan, date(2027, 4, 5))
    text = drawn(made, 100)
    assert "<script>alert(1)</script>" in text and "\u2028" not in text and "[bold]" in text
    page = board_page(made)
    assert "<script" not in page and "&lt;script&gt;" in page
