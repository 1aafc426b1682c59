"""The command `planner`: joins the command groups and is the one place where errors become exit codes."""

from __future__ import annotations

import os
import sys
from importlib import import_module
from typing import Annotated

import typer

from planner import __version__
from planner.errors import PlannerError

app = typer.Typer(
    name="planner",
    help="Plan the season, print the week's board, hand out the day sheets.",
    no_args_is_help=False,
    pretty_exceptions_enable=False,
    context_settings={"help_option_names": ["-h", "--help"]},
    rich_markup_mode=None,
)

#: Modules of `planner.cli`, in the order of help. Each has `register(app)`, which adds its commands or group.
ROOMS: tuple[str, ...] = (
    "today",
    "board",
    "sheet",
    "returns",
    "logs",
    "lost",
    "replan",
    "plans",
    "promise",
    "whatif",
    "chance",
    "office",
    "season",
    "calendars",
    "jobs",
    "design",
    "estimates",
    "rates",
    "crews",
    "machines",
    "firm",
    "files",
    "db",
    "history",
)


def _version(wanted: bool) -> None:
    if wanted:
        typer.echo(f"planner {__version__}")
        raise typer.Exit


@app.callback(invoke_without_command=True)
def root(
    ctx: typer.Context,
    db: Annotated[
        str | None,
        typer.Option("--db", envvar="PLANNER_DB", help="Database file (or a PostgreSQL URL)."),
    ] = None,
    version: Annotated[
        bool, typer.Option("--version", callback=_version, is_eager=True, help="Print the version.")
    ] = False,
) -> None:
    """Plan the season, print the week's board, hand out the day sheets."""
    if db:
        os.environ["PLANNER_DB"] = db
    if ctx.invoked_subcommand is None:
        from planner.cli import today

        today.show_today(as_json=False)


for _room in ROOMS:
    import_module(f"planner.cli.{_room}").register(app)


def main(argv: list[str] | None = None) -> int:
    """Run one command line; returns the exit code. A refusal is one line on stderr, never a traceback."""
    try:
        app(args=argv, prog_name="planner")
    except SystemExit as stop:
        return stop.code if isinstance(stop.code, int) else 0 if stop.code is None else 1
    except PlannerError as refusal:
        for line in str(refusal).splitlines():
            sys.stderr.write(f"planner: {line}\n")
        return refusal.exit_code
    except BrokenPipeError:
        os.dup2(os.open(os.devnull, os.O_WRONLY), 1)
        return 0
    except KeyboardInterrupt:
        sys.stderr.write("planner: stopped\n")
        return 130
    return 0


def run() -> None:
    """Entry point of the console script."""
    sys.exit(main())


if __name__ == "__main__":
    run()
