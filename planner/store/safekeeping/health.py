"""The health of the stored data: the file, its references, plans without owners, stale rate editions."""

from __future__ import annotations

import re
import sqlite3
import stat
from collections.abc import Iterator
from contextlib import closing
from datetime import datetime, timedelta
from pathlib import Path

from sqlalchemy import text

from planner.domain.dates import long_day, long_moment
from planner.domain.firm.jobs import Status
from planner.domain.firm.records import Finding
from planner.domain.wording import counted
from planner.errors import StoreTrouble
from planner.store.books import Book
from planner.store.engine import APPLICATION_ID, OlderForm, Store, misfit
from planner.store.safekeeping.backup import Copy, copies
from planner.store.safekeeping.inventory import take_stock, whole_copies
from planner.store.schema.tables import metadata
from planner.store.turns import Turn, in_use, is_damage, is_held, opened

#: A newest backup older than this is worth knowing [days].
BACKUP_DAYS = 8

FOREIGN = "it is not a planner database"
#: What SQLite's own check says of single values; the rest is about the file's structure.
_OF_A_ROW = re.compile(r"constraint failed in |(NULL|NUMERIC|TEXT|non-\w+) value in ")
_RESTORE = "bring back a backup with `planner db restore`"


def file_faults(path: Path, turn: Turn | None = None, *, references: bool = True) -> list[str]:
    """What is wrong with a database file by itself; empty when it is whole and ours.

    references: also tell entries without the one that owns them.

    Raises StoreTrouble when it cannot be judged: held by others, or the disk does not give it.
    """
    try:
        with closing(opened(path, (turn or Turn()).left_s)) as raw:
            if raw.execute("PRAGMA application_id").fetchone()[0] != APPLICATION_ID:
                return [FOREIGN]
            told = [fault for fault in _told(raw) if not _OF_A_ROW.search(fault)]
            broken = raw.execute("PRAGMA foreign_key_check").fetchall() if references else []
    except UnicodeDecodeError:  # SQLite's complaint quotes bytes that are no text
        return ["its schema is not text"]
    except sqlite3.Error as error:
        if is_damage(error):
            return [str(error)]
        raise _unjudged(path, error) from error
    if broken:
        told.append(f"{len(broken)} entries without their owner, the first in {broken[0][0]}")
    return told


def _told(raw: sqlite3.Connection) -> list[str]:
    return [row[0] for row in raw.execute("PRAGMA integrity_check(100)") if row[0] != "ok"]


def _unjudged(path: Path, error: sqlite3.Error) -> StoreTrouble:
    if is_held(error):
        return in_use(path)
    return StoreTrouble(f"{path} cannot be read ({error}), nothing was changed: check the disk, then repeat")


def findings(book: Book, store: Store, now: datetime) -> list[Finding]:
    """Every finding about file or server, plans and rates; grave ones first."""
    found = [
        *(_file(store.path, now) if store.path is not None else _server(store, now)),
        *_clock(book, now),
        *_orphans(book),
        *_stale_rates(book),
    ]
    return sorted(found, key=lambda f: not f.grave)


def _file(path: Path, now: datetime) -> Iterator[Finding]:
    for fault in file_faults(path):
        yield Finding(True, f"the database file: {fault}", _RESTORE)
    mode = stat.S_IMODE(path.stat().st_mode)
    if mode & 0o077:
        yield Finding(False, f"other people on this computer may read {path}", f"chmod 600 '{path}'")
    yield from _age(copies(path), now)


def _server(store: Store, now: datetime) -> Iterator[Finding]:
    from planner.store.safekeeping import server_copies, server_tools

    assert store.url is not None
    try:
        server_tools.must_fit(store, "pg_dump")
    except StoreTrouble as trouble:
        what = f"no backup can be made from this computer: {trouble}"
        yield Finding(False, what, "then run `planner db backup`")
    yield from _age(server_copies.copies(store.url), now)


def _age(made: list[Copy], now: datetime) -> Iterator[Finding]:
    """What the newest of the copies says."""
    if not made:
        yield Finding(False, "there is no backup yet", "make one with `planner db backup`")
    elif (ahead := made[-1].made_at) > now + timedelta(days=1):
        yield Finding(
            False,
            f"the newest backup is stamped {ahead:%Y-%m-%d}, after today {now:%Y-%m-%d}: a clock was wrong",
            "check the date of this computer, then make one with `planner db backup`",
        )
    elif (age := (now - made[-1].made_at).days) > BACKUP_DAYS:
        yield Finding(False, f"the newest backup is {age} days old", "make one with `planner db backup`")


