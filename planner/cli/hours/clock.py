"""`planner log clock`: hours from a time clock's CSV file."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from planner.cli import edge
from planner.cli.hours.logs import group


def register(_: typer.Typer) -> None:
    """The command stands in the group `log`, which is added already."""


@group.command()
def clock(
    file: Annotated[str, typer.Argument(metavar="FILE", help="The CSV file of the time clock.")],
    column: Annotated[
        list[str] | None,
        typer.Option(help='What the file calls person, crew, day, in, out, job or phase: "in=Clock In".'),
    ] = None,
    person: Annotated[list[str] | None, typer.Option(help='Whose crew: "Ann Lee=North".')] = None,
    site: Annotated[list[str] | None, typer.Option(help='Which job: "Okoro pond=P-014".')] = None,
    work: Annotated[
        list[str] | None, typer.Option(help='Which phase: "Excavation=dig"; "Yard=none" is not logged.')
    ] = None,
    less_meal: Annotated[
        bool | None,
        typer.Option(
            "--less-meal/--whole", help="Take the firm's meal break off stretches of 6 h and more, or not."
        ),
    ] = None,
    dry_run: Annotated[bool, typer.Option("--dry-run", help="Only show what would be logged.")] = False,
    yes: Annotated[bool, typer.Option("--yes", help="Log without asking.")] = False,
    accept: Annotated[
        bool, typer.Option("--accept", help="Log although something looks odd (lines that begin with ?).")
    ] = False,
    as_json: edge.JsonFlag = False,
) -> None:
    """Hours from a time clock: a CSV file of people, in and out, job and phase becomes logged hours.

    What its columns, people, jobs and phases are called is said once and kept in clock.toml beside the
    database. An overlap, a missing end or a slip of 12 hours refuses the whole file, each at its line. The
    same file twice counts once; hours that came by hand or with a day sheet stay as they are.

    Example: planner log clock week.csv --column "in=Clock In" --person "Ann Lee=North"
    """
    from planner.domain.hours.clock_words import with_told
    from planner.domain.wording import counted
    from planner.flow.hours.clock import log_clock, read_clock, remember
    from planner.flow.keeping.cells import FILE_BYTES
    from planner.flow.keeping.paths import read_bytes
    from planner.report.hours.clock import clock_data, clock_page

    told = {"columns": column or (), "people": person or (), "jobs": site or (), "phases": work or ()}
    words = remember(edge.location(), lambda known: with_told(known, **told, less_meal=less_meal))
    name, raw = Path(file).name, read_bytes(file, FILE_BYTES)
    reading = read_clock(edge.location(), name, raw, words, edge.today())
    logged = 0
    if not as_json:
        clock_page(edge.console(), reading)
    if reading.to_log and not dry_run:
        edge.confirm("Log these hours?", yes=yes or accept or as_json)
        logged = len(log_clock(edge.location(), edge.who(), name, raw, words, edge.today(), accept=accept))
        edge.say(f"logged {counted(logged, 'entry', 'entries')}; next: planner replan")
    elif not reading.to_log:
        edge.say("nothing to log: the log has these hours already")
    if as_json:
        edge.show("log clock", clock_data(reading, logged), lambda _: None, as_json=True)
