"""`planner hours`: labour as an owner looks at it."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from planner.cli import complete, edge
from planner.cli.pages import write_page


def register(app: typer.Typer) -> None:
    """Add the command."""
    app.command("hours")(hours)


def hours(
    jobs: Annotated[
        list[str] | None,
        typer.Argument(
            help="Codes of jobs; all that are sold or under way when left out.",
            autocompletion=complete.job_codes,
        ),
    ] = None,
    done: Annotated[bool, typer.Option("--done", help="Finished jobs too.")] = False,
    pictures: Annotated[
        bool, typer.Option("--pictures", help="Told against worked, drift over time, coverage.")
    ] = False,
    week: Annotated[
        bool,
        typer.Option(
            "--week", help="This week planned against worked, who is silent, idle hours in dollars."
        ),
    ] = False,
    page: Annotated[
        Path | None,
        typer.Option("--html", help="Write tables and pictures as one HTML file that needs no network."),
    ] = None,
    readable: edge.ReadableFlag = False,
    as_json: edge.JsonFlag = False,
) -> None:
    """Hours sold, told now, worked, left and at the end, by job, phase and crew; what goes wrong comes first.

    Example: planner hours --html hours.html
    """
    from planner.flow.hours.ledger import read_ledger, read_pictures
    from planner.report.hours import ledger as pages

    location, asked = edge.location(), jobs or ()
    if week:
        from planner.flow.hours.ledger import read_week
        from planner.report.hours.week import week_data, week_page

        seen_week = read_week(location, edge.today())
        edge.show("hours week", week_data(seen_week), lambda c: week_page(c, seen_week), as_json=as_json)
        return
    found = read_ledger(location, edge.today(), asked, done=done)
    if page is not None:
        from planner.report.hours.ledger_page import ledger_html

        write_page(
            page, ledger_html(found, read_pictures(location), edge.today()), "--html", readable=readable
        )
        if not as_json:
            return
    if pictures:
        seen = read_pictures(location)
        edge.show(
            "hours pictures",
            pages.pictures_data(seen),
            lambda c: pages.pictures_page(c, seen),
            as_json=as_json,
        )
        return
    edge.show("hours", pages.ledger_data(found), lambda c: pages.ledger_page(c, found), as_json=as_json)
