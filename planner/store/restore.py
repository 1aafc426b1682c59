"""Bringing a backup back: it is checked, the present file is copied, then one replaces the other."""

from __future__ import annotations

import sqlite3
from contextlib import suppress
from datetime import datetime
from pathlib import Path

from planner.errors import StoreTrouble
from planner.store.backup import back_up, copy_into, private_file
from planner.store.health import FOREIGN, file_faults, must_be_whole


def restore(path: Path, copy: Path, now: datetime) -> Path | None:
    """Put the content of `copy` in place of the database at `path`; returns where the present one was kept.

    A whole present file is written over in one transaction of SQLite, so programs that have it open go on
    with the restored content. A damaged one is set aside. Raises StoreTrouble; then nothing changed.
    """
    must_be_whole(copy)
    if path.exists() and copy.samefile(path):
        raise StoreTrouble("that is the database itself: name one of its backups")
    if not path.exists() or path.stat().st_size == 0:
        _put(path, copy)
        return None
    faults = file_faults(path)
    if faults == [FOREIGN]:
        raise StoreTrouble(
            f"{path} belongs to another program: name another file with --db; nothing was changed"
        )
    if faults:
        aside = path.with_name(f"{path.stem}.damaged-{now:%Y-%m-%d-%H%M%S}{path.suffix}")
        path.rename(aside)
        _put(path, copy)
        for tail in ("-journal", "-wal", "-shm"):
            path.with_name(path.name + tail).unlink(missing_ok=True)
        return aside
    kept = back_up(path, "restore", now)
    try:
        copy_into(copy, path)
    except (sqlite3.Error, OSError) as error:
        raise StoreTrouble(
            f"the backup could not be brought back ({error}): free some space or wait for others, then repeat"
        ) from error
    return kept


def _put(path: Path, copy: Path) -> None:
    part = path.with_name(f".{path.name}.part")
    try:
        path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
        private_file(part)
        copy_into(copy, part)
        part.replace(path)
    except (sqlite3.Error, OSError) as error:
        with suppress(OSError):
            part.unlink(missing_ok=True)
        raise StoreTrouble(
            f"the backup could not be brought back ({error}): free some space, then repeat"
        ) from error
