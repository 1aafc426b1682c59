"""The database from the command line: state, backup, restore, and the health check with its advice."""

from __future__ import annotations

import json
from pathlib import Path

from planner.store.engine import Store
from tests.cli.conftest import Run


def test_making_a_database_twice(run: Run) -> None:
    assert run("--db", "new/folder/s.sqlite3", "db", "create")[0] == 0
    code, _, err = run("--db", "new/folder/s.sqlite3", "db", "create")
    assert code == 0 and "there already" in err
    assert run("--db", "new/folder/s.sqlite3", "db", "upgrade")[0] == 0
    assert run("--db", "none.sqlite3", "db", "upgrade")[0] == 1


def test_state_tells_what_there_is(run: Run) -> None:
    code, out, _ = run("db", "state")
    assert code == 0
    assert "up to date" in out and "3 jobs, 2 crews, 1 machine, 1 plan, 1 log" in out
    data = json.loads(run("db", "state", "--json")[1])["data"]
    assert data["revision"] == data["newest_revision"]
    assert data["entries"]["jobs"] == 3


def test_a_backup_and_back(run: Run) -> None:
    assert run("db", "backup", "--to", "mine.sqlite3")[0] == 0
    assert run("db", "backup", "--to", "mine.sqlite3")[0] == 2
    assert run("db", "backup")[0] == 0
    assert run("job", "cancel", "P-2", "--even-so")[0] == 0
    assert run("db", "restore", "mine.sqlite3")[0] == 2  # without a terminal it wants --yes
    code, _, err = run("db", "restore", "mine.sqlite3", "--yes")
    assert code == 0 and "kept at" in err
    assert '"status": "sold"' in run("job", "show", "P-2", "--json")[1]
    code, out, _ = run("db", "restore")
    assert code == 0 and "restore" in out and "asked" in out


def test_a_healthy_season(run: Run) -> None:
    run("log", "undo", "1")
    run("history", "undo", "--yes")
    run("db", "backup")
    found = json.loads(run("db", "check", "--json")[1])["data"]
    assert [f for f in found if f["grave"] and "the database file" in f["what"]] == []


def test_the_check_finds_what_is_wrong_and_advises(run: Run) -> None:
    run("crew", "remove", "North", "--yes", "--even-so")
    run("job", "cancel", "P-2", "--even-so")
    Path("season.sqlite3").chmod(0o644)
    with Store("season.sqlite3").writing() as book:
        from dataclasses import replace

        book.save_job(book.job("P-3"), edition=book.rate_book().edition)
        book.save_rate_book(replace(book.rate_book(), edition="2028-01"))
    code, out, _ = run("db", "check")
    assert code == 1
    for words in (
        "WRONG published plan 1 books crews that are gone: North",
        "WRONG published plan 1 books cancelled jobs: P-2",
        "every work once",
        "stale: since it was made",
        "P-2 is cancelled; act before the work of Thu Apr 8",
        "note other people on this computer may read season.sqlite3",
        "1 job ahead told by an older rate book than 2028-01: P-3",
        "planner plan make",
    ):
        assert words in " ".join(out.split())


def test_a_damaged_file_is_told(run: Run) -> None:
    content = bytearray(Path("season.sqlite3").read_bytes())
    content[8192:] = b"\xa5" * (len(content) - 8192)
    Path("season.sqlite3").write_bytes(content)
    code, out, _ = run("db", "check")
    assert code == 1 and "planner db restore" in out


def test_a_job_that_the_published_plan_books_is_cancelled_only_even_so(run: Run) -> None:
    for words in (["job", "cancel", "P-2"], ["job", "change", "P-2", "--status", "cancelled"]):
        code, _, err = run(*words)
        assert code == 1 and "job P-2 is booked in published plan 1" in err and "--even-so" in err
    Path("off.csv").write_text("code,client,status\nP-2,Moor,cancelled\n")
    code, _, err = run("import", "jobs", "off.csv")
    assert code == 1 and "planner job cancel P-2 --even-so" in err
    assert '"status": "sold"' in run("job", "show", "P-2", "--json")[1]
    assert run("job", "change", "P-2", "--status", "cancelled", "--even-so")[0] == 0
    assert "P-2 is cancelled" in run("today")[1] + run("board", "--week", "2027-W14")[1]
    assert run("job", "cancel", "P-3")[0] == 0  # an inquiry is booked nowhere
