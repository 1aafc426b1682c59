"""`planner return`: hours, ticks and measures come back from the phone."""

from __future__ import annotations

import sys
from typing import TYPE_CHECKING, Annotated

import typer

from planner.cli import edge
from planner.errors import PlannerError

if TYPE_CHECKING:
    from rich.console import Console


def register(app: typer.Typer) -> None:
    """Add the command."""
    app.command("return")(take_return)


def take_return(
    source: Annotated[str, typer.Argument(metavar="FILE", help="The saved file, or - to paste the text.")],
    crew: Annotated[str | None, typer.Option("--crew", help="The crew it should be from.")] = None,
    day: Annotated[str | None, typer.Option("--day", help="The day it should be of.")] = None,
    dry_run: Annotated[bool, typer.Option("--dry-run", help="Only show what would be logged.")] = False,
    yes: Annotated[
        bool, typer.Option("--yes", help="Log without asking, unless something looks wrong.")
    ] = False,
    accept: Annotated[
        bool, typer.Option("--accept", help="Log although something looks wrong (lines that begin with ?).")
    ] = False,
    as_json: edge.JsonFlag = False,
) -> None:
    """Hours back from the phone: read a returned sheet, log once.

    The same return twice is recognised. A later one of the same crew and day takes the place of the first. It
    is judged by the sheet that the crew saw. A text that was cut or changed is refused by its check sum.

    Example: planner return day-North-2027-04-06.txt
    """
    from planner.flow.hours.returns import log_returns, open_returns
    from planner.report.hours.returns import after_words, print_reading, reading_data

    expected = None if day is None else edge.day(day, "--day", back=True)
    arrivals = open_returns(edge.location(), _text(source), edge.today(), crew=crew, day=expected)
    fresh = [a for a in arrivals if not a.again]
    if not as_json:
        for arrival in arrivals:
            print_reading(arrival.reading, arrival.open_before, arrival.again, edge.console())
    logged = bool(fresh) and not dry_run
    if logged:
        asked = sorted({q for a in fresh for q in a.reading.questions})
        if asked and not accept:
            if yes or as_json or source == "-" or not sys.stdin.isatty():
                raise PlannerError(f"not logged ({'; '.join(asked)}): say --accept to log it all the same")
            edge.confirm("Something looks wrong (lines with ?). Log it all the same?", yes=False)
        elif source != "-" and not as_json:
            edge.confirm("Log these hours?", yes=yes or accept)
        written = log_returns(edge.location(), edge.who(), fresh)
        edge.say(f"logged {written} {'entry' if written == 1 else 'entries'}")
        for said in after_words(a.reading for a in fresh):
            edge.say(said)
    if as_json:
        data = [reading_data(a.reading, a.open_before, a.again, logged and not a.again) for a in arrivals]
        edge.show("return", data, _nothing, as_json=True)


def _nothing(_: Console) -> None:
    """Nothing more to draw."""


#: A returned text is at most this long [bytes]; a whole crew's week is a hundredth of it.
RETURN_BYTES = 1_000_000


def _text(source: str) -> str:
    from planner.flow.keeping.paths import read_bytes

    if source == "-":
        return sys.stdin.read(RETURN_BYTES)
    return read_bytes(source, RETURN_BYTES, "FILE").decode("utf-8", errors="replace")
