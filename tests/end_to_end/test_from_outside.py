"""A crane, an inspector and a hauler on their days: what screens, files and the next plan make of them."""

from __future__ import annotations

import csv
import json
from datetime import date, timedelta
from pathlib import Path

import pytest
from icalendar import Calendar

from planner.cli.main import main
from planner.domain.firm.calendar import working_day_off
from planner.domain.firm.firm import Firm

SETUP = (
    "crew add Red --skills excavator,stonework,plumbing",
    "machine add excavator digger",
    "job add P1 Hale -q dig_machine_cy=18 -q boulder_large_ton=6 -q pipe_ft=60 -q edge_ft=40 "
    "-q crane_visits=1 -q inspector_visits=1",
    "job gate P1 utility-locate 2027-04-06 --met",
    "office here P1",
)


def typed(capsys: pytest.CaptureFixture[str], *words: str, code: int = 0) -> tuple[str, str]:
    assert main(list(words)) == code, (words, capsys.readouterr())
    got = capsys.readouterr()
    return " ".join(got.out.split()), " ".join(got.err.split())


@pytest.fixture
def office(new_season: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Path:
    """One pond that asks for a crane and an inspector; nobody is booked yet."""
    monkeypatch.setenv("PLANNER_DB", str(new_season))
    monkeypatch.setenv("PLANNER_NOW", "2027-04-05T06:45")
    monkeypatch.setenv("COLUMNS", "300")
    for line in SETUP:
        typed(capsys, *line.split())
    return new_season


def bookings(capsys: pytest.CaptureFixture[str]) -> dict[str, str]:
    """Phase -> its first day, by the newest plan."""
    rows = json.loads(typed(capsys, "plan", "show", "--draft", "--json")[0])["data"]["bookings"]
    first: dict[str, str] = {}
    for row in sorted(rows, key=lambda r: r["start"]):
        first.setdefault(row["phase"], row["start"][:10])
    return first


def plan(capsys: pytest.CaptureFixture[str]) -> dict[str, str]:
    typed(capsys, "plan", "make", "--steps", "100", "--even-if", "told")
    typed(capsys, "plan", "publish")
    return bookings(capsys)


def test_nobody_booked_is_planned_as_if_asked_now_and_stands_on_the_list(
    office: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    # five working days after Monday 5 April is Monday the 12th: no stone before it
    first = plan(capsys)
    assert first["rock"] >= "2027-04-12"
    items = {i["key"]: i for i in json.loads(typed(capsys, "office", "list", "--all", "--json")[0])["data"]}
    assert {"crane:P1", "inspector:P1"} <= set(items)
    assert "then planner job gate P1 crane DAY" in items["crane:P1"]["what"]


def test_a_booked_crane_is_told_everywhere_and_who_does_not_come_is_planned_anew(
    office: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    rock = plan(capsys)["rock"]
    typed(capsys, "job", "gate", "P1", "crane", rock, "--day-part", "morning", "--note", "Lift Co (invented)")
    typed(capsys, "job", "pin", "P1", "rock", "--start", f"{rock}T07:00")
    assert plan(capsys)["rock"] == rock, "pinned to the crane's day"
    assert "crane at P1, rock" in typed(capsys, "board", "--week", rock)[0]
    sheet = typed(capsys, "sheet", "Red", rock)[0]
    assert "P1: crane in the morning (Lift Co (invented)), for the rock" in sheet
    assert "Crane: look for lines overhead" in sheet and "local codes win" in sheet
    assert "comes" in typed(capsys, "job", "show", "P1")[0]
    file = tmp_path / "red.ics"
    typed(capsys, "calendar", "--crew", "Red", "--out", str(file))
    (event,) = (e for e in Calendar.from_ical(file.read_bytes()).walk("VEVENT") if "comes" in e["summary"])
    assert (event["dtstart"].dt.hour, event["dtend"].dt.hour) == (7, 12)
    # nobody ticked him off: from the next day on his work waits as if he were asked anew, five working days
    next_day = date.fromisoformat(rock) + timedelta(days=1)
    monkeypatch.setenv("PLANNER_NOW", f"{next_day}T06:45")
    assert "crane at P1, rock" in typed(capsys, "today")[0]
    assert "did not come" in typed(capsys, "board", "--week", rock)[0]
    typed(capsys, "job", "pin", "P1", "rock", "--drop")
    typed(capsys, "replan", "--quick")
    assert bookings(capsys)["rock"] >= working_day_off(Firm(), next_day, 5).isoformat()


def test_gates_of_others_go_through_csv_and_the_firms_file(
    office: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    typed(capsys, "job", "gate", "P1", "crane", "2027-04-20", "--day-part", "afternoon")
    typed(capsys, "job", "gate", "P1", "hauler", "2027-04-12")
    gates, whole = tmp_path / "gates.csv", tmp_path / "firm.json"
    typed(capsys, "export", "gates", str(gates))
    rows = {row["kind"]: row for row in csv.DictReader(gates.read_text("utf-8-sig").splitlines())}
    assert (rows["crane"]["phase"], rows["crane"]["day_part"]) == ("rock", "afternoon")
    assert rows["hauler"]["phase"] == "dig"
    before = typed(capsys, "job", "show", "P1", "--json")[0]
    typed(capsys, "import", "gates", str(gates))
    assert typed(capsys, "job", "show", "P1", "--json")[0] == before, "what was exported changes nothing"
    typed(capsys, "export", "firm", str(whole))
    monkeypatch.setenv("PLANNER_DB", str(tmp_path / "again.sqlite3"))
    typed(capsys, "db", "create")
    typed(capsys, "import", "firm", str(whole))
    assert (
        json.loads(typed(capsys, "job", "show", "P1", "--json")[0])["data"]["gates"]
        == (json.loads(before)["data"]["gates"])
    )


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("crane", "2027-04-20", "--day-part", "noonish"), "--day-part = 'noonish'"),
        (("cranes", "2027-04-20"), "gate = 'cranes'"),
        (("utility", "2027-04-20"), "gate = 'utility'"),
        (("crane",), "opens = 'missing'"),
        (("hauler", "--drop"), "gate = 'hauler'"),
    ],
)
def test_bad_input_is_one_line_and_the_job_stays(
    office: Path, capsys: pytest.CaptureFixture[str], words: tuple[str, ...], said: str
) -> None:
    before = typed(capsys, "job", "show", "P1", "--json")[0]
    fault = typed(capsys, "job", "gate", "P1", *words, code=2)[1]
    assert said in fault
    assert typed(capsys, "job", "show", "P1", "--json")[0] == before
