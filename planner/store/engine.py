"""Opening the database: one SQLite file, or a PostgreSQL server by URL.

`Store(location).reading()` and `.writing()` are the only ways in. On SQLite a writer takes the file's write
lock at once (BEGIN IMMEDIATE), on PostgreSQL one advisory lock: so what a writer reads is still true when
it writes, and no update is lost. A reader sees one moment. Readers and writers wait up to 15 s.
"""

from __future__ import annotations

import os
import sqlite3
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

from sqlalchemy import URL, Connection, Engine, NullPool, create_engine, event, make_url, text
from sqlalchemy.exc import ArgumentError

from planner.errors import BadInput, StoreTrouble
from planner.store.trouble import explained

if TYPE_CHECKING:
    from planner.store.books import Book

#: The newest migration. A test pins it to the head of migrations/versions.
REVISION = "0002"

#: SQLite's application_id of our files ("pond" in ASCII): tells them from other programs' databases.
APPLICATION_ID = 0x706F6E64

WAIT_S = 15.0

#: Key of the advisory lock that makes PostgreSQL's writers take turns.
WRITERS_LOCK = APPLICATION_ID


def wall_clock() -> datetime:
    """Local time to the second; PLANNER_NOW (ISO 8601) replaces it in rehearsals."""
    fixed = os.environ.get("PLANNER_NOW", "")
    if fixed:
        try:
            return datetime.fromisoformat(fixed).replace(tzinfo=None)
        except ValueError:
            raise BadInput("PLANNER_NOW", fixed, "write a date and time like 2027-04-05T06:45") from None
    return datetime.now().replace(microsecond=0)


class Store:
    """The database at `location`: a path, or a URL `postgresql+psycopg://user@host/name`."""

    def __init__(self, location: str | Path, *, clock: Callable[[], datetime] = wall_clock) -> None:
        """Nothing is opened yet. clock: stamps the history; tests set it."""
        self.clock = clock
        self.url = _url(str(location))
        self.path = None if self.url else Path(location).expanduser()

    @property
    def name(self) -> str:
        """How messages call the database: the path, or the URL without its password."""
        return str(self.path) if self.url is None else self.url.render_as_string(hide_password=True)

    @contextmanager
    def reading(self) -> Iterator[Book]:
        """A book that only reads, at one moment. Raises StoreTrouble when it cannot be used as it is."""
        with explained(self.name), self.connected() as connection:
            yield self._book(connection, who="")

    @contextmanager
    def writing(self, who: str = "office") -> Iterator[Book]:
        """A book whose changes are kept together when the block ends, or not at all on any error.

        who: goes into the history. The first writing of a day makes the daily backup before it.
        """
        with explained(self.name):
            if self.path is not None:
                from planner.store.backup import daily

                daily(self.path, self.clock())
            with self.connected(write=True) as connection:
                yield self._book(connection, who=who)

    @contextmanager
    def connected(self, *, write: bool = False, any_revision: bool = False) -> Iterator[Connection]:
        """A connection inside one transaction; commits when the block ends well, else rolls back."""
        engine = self.engine(write=write)
        try:
            with engine.begin() as connection:
                if not any_revision:
                    self._fits(connection)
                yield connection
        finally:
            engine.dispose()

    def engine(self, *, write: bool = False, foreign_keys: bool = True) -> Engine:
        """A fresh engine whose transactions begin as readers or as writers."""
        if self.path is not None:
            return _sqlite(self.path, write=write, foreign_keys=foreign_keys)
        assert self.url is not None
        return _postgres(self.url, write=write)

    def revision(self) -> str | None:
        """The migration that the database stands at; None when it is empty. StoreTrouble when foreign."""
        with explained(self.name), self.connected(any_revision=True) as connection:
            return stored_revision(connection, self.name)

    def _fits(self, connection: Connection) -> None:
        found = stored_revision(connection, self.name)
        if found is None:
            raise StoreTrouble(
                f"there is no planner database at {self.name}: make it with `planner db create`"
            )
        if found != REVISION:
            if found > REVISION:
                raise StoreTrouble(
                    f"the database {self.name} was made by a newer planner: upgrade this program"
                )
            raise StoreTrouble(f"the database {self.name} is of an older form: run `planner db upgrade`")

    def _book(self, connection: Connection, who: str) -> Book:
        from planner.store.books import Book

        return Book(connection, who=who, clock=self.clock)


def stored_revision(connection: Connection, name: str) -> str | None:
    """The revision written in the database, None when it holds no table; StoreTrouble when it is foreign."""
    if connection.dialect.name == "sqlite":
        tables = {row[0] for row in connection.exec_driver_sql("SELECT name FROM sqlite_master")}
        ours = connection.exec_driver_sql("PRAGMA application_id").scalar() == APPLICATION_ID
        if not tables and not ours:
            return None
        if not ours or "alembic_version" not in tables:
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
    found = connection.execute(text("SELECT version_num FROM alembic_version")).scalar()
    return None if found is None else str(found)


def _url(location: str) -> URL | None:
    if "://" not in location:
        return None
    try:
        url = make_url(location)
    except ArgumentError:
        raise StoreTrouble(
            "the database address is not a URL: write postgresql+psycopg://USER@HOST/NAME"
        ) from None
    if url.get_backend_name() != "postgresql":
        raise StoreTrouble("only a file or postgresql+psycopg://USER@HOST/NAME can hold the database")
    return url.set(drivername="postgresql+psycopg")


def _sqlite(path: Path, *, write: bool, foreign_keys: bool) -> Engine:
    _must_be_file(path)

    def connect() -> sqlite3.Connection:
        uri = path.absolute().as_uri() + "?mode=rw"
        raw = sqlite3.connect(uri, uri=True, timeout=WAIT_S, isolation_level=None)
        raw.execute(f"PRAGMA foreign_keys={'ON' if foreign_keys else 'OFF'}")
        raw.execute("PRAGMA synchronous=FULL")
        raw.execute("PRAGMA trusted_schema=OFF")
        return raw

    engine = create_engine("sqlite://", creator=connect, poolclass=NullPool)

    @event.listens_for(engine, "begin")
    def _begin(connection: Connection) -> None:
        connection.exec_driver_sql("BEGIN IMMEDIATE" if write else "BEGIN")

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


def _postgres(url: URL, *, write: bool) -> Engine:
    try:
        engine = create_engine(
            url,
            poolclass=NullPool,
            connect_args={"connect_timeout": int(WAIT_S)},
            isolation_level="READ COMMITTED" if write else "REPEATABLE READ",
        )
    except ModuleNotFoundError:
        raise StoreTrouble(
            "PostgreSQL needs its driver: install it with pip install 'planner[postgres]'"
        ) from None

    @event.listens_for(engine, "begin")
    def _begin(connection: Connection) -> None:
        connection.exec_driver_sql(f"SET LOCAL lock_timeout = '{int(WAIT_S)}s'")
        if write:
            connection.exec_driver_sql(f"SELECT pg_advisory_xact_lock({WRITERS_LOCK})")
        else:
            connection.exec_driver_sql("SET TRANSACTION READ ONLY")

    return engine
