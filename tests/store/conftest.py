"""A fresh store for each test: SQLite always, PostgreSQL too where it is installed."""

from __future__ import annotations

import itertools
from collections.abc import Callable, Iterator
from datetime import datetime
from pathlib import Path

import pytest
from sqlalchemy import create_engine, text

from planner.domain import dates
from planner.store.engine import Store
from planner.store.safekeeping.migrate import create
from tests.store.server import programs, server

KINDS = ["sqlite"]
if programs() is not None:
    KINDS.append(pytest.param("postgres", marks=pytest.mark.postgres))

_numbers = itertools.count(1)


def still() -> datetime:
    return datetime(2027, 4, 1, 6, 45)


@pytest.fixture(scope="session", autouse=True)
def _own_data_folder(tmp_path_factory: pytest.TempPathFactory) -> Iterator[None]:
    """Copies of a server's database lie in the user's data folder: here in one of the tests' own."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("XDG_DATA_HOME", str(tmp_path_factory.mktemp("copies")))
        yield


@pytest.fixture(autouse=True)
def months_first() -> Iterator[None]:
    """The firm of the test values writes the day first; the next test does not."""
    yield
    dates.use(dates.DateOrder.MONTH_FIRST)


@pytest.fixture(scope="session")
def postgres() -> Iterator[Callable[[str], str]]:
    """Gives a function that makes a new database (with the schema, or empty) and returns its URL.

    No daily copies meanwhile: a dump for each of some hundred databases would be most of the tests' time.
    """
    with server() as url, pytest.MonkeyPatch.context() as patch:
        patch.setattr("planner.store.safekeeping.server_copies.daily", lambda _: None)

        def fresh(template: str = "ready", name: str = "") -> str:
            name = name or f"season{next(_numbers)}"
            engine = create_engine(url.format("postgres"), isolation_level="AUTOCOMMIT")
            with engine.connect() as connection:
                connection.execute(text(f"CREATE DATABASE {name} TEMPLATE {template}"))
            engine.dispose()
            return url.format(name)

        create(Store(fresh("template1", "ready")))
        yield fresh


@pytest.fixture(scope="session")
def bare(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A SQLite database with the newest schema and nothing in it, to be copied."""
    path = tmp_path_factory.mktemp("bare") / "season.sqlite3"
    create(Store(path))
    return path


@pytest.fixture
def location(request: pytest.FixtureRequest, tmp_path: Path, bare: Path) -> str:
    """Where a new database with the newest schema is, on the kind of store under test."""
    kind = getattr(request, "param", "sqlite")
    if kind == "sqlite":
        path = tmp_path / "season.sqlite3"
        path.write_bytes(bare.read_bytes())
        path.chmod(0o600)
        return str(path)
    url: str = request.getfixturevalue("postgres")()
    return url


@pytest.fixture
def store(location: str) -> Store:
    """A store whose clock stands still."""
    return Store(location, clock=still)


def pytest_generate_tests(metafunc: pytest.Metafunc) -> None:
    """Every test that asks for a store runs on each kind, unless its module says SQLITE_ONLY."""
    if "location" in metafunc.fixturenames and not getattr(metafunc.module, "SQLITE_ONLY", False):
        metafunc.parametrize("location", KINDS, indirect=True)
