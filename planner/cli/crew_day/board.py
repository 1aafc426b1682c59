"""`planner board`: the week, crew by crew and day by day."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from planner.cli import edge
from planner.cli.pages import write_page
from planner.errors import BadInput


def register(app: typer.Typer) -> None:
    """Add the command."""
    app.command("board")(show_board)


def show_board(
    week: Annotated[
        str | None,
        typer.Option("--week", help="ISO week like 2027-W15, or a date in it. Default: this week."),
    ] = None,
    plan: Annotated[int | None, typer.Option("--plan", help="Show the plan of this number instead.")] = None,
    draft: Annotated[bool, typer.Option("--draft", help="Show the newest plan, published or not.")] = False,
    page: Annotated[
        Path | None, typer.Option("--page", help="Write the board as one HTML file that needs no network.")
    ] = None,
    wall: Annotated[
        bool, typer.Option("--wall", help="Print the page for the wall, on 17 by 11 in paper (A3).")
    ] = False,
    as_csv: Annotated[bool, typer.Option("--csv", help="Print the board as CSV.")] = False,
    readable: edge.ReadableFlag = False,
    as_json: edge.JsonFlag = False,
) -> None:
    """The week's board: crews as rows, days as columns.

    Shows the published plan; the newest draft when none is published. A sign before the job code marks a
    promised date at risk.

    Example: planner board --week 2027-W15
    """
    from planner.domain.crew_day.board import week_day
    from planner.flow.crew_day.board import week_board
    from planner.report.crew_day.board import board_csv, board_data, print_board

    if as_csv and as_json:
        raise BadInput("--csv", "with --json", "choose one of them")
    day = week_day(week) if week and "-w" in week.lower() else edge.day(week, "--week")
    board = week_board(edge.location(), day, edge.today(), number=plan, draft=draft)
    if wall and page is None:
        raise BadInput("--wall", "without --page", "say where: --wall --page wall.html")
    if page is not None:
        from planner.report.pages import board_page

        write_page(page, board_page(board, wall=wall), readable=readable)
    if as_csv:
        typer.echo(board_csv(board), nl=False)
    elif page is None or as_json:
        edge.show("board", board_data(board), lambda console: print_board(board, console), as_json=as_json)
