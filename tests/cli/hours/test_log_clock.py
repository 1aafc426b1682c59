"""`planner log clock` as the office types it: words said once, nothing counted twice, nothing half-taken."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from tests.cli.conftest import Run

WORDS = [
    *("--column", "person=Employee", "--column", "in=Clock In", "--column", "out=Clock Out"),
    *("--column", "job=Project", "--column", "phase=Task", "--person", "Ann Lee=North"),
    *(
        "--person",
        "bo orr=north",
        "--site",
        "Moor pond=P-2",
        "--work",
        "Excavation=dig",
        "--work",
        "yard=none",
    ),
]
HEAD = "Employee,Clock In,Clock Out,Project,Task,Rate\n"
WEEK = (
    f"{HEAD}Ann Lee,4/5/2027 5:00 AM,4/5/2027 6:30 AM,Moor pond,Excavation,22\n"
    "Bo Orr,4/5/2027 5:30 AM,4/5/2027 6:00 AM,Moor pond,Excavation,22\n"
    "Bo Orr,4/5/2027 6:00 AM,4/5/2027 6:30 AM,Shop,Yard,22\n"
)


def logged(run: Run, job: str = "P-2") -> list[dict[str, object]]:
    return json.loads(run("log", "list", "--job", job, "--json")[1])["data"]


def test_a_week_is_logged_once_and_its_words_are_kept(run: Run) -> None:
    Path("week.csv").write_text(WEEK, encoding="utf-8")
    code, out, err = run("log", "clock", "week.csv", *WORDS, "--yes")
    assert code == 0, err
    assert "2 people, 2 labour-h" in out
    assert "0.5 h of people on work that is not logged" in out
    assert [(e["crew_h"], e["people"], e["source"]) for e in logged(run)] == [(1, 2, "time clock")]
    code, out, err = run("log", "clock", "week.csv", "--yes")
    assert (code, len(logged(run))) == (0, 1)
    assert "nothing to log" in err
    assert "logged already" in out


def test_a_newer_file_takes_the_place_of_the_clocks_entry_and_fewer_hours_are_asked_about(run: Run) -> None:
    Path("week.csv").write_text(WEEK, encoding="utf-8")
    run("log", "clock", "week.csv", *WORDS, "--yes")
    more = WEEK.replace("5:00 AM", "4:00 AM")
    Path("week.csv").write_text(more, encoding="utf-8")
    assert run("log", "clock", "week.csv", "--yes")[0] == 0
    assert [e["crew_h"] for e in logged(run)] == [1.5]
    Path("week.csv").write_text(WEEK, encoding="utf-8")
    code, _, err = run("log", "clock", "week.csv", "--yes")
    assert code == 1
    assert "does the file hold the whole day?" in err
    assert [e["crew_h"] for e in logged(run)] == [1.5]
    assert run("log", "clock", "week.csv", "--yes", "--accept")[0] == 0
    assert [e["crew_h"] for e in logged(run)] == [1]


def test_hours_written_by_hand_stay(run: Run) -> None:
    before = logged(run, "P-1")
    Path("week.csv").write_text(WEEK, encoding="utf-8")
    code, out, _ = run("log", "clock", "week.csv", *WORDS, "--site", "Moor pond=P-1", "--yes")
    assert code == 0
    assert "left as it is: 4 h from office" in out
    assert logged(run, "P-1") == before


def test_day_and_time_in_columns_of_their_own_and_a_crew_instead_of_people(run: Run) -> None:
    text = "Day;crew;in;out;job;phase\n4/5/2027;South;5:00;6:30;p-2;dig\n"
    Path("days.csv").write_text(text, encoding="utf-8")
    code, _, err = run("log", "clock", "days.csv", "--yes")
    assert code == 0, err
    assert [(e["crew"], e["crew_h"], e["people"]) for e in logged(run)] == [("South", 1.5, 1)]


def test_the_meal_comes_off_when_the_clock_runs_through_it(run: Run) -> None:
    text = "crew,in,out,job,phase\nSouth,4/5/2027 0:15,4/5/2027 6:45,P-2,dig\n"
    Path("days.csv").write_text(text, encoding="utf-8")
    run("log", "clock", "days.csv", "--yes", "--less-meal")
    assert [e["crew_h"] for e in logged(run)] == [6]


@pytest.mark.parametrize(
    ("row", "said"),
    [
        ("Ann Lee,4/5/2027 5:00 AM,,Moor pond,Excavation", "line 2 column 3 (clock out): out = ''"),
        ("Ann Lee,,4/5/2027 5:00 AM,Moor pond,Excavation", "line 2 column 2 (clock in): in = ''"),
        ("Ann Lee,4/5/2027 5:00 AM,4/6/2027 6:30 AM,Moor pond,Excavation", "was it Mon Apr 5, 2027 06:30"),
        ("Ann Lee,4/6/2027 5:00 AM,4/6/2027 6:30 AM,Moor pond,Excavation", "that is after today"),
        ("Ann Lee,4/5/2027 25:00,4/5/2027 6:30 AM,Moor pond,Excavation", "write a time from 00:00 to 23:59"),
        ("Ann Lee,4/5/2027 13:00 pm,4/5/2027 6:30 AM,Moor pond,Excavation", "write an hour from 1 to 12"),
        ("Cal Day,4/5/2027 5:00 AM,4/5/2027 6:30 AM,Moor pond,Excavation", '--person "Cal Day=North"'),
        ("Ann Lee,4/5/2027 5:00 AM,4/5/2027 6:30 AM,Mere pond,Excavation", '--site "Mere pond=CODE"'),
        ("Ann Lee,4/5/2027 5:00 AM,4/5/2027 6:30 AM,Moor pond,Paving", '--work "Paving=dig"'),
        ("Ann Lee,4/5/2027 5:00 AM,4/5/2027 6:30 AM,P-3,Excavation", "mark it sold before logging"),
        ("Ann Lee,4/5/2027 5:00 AM,4/5/2027 6:30 AM,P-2,plumbing", "has no such work"),
    ],
)
def test_a_fault_is_told_at_its_line_and_nothing_is_taken(run: Run, row: str, said: str) -> None:
    Path("bad.csv").write_text(
        f"{HEAD}{row},22\nAnn Lee,4/5/2027 3:00 AM,4/5/2027 4:00 AM,Moor pond,Excavation,22\n",
        encoding="utf-8",
    )
    code, _, err = run("log", "clock", "bad.csv", *WORDS, "--yes")
    assert (code, said in err) == (2, True), err
    assert err.count("\n") == 1
    assert logged(run) == []


def test_missing_columns_say_how_to_name_them(run: Run) -> None:
    Path("week.csv").write_text(WEEK, encoding="utf-8")
    code, _, err = run("log", "clock", "week.csv", "--yes")
    assert code == 2
    assert '--column "in=..."' in err
    assert "clock in, clock out" in err


@pytest.mark.parametrize("told", [("--column", "when=Clock In"), ("--person", "Ann Lee"), ("--work", "=dig")])
def test_words_that_are_none_are_refused(run: Run, told: tuple[str, str]) -> None:
    Path("week.csv").write_text(WEEK, encoding="utf-8")
    assert run("log", "clock", "week.csv", *told, "--yes")[0] == 2
    assert not Path("clock.toml").exists()


def test_a_spoilt_clock_toml_is_told_in_one_line(run: Run) -> None:
    Path("clock.toml").write_text("columns = 3", encoding="utf-8")
    Path("week.csv").write_text(WEEK, encoding="utf-8")
    code, _, err = run("log", "clock", "week.csv", "--yes")
    assert (code, err.count("\n")) == (2, 1), err


def test_a_named_hand_needs_no_word_about_his_crew(run: Run) -> None:
    """Who was named with `planner people` works with his crew."""
    for name in ("Ann Lee", "Bo Orr"):
        assert run("people", "add", name, "--crew", "North")[0] == 0
    Path("week.csv").write_text(WEEK, encoding="utf-8")
    whose = ("--person", "Ann Lee=North", "bo orr=north")
    code, out, err = run("log", "clock", "week.csv", *(w for w in WORDS if w not in whose), "--dry-run")
    assert code == 0, err
    assert "2 people, 2 labour-h" in out
