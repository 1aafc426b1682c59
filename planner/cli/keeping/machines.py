"""Machines: how many of each kind, what a move costs, when they are out."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

import typer

from planner.cli import complete, edge, options

if TYPE_CHECKING:
    from planner.domain.firm.crews import Machine

group = typer.Typer(help="Machines: kinds, units, moves, days out.", no_args_is_help=True)

Key = Annotated[str, typer.Argument(help="The machine's short name.", autocompletion=complete.machine_keys)]
Units = Annotated[str | None, typer.Option(help="How many the firm has.")]
MoveCost = Annotated[str | None, typer.Option(help="Carrying one to another site [US dollars].")]
MoveH = Annotated[str | None, typer.Option(help="Carrying one to another site [hours].")]
Bucket = Annotated[str | None, typer.Option(help="Heaped bucket, in your units or like 2.5ft3, 0.07m3.")]
Mass = Annotated[str | None, typer.Option(help="Operating mass [metric tonnes].")]
Towed = Annotated[
    str | None, typer.Option(help="It on its trailer, like 9800lb, 4445kg; 0 when no truck of yours tows it.")
]
Rented = Annotated[bool | None, typer.Option("--rented/--owned", help="Hired by the week.")]


def register(app: typer.Typer) -> None:
    """Add the commands."""
    app.add_typer(group, name="machine")


@group.command()
def add(
    key: Annotated[str, typer.Argument(help="A short name, like excavator.")],
    words: Annotated[str, typer.Argument(help="How it is called on the board.")],
    units: Units = None,
    move_cost: MoveCost = None,
    move_hours: MoveH = None,
    bucket: Bucket = None,
    mass: Mass = None,
    rented: Rented = None,
    towed: Towed = None,
) -> None:
    """Add a kind of machine. The phase rules ask for "excavator".

    Example: planner machine add excavator "1.7 t excavator" --units 2 --move-cost 120 --bucket 2.5ft3
    """
    more = {"move_cost": move_cost, "move": move_hours, "bucket": bucket, "mass": mass, "towed": towed}
    _save(key, new=True, rented=rented, words=words, units=units, **more)


@group.command()
def change(
    key: Key,
    words: Annotated[str | None, typer.Option(help="How it is called on the board.")] = None,
    units: Units = None,
    move_cost: MoveCost = None,
    move_hours: MoveH = None,
    bucket: Bucket = None,
    mass: Mass = None,
    rented: Rented = None,
    towed: Towed = None,
) -> None:
    """Change a machine; what is not named stays.

    Example: planner machine change excavator --units 3
    """
    more = {"move_cost": move_cost, "move": move_hours, "bucket": bucket, "mass": mass, "towed": towed}
    _save(key, new=False, rented=rented, words=words, units=units, **more)


@group.command("list")
def list_machines(as_json: edge.JsonFlag = False) -> None:
    """List the machines.

    Example: planner machine list
    """
    from planner.domain.plain import to_plain
    from planner.flow.keeping.machines import load_machines
    from planner.report.keeping.machines import machines_page

    machines, units = load_machines(edge.location())
    edge.show("machines", to_plain(machines), lambda c: machines_page(c, machines, units), as_json=as_json)


@group.command()
def out(
    key: Key,
    first: options.FirstDay,
    last: options.LastDay = None,
    units: Annotated[int, typer.Option(help="How many are out.")] = 1,
    why: options.Why = "",
    drop: options.DropDays = False,
) -> None:
    """Say that a machine cannot be used on some days (service, lent out).

    Example: planner machine out excavator 2027-06-01 2027-06-03 --why service
    """
    from planner.domain.firm import amend
    from planner.domain.firm.crews import MachineOut
    from planner.flow.keeping.machines import edit_machine

    days = options.days("days out", first, last, why)

    def edit(machine: Machine) -> Machine:
        if drop:
            return amend.without_out(machine, days.first)
        return amend.with_out(machine, MachineOut(days, units))

    _tell(edit_machine(edge.location(), edge.who(), key, edit).changed, key)


@group.command()
def remove(
    key: Key,
    yes: options.Yes = False,
    even_so: options.BookedEvenSo = False,
) -> None:
    """Remove a kind of machine. Refused while the published plan books it.

    Example: planner machine remove barrow --yes
    """
    from planner.flow.keeping.machines import remove_machine

    edge.confirm(f"Remove machine {key[:60]}? Work that needs it can then not be planned.", yes=yes)
    remove_machine(edge.location(), edge.who(), key, edge.today(), even_so=even_so)
    edge.say("removed; planner history undo brings it back")


def _save(key: str, *, new: bool, rented: bool | None, **given: str | None) -> None:
    from planner.flow.keeping.machines import save_machine

    texts = {k: v for k, v in given.items() if v is not None}
    if rented is not None:
        texts["rented"] = "yes" if rented else "no"
    _tell(save_machine(edge.location(), edge.who(), key, texts, new=new).changed, key)


def _tell(changed: bool, key: str) -> None:
    edge.say(f"saved machine {key}; next: planner machine list" if changed else f"{key} is like that already")
