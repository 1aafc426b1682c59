"""Migrations: from nothing to the models, from each revision with its rows; a failing one changes nothing."""

from __future__ import annotations

import re
import shutil
import sqlite3
from contextlib import closing
from datetime import datetime
from pathlib import Path

import pytest
from alembic.autogenerate import compare_metadata
from alembic.config import Config
from alembic.migration import MigrationContext
from alembic.script import ScriptDirectory

from planner.errors import StoreTrouble
from planner.store import engine
from planner.store.engine import REVISION, Store
from planner.store.safekeeping import migrate
from planner.store.safekeeping.backup import copies
from planner.store.safekeeping.whole import dump
from planner.store.schema.tables import metadata
from tests.store.values import CREW, JOB, LOG, PLAN

FOLDER = migrate.migrations_folder()

#: A later migration of the kind that rebuilds a table, and one that fails after changing rows.
REBUILD = """
import sqlalchemy as sa
from alembic import op
revision, down_revision, branch_labels, depends_on = "9998", "{head}", None, None
def upgrade():
    with op.batch_alter_table("jobs", recreate="always") as batch:
        batch.add_column(sa.Column("gate_code", sa.Text, nullable=False, server_default=""))
"""
FAILING = """
from alembic import op
revision, down_revision, branch_labels, depends_on = "9998", "{head}", None, None
def upgrade():
    op.execute("DELETE FROM job_lines")
    op.execute("ALTER TABLE crews ADD COLUMN nick TEXT")
    raise RuntimeError("half way")
"""
ORPHANING = """
from alembic import op
revision, down_revision, branch_labels, depends_on = "9998", "{head}", None, None
def upgrade():
    op.execute("DELETE FROM jobs")
"""


def _script() -> ScriptDirectory:
    config = Config()
    config.set_main_option("script_location", str(FOLDER))
    config.set_main_option("path_separator", "os")
    return ScriptDirectory.from_config(config)


def test_the_constant_is_the_head() -> None:
    assert _script().get_current_head() == REVISION


def test_the_migrations_make_the_models(tmp_path: Path) -> None:
    store = Store(tmp_path / "a.sqlite3")
    migrate.create(store)
    with store.connected() as connection:
        context = MigrationContext.configure(connection, opts={"compare_type": True})
        assert compare_metadata(context, metadata) == []


def test_every_constraint_of_the_models_is_in_the_file_by_name(tmp_path: Path) -> None:
    store = Store(tmp_path / "a.sqlite3")
    migrate.create(store)
    with closing(sqlite3.connect(tmp_path / "a.sqlite3")) as raw:
        sql = "\n".join(row[0] for row in raw.execute("SELECT sql FROM sqlite_master WHERE sql IS NOT NULL"))
    written = set(re.findall(r"CONSTRAINT \"?(\w+)", sql))
    for table in metadata.tables.values():
        for constraint in table.constraints:
            assert constraint.name, f"{table.name} has an unnamed {type(constraint).__name__}"
            assert str(constraint.name) in written
    assert len(written) > 120


@pytest.mark.parametrize("revision", [s.revision for s in _script().walk_revisions()])
def test_each_revision_keeps_its_rows_up_to_head(tmp_path: Path, revision: str) -> None:
    """The rows of each revision are in rows/REVISION.sql, written by the program of that day."""
    path = tmp_path / "old.sqlite3"
    store = Store(path)
    path.touch()
    migrate.migrate_to(store, revision)
    rows = Path(__file__).with_name("rows") / f"{revision}.sql"
    with closing(sqlite3.connect(path)) as raw:
        raw.executescript(rows.read_text("utf-8"))
        assert raw.execute("PRAGMA foreign_key_check").fetchall() == []
        before = _counts(raw)
    if revision != REVISION:
        with pytest.raises(StoreTrouble, match="planner db upgrade"), store.reading():
            pass
        assert migrate.upgrade(store) is not None
    with closing(sqlite3.connect(path)) as raw:
        after = _counts(raw)
    assert {table: after[table] for table in before} == before
    assert before["jobs"] and before["bookings"] and before["logs"] and before["history"]
    with store.reading() as book:
        assert book.job("P-014").client.startswith("O'Hara")
        assert book.plan().bookings and book.logs() and book.crews() and book.machines()


def _counts(raw: sqlite3.Connection) -> dict[str, int]:
    names = [r[0] for r in raw.execute("SELECT name FROM sqlite_master WHERE type = 'table'")]
    return {n: raw.execute(f"SELECT count(*) FROM {n}").fetchone()[0] for n in names}


@pytest.fixture
def filled(tmp_path: Path) -> Store:
    store = Store(tmp_path / "season.sqlite3", clock=lambda: datetime(2027, 4, 1, 6, 45))
    migrate.create(store)
    with store.writing() as book:
        book.save_crew(CREW)
        book.save_job(JOB)
        book.save_log(LOG)
        book.save_plan(PLAN)
    return store


def _with_one_more(monkeypatch: pytest.MonkeyPatch, tmp_path: Path, text: str) -> None:
    """Let the program believe in a newer migration."""
    folder = tmp_path / "migrations"
    shutil.copytree(FOLDER, folder, ignore=shutil.ignore_patterns("__pycache__"))
    (folder / "versions" / "9998_more.py").write_text(text.format(head=REVISION), encoding="utf-8")
    monkeypatch.setattr(migrate, "migrations_folder", lambda: folder)
    monkeypatch.setattr(migrate, "REVISION", "9998")
    monkeypatch.setattr(engine, "REVISION", "9998")


def test_a_rebuilt_table_keeps_its_children_and_its_rules(
    filled: Store, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    with filled.reading() as book:
        before = dump(book)
    _with_one_more(monkeypatch, tmp_path, REBUILD)
    copy = migrate.upgrade(filled)
    assert copy is not None and copy.exists()
    with filled.reading() as book:
        assert dump(book) == before
    with closing(sqlite3.connect(str(filled.path))) as raw:
        sql = raw.execute("SELECT sql FROM sqlite_master WHERE name = 'jobs'").fetchone()[0]
    assert "ck_jobs_status_known" in sql and "ck_jobs_place_whole" in sql


@pytest.mark.parametrize(("text", "error"), [(FAILING, RuntimeError), (ORPHANING, StoreTrouble)])
def test_a_failing_migration_leaves_the_file_as_it_was(
    filled: Store, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, text: str, error: type[Exception]
) -> None:
    assert filled.path is not None
    before = filled.path.read_bytes()
    with monkeypatch.context() as patch:
        _with_one_more(patch, tmp_path, text)
        with pytest.raises(error):
            migrate.upgrade(filled)
    assert filled.path.read_bytes() == before
    assert [c.why for c in copies(filled.path)] == ["daily", "migration"]


def test_a_newer_database_is_refused(filled: Store) -> None:
    with closing(sqlite3.connect(str(filled.path))) as raw:
        raw.execute("UPDATE alembic_version SET version_num = '9999'")
        raw.commit()
    with pytest.raises(StoreTrouble, match="newer planner"), filled.reading():
        pass
    with pytest.raises(StoreTrouble, match="newer planner"):
        migrate.upgrade(filled)


def test_creating_twice_changes_nothing(filled: Store) -> None:
    assert filled.path is not None
    before = filled.path.read_bytes()
    assert migrate.create(filled) is False
    assert filled.path.read_bytes() == before
