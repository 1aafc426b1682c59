"""Opening the database: one SQLite file, or a PostgreSQL server by URL.

`Store(location).reading()` and `.writing()` are the only ways in. On SQLite a writer takes the file's write
lock at once (BEGIN IMMEDIATE), on PostgreSQL one advisory lock: so what a writer reads is still true when
it writes, and no update is lost. A reader sees one moment. Readers and writers wait up to 15 s.
"""

from __future__ import annotations

import os
import re
import sqlite3
from collections.abc import Callable, Iterator
from contextlib import AbstractContextManager, closing, contextmanager, suppress
from datetime import datetime
from functools import partial
from pathlib import Path
from time import monotonic
from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

from sqlalchemy import Connection, Engine, NullPool, create_engine, event, text
from sqlalchemy.exc import SQLAlchemyError

from planner.domain.dates import FIRST_DAY, LAST_DAY
from planner.errors import BadInput, PlannerError, StoreTrouble
from planner.store import server, turns
from planner.store.trouble import explained

if TYPE_CHECKING:
    from planner.store.books import Book

#: The newest migration. A test pins it to the head of migrations/versions.
REVISION = "0012"

#: The oldest one, and how they are all written.
FIRST_REVISION = "0001"
_REVISIONS = re.compile("[0-9]{4}")

#: SQLite's application_id of our files ("pond" in ASCII): tells them from other programs' databases.
APPLICATION_ID = 0x706F6E64


def wall_clock(time_zone: str | None = None) -> datetime:
    """The firm's local time to the second, whatever zone this computer's clock is in; PLANNER_NOW (ISO 8601)
    replaces it in rehearsals.

    time_zone: IANA name; None, and one that is unknown: this computer's.

    BadInput when the year is none that the planner reckons with: such a stamp would spoil history and copies.
    """
    fixed = os.environ.get("PLANNER_NOW", "")
    try:
        found = datetime.fromisoformat(fixed).replace(tzinfo=None) if fixed else _now(time_zone)
    except ValueError:
        raise BadInput("PLANNER_NOW", fixed, "write a date and time like 2027-04-05T06:45") from None
    if not FIRST_DAY <= found.date() <= LAST_DAY:
        if fixed:
            raise BadInput("PLANNER_NOW", fixed, "choose a year from 2000 to 2100")
        raise BadInput("clock", f"{found:%Y-%m-%d}", "set the date of this computer, then repeat")
    return found.replace(microsecond=0)


def _now(time_zone: str | None) -> datetime:
    with suppress(ValueError, OSError, KeyError):
        return datetime.now(ZoneInfo(time_zone) if time_zone else None).replace(tzinfo=None)
    return datetime.now()


_kept = [0]


def note_kept() -> None:
    """Remember that this process has kept a change."""
    _kept[0] += 1


def something_kept() -> bool:
    """True when this process has kept a change, whatever became of its answer."""
    return _kept[0] > 0


_ZONE = "SELECT time_zone FROM firm"


class OlderForm(StoreTrouble):
    """The database must be upgraded first."""


class Store:
    """The database at `location`: a path, or a URL `postgresql+psycopg://user@host/name`."""

    def __init__(self, location: str | Path, *, clock: Callable[[], datetime] | None = None) -> None:
        """Nothing is opened yet. clock: stamps the history in place of the firm's clock."""
        self._clock = clock
        self._zone: str | None = None
        self._open: Connection | None = None
        self.url = server.url_of(str(location))
        self.path = None if self.url else _path(str(location))

    @property
    def name(self) -> str:
        """How messages call the database: the path, or the URL without any secret."""
        return str(self.path) if self.url is None else server.shown_url(self.url)

    def clock(self) -> datetime:
        """Now, by the firm's clock."""
        return wall_clock(self._time_zone) if self._clock is None else self._clock()

    @property
    def _time_zone(self) -> str | None:
        """The firm's time zone as it is stored; None where none is, or where it cannot be read at once.

        Asked of the connection that is open, so that nobody has to be waited for.
        """
        if self._zone is None and "PLANNER_NOW" not in os.environ:
            with suppress(sqlite3.Error, SQLAlchemyError, PlannerError):
                if self._open is not None:
                    self._zone = self._open.scalar(text(_ZONE))
                elif self.path is None:
                    with self.connected() as connection:
                        self._zone = connection.scalar(text(_ZONE))
                elif self.path.is_file():
                    with closing(turns.opened(self.path, 0.0)) as raw:
                        self._zone = next(iter(raw.execute(_ZONE).fetchone() or ()), None)
        return self._zone

    @contextmanager
    def reading(self) -> Iterator[Book]:
        """A book that only reads, at one moment. Raises StoreTrouble when it cannot be used as it is."""
        with self.explained(), self.connected() as connection:
            yield self._book(connection, who="", still=True)

    @contextmanager
    def writing(self, who: str = "office") -> Iterator[Book]:
        """A book whose changes are kept together when the block ends, or not at all on any error.

        who: goes into the history. The first writing of a day makes the daily backup before it.
        """
        with self.explained():
            turn = turns.Turn()
            if self.path is not None:
                from planner.store.safekeeping.backup import daily

                daily(self.path, self.clock(), turn)
            with self.connected(write=True, turn=turn) as connection:
                if self.path is None:
                    from planner.store.safekeeping import server_copies

                    server_copies.daily(self)
                yield self._book(connection, who=who)

    @contextmanager
    def renewing(self) -> Iterator[Book]:
        """As `writing`, but for a backup: it has no backups of its own."""
        with self.explained(), self.connected(write=True) as connection:
            yield self._book(connection, who="office")

    @contextmanager
    def connected(
        self, *, write: bool = False, any_revision: bool = False, turn: turns.Turn | None = None
    ) -> Iterator[Connection]:
        """A connection inside one transaction; commits when the block ends well, else rolls back."""
        engine = self.engine(write=write, turn=turn)
        try:
            with engine.begin() as connection:
                if any_revision:
                    yield connection
                else:
                    self._fits(connection)
                    before, self._open = self._open, connection
                    try:
                        yield connection
                    finally:
                        self._open = before
            if write:
                note_kept()
        finally:
            engine.dispose()

    def engine(
        self, *, write: bool = False, foreign_keys: bool = True, turn: turns.Turn | None = None
    ) -> Engine:
        """A fresh engine whose transactions begin as readers or as writers. turn: what is left of waiting."""
        if self.path is not None:
            return _sqlite(self.path, turn or turns.Turn(), write=write, foreign_keys=foreign_keys)
        assert self.url is not None
        return server.engine_of(self.url, write=write)

    def revision(self) -> str | None:
        """The migration that the database stands at; None when it is empty. StoreTrouble when foreign."""
        with self.explained(), self.connected(any_revision=True) as connection:
            return stored_revision(connection, self.name)

    def explained(self) -> AbstractContextManager[None]:
        """Within the block the driver's complaints become refusals with their fix."""
        if self.url is None:
            return explained(self.name, self.path)
        return explained(
            self.name, None, server.secrets_of(self.url), partial(server.office_holding, self.url)
        )

    def _fits(self, connection: Connection) -> None:
        if trouble := misfit(stored_revision(connection, self.name), self.name):
            raise trouble

    def _book(self, connection: Connection, who: str, *, still: bool = False) -> Book:
        from planner.store.books import Book

        return Book(connection, who=who, clock=self.clock, still=still)


