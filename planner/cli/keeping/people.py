"""People by name: whose crew, what each may do, days away, days with another crew."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

import typer

from planner.cli import complete, edge, options

if TYPE_CHECKING:
    from planner.flow.keeping.saved import Saved

group = typer.Typer(
    help="People by name: crew, what each may do, days away, days with another crew.", no_args_is_help=True
)

Name = Annotated[str, typer.Argument(help="The person's name.")]
CrewName = Annotated[
    str | None,
    typer.Option("--crew", help="The crew that the person belongs to.", autocompletion=complete.crew_names),
]
May = Annotated[
    str | None,
    typer.Option(
        help="Machines that the person may run; stonework, plumbing, electrical, drive, tow; with commas."
    ),
]
Counts = Annotated[
    str | None,
    typer.Option(help="Worth beside a seasoned hand, up to 1; a new hand 0.5 (default, to be calibrated)."),
]
Leads = Annotated[bool, typer.Option("--lead", help="The person leads the crew.")]


def register(app: typer.Typer) -> None:
    """Add the commands."""
    app.add_typer(group, name="people")


@group.command()
def add(
    name: Name, crew: CrewName = None, may: May = None, counts: Counts = None, lead: Leads = False
) -> None:
    """Name a person of a crew. Once a crew names who may run a machine, it runs only while one is there.

    Example: planner people add "Ada Marsh" --crew North --may excavator,tow --lead
    """
    _save(name, new=True, crew=crew, leads=lead, may=may, counts=counts)


@group.command()
def change(
    name: Name, crew: CrewName = None, may: May = None, counts: Counts = None, lead: Leads = False
) -> None:
    """Change a person; what is not named stays. --crew moves the person to that crew.

    Example: planner people change "Ada Marsh" --may excavator,stonework,tow
    """
    _save(name, new=False, crew=crew, leads=lead, may=may, counts=counts)


@group.command("list")
def list_people(as_json: edge.JsonFlag = False) -> None:
    """List the people by crew.

    Example: planner people list
    """
    from planner.flow.keeping.crews import load_crews
    from planner.report.keeping.people import people_page, people_rows

    crews = load_crews(edge.location())
    edge.show("people", people_rows(crews), lambda c: people_page(c, crews), as_json=as_json)


@group.command()
def away(
    name: Name,
    first: options.FirstDay,
    last: options.LastDay = None,
    why: options.Why = "",
    drop: options.DropDays = False,
) -> None:
    """Give a person days off that are known ahead: the crew has a hand less, and its machine rests
    when nobody else there may run it.

    Example: planner people away "Ada Marsh" 2027-07-05 2027-07-09 --why holiday
    """
    from planner.flow.keeping.crews import person_away

    days = options.days("days away", first, last, why)
    _tell(person_away(edge.location(), edge.who(), name, days, drop=drop))


@group.command()
def lend(
    name: Name,
    crew: Annotated[str, typer.Argument(help="The crew that is helped.", autocompletion=complete.crew_names)],
    first: options.FirstDay,
    last: options.LastDay = None,
    why: options.Why = "",
    drop: options.DropDays = False,
) -> None:
    """Lend a person to another crew: a gap there is filled, and machines run that nobody there may run.

    Example: planner people lend "Ada Marsh" South 2027-06-14 --why "their operator is away"
    """
    from planner.flow.keeping.crews import lend_person

    days = options.days("days lent", first, last, why)
    _tell(lend_person(edge.location(), edge.who(), name, crew, days, drop=drop))


@group.command()
def remove(name: Name, yes: options.Yes = False) -> None:
    """Take a person off the records: the crew keeps its size and skills.

    Example: planner people remove "Ada Marsh" --yes
    """
    from planner.flow.keeping.crews import remove_person

    edge.confirm(f"Remove {name[:60]}? The crew keeps its size and skills.", yes=yes)
    remove_person(edge.location(), edge.who(), name)
    edge.say("removed; planner history undo brings the person back")


def _save(name: str, *, new: bool, crew: str | None, leads: bool, **given: str | None) -> None:
    from planner.flow.keeping.crews import save_person

    texts = {k: v for k, v in given.items() if v is not None}
    _tell(save_person(edge.location(), edge.who(), name, texts, new=new, crew=crew, leads=leads))


def _tell(saved: Saved) -> None:
    said = f"saved {saved.name}; next: planner people list"
    edge.say(said if saved.changed else f"{saved.name} is like that already")
