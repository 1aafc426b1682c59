"""board, sheet, return, calendar as a person types them: exit codes, stdout, stderr, files."""

import json
import shutil
from datetime import date, datetime
from pathlib import Path

import pytest

from planner.cli.main import main
from planner.domain.crew_day.returned import ReturnedSheet, ReturnedTask, encode
from planner.domain.firm.crews import Crew
from planner.domain.firm.jobs import Job, Line, Status
from planner.domain.firm.phases import Phase, WorkKey
from planner.domain.season.plan import Booking, Cost, Plan, PlanState
from planner.flow.crew_day.sheet import crew_sheets
from planner.flow.keeping.database import create_store
from planner.store.engine import Store


@pytest.fixture(scope="module")
def template(tmp_path_factory) -> Path:
    """A database with one invented pond, dug by one crew on 5 and 6 April 2027, published."""
    location = str(tmp_path_factory.mktemp("template") / "season.sqlite3")
    create_store(location, "test")
    booking = Booking(
        WorkKey("P-1", Phase.DIG), ("North",), datetime(2027, 4, 5, 7), datetime(2027, 4, 6, 15, 30), 16
    )
    with Store(location).writing("test") as book:
        book.save_crew(Crew("North", "Ana", 3))
        book.save_job(
            Job("P-1", "Invented [b]", "1 Nowhere", status=Status.SOLD, lines=(Line("dig_machine_cy", 9),))
        )
        plan = Plan((booking,), Cost(), PlanState.RULE, datetime(2027, 4, 1, 12))
        book.publish(book.save_plan(plan), datetime(2027, 4, 1, 12))
    return Path(location)


@pytest.fixture
def season(template, tmp_path, monkeypatch) -> str:
    location = tmp_path / "season.sqlite3"
    shutil.copy(template, location)
    monkeypatch.setenv("PLANNER_DB", str(location))
    monkeypatch.setenv("PLANNER_NOW", "2027-04-05T06:45")
    monkeypatch.setenv("COLUMNS", "100")
    return str(location)


def run(capsys, *words: str) -> tuple[int, str, str]:
    code = main(list(words))
    out, err = capsys.readouterr()
    return code, out, err


def text_of(location: str, **more) -> str:
    sheet = crew_sheets(location, "North", [date(2027, 4, 5)])[0]
    task = ReturnedTask("P-1", Phase.DIG, 1, **{"crew_h": 7.5, "people": 3, "share_done": 0.5, **more})
    return encode(ReturnedSheet("North", date(2027, 4, 5), sheet.plan_number, sheet.mark, "Ana", (task,)))


def test_board(season, capsys):
    code, out, _ = run(capsys, "board")
    assert code == 0 and "P-1 dig 8 h" in out and "plan 1, published" in out
    code, out, _ = run(capsys, "board", "--week", "2027-W14", "--json")
    envelope = json.loads(out)
    assert (code, envelope["planner"], envelope["format"], envelope["data"]["week"]) == (
        0,
        "board",
        1,
        "2027-W14",
    )
    code, out, _ = run(capsys, "board", "--csv")
    assert out.startswith("week,day,crew,") and len(out.splitlines()) == 3


def test_board_and_sheet_pages(season, capsys, tmp_path):
    for words in (["board"], ["sheet", "North"], ["sheet", "North", "--week"]):
        code, out, err = run(capsys, *words, "--page", str(tmp_path / "page.html"))
        assert (code, out) == (0, "") and "wrote" in err
        assert "Invented [b]" in (tmp_path / "page.html").read_text("utf-8")
    code, _, err = run(capsys, "board", "--page", str(tmp_path / "no" / "page.html"))
    assert code == 2 and err.count("\n") == 1 and "--page" in err


