"""Copies of the database file: daily, before each migration, on demand; and bringing one back.

A copy is made with SQLite's own backup call, so it is whole even while others write, and takes its place
under its name in one step. Copies lie in a folder beside the database: `season.backups/`.
"""

from __future__ import annotations

import errno
import os
import sqlite3
from collections.abc import Callable
from contextlib import suppress
from dataclasses import dataclass
from datetime import datetime, timedelta
from pathlib import Path

from planner.errors import StoreTrouble
from planner.store.turns import InUse, Turn, copy_pages

#: How many copies of each kind the rotation keeps; for daily ones also the first of each of the last weeks.
KEEP = {"daily": 7, "migration": 5}
KEEP_WEEKS = 8


@dataclass(frozen=True, slots=True)
class Copy:
    """One backup file: when it was made and why ("daily", "migration", "asked", "restore")."""

    path: Path
    made_at: datetime
    why: str


def folder_of(path: Path) -> Path:
    """Where the copies of the database `path` lie: beside the file itself, whatever links lead to it."""
    path = Path(os.path.realpath(path))
    return path.with_name(f"{path.stem}.backups")


def copies(path: Path) -> list[Copy]:
    """The copies of the database, oldest first."""
    found = []
    with suppress(FileNotFoundError, NotADirectoryError):
        for file in folder_of(path).iterdir():
            parts = file.stem.rsplit("-", 2)
            if (
                file.suffix != ".sqlite3"
                or len(parts) != 3
                or parts[2] not in ("daily", "migration", "asked", "restore")
            ):
                continue
            with suppress(ValueError):
                found.append(
                    Copy(file, datetime.strptime(f"{parts[0][-10:]}-{parts[1]}", "%Y-%m-%d-%H%M%S"), parts[2])
                )
    return sorted(found, key=lambda c: (c.made_at, c.path.name))


def back_up(path: Path, why: str, at: datetime, *, to: Path | None = None, turn: Turn | None = None) -> Path:
    """Copy the database; returns the copy's path. No file is ever written over.

    Raises InUse when others hold the database all the time, StoreTrouble when it cannot be made whole.
    """
    return made_aside(
        lambda then: _named(path, why, then), at, to, lambda part: copy_into(path, part, turn or Turn())
    )


def _named(path: Path, why: str, at: datetime) -> Path:
    return folder_of(path) / f"{Path(os.path.realpath(path)).stem}-{at:%Y-%m-%d-%H%M%S}-{why}.sqlite3"


def made_aside(
    named: Callable[[datetime], Path], at: datetime, to: Path | None, make: Callable[[Path], object]
) -> Path:
    """Make a copy under a name of its own, and give it its place when it is whole; returns that.

    named: the place of a copy made at a moment, used without `to`, a second later where it is taken. make:
    writes the copy to the path it is given. Nothing is left behind when it fails: StoreTrouble.
    """
    target = to or named(at)
    part = target.with_name(f".{target.name}.{os.getpid()}.part")
    try:
        if to is None:
            target.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
        private_file(part)
        make(part)
        while not _took_name(part, target):
            if to is not None:
                raise FileExistsError(errno.EEXIST, "it exists: name a new file")
            at += timedelta(seconds=1)
            target = named(at)
    except (OSError, sqlite3.Error) as error:
        raise StoreTrouble(
            f"the backup {target} could not be written ({error}): free some space or name another place"
        ) from error
    finally:
        with suppress(OSError):
            part.unlink(missing_ok=True)
    return target


def _took_name(part: Path, target: Path) -> bool:
    """Give the finished copy its name; False when another copy has it."""
    try:
        os.link(part, target)
    except FileExistsError:
        return False
    except OSError:  # a disk without second names for a file
        if target.exists():
            return False
        part.replace(target)
    return True


def private_file(path: Path) -> None:
    """Make an empty file that only its owner may read and write."""
    os.close(os.open(path, os.O_CREAT | os.O_TRUNC | os.O_WRONLY, 0o600))


def copy_into(source: Path, target: Path, turn: Turn) -> None:
    """SQLite's own copy of one database file into another, then flushed to the disk. Raises InUse."""
    copy_pages(source, target, turn)
    handle = os.open(target, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


def daily(path: Path, now: datetime, turn: Turn) -> None:
    """Make today's copy when there is none, and let the rotation remove old ones. Raises InUse.

    Work goes on when the copy cannot be made: `planner db check` tells how old the newest one is.
    """
    if not path.is_file() or path.stat().st_size == 0:
        return
    if any(c.why == "daily" and c.made_at.date() == now.date() for c in copies(path)):
        return
    try:
        back_up(path, "daily", now, turn=turn)
    except InUse:
        raise
    except StoreTrouble:
        return
    with suppress(OSError):
        for old in outdated(copies(path)):
            old.path.unlink(missing_ok=True)


def outdated(kept: list[Copy]) -> list[Copy]:
    """The copies that the rotation rule gives up.

    The last 7 daily copies stay, and the first daily copy of each of the last 8 weeks that have one; the
    last 5 before migrations stay; copies made on demand or before a restore stay until a person removes them.
    """
    given_up = []
    for why, count in KEEP.items():
        of_kind = [c for c in kept if c.why == why]
        old = of_kind[:-count]
        if why == "daily":
            first_of_week: dict[tuple[int, int], Copy] = {}
            for copy in of_kind:
                first_of_week.setdefault(copy.made_at.isocalendar()[:2], copy)
            weekly = {c.path for c in list(first_of_week.values())[-KEEP_WEEKS:]}
            old = [c for c in old if c.path not in weekly]
        given_up += old
    return given_up
