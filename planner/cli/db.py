"""The database itself: make it, bring it up to date, look after it."""

from __future__ import annotations

import typer

from planner.cli import edge

group = typer.Typer(help="The database: make, upgrade, back up, restore, check.", no_args_is_help=True)


def register(app: typer.Typer) -> None:
    """Add the commands."""
    app.add_typer(group, name="db")


@group.command()
def create() -> None:
    """Make the database where --db or PLANNER_DB says, else in your data folder.

    Example: planner --db season.sqlite3 db create
    """
    from planner.flow.records import create_store

    name, made = create_store(edge.location(), edge.who())
    edge.say(f"made {name}" if made else f"{name} is there already and up to date")
    if made:
        edge.say("next: planner firm set --name 'Your firm', then planner crew add, planner job add")


@group.command()
def upgrade() -> None:
    """Bring an older database up to date; a copy is made before.

    Example: planner db upgrade
    """
    from planner.flow.records import upgrade_store

    name, copy = upgrade_store(edge.location())
    edge.say(f"{name} is up to date" + (f"; the copy made before is {copy}" if copy else ""))
