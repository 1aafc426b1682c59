"""Taking turns at the database file: how long to wait for other programs, and which kind of them holds it.

A file that somebody holds is not damaged: whoever waits in vain refuses in one line and touches nothing.
"""

from __future__ import annotations

import errno
import os
import sqlite3
from collections.abc import Iterator
from contextlib import closing, contextmanager, suppress
from pathlib import Path
from time import monotonic, sleep

from planner.errors import StoreTrouble

#: How long a reader or writer waits for others [s].
WAIT_S = 15.0

#: Between two tries [s].
_PAUSE_S = 0.05

#: The bytes of a database file that SQLite locks on POSIX systems: pending, reserved and 510 shared ones
#: (SQLite's source, os.h, from memory).
_LOCKED_FROM, _LOCKED_BYTES = 0x40000000, 512


class InUse(StoreTrouble):
    """Another program holds the database, and did not let go in time."""


class Turn:
    """One command's patience: it begins to run at once and ends after `WAIT_S`."""

    def __init__(self) -> None:
        """Start the clock."""
        self._until = monotonic() + WAIT_S

    @property
    def left_s(self) -> float:
        """What is left of it [s]; never below zero."""
        return max(0.0, self._until - monotonic())

    @property
    def over(self) -> bool:
        """True when nothing is left."""
        return self.left_s <= 0


def opened(path: Path, wait_s: float = _PAUSE_S) -> sqlite3.Connection:
    """A bare connection to a file that exists, outside any transaction."""
    return sqlite3.connect(
        path.absolute().as_uri() + "?mode=rw", uri=True, timeout=wait_s, isolation_level=None
    )


def is_held(error: BaseException | None) -> bool:
    """True for SQLite's complaint that another program holds the file."""
    return _code(error) in (sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED)


def is_damage(error: BaseException | None) -> bool:
    """True for SQLite's complaint that the content of the file is no database, or no whole one."""
    return _code(error) in (sqlite3.SQLITE_CORRUPT, sqlite3.SQLITE_NOTADB)


def _code(error: BaseException | None) -> int:
    return (getattr(error, "sqlite_errorcode", None) or 0) & 0xFF


def in_use(path: Path) -> InUse:
    """The refusal for a file that was held all the time, with what the holder does."""
    return InUse(
        f"the database {path} is locked by another program that is {_holder(path)} it, waited {WAIT_S:g} s, "
        "nothing was changed: close it or wait until it has finished, then repeat"
    )


def _holder(path: Path) -> str:
    """ "writing to" when the write lock cannot be had at once; else only a reader can be in the way."""
    try:
        with closing(opened(path, 0.0)) as raw:
            raw.execute("BEGIN IMMEDIATE")
            raw.rollback()
    except sqlite3.Error as error:
        return "writing to" if is_held(error) else "using"
    return "reading"


def copy_pages(source: Path, target: Path, turn: Turn) -> None:
    """SQLite's own copy of one database file into another, in one transaction; sqlite3.Error when it fails.

    The driver repeats a copy that others hold up for ever, so each try is watched. Raises InUse.
    """

    def watch(status: int, _: int, __: int) -> None:
        if status in (sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED) and turn.over:
            raise TimeoutError

    held: Path | None = None
    with closing(opened(source)) as old, closing(opened(target)) as new:
        try:
            old.backup(new, pages=-1, progress=watch, sleep=_PAUSE_S)
        except TimeoutError:
            held = target
            with suppress(sqlite3.Error):
                held = source if not _readable(old) else target
    if held is not None:
        raise in_use(held)


def _readable(raw: sqlite3.Connection) -> bool:
    try:
        raw.execute("SELECT count(*) FROM sqlite_master").fetchone()
    except sqlite3.Error as error:
        return not is_held(error)
    return True


@contextmanager
def alone(path: Path, turn: Turn) -> Iterator[None]:
    """Within the block no other program has the file in use. Raises InUse.

    It takes the very locks that SQLite takes, also where the content is no database any more. Where the
    system has no such locks (Windows), it refuses by itself to rename a file that somebody has open.
    """
    try:
        import fcntl
    except ImportError:
        yield
        return
    handle = os.open(path, os.O_RDWR)
    try:
        while not _locked(fcntl, handle):
            if turn.over:
                raise in_use(path)
            sleep(_PAUSE_S)
        yield
    finally:
        os.close(handle)


def _locked(fcntl: object, handle: int) -> bool:
    try:
        fcntl.lockf(handle, fcntl.LOCK_EX | fcntl.LOCK_NB, _LOCKED_BYTES, _LOCKED_FROM)  # type: ignore[attr-defined]
    except OSError as error:
        if error.errno in (errno.EACCES, errno.EAGAIN):
            return False
        raise
    return True
