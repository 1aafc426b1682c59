"""`planner open`: the whole job in a browser."""

from __future__ import annotations

import os
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from importlib import import_module
from importlib.util import find_spec
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Annotated

import typer

from planner.cli import edge
from planner.errors import BadInput, PlannerError

#: Seconds for which the plan of the invented season is searched.
DEMO_S = "4"
DEMO_NOTE = "An invented season: nothing in it is real. It goes when the office is closed."


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
        bool, typer.Option("--share", help="Also listen on the office network; needs the office's password.")
    ] = False,
    at: Annotated[
        str, typer.Option("--at", help="How others call it through a proxy, like https://office.example.")
    ] = "",
    demo: Annotated[
        bool, typer.Option("--demo", help="Look at an invented season; it goes when the office is closed.")
    ] = False,
) -> None:
    """Open the office in the browser: every page of the planner, on this computer only.

    Makes the database when there is none, and brings an older one up to date after a copy.

    The start link works once. Stop with Ctrl-C or from the page.

    Example: planner open
    """
    from contextlib import nullcontext

    from planner.cli.keeping.guide import terminal_tables
    from planner.flow.keeping.database import made_ready
    from planner.web.serve import serve

    with _invented_season() if demo else nullcontext():
        if done := made_ready(edge.location(), edge.who()):
            edge.say(done)
        if share or at:
            _with_password()
        if share and not at:
            edge.say("plain HTTP: share on a network of your own only (planner guide browser)")
        serve(
            edge.location(),
            edge.now,
            edge.who(),
            port=port,
            browser=not no_browser,
            share=share,
            at=at,
            note=DEMO_NOTE if demo else "",
            tables=terminal_tables(),
            tell=typer.echo,
        )


def _with_password() -> None:
    """Nothing is shared beyond this computer before the office has a password; asked for at a terminal."""
    from planner.flow.keeping.password import keep_digest, kept_digest
    from planner.web.keys import SHORTEST, digest_of

    if kept_digest(edge.location()):
        return
    if not sys.stdin.isatty():
        way = "set one first: planner open, then Firm, The office's password"
        raise BadInput("--share", "no password", way)
    typed = str(typer.prompt("A password for the office", hide_input=True, confirmation_prompt=True))
    if len(typed) < SHORTEST:
        raise BadInput("password", "(not shown)", f"choose one of at least {SHORTEST} characters")
    keep_digest(edge.location(), digest_of(typed))


@contextmanager
def _invented_season() -> Iterator[None]:
    """The demo's database in a folder that goes with it, on the demo's own morning."""
    if find_spec("seed_demo") is None:
        raise PlannerError("the invented season is not part of this installation: install the whole wheel")
    edge.say("making the invented season: some ten seconds ...")
    with TemporaryDirectory(prefix="planner-demo-") as folder:
        words = [sys.executable, "-m", "seed_demo", "--folder", folder, "--seconds", DEMO_S]
        done = subprocess.run(words, capture_output=True, text=True, check=False)
        if done.returncode:
            last = (done.stderr.strip() or "no reason was told").splitlines()[-1]
            raise PlannerError(f"the invented season was not made: {last}")
        morning = str(import_module("seed_demo").MORNING)
        os.environ.update(PLANNER_DB=str(Path(folder) / "season.sqlite3"), PLANNER_NOW=morning)
        yield
