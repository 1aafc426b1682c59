"""Stored values that no longer read: one line that names the row, from every command; the check finds each.

The values are put in past the table's own checks, as a damaged disk or another program would.
"""

from __future__ import annotations

import json
import shutil
import sqlite3
from contextlib import closing
from pathlib import Path

import pytest

from tests.cli.conftest import Run
from tests.conftest import NOW

COMMANDS = (
    ["today"],
    ["job", "list"],
    ["job", "show", "P-1"],
    ["history", "list"],
    ["history", "undo", "--yes"],
    ["plan", "show"],
    ["plan", "list"],
    ["board", "--week", "2027-W14"],
    ["sheet", "North", "2027-04-05"],
    ["rates", "show"],
    ["estimate", "P-1"],
    ["log", "list"],
    ["export", "firm"],
)

#: what is put in -> the row that is named
SPOILT = {
    "UPDATE jobs SET status = 'banana' WHERE code = 'P-1'": "row P-1 of jobs",
    "UPDATE jobs SET promised = 'soon' WHERE code = 'P-2'": "row P-2 of jobs",
    "UPDATE jobs SET importance = 'much' WHERE code = 'P-2'": "row P-2 of jobs",
    "UPDATE jobs SET client = CAST(x'ff00fe' AS TEXT) WHERE code = 'P-2'": "row P-2 of jobs",
    "UPDATE jobs SET depth_in = -7 WHERE code = 'P-2'": "row P-2 of jobs",
    "UPDATE history SET after = substr(after, 1, 9) WHERE id = 2": "row 2 of history",
    "UPDATE history SET at = '2027-99-05' WHERE id = 3": "row 3 of history",
    "UPDATE rate_editions SET saved_at = 'x'": "of rate_editions",
    "UPDATE rate_editions SET body = substr(body, 1, 4000)": "of rate_editions",
    "UPDATE rate_editions SET body = replace(body, '\"likely\": ', '\"likely\": 1e300')": "of rate_editions",
    "UPDATE bookings SET phase = x'00' WHERE rowid = 1": "of bookings",
    "UPDATE bookings SET starts = 'never' WHERE rowid = 2": "of bookings",
    "UPDATE plan_costs SET cents = 'Q99' WHERE place = 0": "row 1 0 of plan_costs",
    "UPDATE firm SET time_zone = ''": "row 1 of firm",
    "UPDATE firm SET weekdays = 'mon'": "row 1 of firm",
    "UPDATE crews SET skills = '[' WHERE name = 'North'": "row North of crews",
    "UPDATE crews SET size = 'two' WHERE name = 'North'": "row North of crews",
    "UPDATE machines SET units = 1e300": "row excavator of machines",
    "UPDATE logs SET day = '' WHERE id = 1": "row 1 of logs",
    "UPDATE job_lines SET quantity = 'few' WHERE rowid = (SELECT min(rowid) FROM job_lines)": "of job_lines",
}


def _put_in(words: str) -> None:
    with closing(sqlite3.connect("season.sqlite3")) as raw:
        raw.execute("PRAGMA foreign_keys=OFF")
        raw.execute("PRAGMA ignore_check_constraints=ON")
        assert raw.execute(words).rowcount
        raw.commit()


@pytest.mark.parametrize("words", SPOILT)
def test_every_command_tells_the_row_in_one_line(run: Run, words: str) -> None:
    _put_in(words)
    codes = set()
    for command in COMMANDS:
        code, _, err = run(*command)
        codes.add(code)
        if code:
            assert SPOILT[words] in err, (command, err)
            assert "run `planner db check`" in err and err.count("\n") == 1, (command, err)
    assert codes <= {0, 1}


@pytest.mark.parametrize("words", SPOILT)
def test_the_check_names_the_row_and_the_copy_that_has_it_whole(run: Run, words: str) -> None:
    assert run("db", "backup")[0] == 0
    _put_in(words)
    code, out, _ = run("db", "check", "--json")
    assert code == 1
    found = json.loads(out)["data"]
    mine = [f for f in found if SPOILT[words] in f["what"]]
    assert mine, found
    assert ".sqlite3 has it whole" in mine[0]["advice"]


def test_without_a_whole_copy_the_check_says_so(run: Run) -> None:
    shutil.rmtree("season.backups", ignore_errors=True)
    _put_in("UPDATE jobs SET status = 'banana' WHERE code = 'P-1'")
    run("db", "check")
    assert "no backup here has it whole" in " ".join(run("db", "check")[1].split())


def test_a_bug_stays_a_bug(run: Run, monkeypatch: pytest.MonkeyPatch) -> None:
    """Where all rows read, the fault is the program's and is not laid on the data."""

    def broken(*_: object, **__: object) -> None:
        raise ZeroDivisionError

    monkeypatch.setattr("planner.flow.keeping.jobs.load_jobs", broken)
    with pytest.raises(ZeroDivisionError):
        run("job", "list")


@pytest.mark.parametrize("now", ["1970-01-02T08:00", "2150-01-02T08:00"])
def test_a_clock_out_of_reach_stamps_nothing(run: Run, monkeypatch: pytest.MonkeyPatch, now: str) -> None:
    before = Path("season.sqlite3").read_bytes()
    monkeypatch.setenv("PLANNER_NOW", now)
    for command in (
        ["job", "cancel", "P-2", "--even-so"],
        ["crew", "away", "North", "2027-06-01"],
        ["db", "backup"],
    ):
        code, _, err = run(*command)
        assert code == 2 and "choose a year from 2000 to 2100" in err
    assert Path("season.sqlite3").read_bytes() == before


def test_a_clock_that_was_wrong_is_told(run: Run, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("PLANNER_NOW", "2049-04-05T06:45")
    assert run("job", "cancel", "P-2", "--even-so")[0] == 0
    monkeypatch.setenv("PLANNER_NOW", NOW)
    out = " ".join(run("db", "check")[1].split())
    assert "the newest change is stamped Mon Apr 5, 2049" in out
    assert "the newest backup is stamped 2049-04-05" in out


@pytest.mark.parametrize("port", ["x", "99999999", "-1", "5432x"])
def test_a_port_that_is_no_number(run: Run, port: str) -> None:
    code, _, err = run("--db", f"postgresql://office@localhost:{port}/season", "job", "list")
    assert code == 1 and err.count("\n") == 1