def misfit(found: str | None, name: str) -> StoreTrouble | None:
    """Why this program cannot use a database of that revision as it is; None when it can."""
    if found is None:
        return StoreTrouble(f"there is no planner database at {name}: make it with `planner db create`")
    if not _REVISIONS.fullmatch(found) or found < FIRST_REVISION:
        return StoreTrouble(
            f"the database {name} has lost its schema version: bring back a backup with `planner db restore`"
        )
    if found > REVISION:
        return StoreTrouble(f"the database {name} was made by a newer planner: upgrade this program")
    if found < REVISION:
        return OlderForm(f"the database {name} is of an older form: run `planner db upgrade`")
    return None


def stored_revision(connection: Connection, name: str) -> str | None:
    """The revision written in the database, None when it holds no table; StoreTrouble when it is foreign.

    "" stands for a planner's database whose version is gone.
    """
    if connection.dialect.name == "sqlite":
        tables = {row[0] for row in connection.exec_driver_sql("SELECT name FROM sqlite_master")}
        ours = connection.exec_driver_sql("PRAGMA application_id").scalar() == APPLICATION_ID
        if not tables and not ours:
            return None
        if ours and "alembic_version" not in tables:
            return ""
        if not ours:
            raise StoreTrouble(f"{name} belongs to another program: name another file with --db")
    else:
        counted = "SELECT count(*), count(*) FILTER (WHERE tablename IN ('alembic_version', 'rate_editions'))"
        every, known = connection.execute(
            text(counted + " FROM pg_catalog.pg_tables WHERE schemaname = current_schema()")
        ).one()
        if every == 0:
            return None
        if known < 2:
            raise StoreTrouble(f"{name} holds another program's tables: name an empty database with --db")
    rows = connection.execute(text("SELECT version_num FROM alembic_version")).scalars().all()
    return str(rows[0]) if len(rows) == 1 and isinstance(rows[0], str) else ""


def _path(location: str) -> Path:
    if location.endswith(("/", os.sep)):
        raise StoreTrouble(f"{location} is a folder's name: name the database file in it with --db")
    path = Path(location).expanduser()
    try:
        path.exists()
    except (OSError, ValueError) as error:
        reason = (getattr(error, "strerror", None) or str(error)).lower()
        raise StoreTrouble(
            f"the database {location[:60]} cannot be opened ({reason}): name another file with --db"
        ) from None
    return path


def _sqlite(path: Path, turn: turns.Turn, *, write: bool, foreign_keys: bool) -> Engine:
    _must_be_file(path)
    waited_s = [0.0]

    def connect() -> sqlite3.Connection:
        raw = turns.opened(path, turn.left_s)
        raw.execute(f"PRAGMA foreign_keys={'ON' if foreign_keys else 'OFF'}")
        raw.execute("PRAGMA synchronous=FULL")
        raw.execute("PRAGMA trusted_schema=OFF")
        return raw

    engine = create_engine("sqlite://", creator=connect, poolclass=NullPool)

    @event.listens_for(engine, "begin")
    def _begin(connection: Connection) -> None:
        began = monotonic()
        connection.exec_driver_sql("BEGIN IMMEDIATE" if write else "BEGIN")
        waited_s[0] = monotonic() - began

    @event.listens_for(engine, "commit")
    def _commit(connection: Connection) -> None:
        """Readers may be in the way of the commit: it waits for what the beginning left over."""
        left_s = max(0.0, turns.WAIT_S - waited_s[0])
        connection.exec_driver_sql(f"PRAGMA busy_timeout={int(left_s * 1000)}")

    return engine


def _must_be_file(path: Path) -> None:
    try:
        if path.is_file():
            return
        there = path.exists()
    except OSError as error:
        raise StoreTrouble(
            f"the database {path} cannot be opened ({error.strerror}): check its folder"
        ) from None
    if there:
        raise StoreTrouble(f"{path} is not a file: name the database file with --db")
    raise StoreTrouble(f"there is no planner database at {path}: make it with `planner db create`")
