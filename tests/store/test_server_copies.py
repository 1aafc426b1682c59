"""Backups on a real PostgreSQL server: made whole, brought back, refused with the right mend."""

from __future__ import annotations

import stat
import subprocess
from collections.abc import Callable
from datetime import datetime
from pathlib import Path

import pytest

from planner.cli.main import main
from planner.errors import StoreTrouble
from planner.store.engine import Store
from planner.store.safekeeping import server_copies
from tests.store import writers
from tests.store.server import programs

MONDAY = datetime(2027, 4, 5, 6, 45)

pytestmark = [
    pytest.mark.postgres,
    pytest.mark.skipif(programs() is None, reason="needs a PostgreSQL server"),
]


@pytest.fixture
def store(postgres: Callable[[], str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Store:
    """A filled database on a server; its copies lie in the test's own folder."""
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "data"))
    url = postgres()
    writers.fill(url)
    return Store(url, clock=lambda: MONDAY)


def _crews(store: Store) -> list[str]:
    with store.reading() as book:
        return [c.name for c in book.crews()]


def test_there_and_back(store: Store) -> None:
    copy = server_copies.back_up(store, "asked", MONDAY)
    assert stat.S_IMODE(copy.stat().st_mode) == 0o600
    assert server_copies.back_up(store, "asked", MONDAY) != copy
    with store.writing() as book:
        book.remove_crew("North")
    kept = server_copies.restore(store, copy, MONDAY)
    assert _crews(store) == ["North"]
    assert kept is not None
    server_copies.restore(store, kept, MONDAY)
    assert _crews(store) == []
    assert store.url is not None
    assert [c.why for c in server_copies.copies(store.url)].count("asked") == 2


def test_what_is_no_copy_replaces_nothing(store: Store, tmp_path: Path) -> None:
    junk = tmp_path / "junk.dump"
    junk.write_bytes(b"PGDMP" + bytes(range(256)))
    with pytest.raises(StoreTrouble, match="nothing was changed"):
        server_copies.restore(store, junk, MONDAY)
    assert _crews(store) == ["North"]


def test_a_newer_copy_replaces_nothing(store: Store) -> None:
    from sqlalchemy import text

    with store.connected(write=True) as connection:
        connection.execute(text("UPDATE alembic_version SET version_num = '9999'"))
    copy = server_copies.back_up(store, "asked", MONDAY)
    with store.connected(write=True, any_revision=True) as connection:
        connection.execute(text("UPDATE alembic_version SET version_num = '0002'"))
    with pytest.raises(StoreTrouble, match="newer planner"):
        server_copies.restore(store, copy, MONDAY)


def test_without_the_tools_it_says_which(store: Store, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("PATH", "/nowhere")
    with pytest.raises(StoreTrouble, match="pg_dump is not on the path"):
        server_copies.back_up(store, "asked", MONDAY)


def test_no_password_is_an_argument(store: Store, monkeypatch: pytest.MonkeyPatch) -> None:
    told: list[str] = []
    real = subprocess.run

    def seen(words: list[str], **more: object) -> object:
        told.extend(words)
        return real(words, **more)

    monkeypatch.setattr("planner.store.safekeeping.server_copies.subprocess.run", seen)
    assert store.url is not None
    secret = Store(store.url.set(password="hush-hush").render_as_string(hide_password=False))
    server_copies.back_up(secret, "asked", MONDAY)
    assert told and not any("hush" in word for word in told)


def test_from_the_command_line(
    store: Store, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    assert store.url is not None
    monkeypatch.setenv("PLANNER_DB", store.url.render_as_string(hide_password=False))
    monkeypatch.setenv("PLANNER_NOW", "2027-04-05T06:45")
    monkeypatch.chdir(tmp_path)
    assert main(["db", "restore"]) == 0
    assert main(["db", "backup"]) == 0
    assert main(["db", "backup", "--to", "mine.dump"]) == 0
    assert main(["db", "backup", "--to", "mine.dump"]) == 2
    assert main(["crew", "add", "West", "--lead", "Nora", "--skills", "stonework"]) == 0
    assert main(["db", "restore", "mine.dump", "--yes"]) == 0
    assert _crews(store) == ["North"]
    capsys.readouterr()
    assert main(["db", "restore"]) == 0
    assert ".dump" in capsys.readouterr().out
    assert list((tmp_path / "data" / "planner").iterdir())
