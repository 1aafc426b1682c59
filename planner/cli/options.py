"""Arguments and options that several commands share, each with its one help text."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

import typer

from planner.cli import complete, edge

if TYPE_CHECKING:
    from planner.domain.firm.jobs import DayRange

JobCode = Annotated[str, typer.Argument(help="The job's code.", autocompletion=complete.job_codes)]
PhaseText = Annotated[str, typer.Argument(help="dig, set filters, liner, rock, plumbing or fill.")]
FirstDay = Annotated[str, typer.Argument(help="First day.", autocompletion=complete.dates)]
LastDay = Annotated[str | None, typer.Argument(help="Last day; the first when left out.")]
Why = Annotated[str, typer.Option(help="The reason.")]
DropDays = Annotated[bool, typer.Option("--drop", help="Take the days that begin then away.")]
Yes = Annotated[bool, typer.Option("--yes", help="Do it without asking.")]
BookedEvenSo = Annotated[bool, typer.Option("--even-so", help="Also when the published plan books it.")]
EntryNumber = Annotated[
    int | None, typer.Argument(help="The entry's number; the newest when left out.", show_default=False)
]


def days(what: str, first: str, last: str | None, why: str) -> DayRange:
    """The days that a person typed as first, last and reason; BadInput names `what`."""
    from planner.domain.firm import entry

    begins = edge.day(first, "first").isoformat()
    return entry.days(what, begins, edge.day(last, "last").isoformat() if last else "", why)
