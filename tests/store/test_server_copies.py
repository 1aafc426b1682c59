"""Backups on a real PostgreSQL server: made whole, brought back, refused with the right fix."""

from __future__ import annotations

import stat
import subprocess
from collections.abc import Callable
from dataclasses import replace
from datetime import datetime, timedelta
from pathlib import Path

import pytest

from planner.cli.main import main
from planner.errors import StoreTrouble
from planner.store.engine import Store
from planner.store.safekeeping import erasure, server_copies
from tests.store import writers
from tests.store.server import programs

MONDAY = datetime(2027, 4, 5, 6, 45)
#: The fixture of the server turns daily copies off; here they are on.
DAILY = server_copies.daily

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


def test_the_first_change_of_a_day_makes_a_copy(store: Store, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(server_copies, "daily", DAILY)
    assert store.url is not None
    days = [MONDAY + timedelta(days=n) for n in range(12)]
    for day in days:
        for _ in range(2):
            with Store(store.url.render_as_string(), clock=lambda day=day: day).writing() as book:
                book.save_crew(replace(writers.CREW, name=f"{day:%A}", people=()))
    made = server_copies.copies(store.url)
    assert [c.why for c in made] == ["daily"] * 8
    assert [c.made_at for c in made] == [days[0], *days[-7:]]
    server_copies.restore(store, made[1].path, MONDAY)
    assert set(_crews(store)) == {"North", *(f"{day:%A}" for day in days[:5])}


def test_work_goes_on_without_the_tools(
    store: Store, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(server_copies, "daily", DAILY)
    monkeypatch.setenv("PATH", "/nowhere")
    with store.writing() as book:
        book.remove_crew("North")
    assert _crews(store) == [] and store.url is not None
    monkeypatch.setenv("PLANNER_DB", store.url.render_as_string())
    monkeypatch.setenv("PLANNER_NOW", "2027-04-05T06:45")
    assert main(["db", "check"]) == 0
    told = " ".join(capsys.readouterr().out.split())
    assert "no backup can be made from this computer: pg_dump is not on the path" in told
    assert main(["db", "restore"]) == 0
    assert "none can be made from here" in capsys.readouterr().err


def test_a_tool_older_than_the_server_is_told(
    store: Store, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    folder = tmp_path / "bin"
    folder.mkdir()
    (folder / "pg_dump").write_text("#!/bin/sh\necho 'pg_dump (PostgreSQL) 9.6.24'\n")
    (folder / "pg_dump").chmod(0o755)
    monkeypatch.setenv("PATH", f"{folder}:/usr/bin:/bin")
    with pytest.raises(StoreTrouble, match=r"pg_dump is of version 9, the server of version \d\d: install"):
        server_copies.back_up(store, "asked", MONDAY)
    assert store.url is not None and server_copies.copies(store.url) == []


def test_a_forgotten_client_is_renewed_out_of_a_copy(store: Store) -> None:
    copy = server_copies.back_up(store, "asked", MONDAY)
    assert server_copies.tells(store, copy, "J7") and not server_copies.tells(store, copy, "J99")
    server_copies.renew(store, copy, lambda book: erasure.forget_job(book, "J7"))
    assert not server_copies.tells(store, copy, "J7") and server_copies.tells(store, copy, "J8")
    with store.reading() as book:
        assert book.job("J7").client == "Client 7"
    server_copies.restore(store, copy, MONDAY)
    with store.reading() as book:
        assert book.job("J7").client == "(forgotten)" and book.job("J8").client == "Client 8"
    erasure.scour(store)


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

    monkeypatch.setattr("planner.store.safekeeping.server_tools.subprocess.run", seen)
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
