"""A file that cannot be used is refused in one line with the fix, and stays as it was."""

from __future__ import annotations

import json
import os
import sqlite3
import stat
import subprocess
import sys
from contextlib import closing
from pathlib import Path

import pytest

from planner.errors import BadInput, PlannerError, StoreTrouble
from planner.store.engine import Store
from planner.store.safekeeping.health import file_faults
from planner.store.safekeeping.migrate import create, upgrade
from tests.conftest import NOW
from tests.store import writers
from tests.store.full_disk import COMMANDS

SQLITE_ONLY = True


def _refusal(store: Store) -> str:
    with pytest.raises(StoreTrouble) as caught, store.reading() as book:
        book.jobs()
    assert "\n" not in str(caught.value)
    return str(caught.value)


def test_a_missing_file_names_the_command_that_makes_it(tmp_path: Path) -> None:
    store = Store(tmp_path / "none.sqlite3")
    assert "planner db create" in _refusal(store)
    with pytest.raises(StoreTrouble, match="planner db create"):
        upgrade(store)
    assert list(tmp_path.iterdir()) == []


def test_an_empty_file_counts_as_missing(tmp_path: Path) -> None:
    path = tmp_path / "empty.sqlite3"
    path.touch()
    assert "planner db create" in _refusal(Store(path))
    assert create(Store(path)) is True


def test_a_folder_is_refused(tmp_path: Path) -> None:
    assert "not a file" in _refusal(Store(tmp_path))


@pytest.mark.parametrize("content", [b"not a database at all, only text" * 40, os.urandom(4096)])
def test_another_kind_of_file_is_left_alone(tmp_path: Path, content: bytes) -> None:
    path = tmp_path / "text.sqlite3"
    path.write_bytes(content)
    assert "not a planner database" in _refusal(Store(path))
    for command in (create, upgrade):
        with pytest.raises(StoreTrouble, match="not a planner database"):
            command(Store(path))
    assert path.read_bytes() == content


def test_another_programs_database_is_left_alone(tmp_path: Path) -> None:
    path = tmp_path / "other.sqlite3"
    with closing(sqlite3.connect(path)) as raw:
        raw.execute("CREATE TABLE jobs (code TEXT)")
        raw.commit()
    before = path.read_bytes()
    assert "another program" in _refusal(Store(path))
    for command in (create, upgrade):
        with pytest.raises(StoreTrouble, match="another program"):
            command(Store(path))
    assert path.read_bytes() == before


def test_a_damaged_file_names_the_restore_command(location: str) -> None:
    writers.fill(location)
    content = bytearray(Path(location).read_bytes())
    content[4096 * 2 :] = b"\xa5" * (len(content) - 4096 * 2)
    Path(location).write_bytes(content)
    assert "planner db restore" in _refusal(Store(location))


def test_a_schema_that_is_no_text_is_damage(location: str) -> None:
    """The driver's own complaint then quotes bytes that cannot be read as text."""
    content = Path(location).read_bytes()
    assert b"CREATE TABLE crews" in content
    Path(location).write_bytes(content.replace(b"CREATE TABLE crews", b"CREATE TABLE \xd5\xcee\xffs"))
    assert "planner db restore" in _refusal(Store(location))
    assert file_faults(Path(location)) != []


def test_a_locked_file_is_told(location: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("planner.store.turns.WAIT_S", 0.1)
    with closing(sqlite3.connect(location)) as raw:
        raw.execute("BEGIN EXCLUSIVE")
        assert "locked by another program" in _refusal(Store(location))


def test_a_read_only_file_is_told(location: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """Root may write anything, so SQLite itself is told to refuse, as it does for a read-only file."""
    monkeypatch.setattr("planner.store.turns.sqlite3.connect", _read_only(sqlite3.connect), raising=True)
    with Store(location).reading() as book:
        assert book.jobs() == []
    with pytest.raises(StoreTrouble, match="cannot be written: give yourself"):
        writers.fill(location)


def _read_only(connect):
    return lambda address, **more: connect(str(address).replace("mode=rw", "mode=ro"), **more)


@pytest.mark.parametrize(
    "value",
    ["mysql://x", "postgresql+psycopg://office@127.0.0.1:1/season", "://", "postgresql://[bad"],
)
def test_an_address_that_cannot_be_used_is_told(value: str) -> None:
    with pytest.raises(PlannerError) as caught, Store(value).reading():
        pass
    assert "\n" not in str(caught.value)


def test_text_that_is_none_is_bad_input(location: str) -> None:
    with pytest.raises(BadInput), Store(location).reading() as book:
        book.job("\ud800")
    with pytest.raises(BadInput), Store(location).reading() as book:
        book.log(10**30)


def test_the_files_are_private(tmp_path: Path) -> None:
    old = os.umask(0)
    try:
        path = tmp_path / "folder" / "season.sqlite3"
        create(Store(path))
        writers.fill(str(path))
    finally:
        os.umask(old)
    backups = list((tmp_path / "folder" / "season.backups").iterdir())
    assert len(backups) == 1
    for file in (path, *backups):
        assert stat.S_IMODE(file.stat().st_mode) == 0o600
    assert stat.S_IMODE(backups[0].parent.stat().st_mode) == 0o700


def test_a_full_disk_keeps_the_old_state(planned: Path, tmp_path: Path) -> None:
    """Each writing command under a file-size limit: the change is kept, or refused with the reason."""
    done = subprocess.run(
        [sys.executable, "-m", "tests.store.full_disk", str(planned), str(tmp_path)],
        capture_output=True,
        text=True,
        check=True,
        env={**os.environ, "PLANNER_NOW": NOW, "PLANNER_USER": "ada"},
    )
    told = json.loads(done.stdout)
    assert len(told) == 3 * len(COMMANDS)
    for one in told:
        assert "Traceback" not in one["err"], one
        assert one["left"] == [], one
        if one["code"] != 0:
            assert one["code"] in (1, 2), one
            assert one["same"], one
            assert any(word in one["err"] for word in ("disk", "space", "too large")), one
    refused = {one["line"] for one in told if one["code"] != 0}
    assert len(refused) == len(COMMANDS), {one["line"] for one in told} - refused
