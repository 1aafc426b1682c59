"""`planner season`: the whole season on a line, in the terminal or as a picture."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from planner.cli import edge
from planner.cli.pages import write_page
from planner.errors import BadInput


def register(app: typer.Typer) -> None:
    """Add the command."""
    app.command("season")(season)


def season(
    number: Annotated[
        int | None,
        typer.Argument(help="Plan number; the published one when left out.", show_default=False),
    ] = None,
    draft: Annotated[bool, typer.Option("--draft", help="Show the newest plan, published or not.")] = False,
    page: Annotated[
        Path | None,
        typer.Option("--page", help="Write a picture of the season as one HTML file that needs no network."),
    ] = None,
    as_csv: Annotated[bool, typer.Option("--csv", help="Print one row a job as CSV.")] = False,
    readable: edge.ReadableFlag = False,
    as_json: edge.JsonFlag = False,
) -> None:
    """The season: every job on its crew's line, load by week.

    Promised stands against planned.

    Example: planner season --page season.html
    """
    from planner.flow.season.season import season_line
    from planner.report.season.season import season_csv, season_data, season_terminal

    if as_csv and as_json:
        raise BadInput("--csv", "with --json", "choose one of them")
    view = season_line(edge.location(), edge.now(), number=number, draft=draft)
    if page is not None:
        from planner.report.season.season_page import season_page

        write_page(page, season_page(view), readable=readable)
    if as_csv:
        typer.echo(season_csv(view), nl=False)
    elif page is None or as_json:
        edge.show("season", season_data(view), lambda c: season_terminal(c, view), as_json=as_json)
