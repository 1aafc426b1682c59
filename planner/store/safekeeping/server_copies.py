"""Backups of a database on a PostgreSQL server, by the server's own tools: pg_dump and pg_restore.

The copies lie on this computer, in the user's data folder, for their owner alone, and are rotated as those of
a file are.
"""

from __future__ import annotations

import os
import re
from collections.abc import Callable
from contextlib import suppress
from datetime import datetime
from pathlib import Path

from sqlalchemy import URL

from planner.errors import StoreTrouble
from planner.store.books import Book
from planner.store.engine import REVISION, Store, misfit
from planner.store.safekeeping.backup import Copy, made_aside, outdated
from planner.store.safekeeping.migrate import migrate_to
from planner.store.safekeeping.redaction import FORGOTTEN
from planner.store.safekeeping.server_tools import NO_OWNER, must_fit, run
from planner.store.server import scratch_database, whole_server

_KINDS = ("daily", "migration", "asked", "restore")
_IN_ONE_STEP = ("--clean", "--if-exists", "--single-transaction", "--exit-on-error")


def folder_of(url: URL) -> Path:
    """Where the copies of that database lie on this computer."""
    import platformdirs

    host = url.host or str(url.query.get("host", "")) or str(url.query.get("service", ""))
    name = re.sub(r"[^A-Za-z0-9.-]+", "-", f"{host}-{url.database or ''}").strip("-.")[:80]
    return Path(platformdirs.user_data_dir("planner", appauthor=False)) / f"{name or 'server'}.backups"


def copies(url: URL) -> list[Copy]:
    """The copies of the database, oldest first."""
    found = []
    with suppress(FileNotFoundError, NotADirectoryError):
        for file in folder_of(url).iterdir():
            parts = re.fullmatch(rf"season-(\d{{4}}-\d\d-\d\d-\d{{6}})-({'|'.join(_KINDS)})\.dump", file.name)
            with suppress(ValueError):
                if parts:
                    found.append(Copy(file, datetime.strptime(parts[1], "%Y-%m-%d-%H%M%S"), parts[2]))
    return sorted(found, key=lambda c: (c.made_at, c.path.name))


def back_up(store: Store, why: str, at: datetime, *, to: Path | None = None) -> Path:
    """Copy the database whole, as of one moment; returns the copy's path. Raises StoreTrouble."""
    must_fit(store, "pg_dump")
    return _dumped(store, why, at, to)


def _dumped(store: Store, why: str, at: datetime, to: Path | None) -> Path:
    folder = folder_of(_url(store))
    return made_aside(
        lambda then: _named(folder, why, then),
        at,
        to,
        lambda part: run(store, "pg_dump", "--format=custom", *NO_OWNER, f"--file={part}"),
    )


def _named(folder: Path, why: str, at: datetime) -> Path:
    return folder / f"season-{at:%Y-%m-%d-%H%M%S}-{why}.dump"


def daily(store: Store) -> None:
    """Make this computer's copy of the day when it has none, and let the rotation remove old ones.

    Called while the writers' lock is held, so that the copy is of the state before the day's first change.
    Work goes on when the copy cannot be made: `planner db check` tells why.
    """
    now = store.clock()
    if any(c.why == "daily" and c.made_at.date() == now.date() for c in copies(_url(store))):
        return
    with suppress(StoreTrouble, OSError):
        back_up(store, "daily", now)
        rotate(store)


def rotate(store: Store) -> None:
    """Remove the copies that the rotation rule gives up."""
    for old in outdated(copies(_url(store))):
        old.path.unlink(missing_ok=True)


def restore(store: Store, copy: Path, now: datetime) -> Path | None:
    """Put a copy in place of the database, in one transaction; returns where the present one was kept.

    No other office reads or writes meanwhile. Raises StoreTrouble; then nothing changed.
    """
    must_fit(store, "pg_restore")
    _must_be_ours(store, copy)
    filled = store.revision() is not None
    with whole_server(store):
        kept = _dumped(store, "restore", now, None) if filled else None
        run(store, "pg_restore", *NO_OWNER, *_IN_ONE_STEP, *_into(store), str(copy))
    return kept


def tells(store: Store, copy: Path, code: str) -> bool:
    """True when a copy still holds the job with its client."""
    told = run(store, "pg_restore", "--data-only", "--table=jobs", "--file=-", str(copy))
    head = re.search(r"^COPY \S+\.?jobs \((.*)\) FROM stdin;$", told, re.MULTILINE)
    if head is None:
        return False
    names = [name.strip('" ') for name in head[1].split(",")]
    for line in told[head.end() :].splitlines():
        row = dict(zip(names, line.split("\t"), strict=False))
        if row.get("code") == code:
            return row.get("client") != FORGOTTEN
    return False


def renew(store: Store, copy: Path, change: Callable[[Book], object]) -> None:
    """Change what a copy holds: in a database made for it on the server, whose copy then takes its place.

    Raises StoreTrouble (when the user may not make a database, too); then the copy is as it was.
    """
    must_fit(store, "pg_restore")
    with scratch_database(store) as anew:
        run(anew, "pg_restore", *NO_OWNER, *_IN_ONE_STEP, *_into(anew), str(copy))
        if anew.revision() != REVISION:
            migrate_to(anew)
        with anew.renewing() as book:
            change(book)
        part = copy.with_name(f".{copy.name}.{os.getpid()}.renewed")
        try:
            _dumped(anew, "asked", store.clock(), part)
            part.replace(copy)
        finally:
            part.unlink(missing_ok=True)


def _into(store: Store) -> tuple[str, ...]:
    return (f"--dbname={_url(store).database or ''}",)


def _must_be_ours(store: Store, copy: Path) -> None:
    """StoreTrouble when the copy is not a planner's, or of a newer form."""
    listed = run(store, "pg_restore", "--list", str(copy))
    if " rate_editions " not in listed or " alembic_version " not in listed:
        raise StoreTrouble(
            f"the backup {copy} is not a planner database: choose another one; nothing was changed"
        )
    rows = run(store, "pg_restore", "--data-only", "--table=alembic_version", "--file=-", str(copy))
    found = re.search(r"^COPY .*alembic_version.*\n(\S+)\n", rows, re.MULTILINE)
    revision = found[1] if found else ""
    trouble = misfit(revision, str(copy))
    if trouble is not None and not (revision and revision < REVISION):
        raise StoreTrouble(f"{trouble}; nothing was changed")


def _url(store: Store) -> URL:
    assert store.url is not None
    return store.url
