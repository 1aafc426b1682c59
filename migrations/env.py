"""Alembic's entry: runs the migrations on the connection that the caller hands over.

`planner db create` and `planner db upgrade` pass a connection whose transaction they own. Called by the
`alembic` command of a checkout (to write a new revision), it opens the database that PLANNER_DB names.
"""

import os

from alembic import context

from planner.store.engine import Store
from planner.store.schema.tables import metadata

connection = context.config.attributes.get("connection")


def run(on) -> None:
    context.configure(connection=on, target_metadata=metadata, render_as_batch=True, compare_type=True)
    context.run_migrations()


if connection is not None:
    run(connection)
else:
    store = Store(os.environ["PLANNER_DB"])
    with store.engine(write=True, foreign_keys=False).begin() as own:
        run(own)
