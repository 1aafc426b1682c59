"""`planner lost ...`: rain, sick hands, broken machines, late deliveries, inspections, one line each."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

import typer

from planner.cli import complete, edge, options
from planner.errors import BadInput

if TYPE_CHECKING:
    from planner.domain.firm.jobs import DayRange
    from planner.domain.firm.lost import LostKind, LostTime

group = typer.Typer(
    help="Lost time: rain, sick hands, broken machines, late stone.",
    no_args_is_help=True,
)

Day = Annotated[
    str | None, typer.Argument(help="First day, today when left out.", autocompletion=complete.dates)
]
Until = Annotated[
    str | None, typer.Option(help="Last day, when it is more than one.", autocompletion=complete.dates)
]
CrewName = Annotated[str, typer.Argument(help="The crew.", autocompletion=complete.crew_names)]
PhaseText = Annotated[str | None, typer.Option(help="The phase that waits; all of the job when left out.")]
Note = Annotated[str, typer.Option(help="For the office.")]


def register(app: typer.Typer) -> None:
    """Add the group `lost`."""
    app.add_typer(group, name="lost")


@group.command()
def rain(
    day: Day = None,
    until: Until = None,
    region: Annotated[str, typer.Option(help="Only the jobs of this region; all when left out.")] = "",
    note: Note = "",
) -> None:
    """A day lost to rain.

    Example: planner lost rain 2027-05-06 --region north
    """
    from planner.domain.firm.lost import LostKind

    _enter(LostKind.RAIN, _days(day, until), region, note=note)


@group.command()
def sick(crew: CrewName, day: Day = None, until: Until = None, note: Note = "") -> None:
    """A whole crew that does not come.

    Example: planner lost sick Heron 2027-05-06 --until 2027-05-07
    """
    from planner.domain.firm.lost import LostKind

    _enter(LostKind.CREW_OFF, _days(day, until), crew, note=note)


@group.command()
def short(
    crew: CrewName,
    day: Day = None,
    until: Until = None,
    people: Annotated[int, typer.Option(help="Hands missing.")] = 1,
    note: Note = "",
) -> None:
    """A crew that comes with fewer hands: its day counts in proportion.

    Example: planner lost short Heron 2027-05-06 --people 1
    """
    from planner.domain.firm.lost import LostKind

    _enter(LostKind.CREW_SHORT, _days(day, until), crew, people=people, note=note)


@group.command()
def machine(
    kind: Annotated[str, typer.Argument(help="The machine's key.", autocompletion=complete.machine_keys)],
    day: Day = None,
    until: Until = None,
    units: Annotated[int, typer.Option(help="How many are out of order.")] = 1,
    note: Note = "",
) -> None:
    """A machine out of order.

    Example: planner lost machine excavator 2027-05-06 --until 2027-05-12
    """
    from planner.domain.firm.lost import LostKind

    _enter(LostKind.MACHINE_DOWN, _days(day, until), kind, people=units, note=note)


@group.command()
def delivery(
    job: options.JobCode,
    arrives: Annotated[str, typer.Option(help="The day it comes: work may start on it.")],
    phase: PhaseText = None,
    note: Note = "",
) -> None:
    """A late delivery: the phase waits until it arrives.

    Example: planner lost delivery P-014 --phase rock --arrives 2027-05-12
    """
    from planner.domain.firm.lost import LostKind

    _enter(LostKind.DELIVERY, _wait("--arrives", arrives), job, phase=phase, note=note)


@group.command()
def inspection(
    job: options.JobCode,
    again: Annotated[str, typer.Option(help="The day of the next inspection: work may start on it.")],
    phase: PhaseText = None,
    note: Note = "",
) -> None:
    """A failed inspection: the phase waits until the next one.

    Example: planner lost inspection P-014 --phase fill --again 2027-05-12
    """
    from planner.domain.firm.lost import LostKind

    _enter(LostKind.INSPECTION, _wait("--again", again), job, phase=phase, note=note)


@group.command("list")
def list_(as_json: edge.JsonFlag = False) -> None:
    """List the lost time that is entered.

    Example: planner lost list
    """
    from planner.flow.hours.lost import list_lost
    from planner.report.hours.logs import lost_page

    entries = list_lost(edge.location())
    edge.show("lost list", entries, lambda c: lost_page(c, entries), as_json=as_json)


@group.command()
def undo(number: options.EntryNumber = None) -> None:
    """Take an entry back.

    Example: planner lost undo 3
    """
    from planner.flow.hours.lost import undo_lost

    _say("taken back", undo_lost(edge.location(), number, who=edge.who()))


def _days(day: str | None, until: str | None) -> DayRange:
    from planner.domain.dates import day_words
    from planner.domain.firm.jobs import DayRange

    first = edge.day(day, "day", edge.today())
    last = edge.day(until, "--until") if until else first
    if last < first:
        raise BadInput("--until", last, f"end on or after {day_words(first)}")
    return DayRange(first, last)


def _wait(field: str, typed: str) -> DayRange:
    """The days from today to the day before work may start."""
    from datetime import timedelta

    from planner.domain.firm.jobs import DayRange

    on = edge.day(typed, field)
    if on <= edge.today():
        raise BadInput(field, on, "choose a day after today")
    return DayRange(edge.today(), on - timedelta(days=1))


def _enter(
    kind: LostKind, days: DayRange, target: str, *, people: int = 0, phase: str | None = None, note: str = ""
) -> None:
    from planner.domain.firm import entry
    from planner.domain.firm.lost import LostTime
    from planner.domain.firm.phases import Phase
    from planner.flow.hours.lost import add_lost

    what = entry.choice("--phase", phase, Phase).value if phase else ""
    _say(
        "entered", add_lost(edge.location(), LostTime(kind, days, target, people, what, note), who=edge.who())
    )


def _say(verb: str, lost: LostTime) -> None:
    from planner.report.hours.logs import lost_words

    edge.say(f"{verb} {lost.id}: {lost_words(lost)}. Next: planner replan.")