def _clock(book: Book, now: datetime) -> Iterator[Finding]:
    newest = next(iter(book.changes(limit=1)), None)
    if newest is not None and newest.at > now + timedelta(days=1):
        what = f"the newest change is stamped {long_moment(newest.at)}, after today, {long_day(now.date())}"
        yield Finding(False, f"{what}: a clock was wrong", "check the date of this computer")


def unreadable_rows(store: Store) -> list[Finding]:
    """Every row that does not read, and which backup still has it whole."""
    faults = take_stock(store)
    if not faults and store.path is not None:
        with closing(opened(store.path, Turn().left_s)) as raw:
            told = [*file_faults(store.path), *_told(raw)]
        return [Finding(True, f"the database file: {fault}", _RESTORE) for fault in told]
    whole = whole_copies(store, faults)
    found = []
    for fault in faults:
        copy = whole.get(fault)
        if copy is not None:
            advice = f"{copy} has it whole: bring it back with `planner db restore '{copy}'`"
        elif store.path is not None:
            advice = "no backup here has it whole: look for an older one, then `planner db restore FILE`"
        else:
            advice = "bring back a backup: `planner db restore` lists those of this computer"
        found.append(Finding(True, f"{fault.row} cannot be read: {fault.what}", advice))
    return found


def _orphans(book: Book) -> Iterator[Finding]:
    plan = book.published()
    if plan is None:
        return
    crews = {c.name for c in book.crews()}
    kinds = {m.key for m in book.machines()}
    status = {job.code: job.status for job in book.jobs()}
    lost_crews = sorted({c for b in plan.bookings for c in b.crews} - crews)
    lost_kinds = sorted({use.kind for b in plan.bookings for use in b.machines} - kinds)
    gone = sorted({b.job for b in plan.bookings if status.get(b.job) is Status.CANCELLED})
    advice = "make a new plan with `planner plan make` and publish it"
    for what, names in (("crews", lost_crews), ("machines", lost_kinds)):
        if names:
            listed = ", ".join(names)
            yield Finding(True, f"published plan {plan.number} books {what} that are gone: {listed}", advice)
    if gone:
        listed = ", ".join(gone)
        yield Finding(True, f"published plan {plan.number} books cancelled jobs: {listed}", advice)


def _stale_rates(book: Book) -> Iterator[Finding]:
    newest = book.rate_book().edition
    editions = book.job_editions()
    ahead = (Status.INQUIRY, Status.SOLD)
    stale = [j.code for j in book.jobs() if j.status in ahead and editions.get(j.code, newest) != newest]
    if stale:
        listed = ", ".join(stale[:8]) + (f" and {len(stale) - 8} more" if len(stale) > 8 else "")
        what = f"{counted(len(stale), 'job')} ahead told by an older rate book than {newest}: {listed}"
        yield Finding(False, what, "they stay so until you say `planner rates adopt`")


def counts(book: Book) -> dict[str, int]:
    """Table -> number of entries, of what people count."""
    tables = ("jobs", "crews", "machines", "plans", "logs", "lost", "rate_editions", "history")
    return {t: int(book.connection.scalar(text(f"SELECT count(*) FROM {t}")) or 0) for t in tables}


def must_be_whole(copy: Path) -> None:
    """StoreTrouble when a backup file is not a whole planner database that this program can go on with."""
    if faults := file_faults(copy):
        raise StoreTrouble(
            f"the backup {copy} is not usable ({faults[0]}): choose another one; nothing was changed"
        )
    trouble = misfit(Store(copy).revision(), str(copy))
    if trouble is not None and not isinstance(trouble, OlderForm):
        raise StoreTrouble(f"{trouble}; nothing was changed")
    with closing(opened(copy, Turn().left_s)) as raw:
        chosen = (
            "SELECT name FROM sqlite_master WHERE name NOT LIKE 'sqlite^_%' ESCAPE '^' AND type <> 'index'"
        )
        names = {row[0] for row in raw.execute(chosen)}
    if foreign := sorted(names - {*metadata.tables, "alembic_version"}):
        raise StoreTrouble(
            f"the backup {copy} holds {foreign[0]!r}, which is not the planner's: choose another one; "
            "nothing was changed"
        )
    if trouble is None and (missing := sorted({*metadata.tables} - names)):
        raise StoreTrouble(
            f"the backup {copy} lacks the table {missing[0]}: choose another one; nothing was changed"
        )
    if trouble is None and (rows := take_stock(Store(copy))):
        raise StoreTrouble(
            f"{rows[0].row} of the backup {copy} cannot be read ({rows[0].what}): choose another one; "
            "nothing was changed"
        )
