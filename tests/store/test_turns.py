"""Beside a program that holds the database: waited the stated time, refused in one line, nothing touched.

The holder is a process of its own (locks of one process do not count against itself).
"""

from __future__ import annotations

import sqlite3
import subprocess
import sys
from collections.abc import Callable, Iterator
from contextlib import closing, contextmanager
from datetime import datetime, timedelta
from pathlib import Path

import pytest

from planner.cli.main import main
from planner.errors import StoreTrouble
from planner.store.engine import REVISION, Store
from planner.store.safekeeping.backup import back_up, copies, copy_into
from planner.store.safekeeping.health import file_faults
from planner.store.safekeeping.restore import restore
from planner.store.turns import InUse, Turn
from tests.store import writers

SQLITE_ONLY = True
MONDAY = datetime(2027, 4, 5, 6, 45)

_HOLD = """
import sqlite3, sys
raw = sqlite3.connect(sys.argv[1], isolation_level=None)
raw.execute("PRAGMA cache_size=1")
for words in sys.argv[2:]:
    raw.execute(words).fetchone()
print("held", flush=True)
sys.stdin.readline()
raw.execute("COMMIT")
print("kept", flush=True)
"""

READER = ("BEGIN", "SELECT * FROM jobs")
WRITER = ("BEGIN EXCLUSIVE", "UPDATE jobs SET notes = 'by the other'")
SPILLED = ("BEGIN IMMEDIATE", "UPDATE jobs SET notes = printf('%.2000c', 'x')")


@contextmanager
def held(path: Path, *words: str) -> Iterator[Callable[[], str]]:
    """Another process holds the file by these statements; the call lets it commit and gives its word."""
    process = subprocess.Popen(
        [sys.executable, "-c", _HOLD, str(path), *words],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
    )
    assert process.stdout is not None and process.stdout.readline() == "held\n"

    def let_go() -> str:
        told, err = process.communicate("\n", timeout=30)
        return told or err

    try:
        yield let_go
    finally:
        process.kill()
        process.communicate()


