"""The command `planner`: joins the command groups and is the one place where errors become exit codes."""

from __future__ import annotations

import os
import sys
from importlib import import_module
from typing import Annotated, Any

import typer
from typer.core import TyperGroup

from planner import __version__
from planner.cli.edge import location, plain, tolerate_odd_terminals
from planner.cli.streams import guarded
from planner.errors import BadInput, BadInputs, PlannerError, Unreadable

#: Section of the help -> modules of `planner.cli` in the order of use. Each has `register(app)`.
SECTIONS: dict[str, tuple[str, ...]] = {
    "Every morning": (
        "office.today",
        "crew_day.board",
        "crew_day.sheet",
        "hours.returns",
        "hours.logs",
        "office.office",
    ),
    "When something changes": (
        "hours.lost",
        "season.replan",
        "season.plans",
        "season.promise",
        "season.whatif",
    ),
    "Looking ahead": ("season.season", "forecast.chance", "crew_day.calendars"),
    "From the site to the price": ("design.design", "estimate.estimates", "estimate.rates"),
    "Records": (
        "keeping.open",
        "keeping.jobs",
        "keeping.crews",
        "keeping.machines",
        "keeping.firm",
        "keeping.files",
        "keeping.history",
        "keeping.database",
    ),
}


class SectionedHelp(TyperGroup):
    """Help with the commands under the headings of `SECTIONS`."""

    def format_commands(self, ctx: Any, formatter: Any) -> None:  # noqa: ARG002  (Typer calls it so)
        """One list per section, in the order in which a day uses them."""
        limit = formatter.width - 6 - max(map(len, self.commands))
        for section, names in COMMANDS.items():
            rows = [(name, self.commands[name].get_short_help_str(limit)) for name in names]
            with formatter.section(section):
                formatter.write_dl(rows)


app = typer.Typer(
    name="planner",
    cls=SectionedHelp,
    help="Plan the season, print the week's board, hand out the day sheets.",
    no_args_is_help=False,
    pretty_exceptions_enable=False,
    context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 100},
    rich_markup_mode=None,
    epilog="Without a command: what is on today.  One command's help: planner COMMAND -h",
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
    version: Annotated[  # noqa: ARG001  (its callback answers)
        bool, typer.Option("--version", callback=_version, is_eager=True, help="Print the version.")
    ] = False,
) -> None:
    """Plan the season, print the week's board, hand out the day sheets."""
    if db is not None and not db.strip():
        raise BadInput("--db", db, "name the database file, or leave --db out")
    if db:
        os.environ["PLANNER_DB"] = db
    if ctx.invoked_subcommand is None:
        from planner.cli.office import today

        today.show_today(as_json=False)


def _names() -> list[str]:
    """Names of all commands and groups registered so far."""
    alone = [info.name or str(getattr(info.callback, "__name__", "")) for info in app.registered_commands]
    return [*alone, *(str(info.name) for info in app.registered_groups)]


def _register(module: str) -> list[str]:
    """Let one module add its commands; their names."""
    before = _names()
    import_module(f"planner.cli.{module}").register(app)
    return [name for name in _names() if name not in before]


#: Section of the help -> names of its commands and groups.
COMMANDS: dict[str, list[str]] = {
    section: [name for module in modules for name in _register(module)]
    for section, modules in SECTIONS.items()
}


#: The exit code after Ctrl-C, as shells count it (128 + SIGINT).
STOPPED = 130


#: The exit code when the change is kept and its answer was lost.
UNHEARD = 5


def main(argv: list[str] | None = None) -> int:
    """Run one command line; returns the exit code. A refusal is one line on stderr, never a traceback."""
    with guarded() as streams:
        tolerate_odd_terminals()
        code = _run(argv)
        lost = streams.fault("stdout")
        if code == 0 and (fault := lost or streams.fault("stderr")):
            return _unheard(fault, is_answer=fault is lost)
        return code


def _run(argv: list[str] | None) -> int:
    try:
        app(args=argv, prog_name="planner")
    except SystemExit as stop:
        if stop.code == STOPPED:
            sys.stderr.write("planner: stopped\n")
        return stop.code if isinstance(stop.code, int) else 0 if stop.code is None else 1
    except Unreadable as fault:
        sys.stderr.write(f"planner: {plain(_spoilt() or str(fault))}\n")
        return fault.exit_code
    except PlannerError as refusal:
        for line in refusal.faults if isinstance(refusal, BadInputs) else (refusal,):
            sys.stderr.write(f"planner: {plain(str(line))}\n")
        return refusal.exit_code
    except OSError as fault:
        return _unheard(fault, is_answer=True)
    except KeyboardInterrupt:
        sys.stderr.write("planner: stopped\n")
        return STOPPED
    except Exception:
        if not (spoilt := _spoilt()):
            raise
        sys.stderr.write(f"planner: {plain(spoilt)}\n")
        return 1
    return 0


def _spoilt() -> str | None:
    """What stored data may have stopped the command; None when all of them read (then it is a bug)."""
    from planner.flow.keeping.database import spoilt

    return spoilt(location())


def _unheard(fault: OSError, *, is_answer: bool) -> int:
    """Tell what was lost; talk alone matters only when it told of a change."""
    from planner.flow.keeping.database import something_kept

    reason = (fault.strerror or str(fault)).lower()
    place = plain(f"{fault.filename}: {reason}" if fault.filename else reason)
    if something_kept():
        sys.stderr.write(
            f"planner: kept, but the answer could not be written ({place}): do not repeat it; "
            "`planner history list` shows it\n"
        )
        return UNHEARD
    if is_answer:
        sys.stderr.write(f"planner: the answer cannot be written: {place}\n")
    return int(is_answer)


if __name__ == "__main__":
    sys.exit(main())
