"""Who may do what on a server, and what is told when it is not there, half upgraded, or cut off."""

from __future__ import annotations

import shutil
import sqlite3
import threading
from collections.abc import Callable, Iterator
from contextlib import closing, contextmanager
from dataclasses import replace
from pathlib import Path

import pytest
from sqlalchemy import URL, Connection, MetaData, create_engine, make_url, text

from planner.cli.main import main
from planner.errors import StoreTrouble
from planner.store import engine as engine_module
from planner.store import server
from planner.store.engine import REVISION, Store
from planner.store.safekeeping import migrate
from tests.conftest import NOW
from tests.migrations.test_migrations import FOLDER, _script
from tests.store import writers
from tests.store.server import programs

pytestmark = [
    pytest.mark.postgres,
    pytest.mark.skipif(programs() is None, reason="needs a PostgreSQL server"),
]
ROWS = Path(__file__).parents[1] / "migrations" / "rows"


@pytest.fixture
def url(postgres: Callable[[], str]) -> URL:
    """A filled database of its own."""
    location = postgres()
    writers.fill(location)
    return make_url(location)


@contextmanager
def _owner(url: URL) -> Iterator[Connection]:
    """The owner's own connection, each statement by itself."""
    engine = create_engine(url, isolation_level="AUTOCOMMIT")
    try:
        with engine.connect() as connection:
            yield connection
    finally:
        engine.dispose()


def _as(url: URL, user: str) -> Store:
    return Store(url.set(username=user).render_as_string(hide_password=False))


def _refused(store: Store, *, write: bool = True) -> str:
    with pytest.raises(StoreTrouble) as caught, store.writing() if write else store.reading() as book:
        if write:
            book.save_crew(replace(writers.CREW, name="West", people=()))
        book.crews()
    assert "\n" not in str(caught.value)
    return str(caught.value)


def test_a_role_that_may_only_read(url: URL) -> None:
    with _owner(url) as run:
        run.execute(text("CREATE ROLE only_reads LOGIN"))
        run.execute(text("GRANT SELECT ON ALL TABLES IN SCHEMA public TO only_reads"))
    store = _as(url, "only_reads")
    with store.reading() as book:
        assert [c.name for c in book.crews()] == ["North"]
    told = _refused(store)
    assert "does not give this user all rights on the table" in told and "GRANT SELECT, INSERT" in told
    with _owner(url) as run:
        run.execute(text("ALTER ROLE only_reads SET default_transaction_read_only = on"))
        run.execute(text("GRANT ALL ON ALL TABLES IN SCHEMA public TO only_reads"))
    assert "lets this user only read" in _refused(store)


def test_a_role_without_rights_on_a_new_table(url: URL) -> None:
    with _owner(url) as run:
        run.execute(text("CREATE ROLE forgotten_role LOGIN"))
        run.execute(text("GRANT ALL ON ALL TABLES IN SCHEMA public TO forgotten_role"))
        run.execute(text("REVOKE ALL ON TABLE crews FROM forgotten_role"))
    told = _refused(_as(url, "forgotten_role"), write=False)
    assert "all rights on the table crews" in told and "again after each upgrade" in told


def test_a_role_that_may_not_make_tables(url: URL, postgres: Callable[..., str]) -> None:
    empty = make_url(postgres("template1"))
    with _owner(empty) as run:
        run.execute(text("CREATE ROLE no_maker LOGIN"))
    with pytest.raises(StoreTrouble, match="GRANT CREATE ON SCHEMA public TO this user"):
        migrate.create(_as(empty, "no_maker"))


def test_a_database_or_a_role_that_is_not_there(url: URL) -> None:
    told = _refused(Store(url.set(database="nowhere").render_as_string()), write=False)
    assert "is not on that server" in told and "createdb" in told
    assert "check the user in --db" in _refused(_as(url, "nobody_at_all"), write=False)


def test_a_server_that_is_not_there() -> None:
    told = _refused(Store("postgresql://office@127.0.0.1:1/season"), write=False)
    assert "does not answer: start the PostgreSQL server" in told
    told = _refused(Store("postgresql://office@/season?host=/nowhere"), write=False)
    assert "does not answer: start the PostgreSQL server" in told
    assert "no service file has" in _refused(Store("postgresql://?service=nothing"), write=False)


def test_cut_off_in_mid_command_and_back(url: URL) -> None:
    location = url.render_as_string()
    with pytest.raises(StoreTrouble) as caught, Store(location).writing() as book:
        book.save_crew(replace(writers.CREW, name="West", people=()))
        with _owner(url) as run:
            run.execute(
                text(
                    "SELECT pg_terminate_backend(pid) FROM pg_stat_activity "
                    "WHERE datname = current_database() AND pid <> pg_backend_pid()"
                )
            )
        book.save_crew(replace(writers.CREW, name="East", people=()))
    told = str(caught.value)
    assert "cut off in mid-command" in told and "planner history list" in told and "\n" not in told
    with Store(location).writing() as book:
        assert [c.name for c in book.crews()] == ["North"]


def test_to_another_computer_only_over_tls(monkeypatch: pytest.MonkeyPatch, url: URL) -> None:
    monkeypatch.delenv("PGSSLMODE", raising=False)

    def mode(address: str) -> object:
        found = server.url_of(address)
        return found is not None and found.query.get("sslmode")

    assert mode("postgresql://office@ponds.example/season") == "require"
    assert mode("postgresql://office@/season?host=ponds.example") == "require"
    assert mode("postgresql://office@ponds.example/season?sslmode=verify-full") == "verify-full"
    assert mode("postgresql://office@ponds.example/season?sslmode=disable") == "disable"
    for here in ("office@/season", "office@localhost/season", "office@127.0.0.1/season", "?service=season"):
        assert mode(f"postgresql://{here}") is None
    assert mode("postgresql://office@ponds.example/season?sslmode=prefer") == "require"
    monkeypatch.setenv("PGSSLMODE", "verify-full")
    assert mode("postgresql://office@ponds.example/season") is None
    assert Store("postgresql://?service=season").name == "postgresql:///?service=season"


