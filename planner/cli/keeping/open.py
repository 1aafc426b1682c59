"""`planner open`: the whole job in a browser."""

from __future__ import annotations

from typing import Annotated

import typer

from planner.cli import edge


def register(app: typer.Typer) -> None:
    """Add the command."""
    app.command("open")(open_office)


def open_office(
    no_browser: Annotated[
        bool, typer.Option("--no-browser", help="Only print the start link, and serve until stopped.")
    ] = False,
    port: Annotated[
        int, typer.Option(min=0, max=65535, help="Port on this computer; 0 takes any free one.")
    ] = 0,
    share: Annotated[
        bool, typer.Option("--share", help="Let phones on the office network open their crew's link.")
    ] = False,
) -> None:
    """Open the office in the browser: every page of the planner, on this computer only.

    Makes the database when there is none. The start link works once. Stop with Ctrl-C or from the page.

    Example: planner open
    """
    from planner.flow.keeping.database import create_store
    from planner.web.serve import serve

    name, made = create_store(edge.location(), edge.who())
    if made:
        edge.say(f"made {name}")
    if share:
        edge.say("the crews' links go over plain HTTP: share them on a network of your own only")
    serve(
        edge.location(),
        edge.now,
        edge.who(),
        port=port,
        browser=not no_browser,
        share=share,
        tell=typer.echo,
    )
