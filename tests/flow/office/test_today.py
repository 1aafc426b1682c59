"""The morning's screen at each stage of a season."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from dataclasses import replace
from datetime import date, datetime, timedelta
from pathlib import Path

import pytest

from planner.cli.main import main
from planner.domain.firm.actuals import Log
from planner.domain.firm.phases import Phase
from planner.flow.keeping.database import create_store
from planner.flow.office.today import load_morning
from planner.flow.season.plans import make_plan, publish
from planner.store.engine import Store
from tests.flow.conftest import NOW

TUESDAY = datetime(2027, 4, 6, 6, 45)


def commands(location: str, now: datetime) -> list[str]:
    return [step.command for step in load_morning(location, now).steps]


def test_an_empty_firm_is_told_how_to_begin(tmp_path: Path) -> None:
    location = str(tmp_path / "new.sqlite3")
    create_store(location, "test")
    seen = load_morning(location, NOW)
    assert seen.plan_number is None
    assert [step.command.split()[1] for step in seen.steps] == ["firm", "crew", "import"]


def test_with_jobs_and_crews_the_next_step_is_a_plan(firm_db: str) -> None:
    assert commands(firm_db, NOW) == ["planner plan make"]


def test_a_draft_waits_to_be_published(firm_db: str) -> None:
    make_plan(firm_db, NOW, seconds=1)
    assert "planner plan publish" in commands(firm_db, NOW)


def test_missing_hours_and_a_stale_plan_are_named(firm_db: str) -> None:
    first = min(make_plan(firm_db, NOW, seconds=1).plan.bookings, key=lambda b: b.start)
    publish(firm_db, None, NOW, "test")
    assert "planner replan" not in commands(firm_db, NOW)
    evening = first.start.replace(hour=18)
    after = evening + timedelta(hours=12)
    assert first.lead in load_morning(firm_db, after).unlogged
    with Store(firm_db).writing(who="test") as book:
        log = Log(first.start.date(), first.lead, first.job, first.key.phase, 4.0, share_done=0.5)
        book.save_log(log)
    assert first.lead not in load_morning(firm_db, after).unlogged
    assert "planner replan" in commands(firm_db, after)


def test_a_stale_draft_is_made_anew_not_published(firm_db: str) -> None:
    make_plan(firm_db, NOW, seconds=1)
    with Store(firm_db).writing(who="test") as book:
        book.save_log(Log(date(2027, 4, 5), "Heron", "P1", Phase.DIG, 4.0, share_done=0.5))
    assert "planner plan make" in commands(firm_db, TUESDAY)
    assert "planner plan publish" not in commands(firm_db, TUESDAY)


def test_a_crews_name_with_a_blank_is_quoted_to_be_typed(firm_db: str) -> None:
    with Store(firm_db).writing(who="test") as book:
        heron = book.crew("Heron")
        book.remove_crew("Heron")
        book.save_crew(replace(heron, name="North [b]"))
        book.remove_crew("Otter")
    make_plan(firm_db, NOW, seconds=1)
    days = (NOW + timedelta(days=n) for n in range(5))
    told = {c for day in days for c in commands(firm_db, day) if c.startswith("planner sheet")}
    assert told == {"planner sheet 'North [b]'"}


@pytest.mark.parametrize(("name", "value"), [("COLUMNS", "abc"), ("COLUMNS", "-3"), ("COLUMNS", "²")])
def test_an_odd_width_is_no_width(
    firm_db: str, name: str, value: str, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setenv("PLANNER_DB", firm_db)
    monkeypatch.setenv("PLANNER_NOW", NOW.isoformat())
    monkeypatch.delenv(name, raising=False)
    assert main(["estimate", "P1"]) == 0
    usual = capsys.readouterr().out
    monkeypatch.setenv(name, value)
    assert main(["estimate", "P1"]) == 0
    assert capsys.readouterr().out == usual


@pytest.mark.parametrize("moment", ["9999-12-31T10:00", "0001-01-01T00:00", "soon", "2027-05-03T06:45+25:00"])
def test_a_clock_out_of_reach_is_one_line(
    firm_db: str, moment: str, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setenv("PLANNER_DB", firm_db)
    monkeypatch.setenv("PLANNER_NOW", moment)
    assert main(["estimate", "P1"]) == 2
    told = capsys.readouterr().err
    assert told.count("\n") == 1
    assert moment in told


def test_a_terminal_without_the_signs_gets_question_marks(firm_db: str) -> None:
    narrow = {
        **os.environ,
        "PLANNER_DB": firm_db,
        "PLANNER_NOW": NOW.isoformat(),
        "PYTHONIOENCODING": "ascii",
    }
    words = [sys.executable, "-m", "planner.cli.main", "estimate", "P1", "--explain"]
    done = subprocess.run(words, env=narrow, capture_output=True, text=True, check=False)
    assert (done.returncode, done.stderr) == (0, "")
    assert "dig: " in done.stdout
    assert "?" in done.stdout


@pytest.mark.parametrize("words", [["rates", "show"], ["estimate", "--json"]])
def test_a_full_disk_is_one_line(firm_db: str, words: list[str]) -> None:
    here = {**os.environ, "PLANNER_DB": firm_db, "PLANNER_NOW": NOW.isoformat()}
    with Path("/dev/full").open("w", encoding="utf-8") as full:
        done = subprocess.run(
            [sys.executable, "-m", "planner", *words],
            env=here,
            stdout=full,
            stderr=subprocess.PIPE,
            text=True,
            check=False,
        )
    assert done.returncode == 1
    assert done.stderr.count("\n") == 1
    assert "the answer cannot be written: no space left on device" in done.stderr


def test_the_bare_command_shows_it(
    firm_db: str, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    make_plan(firm_db, NOW, seconds=1)
    monkeypatch.setenv("PLANNER_DB", firm_db)
    monkeypatch.setenv("PLANNER_NOW", NOW.isoformat())
    assert main([]) == 0
    page = capsys.readouterr().out
    assert "Test firm (invented): Mon Apr 5, 2027" in page
    assert main(["today", "--json"]) == 0
    told = json.loads(capsys.readouterr().out)
    assert told["planner"] == "today"
    assert {row["crew"] for row in told["data"]["crews"]} == {"Heron", "Otter"}