@pytest.mark.parametrize("revision", [s.revision for s in _script().walk_revisions()])
def test_each_revision_keeps_its_rows_up_to_head(
    postgres: Callable[..., str], tmp_path: Path, revision: str
) -> None:
    """Rows as a program of that revision kept them, in a server's tables of that revision."""
    location = postgres("template1")
    store = Store(location)
    migrate.migrate_to(store, revision)
    before = _copied_rows(make_url(location), revision, tmp_path)
    if revision != REVISION:
        with pytest.raises(StoreTrouble, match="planner db upgrade"), store.reading():
            pass
        migrate.upgrade(store)
    with _owner(make_url(location)) as run:
        for name, count in before.items():
            assert run.execute(text(f'SELECT count(*) FROM "{name}"')).scalar() == count, name
    assert before["jobs"] and before["bookings"] and before["logs"] and before["history"]
    with store.reading() as book:
        assert book.job("P-014").client.startswith("O'Hara")
        assert book.plan().bookings and book.logs() and book.crews() and book.machines()


def _copied_rows(url: URL, revision: str, tmp_path: Path) -> dict[str, int]:
    """Put the kept rows of a file of that revision into the server's tables; table -> how many."""
    old = tmp_path / "old.sqlite3"
    old.touch()
    migrate.migrate_to(Store(old), revision)
    tables = MetaData()
    counted = {}
    with closing(sqlite3.connect(old)) as raw, _owner(url) as run:
        raw.executescript((ROWS / f"{revision}.sql").read_text("utf-8"))
        raw.row_factory = sqlite3.Row
        tables.reflect(run)
        for table in tables.sorted_tables:
            rows = [dict(row) for row in raw.execute(f'SELECT * FROM "{table.name}"')]
            counted[table.name] = len(rows)
            if table.name == "alembic_version":
                continue
            flags = [c.name for c in table.columns if str(c.type) == "BOOLEAN"]
            for row in rows:
                row |= {name: bool(row[name]) for name in flags if row[name] is not None}
                named = ", ".join(f'"{name}"' for name in row)
                places = ", ".join("%s" for _ in row)
                run.exec_driver_sql(
                    f'INSERT INTO "{table.name}" ({named}) VALUES ({places})', tuple(row.values())
                )
    return counted


#: A migration that takes its time, as one on a big server does.
SLOW = """
from alembic import op
revision, down_revision, branch_labels, depends_on = "9998", "{head}", None, None
def upgrade():
    op.execute("ALTER TABLE crews ADD COLUMN nick TEXT")
    op.execute("UPDATE crews SET nick = 'x'")
    op.execute("SELECT pg_sleep({sleep})")
"""


def _slowly(url: URL, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, sleep: float) -> threading.Thread:
    """Begin an upgrade in another office; returns once it holds the database."""
    folder = tmp_path / "migrations"
    shutil.copytree(FOLDER, folder, ignore=shutil.ignore_patterns("__pycache__"))
    (folder / "versions" / "9998_slow.py").write_text(SLOW.format(head=REVISION, sleep=sleep), "utf-8")
    monkeypatch.setattr(migrate, "migrations_folder", lambda: folder)
    office = threading.Thread(target=migrate.migrate_to, args=(Store(url.render_as_string()),))
    office.start()
    with _owner(url) as run:
        while not run.execute(
            text(
                "SELECT count(*) FROM pg_stat_activity "
                "WHERE query LIKE '%pg_sleep(%' AND pid <> pg_backend_pid()"
            )
        ).scalar():
            pass
    return office


def test_an_office_that_meets_an_upgrade_is_told(
    url: URL, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("planner.store.turns.WAIT_S", 0.3)
    office = _slowly(url, tmp_path, monkeypatch, 4.0)
    store = Store(url.render_as_string())
    for write in (False, True):
        assert "by another office that is upgrading or restoring it" in _refused(store, write=write)
    office.join()
    for write in (False, True):
        assert "made by a newer planner: upgrade this program" in _refused(store, write=write)


def test_an_office_that_waits_out_an_upgrade_sees_all_of_it(
    url: URL, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Its moment begins after the upgrade: it sees the new form, not the old one with empty tables."""
    office = _slowly(url, tmp_path, monkeypatch, 1.0)
    monkeypatch.setattr(engine_module, "REVISION", "9998")
    with Store(url.render_as_string()).reading() as book:
        assert book.connection.scalar(text("SELECT nick FROM crews")) == "x"
    office.join()


def test_one_that_only_writes_is_told_apart(url: URL, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("planner.store.turns.WAIT_S", 0.3)
    with Store(url.render_as_string()).writing() as book:
        book.crews()
        assert "by another office that is using it" in _refused(Store(url.render_as_string()))


def test_the_state_of_a_server_from_the_command_line(
    url: URL, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setenv("PLANNER_DB", url.render_as_string())
    monkeypatch.setenv("PLANNER_NOW", NOW)
    assert main(["db", "restore"]) == 0
    told = capsys.readouterr()
    assert "no backups yet" in told.out and "planner db backup" in told.err
    assert "the server's own backups are not known here" in told.err
