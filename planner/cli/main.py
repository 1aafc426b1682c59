"""The command `planner`: joins the command groups and is the one place where errors become exit codes."""

from __future__ import annotations

import os
import sys
from contextvars import copy_context
from importlib import import_module
from typing import Annotated, Any

import typer
from typer.core import TyperGroup

from planner import __version__
from planner.cli import refusals
from planner.cli.edge import location, tolerate_odd_terminals
from planner.cli.streams import guarded
from planner.errors import BadInput, PlannerError, Unreadable

#: Section of the help -> modules of `planner.cli` in the order of use. Each has `register(app)`.
SECTIONS: dict[str, tuple[str, ...]] = {
    "Every morning": (
        "office.today",
        "crew_day.board",
        "crew_day.sheet",
        "crew_day.deliveries",
        "hours.returns",
        "hours.logs",
        "hours.clock",
        "office.office",
    ),
    "When something changes": (
        "hours.lost",
        "season.replan",
        "season.plans",
        "season.promise",
        "season.whatif",
        "season.visits",
    ),
    "Looking ahead": (
        "season.season",
        "forecast.chance",
        "forecast.weather",
        "hours.ledger",
        "crew_day.calendars",
    ),
    "From the site to the price": (
        "design.design",
        "estimate.estimates",
        "estimate.prices",
        "estimate.rates",
    ),
    "Records": (
        "keeping.open",
        "keeping.jobs",
        "keeping.crews",
        "keeping.people",
        "keeping.machines",
        "keeping.trucks",
        "keeping.firm",
        "keeping.files",
        "keeping.history",
        "keeping.database",
        "keeping.guide",
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
        if "://" in db and getattr(ctx.get_parameter_source("db"), "name", "") == "COMMANDLINE":
            _must_hold_no_secret(db)
        os.environ["PLANNER_DB"] = db
    if ctx.invoked_subcommand is None:
        from planner.cli.office import today

        today.show_today(as_json=False)


def _must_hold_no_secret(address: str) -> None:
    """BadInput when an argument holds a password: every user of the computer can list arguments."""
    from planner.flow.keeping.database import holds_secret, name_of

    if holds_secret(address):
        fix = "others can read a password there: put it into a password file, see `planner guide database`"
        raise BadInput("--db", name_of(address), fix)


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
    """Run one command line; returns the exit code. A refusal is told on stderr, never as a traceback."""
    words = sys.argv[1:] if argv is None else argv
    as_json = refusals.asks_for_json(words)
    with guarded() as streams:
        tolerate_odd_terminals()
        code = copy_context().run(_run, words, as_json=as_json)
        lost = streams.fault("stdout")
        if code == 0 and (fault := lost or streams.fault("stderr")):
            return _unheard(fault, is_answer=fault is lost, as_json=as_json)
        return code


def _run(words: list[str], *, as_json: bool) -> int:
    try:
        code = app(args=words, prog_name="planner", standalone_mode=False)
    except Unreadable as fault:
        if spoilt := _spoilt():
            return refusals.tell_words(fault.exit_code, fault.code, spoilt, as_json=as_json)
        return refusals.tell(fault, as_json=as_json)
    except PlannerError as refusal:
        return refusals.tell(refusal, as_json=as_json)
    except typer.Abort:
        return refusals.tell_words(1, "refused", "nothing was done: say --yes to go ahead", as_json=as_json)
    except OSError as fault:
        return _unheard(fault, is_answer=True, as_json=as_json)
    except KeyboardInterrupt:
        code = STOPPED
    except Exception as fault:
        if type(fault).__name__ == "NoArgsIsHelpError" and not as_json:
            sys.stderr.write(f"{fault}\n")
            return 2
        if misuse := refusals.misuse(fault):
            return refusals.tell(misuse, as_json=as_json)
        if not (spoilt := _spoilt()):
            raise
        return refusals.tell_words(1, Unreadable.code, spoilt, as_json=as_json)
    if code == STOPPED:
        return refusals.tell_words(STOPPED, "stopped", "stopped", as_json=as_json)
    return code if isinstance(code, int) else 0


def _spoilt() -> str | None:
    """What stored data may have stopped the command; None when all of them read (then it is a bug)."""
    from planner.flow.keeping.database import spoilt

    return spoilt(location())


def _unheard(fault: OSError, *, is_answer: bool, as_json: bool) -> int:
    """Tell what was lost; talk alone matters only when it told of a change."""
    from planner.flow.keeping.database import something_kept

    reason = (fault.strerror or str(fault)).lower()
    place = f"{fault.filename}: {reason}" if fault.filename else reason
    if something_kept():
        words = (
            f"kept, but the answer could not be written ({place}): do not repeat it; "
            "`planner history list` shows it"
        )
        return refusals.tell_words(UNHEARD, "kept_unheard", words, as_json=as_json)
    if is_answer:
        words = f"the answer cannot be written: {place}"
        return refusals.tell_words(1, "unwritten", words, as_json=as_json)
    return 0


if __name__ == "__main__":
    sys.exit(main())
