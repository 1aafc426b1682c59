"""Bringing a backup back: it is checked, the present file is copied, then one replaces the other."""

from __future__ import annotations

import os
import sqlite3
from contextlib import suppress
from datetime import datetime
from pathlib import Path

from planner.errors import StoreTrouble
from planner.store.safekeeping.backup import back_up, copy_into, private_file
from planner.store.safekeeping.health import FOREIGN, file_faults, must_be_whole
from planner.store.turns import Turn, alone

#: What SQLite may leave beside a database file; it belongs to that file alone.
_BESIDE = ("-journal", "-wal", "-shm")


def restore(path: Path, copy: Path, now: datetime) -> Path | None:
    """Put the content of `copy` in place of the database at `path`; returns where the present one was kept.

    A whole present file is written over in one transaction of SQLite, so programs that have it open go on
    with the restored content. A damaged one is set aside, with what lies beside it, once nobody holds it and
    the new one is ready. Raises StoreTrouble; then nothing changed.
    """
    path = Path(os.path.realpath(path))
    turn = Turn()
    must_be_whole(copy)
    if path.exists() and copy.samefile(path):
        raise StoreTrouble("that is the database itself: name one of its backups")
    if not path.exists():
        _put(path, copy, None, now, turn)
        return None
    faults = file_faults(path, turn) if path.stat().st_size else []
    if faults == [FOREIGN]:
        raise StoreTrouble(
            f"{path} belongs to another program: name another file with --db; nothing was changed"
        )
    if faults or not path.stat().st_size:
        aside = _aside(path, now) if faults else None
        with alone(path, turn):
            _put(path, copy, aside, now, turn)
        return aside
    kept = back_up(path, "restore", now, turn=turn)
    try:
        copy_into(copy, path, turn)
    except (sqlite3.Error, OSError) as error:
        raise _failed(error) from error
    return kept


def _put(path: Path, copy: Path, aside: Path | None, now: datetime, turn: Turn) -> None:
    """Make the whole new file first; only then the old one goes aside and the new one takes its name."""
    part = path.with_name(f".{path.name}.{os.getpid()}.part")
    try:
        path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
        private_file(part)
        copy_into(copy, part, turn)
        if aside is not None:
            _keep_as(path, aside)
        for tail in _BESIDE:
            stale = path.with_name(path.name + tail)
            if stale.exists():
                stale.rename((aside or _aside(path, now)).with_name((aside or _aside(path, now)).name + tail))
        part.replace(path)
    except (sqlite3.Error, OSError) as error:
        raise _failed(error) from error
    finally:
        with suppress(OSError):
            part.unlink(missing_ok=True)


def _aside(path: Path, now: datetime) -> Path:
    """A free name for what is set aside."""
    for n in range(1000):
        more = f"-{n + 1}" if n else ""
        name = path.with_name(f"{path.stem}.damaged-{now:%Y-%m-%d-%H%M%S}{more}{path.suffix}")
        if not any(name.with_name(name.name + tail).exists() for tail in ("", *_BESIDE)):
            return name
    raise StoreTrouble(f"{path.parent} is full of damaged files: remove some, then repeat")


def _keep_as(path: Path, aside: Path) -> None:
    """A second name for the damaged file, so that its own name never stands empty; else it is renamed."""
    try:
        os.link(path, aside)
    except OSError:
        path.rename(aside)


def _failed(error: Exception) -> StoreTrouble:
    return StoreTrouble(
        f"the backup could not be brought back ({error}), nothing was changed: free some space, then repeat"
    )
