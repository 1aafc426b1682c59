"""Crews: who works together, what they can do, when they are away."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

import typer

from planner.cli import complete, edge, options

if TYPE_CHECKING:
    from planner.domain.firm.crews import Crew

group = typer.Typer(help="Crews: lead, people, skills, pace, days off.", no_args_is_help=True)

Name = Annotated[str, typer.Argument(help="The crew's name.", autocompletion=complete.crew_names)]
Lead = Annotated[str | None, typer.Option(help="Who leads it.")]
Size = Annotated[str | None, typer.Option(help="People, the lead included.")]
Skills = Annotated[str | None, typer.Option(help="Any of excavator, stonework, plumbing, with commas.")]
Pace = Annotated[str | None, typer.Option(help="1 is the rate book's pace, 1.1 is 10 % quicker.")]
Latitude = Annotated[str | None, typer.Option(help="Where the crew starts, if not at the firm's depot.")]
Longitude = Annotated[str | None, typer.Option(help="With --latitude.")]


def register(app: typer.Typer) -> None:
    """Add the commands."""
    app.add_typer(group, name="crew")


@group.command()
def add(
    name: Annotated[str, typer.Argument(help="The crew's name.")],
    lead: Lead = None,
    size: Size = None,
    skills: Skills = None,
    pace: Pace = None,
    latitude: Latitude = None,
    longitude: Longitude = None,
) -> None:
    """Add a crew.

    Example: planner crew add North --lead "Ada Marsh" --size 4 --skills excavator,plumbing
    """
    _save(name, new=True, lead=lead, size=size, skills=skills, pace=pace, lat=latitude, lon=longitude)


@group.command()
def change(
    name: Name,
    lead: Lead = None,
    size: Size = None,
    skills: Skills = None,
    pace: Pace = None,
    latitude: Latitude = None,
    longitude: Longitude = None,
) -> None:
    """Change a crew; what is not named stays.

    Example: planner crew change North --size 3
    """
    _save(name, new=False, lead=lead, size=size, skills=skills, pace=pace, lat=latitude, lon=longitude)


@group.command("list")
def list_crews(as_json: edge.JsonFlag = False) -> None:
    """List the crews.

    Example: planner crew list
    """
    from planner.domain.plain import to_plain
    from planner.flow.keeping.crews import load_crews
    from planner.report.keeping.crews import crews_page

    crews = load_crews(edge.location())
    edge.show("crews", to_plain(crews), lambda c: crews_page(c, crews), as_json=as_json)


@group.command()
def away(
    name: Name,
    first: options.FirstDay,
    last: options.LastDay = None,
    why: options.Why = "",
    drop: options.DropDays = False,
) -> None:
    """Give a crew days off that are known ahead.

    Example: planner crew away North 2027-07-05 2027-07-09 --why holiday
    """
    from dataclasses import replace

    from planner.domain.firm import amend
    from planner.flow.keeping.crews import edit_crew

    days = options.days("days off", first, last, why)

    def edit(crew: Crew) -> Crew:
        return replace(crew, days_off=amend.days_changed(crew.days_off, days, drop=drop))

    _tell(edit_crew(edge.location(), edge.who(), name, edit).changed, name)


@group.command()
def remove(
    name: Name,
    yes: options.Yes = False,
    even_so: options.BookedEvenSo = False,
) -> None:
    """Remove a crew; hours and old plans keep its name. Refused while the published plan books it.

    Example: planner crew remove North --yes
    """
    from planner.flow.keeping.crews import remove_crew

    edge.confirm(f"Remove crew {name[:60]}? Its booked work must then be planned again.", yes=yes)
    remove_crew(edge.location(), edge.who(), name, edge.today(), even_so=even_so)
    edge.say("removed; planner history undo brings it back; next: planner plan make")


def _save(name: str, *, new: bool, lat: str | None, lon: str | None, **given: str | None) -> None:
    from planner.flow.keeping.crews import save_crew

    given |= {"depot_latitude": lat, "depot_longitude": lon}
    texts = {k: v for k, v in given.items() if v is not None}
    saved = save_crew(edge.location(), edge.who(), name, texts, new=new)
    _tell(saved.changed, name)


def _tell(changed: bool, name: str) -> None:
    edge.say(
        f"saved crew {name}; next: planner crew list" if changed else f"crew {name} is like that already"
    )
