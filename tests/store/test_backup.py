"""Copies: daily on first change, rotated; restoring checks first and keeps what was."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime, timedelta
from pathlib import Path

import pytest

from planner.errors import StoreTrouble
from planner.store.engine import Store
from planner.store.safekeeping.backup import Copy, back_up, copies, outdated
from planner.store.safekeeping.health import file_faults
from planner.store.safekeeping.restore import restore
from tests.store import writers
from tests.store.values import CREW

SQLITE_ONLY = True
MONDAY = datetime(2027, 4, 5, 6, 45)


def test_the_first_change_of_a_day_makes_one_copy_of_what_was(location: str) -> None:
    path = Path(location)
    for day in (0, 0, 1, 1, 1):
        with Store(location, clock=lambda day=day: MONDAY + timedelta(days=day)).writing() as book:
            size = book.crew("North").size + 1 if book.has_crew("North") else 2
            book.save_crew(replace(CREW, size=size))
    assert [(c.why, c.made_at.day) for c in copies(path)] == [("daily", 5), ("daily", 6)]
    with Store(copies(path)[1].path).reading() as book:
        assert book.crew("North").size == 3


def test_the_rotation_keeps_7_days_and_8_weeks() -> None:
    days = [MONDAY + timedelta(days=n) for n in range(120)]
    daily = [Copy(Path(f"{n}"), day, "daily") for n, day in enumerate(days)]
    asked = [Copy(Path("asked"), days[0], "asked")]
    migrations = [Copy(Path(f"m{n}"), days[n], "migration") for n in range(8)]
    gone = outdated([*asked, *daily, *migrations])
    kept = [c for c in daily if c not in gone]
    weeks = {day.isocalendar()[:2] for day in days[-56:]}
    assert [c.made_at for c in kept if c.made_at.weekday() != 0] == [d for d in days[-7:] if d.weekday() != 0]
    assert len([c for c in kept if c.made_at.weekday() == 0]) == 8 == len(weeks) - 1
    assert [c for c in migrations if c not in gone] == migrations[-5:]
    assert asked[0] not in gone


def test_restoring_brings_the_copy_back_and_keeps_what_was(location: str) -> None:
    path = Path(location)
    writers.fill(location)
    copy = back_up(path, "asked", MONDAY)
    with Store(location).writing() as book:
        book.remove_crew("North")
    kept = restore(path, copy, MONDAY)
    with Store(location).reading() as book:
        assert book.has_crew("North")
    assert kept is not None
    with Store(kept).reading() as book:
        assert not book.has_crew("North")


def test_a_damaged_copy_replaces_nothing(location: str) -> None:
    path = Path(location)
    writers.fill(location)
    copy = back_up(path, "asked", MONDAY)
    content = bytearray(copy.read_bytes())
    content[8192:] = b"\xa5" * (len(content) - 8192)
    copy.write_bytes(content)
    before = path.read_bytes()
    with pytest.raises(StoreTrouble, match="choose another one"):
        restore(path, copy, MONDAY)
    assert path.read_bytes() == before


def test_a_damaged_database_is_set_aside(location: str) -> None:
    path = Path(location)
    writers.fill(location)
    copy = back_up(path, "asked", MONDAY)
    path.write_bytes(path.read_bytes()[:5000])
    aside = restore(path, copy, MONDAY)
    assert aside is not None and "damaged" in aside.name and aside.stat().st_size == 5000
    assert file_faults(path) == []
    with Store(location).reading() as book:
        assert book.has_crew("North")


def test_another_programs_file_is_not_written_over(location: str, tmp_path: Path) -> None:
    import sqlite3
    from contextlib import closing

    other = tmp_path / "other.sqlite3"
    with closing(sqlite3.connect(other)) as raw:
        raw.execute("CREATE TABLE t (a)")
        raw.commit()
    before = other.read_bytes()
    with pytest.raises(StoreTrouble, match="another program"):
        restore(other, Path(location), MONDAY)
    assert other.read_bytes() == before


def test_a_copy_is_whole_while_another_process_writes(location: str) -> None:
    import multiprocessing

    writers.fill(location)
    context = multiprocessing.get_context("forkserver")
    context.set_forkserver_preload(["tests.store.writers"])
    process = context.Process(target=writers.add_logs, args=(location, 30))
    process.start()
    for n in range(5):
        copy = back_up(Path(location), "asked", MONDAY + timedelta(seconds=n))
        assert file_faults(copy) == []
    process.join()
    assert process.exitcode == 0
