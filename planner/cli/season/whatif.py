"""`planner what-if`: one thing different, side by side with the season as it is."""

from __future__ import annotations

from datetime import date, timedelta
from functools import partial
from typing import TYPE_CHECKING, Annotated

import typer

from planner.cli import edge
from planner.errors import BadInput

if TYPE_CHECKING:
    from collections.abc import Callable

    from planner.domain.firm.jobs import DayRange
    from planner.domain.season.facts import Facts
    from planner.domain.standing.whatif import Variant


def register(app: typer.Typer) -> None:
    """Add the command."""
    app.command("what-if")(what_if)


def what_if(
    crew: Annotated[
        list[int] | None, typer.Option(help="One more crew of so many people.", show_default=False)
    ] = None,
    rent: Annotated[
        list[str] | None,
        typer.Option(help="One more machine for ISO weeks, like excavator=2027-W20..2027-W24."),
    ] = None,
    rent_usd: Annotated[float, typer.Option(help="Price of the rented machine a week.")] = 0.0,
    saturdays: Annotated[bool, typer.Option("--saturdays", help="Work on Saturdays.")] = False,
    size: Annotated[list[str] | None, typer.Option(help="A crew with other numbers, like Heron=2.")] = None,
    seconds: Annotated[float, typer.Option(help="Search time for each.")] = 4.0,
    seed: Annotated[int, typer.Option(help="Same facts, same seed, same figures.")] = 1,
    as_json: edge.JsonFlag = False,
) -> None:
    """Compare: promises kept, finish, cost, overtime and idle days. The real season is not touched.

    Example: planner what-if --crew 3 --saturdays --rent excavator=2027-W20..2027-W24 --size Heron=2
    """
    from planner.domain.standing import whatif
    from planner.flow.season.whatif import what_if as compare
    from planner.report.season.whatif import whatif_page

    if not 0 < seconds <= 600:
        raise BadInput("--seconds", seconds, "choose more than 0 and at most 600")
    make: list[Callable[[Facts], Variant]] = []
    for people in crew or []:
        make.append(partial(whatif.one_more_crew, size=people))
    for text in rent or []:
        kind, days = _machine_weeks(text)
        make.append(partial(whatif.rented, kind=kind, days=days, usd_week=rent_usd))
    if saturdays:
        make.append(partial(whatif.saturdays_on, today=edge.today()))
    for text in size or []:
        name, _, people_text = text.rpartition("=")
        if not name or not people_text.isdecimal():
            raise BadInput("--size", text, "write a crew and its people, like Heron=2")
        make.append(partial(whatif.crew_of, name=name, size=int(people_text[:6])))
    if not make:
        raise BadInput(
            "what-if", "nothing", "say what: --crew 3, --rent KIND=WEEKS, --saturdays, --size CREW=2"
        )
    found = compare(edge.location(), edge.now(), make, seconds=seconds, seed=seed, say=edge.say)
    edge.show("what-if", found, lambda c: whatif_page(c, found), as_json=as_json)


def _machine_weeks(text: str) -> tuple[str, DayRange]:
    from planner.domain.firm.jobs import DayRange

    kind, _, weeks = text.partition("=")
    first, _, last = weeks.partition("..")
    fix = "write a machine and ISO weeks, like excavator=2027-W20..2027-W24"
    begin, end = _monday(first, text, fix), _monday(last or first, text, fix)
    if not kind or end < begin:
        raise BadInput("--rent", text, fix)
    return kind, DayRange(begin, end + timedelta(days=6))


def _monday(week: str, text: str, fix: str) -> date:
    try:
        year, number = week.upper().split("-W")
        return date.fromisocalendar(int(year), int(number), 1)
    except ValueError:
        raise BadInput("--rent", text, fix) from None
