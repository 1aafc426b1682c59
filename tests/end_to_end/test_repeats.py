"""A visit's kept rule: it makes the visits of each season that is planned, and the calendar carries it."""

from __future__ import annotations

import json
from datetime import date, datetime
from pathlib import Path

import pytest
from dateutil.rrule import rrulestr
from icalendar import Calendar

from planner.cli.main import main


def typed(capsys: pytest.CaptureFixture[str], *words: str, code: int = 0) -> tuple[str, str]:
    assert main(list(words)) == code, (words, capsys.readouterr())
    got = capsys.readouterr()
    return got.out, " ".join(got.err.split())


@pytest.fixture
def season(new_season: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Path:
    """One crew, a spring opening of 12 April 2027 that may take until the 30th."""
    monkeypatch.setenv("PLANNER_DB", str(new_season))
    monkeypatch.setenv("PLANNER_NOW", "2027-04-05T06:45")
    monkeypatch.setenv("COLUMNS", "300")
    typed(capsys, "crew", "add", "Red", "--skills", "plumbing")
    words = ("--client", "Hale", "--hours", "3", "--from", "2027-04-12", "--promised", "2027-04-30")
    typed(capsys, "visit", "add", "V1", "spring opening", *words)
    return new_season


def visits(capsys: pytest.CaptureFixture[str]) -> dict[str, str]:
    """Code -> first day of each visit."""
    rows = json.loads(typed(capsys, "visit", "list", "--json")[0])["data"]
    return {row["code"]: row["gates"][0]["opens"] for row in rows}


def next_season(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
    typed(capsys, "firm", "set", "--season-first", "2028-04-01", "--season-last", "2028-11-15")
    monkeypatch.setenv("PLANNER_NOW", "2028-03-20T07:00")


def test_the_next_season_makes_its_own_visits_once_and_says_so(
    season: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    typed(capsys, "visit", "repeat", "V1", "FREQ=YEARLY")
    assert list(visits(capsys)) == ["V1"], "this season has its own already"
    typed(capsys, "plan", "make", "--seconds", "0")
    next_season(monkeypatch, capsys)
    assert "Made by their kept rules: V1-280412" in typed(capsys, "plan", "make", "--seconds", "0")[1]
    assert visits(capsys)["V1-280412"] == "2028-04-12"
    made = json.loads(typed(capsys, "job", "show", "V1-280412", "--json")[0])["data"]
    assert (made["promised"], made["repeats"], made["status"]) == ("2028-04-30", "", "sold")
    assert "kept rules" not in typed(capsys, "plan", "make", "--seconds", "0")[1], "nothing lacks"
    # cancelled, it stays so; and a rule that is ended makes no more
    typed(capsys, "job", "cancel", "V1-280412")
    assert "kept rules" not in typed(capsys, "plan", "make", "--seconds", "0")[1]
    typed(capsys, "visit", "repeat", "V1", "none")
    typed(capsys, "firm", "set", "--season-first", "2029-04-01", "--season-last", "2029-11-15")
    monkeypatch.setenv("PLANNER_NOW", "2029-03-20T07:00")
    assert "kept rules" not in typed(capsys, "plan", "make", "--seconds", "0")[1]


def test_undo_takes_the_made_visits_back(
    season: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    before = visits(capsys)
    typed(capsys, "visit", "repeat", "V1", "FREQ=MONTHLY")
    # each month's 12th up to the season's last day: every one falls into it
    days = [date(2027, month, 12).isoformat() for month in range(5, 12)]
    assert list(visits(capsys).values()) == ["2027-04-12", *days]
    typed(capsys, "history", "undo", "--yes")
    assert visits(capsys) == before


def test_the_clients_calendar_carries_the_rule_and_two_parsers_read_the_same_days(
    season: Path, capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    """RFC 5545, 3.3.10 and 3.8.5.3: read by icalendar, unfolded by dateutil, counted by hand."""
    typed(capsys, "visit", "repeat", "V1", "FREQ=YEARLY;BYMONTH=4;BYDAY=2MO")
    typed(capsys, "plan", "make", "--seconds", "0")
    typed(capsys, "plan", "publish")
    file = tmp_path / "hale.ics"
    typed(capsys, "calendar", "--job", "V1", "--out", str(file))
    again = [e for e in Calendar.from_ical(file.read_bytes()).walk("VEVENT") if "rrule" in e]
    (event,) = again
    told = rrulestr(event["rrule"].to_ical().decode(), dtstart=datetime(2028, 4, 10))
    # second Mondays of April, from the calendars of these years
    days = [date(2028, 4, 10), date(2029, 4, 9), date(2030, 4, 8), date(2031, 4, 14)]
    assert event["dtstart"].dt == days[0]
    assert [at.date() for at in told[:4]] == days


@pytest.mark.parametrize(
    ("rule", "said"),
    [
        ("every spring", "rule = 'every spring'"),
        ("FREQ=HOURLY", "rule = 'FREQ=HOURLY'"),
        ("FREQ=DAILY", "until = '11/19/2027'"),
        ("none", "visit V1 has none"),
    ],
)
def test_what_is_no_rule_for_a_season_is_one_line_and_changes_nothing(
    season: Path, capsys: pytest.CaptureFixture[str], rule: str, said: str
) -> None:
    before = visits(capsys)
    assert said in typed(capsys, "visit", "repeat", "V1", rule, code=2)[1]
    assert visits(capsys) == before
