"""`planner price` and `planner proposal`: what a job costs and asks, for the owner and for the client."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from planner.cli import complete, edge
from planner.cli.pages import write_page

Code = Annotated[str, typer.Argument(help="The job's code.", autocompletion=complete.job_codes)]


def register(app: typer.Typer) -> None:
    """Add the commands."""
    app.command("price")(price)
    app.command("proposal")(proposal)


def price(job: Code, as_json: edge.JsonFlag = False) -> None:
    """A job's price: labor at the burdened rate, materials, machines, others, overhead, margin.

    The firm's own figures stand in money.toml beside the database.

    Example: planner price P-014
    """
    from planner.flow.estimate.prices import price_job
    from planner.report.estimate.prices import price_data, price_page

    found = price_job(edge.location(), job, edge.today())
    edge.show("price", price_data(found), lambda c: price_page(c, found), as_json=as_json)


def proposal(
    job: Code,
    page: Annotated[
        Path | None, typer.Option("--page", help="Write it as an .html file, or print it to a .pdf.")
    ] = None,
    even_so: Annotated[
        bool, typer.Option("--even-so", help="What has no price is told as not in it.")
    ] = False,
    readable: edge.ReadableFlag = False,
) -> None:
    """The client's page: scope, days, price, allowance, payment steps, what is not in it.

    Example: planner proposal P-014 --page marsh.html
    """
    from planner.flow.estimate.prices import proposal as make
    from planner.report.estimate.prices import proposal_html, proposal_page

    today = edge.today()
    found = make(edge.location(), job, today, even_so=even_so)
    if page is not None:
        write_page(page, proposal_html(found, today), readable=readable)
        return
    proposal_page(edge.console(), found, today)
