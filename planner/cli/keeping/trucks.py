"""Trucks: what each may tow, whose it is every day, when it is in the shop."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

import typer

from planner.cli import complete, edge, options

if TYPE_CHECKING:
    from planner.flow.keeping.saved import Saved

group = typer.Typer(help="Trucks: what each may tow, whose it is, days in the shop.", no_args_is_help=True)

Key = Annotated[str, typer.Argument(help="The truck's short name.", autocompletion=complete.truck_keys)]
Tows = Annotated[
    str | None,
    typer.Option(help="Least of what truck, receiver and hitch may tow, like 7000lb, 3175kg."),
]
Payload = Annotated[str | None, typer.Option(help="People, load and the trailer's tongue, like 1800lb.")]
TowsDay = Annotated[
    str | None, typer.Option(help="Machines that it brings in one day (1: default, to be calibrated).")
]
CrewName = Annotated[
    str | None,
    typer.Option(
        "--crew",
        help='The crew whose truck it is every day; "" for one that is kept for moves.',
        autocompletion=complete.crew_names,
    ),
]


def register(app: typer.Typer) -> None:
    """Add the commands."""
    app.add_typer(group, name="truck")


@group.command()
def add(
    key: Annotated[str, typer.Argument(help="A short name, like dump1.")],
    words: Annotated[str, typer.Argument(help="How it is called on the board.")],
    tows: Tows = None,
    payload: Payload = None,
    tows_day: TowsDay = None,
    crew: CrewName = None,
) -> None:
    """Add a truck. From the first one on, machines that are towed need one and somebody who may tow.

    Example: planner truck add dump1 "dump truck" --tows 12000lb
    """
    _save(key, new=True, words=words, tows=tows, payload=payload, tows_day=tows_day, crew=crew)


@group.command()
def change(
    key: Key,
    words: Annotated[str | None, typer.Option(help="How it is called on the board.")] = None,
    tows: Tows = None,
    payload: Payload = None,
    tows_day: TowsDay = None,
    crew: CrewName = None,
) -> None:
    """Change a truck; what is not named stays.

    Example: planner truck change dump1 --tows-day 2
    """
    _save(key, new=False, words=words, tows=tows, payload=payload, tows_day=tows_day, crew=crew)


@group.command("list")
def list_trucks(as_json: edge.JsonFlag = False) -> None:
    """List the trucks.

    Example: planner truck list
    """
    from planner.domain.plain import to_plain
    from planner.flow.keeping.machines import load_trucks
    from planner.report.keeping.machines import trucks_page

    trucks, units = load_trucks(edge.location())
    edge.show("trucks", to_plain(trucks), lambda c: trucks_page(c, trucks, units), as_json=as_json)


@group.command()
def shop(
    key: Key,
    first: options.FirstDay,
    last: options.LastDay = None,
    why: options.Why = "",
    drop: options.DropDays = False,
) -> None:
    """Say that a truck is in the shop on some days: it tows nothing then.

    Example: planner truck shop dump1 2027-06-07 2027-06-08 --why brakes
    """
    from planner.flow.keeping.machines import truck_in_shop

    days = options.days("days in the shop", first, last, why)
    _tell(truck_in_shop(edge.location(), edge.who(), key, days, drop=drop))


@group.command()
def remove(key: Key, yes: options.Yes = False) -> None:
    """Take a truck off the records. Without any truck, machines move as if towing asked for nothing.

    Example: planner truck remove dump1 --yes
    """
    from planner.flow.keeping.machines import remove_truck

    edge.confirm(f"Remove truck {key[:60]}?", yes=yes)
    remove_truck(edge.location(), edge.who(), key, edge.today())
    edge.say("removed; planner history undo brings it back")


def _save(key: str, *, new: bool, **given: str | None) -> None:
    from planner.flow.keeping.machines import save_truck

    texts = {name: text for name, text in given.items() if text is not None}
    _tell(save_truck(edge.location(), edge.who(), key, texts, new=new))


def _tell(saved: Saved) -> None:
    said = f"saved truck {saved.name}; next: planner truck list"
    edge.say(said if saved.changed else f"{saved.name} is like that already")
