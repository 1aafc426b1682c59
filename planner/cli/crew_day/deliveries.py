"""`planner deliveries ...`: what comes when, for all jobs, by supplier and yard; what is on hand."""

from __future__ import annotations

from typing import Annotated

import typer

from planner.cli import complete, edge
from planner.errors import BadInput

group = typer.Typer(
    help="Deliveries of all jobs, by day and supplier; what is on hand.", no_args_is_help=True
)


def register(app: typer.Typer) -> None:
    """Add the group `deliveries`."""
    app.add_typer(group, name="deliveries")


@group.command("list")
def list_(
    day: Annotated[
        str | None, typer.Argument(help="First day, today when left out.", autocompletion=complete.dates)
    ] = None,
    days: Annotated[int, typer.Option(help="How many days.")] = 14,
    as_json: edge.JsonFlag = False,
) -> None:
    """What comes when, from whom, how much, in how many truckloads, where to, and who is there.

    Orders of one kind for the yard come together when their days are close; what is on hand is used first.

    Example: planner deliveries list mon --days 7
    """
    from planner.flow.crew_day.deliveries import load_deliveries
    from planner.report.crew_day.deliveries import deliveries_data, deliveries_page

    if not 1 <= days <= 400:
        raise BadInput("--days", days, "choose from 1 to 400")
    found = load_deliveries(edge.location(), edge.today(), edge.day(day, "day"), days)
    edge.show("deliveries", deliveries_data(found), lambda c: deliveries_page(c, found), as_json=as_json)


@group.command()
def on_hand(
    material: Annotated[str, typer.Argument(help="A row of materials, like gravel or liner.")],
    amount: Annotated[str, typer.Argument(help="How much lies in the yard, in its order unit; 0 for none.")],
) -> None:
    """Say what lies in the yard: it is used before anything is delivered.

    Example: planner deliveries on-hand gravel 4.5
    """
    from planner.flow.crew_day.deliveries import say_on_hand

    held = say_on_hand(edge.location(), material, amount)
    told = ", ".join(f"{key} {value:g}" for key, value in sorted(held.items()))
    edge.say(f"on hand: {told or 'nothing'}")
