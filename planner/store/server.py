"""A database on a PostgreSQL server: its address, without secrets and over TLS; its locks; its engine.

Writers take turns by one advisory lock. Readers share a second one, which an upgrade or a restore takes for
itself, so that nobody sees a database that is half of the old form and half of the new.
"""

from __future__ import annotations

import os
from collections.abc import Iterator
from contextlib import contextmanager
from typing import TYPE_CHECKING, Any

from sqlalchemy import URL, Connection, Engine, NullPool, create_engine, event, make_url, text
from sqlalchemy.exc import ArgumentError, SQLAlchemyError

from planner.errors import StoreTrouble
from planner.store import turns

if TYPE_CHECKING:
    from planner.store.engine import Store

#: Key of the advisory lock that makes PostgreSQL's writers take turns.
WRITERS_LOCK = 0x706F6E64

#: Key of the one that readers share, and that an upgrade or a restore takes for itself.
WHOLE_LOCK = WRITERS_LOCK + 1

#: Names of this computer; what goes there passes no network.
_HERE = ("", "localhost", "127.0.0.1", "::1")


def url_of(location: str) -> URL | None:
    """The address of a server; None when `location` is a file's name. StoreTrouble when it is neither."""
    if "://" not in location:
        return None
    try:
        url = make_url(location)
    except (ArgumentError, ValueError):
        raise StoreTrouble(
            "the database address is not a URL: write postgresql+psycopg://USER@HOST/NAME"
        ) from None
    if url.get_backend_name() != "postgresql":
        raise StoreTrouble("no other database serves: name a file, or postgresql+psycopg://USER@HOST/NAME")
    return over_tls(url.set(drivername="postgresql+psycopg"))


def over_tls(url: URL) -> URL:
    """The address with TLS demanded where it leads to another computer, unless it says that it must not be;
    "prefer" and "allow" would give way without a word. A service file says it for its services.
    """
    mode = url.query.get("sslmode") or os.environ.get("PGSSLMODE", "")
    if mode not in ("", "prefer", "allow") or "service" in url.query:
        return url
    host = url.host or url.query.get("host") or url.query.get("hostaddr") or os.environ.get("PGHOST", "")
    hosts = [host] if isinstance(host, str) else host
    if all(one.startswith(("/", "@")) or one in _HERE for part in hosts for one in part.split(",")):
        return url
    return url.update_query_dict({"sslmode": "require"})


def shown_url(url: URL) -> str:
    """The address as it may be read by anyone: user, host, port and database; never a password.

    A password with a bare @ in it reaches into the host: only what follows the last @ is shown.
    """
    user = f"{url.username}@" if url.username and "@" not in (url.host or "") else ""
    host = (url.host or "").rpartition("@")[2] or str(url.query.get("host", ""))
    port = f":{url.port}" if url.port else ""
    if service := url.query.get("service"):
        return f"postgresql://{user}{host}{port}/{url.database or ''}?service={service}"
    return f"postgresql://{user}{host}{port}/{url.database or ''}"


def secrets_of(url: URL) -> tuple[str, ...]:
    """What no message may hold: the password wherever it was written, whole or in parts."""
    told = [
        url.password,
        (url.host or "").rpartition("@")[0],
        *(v for k, v in url.query.items() if "pass" in k),
    ]
    return tuple(str(t) for t in told if t)


def engine_of(url: URL, *, write: bool) -> Engine:
    """A fresh engine whose transactions begin as writers or as readers."""
    try:
        engine = create_engine(
            url,
            poolclass=NullPool,
            connect_args={"connect_timeout": max(2, int(turns.WAIT_S))},
            isolation_level="READ COMMITTED" if write else "REPEATABLE READ",
        )
    except ModuleNotFoundError:
        raise StoreTrouble(
            "PostgreSQL needs its driver: install it with pip install 'planner[postgres]'"
        ) from None

    wait = f"SET LOCAL lock_timeout = '{int(turns.WAIT_S * 1000)}ms'"

    @event.listens_for(engine, "connect")
    def _connect(raw: Any, _: object) -> None:
        """A reader waits for an upgrade before its moment begins: PostgreSQL takes it at the first SELECT."""
        if not write:
            with raw.cursor() as cursor:
                cursor.execute(wait)
                cursor.execute(f"SELECT pg_advisory_lock_shared({WHOLE_LOCK})")
            raw.commit()

    @event.listens_for(engine, "begin")
    def _begin(connection: Connection) -> None:
        connection.exec_driver_sql(wait)
        if write:
            connection.exec_driver_sql(f"SELECT pg_advisory_xact_lock({WRITERS_LOCK})")
        else:
            connection.exec_driver_sql("SET TRANSACTION READ ONLY")

    return engine


def lock_whole(connection: Connection) -> None:
    """Keep every other office out until the transaction ends."""
    connection.exec_driver_sql(f"SELECT pg_advisory_xact_lock({WHOLE_LOCK})")


@contextmanager
def whole_server(store: Store) -> Iterator[None]:
    """Within the block no other office reads or writes the database on its server. Raises StoreTrouble."""
    engine = store.engine(write=True)
    try:
        with store.explained(), engine.begin() as connection:
            lock_whole(connection)
            yield
    finally:
        engine.dispose()


def office_holding(url: URL) -> str:
    """What the office does that holds the database: upgrading all of it, or only writing."""
    asked = (
        "SELECT count(*) FROM pg_locks JOIN pg_database ON pg_database.oid = pg_locks.database "
        "WHERE locktype = 'advisory' AND granted AND mode = 'ExclusiveLock' AND datname = current_database() "
        f"AND objid = {WHOLE_LOCK}"
    )
    engine = create_engine(url, poolclass=NullPool)
    try:
        with engine.connect() as connection:
            return "upgrading or restoring it" if connection.scalar(text(asked)) else "using it"
    except SQLAlchemyError:
        return "using it"
    finally:
        engine.dispose()


@contextmanager
def scratch_database(store: Store) -> Iterator[Store]:
    """An empty database beside the store's on its server, gone after the block. Raises StoreTrouble."""
    assert store.url is not None
    name = f"planner_renewed_{os.getpid()}"
    beside = create_engine(store.url, poolclass=NullPool, isolation_level="AUTOCOMMIT")
    with store.explained():
        try:
            with beside.connect() as connection:
                connection.exec_driver_sql(f"CREATE DATABASE {name} TEMPLATE template0")
            try:
                address = store.url.set(database=name).render_as_string(hide_password=False)
                yield type(store)(address, clock=store.clock)
            finally:
                with beside.connect() as connection:
                    connection.exec_driver_sql(f"DROP DATABASE {name}")
        finally:
            beside.dispose()
