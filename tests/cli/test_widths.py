"""Every reading command on a narrow, a usual and a wide terminal: no line is wider, no word is torn."""

from __future__ import annotations

import re
import shutil
from datetime import date, timedelta
from pathlib import Path

import pytest
from rich.cells import cell_len
from rich.console import Console
from rich.table import Table
from rich.text import Text

from planner.cli.main import main
from planner.domain.standing.view import Bar, SeasonView, WeekLoad
from planner.report.season.season import season_terminal
from planner.report.terminal import show_table

WIDTHS = (60, 80, 120)
COMMANDS = (
    "today",
    "board",
    "sheet North",
    "log list",
    "lost list",
    "office list",
    "office locate OH",
    "plan list",
    "plan show",
    "promise list",
    "season",
    "hours",
    "hours --pictures",
    "estimate",
    "estimate P-1",
    "estimate P-1 --explain",
    "rates list",
    "rates show",
    "job list",
    "job show P-1",
    "crew list",
    "machine list",
    "firm show",
    "history list",
    "db state",
    "guide glossary",
    "guide settings",
    "guide commands",
)


@pytest.fixture(scope="module")
def season(planned: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("widths")
    shutil.copytree(planned, folder, dirs_exist_ok=True)
    return folder


@pytest.mark.parametrize("words", COMMANDS)
def test_no_line_is_wider_than_the_terminal(
    season: Path, words: str, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(season)
    monkeypatch.setenv("PLANNER_DB", str(season / "season.sqlite3"))
    monkeypatch.setenv("PLANNER_NOW", "2027-04-05T06:45")
    for width in WIDTHS:
        monkeypatch.setenv("COLUMNS", str(width))
        assert main(words.split()) == 0, words
        lines = capsys.readouterr().out.splitlines()
        assert [line for line in lines if cell_len(line.rstrip()) > width] == []
        assert [line for line in lines if re.search(r"\d…", line)] == [], "no figure is cut"


def test_a_month_that_begins_soon_is_named(capsys: pytest.CaptureFixture[str]) -> None:
    """From Thursday April 29 there is no room for both: May is told, and the months after it."""
    day = date(2027, 4, 29)
    bar = Bar("P-1", "Moss", "North", day, day + timedelta(days=9), day, None, False, 0, "")
    mondays = [day + timedelta(weeks=n) for n in range(16)]
    weeks = tuple(WeekLoad(*d.isocalendar()[:2], d, 0.0, 8.0, 40.0, (), ()) for d in mondays)
    season_terminal(Console(width=80), SeasonView(day, 1, True, {"North": (bar,)}, weeks))
    heads = [line.split() for line in capsys.readouterr().out.splitlines()]
    assert ["May", "Jun", "Jul", "Aug"] in heads


def test_a_late_job_of_the_season_keeps_to_its_line(capsys: pytest.CaptureFixture[str]) -> None:
    day = date(2027, 4, 5)
    ill = "waits for the electrician, who is ill until Friday"
    late = Bar("P-1", "Moss", "North", day, day + timedelta(days=9), day, None, False, 3, ill)
    mondays = [day + timedelta(weeks=n) for n in range(16)]
    weeks = tuple(WeekLoad(*d.isocalendar()[:2], d, 0.0, 8.0, 40.0, (), ()) for d in mondays)
    for width in WIDTHS:
        season_terminal(Console(width=width), SeasonView(day, 1, True, {"North": (late,)}, weeks))
        lines = capsys.readouterr().out.splitlines()
        assert max(cell_len(line.rstrip()) for line in lines) <= width
        assert "3 working days late" in " ".join(lines)


def test_a_table_too_wide_for_the_terminal_becomes_paragraphs(capsys: pytest.CaptureFixture[str]) -> None:
    table = Table(box=None, pad_edge=False)
    for head in ("job", "client", "first day", "crews"):
        table.add_column(head)
    table.add_row("P-014", Text("Ida Moss"), "Mon Apr 5", "North")
    table.add_row("P-015", Text("Lund"), "Mon Apr 12", "")
    show_table(Console(width=60), table)
    assert capsys.readouterr().out.splitlines()[1].split() == [
        "P-014",
        *["Ida", "Moss", "Mon", "Apr", "5", "North"],
    ]
    show_table(Console(width=30), table)
    assert " ".join(capsys.readouterr().out.split()) == (
        "P-014: client Ida Moss; first day Mon Apr 5; crews North P-015: client Lund; first day Mon Apr 12"
    )
