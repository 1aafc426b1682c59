"""Making the schema and bringing an older one up to date, with Alembic's migrations.

Everything happens in one transaction on an engine of its own with foreign keys off (a rebuilt table must not
cascade into its children); the foreign keys are checked before the commit. A migration that fails leaves the
file as it was, and a copy of it was made before.
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from sqlalchemy import Connection, text

from planner.errors import StoreTrouble
from planner.store import server
from planner.store.engine import (
    APPLICATION_ID,
    REVISION,
    OlderForm,
    Store,
    misfit,
    note_kept,
    stored_revision,
)
from planner.store.safekeeping.backup import back_up, copies, outdated, private_file


def migrations_folder() -> Path:
    """The folder of migrations: the checkout's, else the wheel's own."""
    package = Path(__file__).resolve().parents[2]
    for folder in (package.parent / "migrations", package / "migrations"):
        if (folder / "env.py").is_file():
            return folder
    raise StoreTrouble("the migrations are missing from this installation: install planner again")


def create(store: Store) -> bool:
    """Make the database; False when it is there already and up to date."""
    path = store.path
    if path is not None and not path.exists():
        try:
            path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
            private_file(path)
        except OSError as error:
            raise StoreTrouble(
                f"{path} cannot be made ({error.strerror}): name another place with --db"
            ) from error
    found = store.revision()
    if found == REVISION:
        return False
    if found is not None and (trouble := misfit(found, store.name)):
        raise trouble
    migrate_to(store)
    return True


def upgrade(store: Store, copied: Callable[[Store], Path | None] | None = None) -> Path | None:
    """Bring an older schema up to date; returns the copy made before, None when none was made.

    copied: makes the copy of a database on a server.
    """
    found = store.revision()
    if found == REVISION:
        return None
    if (trouble := misfit(found, store.name)) and not isinstance(trouble, OlderForm):
        raise trouble
    copy = None
    if store.path is not None:
        copy = back_up(store.path, "migration", store.clock())
        for old in outdated(copies(store.path)):
            old.path.unlink(missing_ok=True)
    elif copied is not None:
        copy = copied(store)
    migrate_to(store)
    return copy


def migrate_to(store: Store, target: str = "head") -> None:
    """Run the migrations up to `target` in one transaction, references checked before the commit."""
    with store.explained():
        engine = store.engine(write=True, foreign_keys=False)
        try:
            with engine.begin() as connection:
                if store.path is None:
                    server.lock_whole(connection)
                run(connection, target)
                _check(connection, store.name)
            note_kept()
        finally:
            engine.dispose()


def run(connection: Connection, target: str = "head") -> None:
    """Run the migrations up to `target` inside the caller's transaction."""
    from alembic import command
    from alembic.config import Config

    config = Config()
    config.set_main_option("script_location", str(migrations_folder()).replace("%", "%%"))
    config.set_main_option("path_separator", "os")
    config.attributes["connection"] = connection
    command.upgrade(config, target)
    if connection.dialect.name == "sqlite":
        connection.exec_driver_sql(f"PRAGMA application_id = {APPLICATION_ID}")


def _check(connection: Connection, name: str) -> None:
    if connection.dialect.name == "sqlite":
        broken = connection.execute(text("PRAGMA foreign_key_check")).all()
        if broken:
            raise StoreTrouble(
                f"the upgrade would leave {len(broken)} entries of {name} without their owner (first: "
                f"{broken[0][0]}): nothing was changed; run `planner db check`"
            )
    if stored_revision(connection, name) is None:
        raise StoreTrouble(f"the migrations left {name} empty: install planner again")
