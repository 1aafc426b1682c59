"""The database itself: make it, bring it up to date, look after it."""

from __future__ import annotations

from typing import Annotated

import typer

from planner.cli import edge, options

group = typer.Typer(help="The database: make, upgrade, back up, restore, check.", no_args_is_help=True)


def register(app: typer.Typer) -> None:
    """Add the commands."""
    app.add_typer(group, name="db")


@group.command()
def create() -> None:
    """Make the database where --db or PLANNER_DB says, else in your data folder.

    Example: planner --db season.sqlite3 db create
    """
    from planner.flow.keeping.database import create_store

    name, made = create_store(edge.location(), edge.who())
    edge.say(f"made {name}" if made else f"{name} is there already and up to date")
    if made:
        edge.say("next: planner firm set --name 'Your firm', then planner crew add, planner job add")


@group.command()
def upgrade() -> None:
    """Bring an older database up to date; a copy is made before.

    Example: planner db upgrade
    """
    from planner.flow.keeping.database import upgrade_store

    name, copy, why = upgrade_store(edge.location())
    edge.say(f"{name} is up to date" + (f"; the copy made before is {copy}" if copy else ""))
    if why:
        edge.say(f"no copy was made before: {why}")


@group.command()
def state(as_json: edge.JsonFlag = False) -> None:
    """Show where the database is, what it holds, and its backups.

    Example: planner db state
    """
    from planner.domain.plain import to_plain
    from planner.flow.keeping import database as care
    from planner.report.keeping.database import state_page

    found = care.state(edge.location())
    parts = (found.name, found.revision, found.newest_revision, found.size_bytes, found.entries, found.copies)
    edge.show("database", to_plain(found), lambda c: state_page(c, *parts), as_json=as_json)


@group.command()
def backup(
    to: Annotated[
        str | None, typer.Option("--to", help="A file of your own, on a stick for example.")
    ] = None,
) -> None:
    """Make a backup now, beside the database or where --to says.

    Example: planner db backup --to /media/stick/season.sqlite3
    """
    from planner.flow.keeping import database as care

    edge.say(f"backup made: {care.back_up(edge.location(), to)}")


@group.command()
def restore(
    backup: Annotated[
        str | None, typer.Argument(help="The backup file; without it the backups are listed.")
    ] = None,
    yes: options.Yes = False,
) -> None:
    """Bring a backup back; it is checked first, and the present database is kept beside it.

    Example: planner db restore season.backups/season-2027-04-05-064500-daily.sqlite3
    """
    from planner.flow.keeping import database as care
    from planner.report.keeping.database import copies_page

    where = edge.location()
    if backup is None:
        copies = care.list_copies(where)
        edge.show("backups", copies, lambda c: copies_page(c, copies), as_json=False)
        if told := care.where_copies_lie(where):
            edge.say(told)
        edge.say("next: planner db restore FILE" if copies else "next: planner db backup")
        return
    edge.confirm(f"Put {edge.plain(backup)} in place of the database {care.name_of(where)}?", yes=yes)
    kept = care.restore(where, backup)
    edge.say("restored" + (f"; the database as it was before is kept at {kept}" if kept else ""))
    edge.say("next: planner db check")


@group.command()
def check(as_json: edge.JsonFlag = False) -> None:
    """Check the health of file, references, published plan and rates. Exit code 1 when something is wrong.

    Example: planner db check
    """
    from planner.flow.keeping import database as care
    from planner.report.keeping.database import findings_page

    found = care.check(edge.location(), edge.now())
    edge.show("check", found, lambda c: findings_page(c, found), as_json=as_json)
    if any(f.grave for f in found):
        raise typer.Exit(1)
