"""A client who is forgotten is in no table, no history and no free page any more; figures stay."""

from __future__ import annotations

import json
import shutil
import sqlite3
from collections.abc import Callable
from contextlib import closing
from datetime import date, datetime
from pathlib import Path

import pytest

from planner.cli.main import main
from planner.store.engine import Store
from planner.store.safekeeping import erasure
from planner.store.safekeeping.migrate import migrate_to
from tests.conftest import NOW

ROWS = Path(__file__).parents[2] / "migrations" / "rows"
Run = Callable[..., tuple[int, str, str]]

#: Words that only the forgotten client's job holds, and where each was typed.
WORDS = (
    "Quillfeather", "Nettle Lane", "555-0199", "blue pot", "north gate code", "Umberdale", "heron nests",
    "their dog", "sump note", "cousin", "Nightjar", "555-0142",
)  # fmt: skip


@pytest.fixture
def run(
    planned: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> Run:
    """A season in which a client's words stand in every place that has room for them."""
    home = tmp_path / "home"
    shutil.copytree(planned, home)
    monkeypatch.chdir(home)
    for name, value in (("PLANNER_NOW", NOW), ("PLANNER_USER", "ada"), ("PLANNER_DB", "season.sqlite3")):
        monkeypatch.setenv(name, value)

    def typed(*words: str) -> tuple[int, str, str]:
        capsys.readouterr()
        code = main(list(words))
        told = capsys.readouterr()
        return code, told.out, told.err

    for words in (
        ["job", "change", "P-2", "--client", "Nightjar", "--phone", "555-0142"],
        ["job", "change", "P-1", "--notes", "as at Quillfeather, 7 Nettle Lane; once Nightjar"],
        ["crew", "away", "South", "2027-08-02", "--why", "tea with Quillfeather"],
        ["lost", "rain", "2027-04-07", "--note", "Quillfeather called 555-0199"],
        ["job", "change", "P-2", "--client", "Quillfeather", "--address", "7 Nettle Lane"],
        ["job", "change", "P-2", "--phone", "555-0199", "--notes", "key under the blue pot"],
        ["job", "change", "P-2", "--site-notes", "north gate code 4711", "--region", "Umberdale"],
        ["job", "gate", "P-2", "permit", "2027-04-09", "--note", "heron nests"],
        [
            "log",
            "add",
            "P-2",
            "dig",
            "South",
            "3",
            "--day",
            "2027-04-05",
            "--share",
            "40",
            "--note",
            "their dog",
        ],
        ["plan", "make", "--seconds", "0.2", "--note", "for the Quillfeather cousin"],
        ["export", "firm", "whole.json"],
        ["db", "backup"],
        ["job", "cancel", "P-2", "--even-so"],
    ):
        code, _, err = typed(*words)
        assert code == 0, (words, err)
    with Store("season.sqlite3").writing() as book:
        book.save_design("P-2", 'name = "sump note"')
        book.save_return("abcd1234", "South", date(2027, 4, 5), "digest", "P-2 dig: ask their cousin")
    return typed


def _held(path: str | Path) -> list[str]:
    content = Path(path).read_bytes()
    return [word for word in WORDS if word.encode() in content]


def test_nothing_of_the_client_is_left_in_the_file(run: Run) -> None:
    assert _held("season.sqlite3") == list(WORDS)
    before = json.loads(run("job", "show", "P-2", "--json")[1])["data"]
    code, _, err = run("job", "forget", "P-2", "--yes")
    assert code == 0
    assert _held("season.sqlite3") == []
    for beside in Path().glob("season.sqlite3-*"):
        assert _held(beside) == []
    after = json.loads(run("job", "show", "P-2", "--json")[1])["data"]
    for same in ("lines", "soil", "access", "promised", "status"):
        assert before["job"][same] == after["job"][same] if "job" in after else before[same] == after[same]
    logs = json.loads(run("log", "list", "--job", "P-2", "--json")[1])["data"]
    assert [entry["crew_h"] for entry in logs] == [3.0] and logs[0]["note"] == ""
    assert "whole.json" in err and "asked.sqlite3" in err and "--renew-backups" in err


def test_the_history_says_that_it_was_done_and_not_what(run: Run) -> None:
    assert run("job", "forget", "P-2", "--yes")[0] == 0
    out = run("history", "list", "--noun", "forgotten", "--json")[1]
    entries = json.loads(out)["data"]
    assert [(e["noun"], e["key"]) for e in entries] == [("forgotten", "P-2")]
    assert not any(word in run("history", "list", "--json", "--limit", "1000")[1] for word in WORDS)
    assert run("history", "list")[0] == 0


def test_undoing_what_was_before_brings_nobody_back(run: Run) -> None:
    assert run("job", "forget", "P-2", "--yes")[0] == 0
    for _ in range(12):
        run("history", "undo", "--yes")
    shown = run("job", "list", "--json")[1] + run("history", "list", "--json", "--limit", "1000")[1]
    assert not any(word in shown for word in WORDS)


def test_backups_are_renewed_when_asked(run: Run) -> None:
    copies = sorted(Path("season.backups").glob("*-asked.sqlite3"))
    assert copies and _held(copies[-1])
    code, _, err = run("job", "forget", "P-2", "--yes", "--renew-backups")
    assert code == 0 and "forgotten in the backup" in err
    for copy in Path("season.backups").iterdir():
        assert not set(_held(copy)) & {"Quillfeather", "Nettle Lane", "blue pot"}, copy
    with closing(sqlite3.connect(copies[-1])) as raw:
        assert raw.execute("PRAGMA integrity_check").fetchone()[0] == "ok"
    assert run("db", "restore", str(copies[-1]), "--yes")[0] == 0
    assert '"(forgotten)"' in run("job", "show", "P-2", "--json")[1]


def test_open_work_is_not_forgotten(run: Run) -> None:
    before = Path("season.sqlite3").read_bytes()
    code, _, err = run("job", "forget", "P-1", "--yes")
    assert code == 1 and "finish or cancel it" in err
    assert run("job", "forget", "P-2")[0] == 2
    assert run("job", "forget", "P-9", "--yes")[0] == 2
    assert Path("season.sqlite3").read_bytes() == before
    assert run("db", "check")[0] in (0, 1)


def test_other_texts_keep_all_but_the_names(run: Run) -> None:
    assert run("job", "forget", "P-2", "--yes")[0] == 0
    job = json.loads(run("job", "show", "P-1", "--json")[1])["data"]
    assert job["notes"] == "as at (forgotten), (forgotten); once (forgotten)"
    assert "tea with (forgotten)" in run("crew", "list", "--json")[1]


def test_the_same_clients_other_job_is_named(run: Run) -> None:
    assert run("job", "add", "P-7", "Quillfeather")[0] == 0
    assert "job P-7 is of the same client" in run("job", "forget", "P-2", "--yes")[2]


def test_photos_and_files_set_aside_are_named(run: Run, tmp_path: Path) -> None:
    Path("P-2 hole.jpg").write_bytes(b"\xff\xd8 a picture")
    Path("P-21.jpg").write_bytes(b"\xff\xd8 of another job")
    shutil.copy("season.sqlite3", "season.damaged-2027-04-05-064500.sqlite3")
    err = run("job", "forget", "P-2", "--yes")[2]
    assert "P-2 hole.jpg" in err and "season.damaged-2027-04-05-064500.sqlite3" in err
    assert "P-21.jpg" not in err


def test_whoever_sits_at_a_terminal_is_asked_about_the_backups(
    run: Run, monkeypatch: pytest.MonkeyPatch
) -> None:
    copies = sorted(Path("season.backups").glob("*-asked.sqlite3"))
    asked: list[str] = []

    def yes(question: str, **_: object) -> bool:
        asked.append(question)
        return True

    monkeypatch.setattr("sys.stdin.isatty", lambda: True, raising=False)
    monkeypatch.setattr("typer.confirm", yes)
    code, _, err = run("job", "forget", "P-2")
    assert code == 0 and len(asked) == 2 and "backups" in asked[1]
    assert "forgotten in the backup" in err
    assert not set(_held(copies[-1])) & {"Quillfeather", "Nettle Lane", "blue pot"}


def test_a_backup_of_an_older_form_forgets_too(tmp_path: Path) -> None:
    copy = tmp_path / "old.sqlite3"
    copy.touch()
    migrate_to(Store(copy), "0001")
    with closing(sqlite3.connect(copy)) as raw:
        raw.executescript((ROWS / "0001.sql").read_text("utf-8"))
    assert erasure.tells(copy, "P-014") and b"O'Hara" in copy.read_bytes()
    erasure.renew(copy, "P-014", Store(tmp_path / "season.sqlite3", clock=lambda: datetime(2027, 4, 5)))
    assert not erasure.tells(copy, "P-014") and b"O'Hara" not in copy.read_bytes()
    assert [file.name for file in tmp_path.iterdir()] == ["old.sqlite3"]
