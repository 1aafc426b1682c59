"""`planner hours`: labour as an owner looks at it."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from planner.cli import complete, edge
from planner.cli.pages import write_page

if TYPE_CHECKING:
    from planner.domain.hours.budget import Budget


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
    dollars: Annotated[
        bool,
        typer.Option("--dollars", help="The same in dollars: labor with its range, all else as planned."),
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
    from planner.flow.hours.ledger import read_budget, read_ledger, read_pictures
    from planner.report.hours import ledger as pages

    location, asked = edge.location(), jobs or ()
    if week:
        _week(as_json=as_json)
        return
    found = read_ledger(location, edge.today(), asked, done=done)
    if page is not None:
        from planner.report.hours.ledger_page import ledger_html

        owed = read_budget(location, found, edge.today())
        html = ledger_html(found, read_pictures(location), edge.today(), owed)
        write_page(page, html, "--html", readable=readable)
        if not as_json:
            return
    if pictures:
        _pictures(as_json=as_json)
    elif dollars:
        _dollars(read_budget(location, found, edge.today()), as_json=as_json)
    else:
        edge.show("hours", pages.ledger_data(found), lambda c: pages.ledger_page(c, found), as_json=as_json)


def _week(*, as_json: bool) -> None:
    from planner.flow.hours.ledger import read_week
    from planner.report.hours.week import week_data, week_page

    seen = read_week(edge.location(), edge.today())
    edge.show("hours week", week_data(seen), lambda c: week_page(c, seen), as_json=as_json)


def _pictures(*, as_json: bool) -> None:
    from planner.flow.hours.ledger import read_pictures
    from planner.report.hours.ledger import pictures_data, pictures_page

    seen = read_pictures(edge.location())
    edge.show("hours pictures", pictures_data(seen), lambda c: pictures_page(c, seen), as_json=as_json)


def _dollars(owed: Budget, *, as_json: bool) -> None:
    from planner.report.hours.budget import budget_data, budget_page

    edge.show("hours dollars", budget_data(owed), lambda c: budget_page(c, owed), as_json=as_json)
