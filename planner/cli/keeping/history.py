"""Who changed what and when, and taking the last action back."""

from __future__ import annotations

from typing import Annotated

import typer

from planner.cli import edge, options
from planner.errors import BadInput, PlannerError

group = typer.Typer(help="Who changed what and when; take the last action back.", no_args_is_help=True)

NOUNS = (
    "job",
    "crew",
    "machine",
    "truck",
    "firm",
    "log",
    "lost",
    "plan",
    "rates",
    "design",
    "office",
    "hold",
    "return",
    "forgotten",
    "thinned",
)


def register(app: typer.Typer) -> None:
    """Add the commands."""
    app.add_typer(group, name="history")


@group.command("list")
def list_changes(
    noun: Annotated[str | None, typer.Option(help=f"Only one of: {', '.join(NOUNS)}.")] = None,
    key: Annotated[str | None, typer.Option(help="Only this job code, crew, number or edition.")] = None,
    since: Annotated[str | None, typer.Option(help="From this day on.")] = None,
    limit: Annotated[int, typer.Option(help="At most so many entries.", min=1, max=100_000)] = 30,
    as_json: edge.JsonFlag = False,
) -> None:
    """List changes, newest first.

    Example: planner history list --noun job --key P-014
    """
    from planner.domain.plain import to_plain
    from planner.flow.keeping.history import load_history
    from planner.report.keeping.history import history_page

    if noun is not None and noun not in NOUNS:
        raise BadInput("--noun", noun, f"use one of: {', '.join(NOUNS)}")
    first = edge.day(since, "--since", back=True) if since else None
    changes = load_history(edge.location(), noun, key, first, limit)
    edge.show("history", lambda: to_plain(changes), lambda c: history_page(c, changes), as_json=as_json)


@group.command()
def undo(yes: options.Yes = False) -> None:
    """Take the last action back. The undoing itself stays in the history.

    Example: planner history undo --yes
    """
    from planner.domain.dates import long_moment
    from planner.flow.keeping.history import last_action, undo_last

    changes = last_action(edge.location())
    if not changes:
        raise PlannerError("there is nothing to take back: see `planner history list`")
    first = changes[-1]
    more = f" and {len(changes) - 1} more" if len(changes) > 1 else ""
    what = f"{first.noun} {first.key} {first.verb} by {first.who} on {long_moment(first.at)}{more}"
    edge.confirm(f"Take back: {what}?", yes=yes)
    undo_last(edge.location(), edge.who(), first.action)
    edge.say(f"taken back: {what}")