def test_sheet(season, capsys):
    code, out, _ = run(capsys, "sheet", "north", "tomorrow", "--temp", "35C", "--humidity", "55")
    assert code == 0 and "HOLD" in out and "heavy work" in out and "Invented [b]" in out
    code, out, _ = run(capsys, "sheet", "North", "--json")
    assert json.loads(out)["data"]["tasks"][0]["crew_h"] == 8


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (["board", "--week", "2027-W60"], "2027-W15"),
        (["board", "--week", "next"], "--week"),
        (["board", "--csv", "--json"], "--csv"),
        (["sheet", "South"], "use one of North"),
        (["sheet", "North", "31.4."], "2027-05-14"),
        (["sheet", "North", "--temp", "96F"], "--humidity"),
        (["sheet", "North", "--temp", "hot", "--humidity", "5"], "96F"),
        (["sheet", "North", "--temp", "90", "--humidity", "500"], "humidity"),
        (["sheet", "North", "--temp", "90", "--humidity", "50", "--wind", "9 knots"], "mph"),
        (["sheet", "North", "--temp", "90", "--humidity", "50", "--sky", "rain"], "--sky"),
        (["return", "nothing.txt"], "FILE"),
        (["calendar", "--crew", "North", "--job", "P-1"], "choose one"),
        (["calendar", "--machine", "crane"], "machine"),
        (["sheet", "North", "--plan", "99"], "99"),
    ],
)
def test_wrong_words_are_told_in_one_line(season, capsys, words, told):
    code, out, err = run(capsys, *words)
    assert (code, out) == (2, "") and err.count("\n") == 1 and told in err


def test_no_plan_is_refused(tmp_path, monkeypatch, capsys):
    location = str(tmp_path / "new.sqlite3")
    monkeypatch.setenv("PLANNER_DB", location)
    create_store(location, "test")
    code, out, err = run(capsys, "board")
    assert (code, out) == (1, "") and "planner plan" in err


def test_return_from_file_shows_asks_and_logs_once(season, capsys, tmp_path):
    file = tmp_path / "day.txt"
    file.write_text("North, good day\n\n" + text_of(season), "utf-8")
    code, out, err = run(capsys, "return", str(file), "--dry-run")
    assert code == 0 and "P-1 dig: 7.5 h" in out and err == ""
    code, _, err = run(capsys, "return", str(file))  # no terminal, no --yes: nothing is logged
    assert code == 2 and "--yes" in err
    code, _, err = run(capsys, "return", str(file), "--yes")
    assert code == 0 and "logged 1 entry" in err
    code, out, err = run(capsys, "return", str(file), "--yes")
    assert code == 0 and "logged before" in out and err == ""
    with Store(season).reading() as book:
        assert [(log.crew, log.crew_h, log.share_done) for log in book.logs()] == [("North", 7.5, 0.5)]


def test_return_by_paste_and_json(season, capsys, monkeypatch):
    import io

    monkeypatch.setattr("sys.stdin", io.StringIO(text_of(season)))
    code, out, err = run(capsys, "return", "-", "--json")
    data = json.loads(out)["data"]
    assert (
        code == 0 and data[0]["logged"] is True and data[0]["logs"][0]["crew_h"] == 7.5 and "logged 1" in err
    )


def test_an_odd_return_needs_an_accept(season, capsys, tmp_path):
    file = tmp_path / "day.txt"
    file.write_text(text_of(season, crew_h=13.0), "utf-8")
    code, out, err = run(capsys, "return", str(file), "--yes")
    assert code == 1 and "13 hours in one day" in err and "? 13 hours" in out
    code, _, err = run(capsys, "return", str(file), "--accept")
    assert code == 0 and "logged 1 entry" in err
    file.write_text(text_of(season)[:-3], "utf-8")
    code, _, err = run(capsys, "return", str(file), "--accept")
    assert code == 2 and "again" in err


def test_a_missed_tolerance_is_shown(season, capsys, tmp_path):
    file = tmp_path / "day.txt"
    asked = crew_sheets(season, "North", [date(2027, 4, 5)])[0].tasks[0].ready.lines
    file.write_text(text_of(season, values={"floor-unknown": 30.0}, asked=asked), "utf-8")
    _, out, _ = run(capsys, "return", str(file), "--dry-run")
    assert "! MISSED P-1 dig: depth below the rim 30 in, wanted" in out


def test_calendar_to_file_and_stdout(season, capsys, tmp_path):
    out_file = tmp_path / "north.ics"
    code, out, _ = run(capsys, "calendar", "--crew", "north", "--out", str(out_file))
    assert (code, out) == (0, "") and out_file.read_bytes().startswith(b"BEGIN:VCALENDAR\r\n")
    code, out, _ = run(capsys, "calendar", "--job", "P-1")
    assert "pond installation" in out and "P-1" not in out, "the client has no use for the office's code"
    assert code == 0 and "DTSTART;VALUE=DATE:20270405" in out
    code, out, _ = run(capsys, "calendar", "--json")
    assert json.loads(out)["data"][0]["status"] == "CONFIRMED"
    assert Path(season).exists()