@pytest.fixture(autouse=True)
def _soon(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("planner.store.turns.WAIT_S", 0.3)


@pytest.fixture
def copied(location: str) -> tuple[Path, Path]:
    """A database and a backup of it."""
    path = Path(location)
    writers.fill(location)
    return path, back_up(path, "asked", MONDAY)


def _files(path: Path) -> set[str]:
    return {p.name for p in path.parent.iterdir() if p.is_file()}


@pytest.mark.parametrize("words", [WRITER, SPILLED])
def test_restoring_beside_a_writer_leaves_its_work_alone(
    copied: tuple[Path, Path], words: tuple[str]
) -> None:
    path, copy = copied
    with held(path, *words) as let_go:
        before = _files(path)
        assert f"{path.name}-journal" in before
        with pytest.raises(InUse, match="writing to it"):
            restore(path, copy, MONDAY)
        assert _files(path) == before
        assert let_go() == "kept\n"
    assert file_faults(path) == []
    with closing(sqlite3.connect(path)) as raw:
        notes = {row[0][:12] for row in raw.execute("SELECT notes FROM jobs")}
    assert notes in ({"by the other"}, {"x" * 12})


def test_restoring_beside_a_reader_is_refused_in_time(copied: tuple[Path, Path]) -> None:
    path, copy = copied
    with Store(path).writing() as book:
        book.remove_crew("North")
    with held(path, *READER), pytest.raises(InUse, match="reading it"):
        restore(path, copy, MONDAY)
    with Store(path).reading() as book:
        assert not book.has_crew("North")
    restore(path, copy, MONDAY + timedelta(seconds=1))
    with Store(path).reading() as book:
        assert book.has_crew("North")


def test_the_first_writing_of_a_day_waits_no_longer(copied: tuple[Path, Path]) -> None:
    path, _ = copied
    later = Store(path, clock=lambda: MONDAY + timedelta(days=9))
    with held(path, *WRITER), pytest.raises(InUse, match="writing to it"), later.writing() as book:
        book.remove_crew("North")
    with Store(path).reading() as book:
        assert book.has_crew("North")


def test_a_commit_beside_a_reader_says_so(copied: tuple[Path, Path]) -> None:
    path, _ = copied
    with held(path, *READER), pytest.raises(InUse, match="reading it"), Store(path).writing() as book:
        book.remove_crew("North")
    with Store(path).reading() as book:
        assert book.has_crew("North")


def test_the_check_does_not_take_a_lock_for_damage(
    copied: tuple[Path, Path], monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    path, _ = copied
    monkeypatch.setenv("PLANNER_DB", str(path))
    with held(path, *WRITER):
        assert main(["db", "check"]) == 1
    told = capsys.readouterr()
    assert "writing to it" in told.err and "restore" not in told.out + told.err


def test_a_damaged_file_that_is_held_is_not_swapped(copied: tuple[Path, Path]) -> None:
    path, copy = copied
    with held(path, *READER):
        content = path.read_bytes()[:5000]
        with path.open("r+b") as file:
            file.truncate(5000)
        with pytest.raises(InUse):
            restore(path, copy, MONDAY)
        assert path.read_bytes() == content
    aside = restore(path, copy, MONDAY)
    assert aside is not None and aside.read_bytes() == content
    assert file_faults(path) == []


def test_a_stale_journal_is_not_rolled_into_the_new_file(copied: tuple[Path, Path]) -> None:
    """Also when the database itself is gone: its journal is set aside, never deleted."""
    path, copy = copied
    journal = path.with_name(path.name + "-journal")
    with held(path, *SPILLED):
        stale = journal.read_bytes()
    for gone in (True, False):
        journal.write_bytes(stale)
        if gone:
            path.unlink()
        else:
            path.write_bytes(path.read_bytes()[:5000])
        restore(path, copy, MONDAY + timedelta(days=gone))
        assert not journal.exists() and file_faults(path) == []
        with Store(path).reading() as book:
            assert book.has_crew("North")
    assert sum(p.read_bytes() == stale for p in path.parent.glob("*.damaged-*-journal")) >= 1


def test_no_room_leaves_the_damaged_file_in_its_place(
    copied: tuple[Path, Path], monkeypatch: pytest.MonkeyPatch
) -> None:
    path, copy = copied
    path.write_bytes(path.read_bytes()[:5000])
    before, files = path.read_bytes(), _files(path)

    def full(*_: object) -> None:
        raise sqlite3.OperationalError("database or disk is full")

    monkeypatch.setattr("planner.store.safekeeping.restore.copy_into", full)
    with pytest.raises(StoreTrouble, match="nothing was changed"):
        restore(path, copy, MONDAY)
    assert path.read_bytes() == before and _files(path) == files


@pytest.mark.parametrize(
    ("words", "told"),
    [
        ("UPDATE alembic_version SET version_num = '9999'", "newer planner"),
        ("UPDATE alembic_version SET version_num = ''", "lost its schema version"),
        ("DELETE FROM alembic_version", "lost its schema version"),
        ("DROP TABLE alembic_version", "lost its schema version"),
        ("CREATE TABLE guests (a)", "guests"),
        ("DROP TABLE office_marks", "lacks the table office_marks"),
    ],
)
def test_a_copy_that_no_command_could_use_is_refused(
    copied: tuple[Path, Path], words: str, told: str
) -> None:
    path, copy = copied
    with closing(sqlite3.connect(copy)) as raw:
        raw.execute(words)
        raw.commit()
    before = path.read_bytes()
    with pytest.raises(StoreTrouble, match=told):
        restore(path, copy, MONDAY)
    assert path.read_bytes() == before


@pytest.mark.parametrize(
    ("words", "told"),
    [
        ("UPDATE alembic_version SET version_num = '9999'", "newer planner"),
        ("UPDATE alembic_version SET version_num = ''", "db restore"),
        ("DELETE FROM alembic_version", "db restore"),
        ("INSERT INTO alembic_version VALUES ('0001')", "db restore"),
        ("UPDATE alembic_version SET version_num = '0001'", "db upgrade"),
    ],
)
def test_every_command_gives_the_same_advice_on_a_schema_version(
    copied: tuple[Path, Path], words: str, told: str, capsys: pytest.CaptureFixture[str]
) -> None:
    path, _ = copied
    with closing(sqlite3.connect(path)) as raw:
        raw.execute(words)
        raw.commit()
    for command in (["job", "list"], ["db", "create"], ["db", "check"]):
        assert main(["--db", str(path), *command]) == 1
        heard = capsys.readouterr()
        assert told in heard.err + heard.out, command
    if "upgrade" not in told:
        assert main(["--db", str(path), "db", "upgrade"]) == 1
        assert told in capsys.readouterr().err
    assert REVISION > "0001"


def test_two_copies_in_one_second_are_two_copies(copied: tuple[Path, Path]) -> None:
    path, first = copied
    content = first.read_bytes()
    second = back_up(path, "asked", MONDAY)
    assert second != first and first.read_bytes() == content
    assert [c.why for c in copies(path)].count("asked") == 2


def test_a_backup_makes_no_folder_on_the_way(
    copied: tuple[Path, Path], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    away = tmp_path / "media" / "stick" / "copy.sqlite3"
    assert main(["--db", str(copied[0]), "db", "backup", "--to", str(away)]) == 2
    assert "there is no folder" in capsys.readouterr().err
    assert not (tmp_path / "media").exists()


def test_a_link_leads_to_the_same_backups(copied: tuple[Path, Path], tmp_path: Path) -> None:
    path, _ = copied
    (tmp_path / "desk").mkdir()
    link = tmp_path / "desk" / "link.sqlite3"
    link.symlink_to(path)
    assert copies(link) == copies(path)
    assert restore(link, copies(link)[0].path, MONDAY) is not None
    assert link.is_symlink() and len(list((tmp_path / "desk").iterdir())) == 1


def test_a_copy_beside_a_lock_ends(copied: tuple[Path, Path], tmp_path: Path) -> None:
    path, _ = copied
    (tmp_path / "to").touch()
    with held(path, *WRITER), pytest.raises(InUse, match=str(path)):
        copy_into(path, tmp_path / "to", Turn())
