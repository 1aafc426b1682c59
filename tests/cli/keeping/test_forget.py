"""A client who is forgotten is in no table, no history and no free page any more; figures stay."""

from __future__ import annotations

import json
import shutil
import sqlite3
from collections.abc import Callable
from contextlib import closing
from datetime import date
from pathlib import Path

import pytest

from planner.cli.main import main
from planner.store.engine import Store
from tests.conftest import NOW

Run = Callable[..., tuple[int, str, str]]

#: Words that only the forgotten client's job holds, and where each was typed.
WORDS = (
    "Quillfeather", "Nettle Lane", "555-0199", "blue pot", "north gate code", "Umberdale", "heron nests",
    "their dog", "sump note", "cousin",
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
        ["job", "cancel", "P-2"],
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
