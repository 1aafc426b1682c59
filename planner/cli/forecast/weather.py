"""`planner weather ...`: a forecast of the next days, from a small CSV file of any source."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from planner.cli import edge

group = typer.Typer(help="A forecast file: rain, heat, frost, wind of the days ahead.", no_args_is_help=True)


def register(app: typer.Typer) -> None:
    """Add the group `weather`."""
    app.add_typer(group, name="weather")


@group.command()
def take(
    file: Annotated[Path, typer.Argument(help="CSV, one row a day: planner guide ahead.")],
    place: Annotated[str, typer.Option(help='Where it is for, like "Columbus, OH" or "39.96, -83.00".')] = "",
    made: Annotated[str | None, typer.Option(help="The day it was made, like today.")] = None,
) -> None:
    """Take a forecast in; it stays beside the database until the next.

    Today, the board's promises, the day sheets, the office's list and the chances then go by it.

    Example: planner weather take week.csv --place "Columbus, OH" --made today
    """
    from planner.flow.forecast.weather import take_forecast
    from planner.report.forecast.weather import forecast_page

    day = edge.day(made, "--made") if made is not None else None
    kept = take_forecast(edge.location(), file, edge.today(), place=place, made=day)
    forecast_page(edge.console(), kept.forecast, kept.why, kept.units, edge.today())
    edge.say("Kept. Next: planner today")


@group.command()
def show(as_json: edge.JsonFlag = False) -> None:
    """The days ahead: rain, heat, frost, and how likely each day is lost.

    Example: planner weather show
    """
    from planner.flow.forecast.weather import load_ahead
    from planner.report.forecast.weather import forecast_data, forecast_page

    found = load_ahead(edge.location(), edge.today())
    edge.show(
        "weather",
        forecast_data(found.forecast, found.why),
        lambda c: forecast_page(c, found.forecast, found.why, found.units, edge.today()),
        as_json=as_json,
    )


@group.command()
def drop() -> None:
    """Put the kept forecast away; the climate's figures serve again.

    Example: planner weather drop
    """
    from planner.flow.forecast.weather import drop_forecast

    drop_forecast(edge.location())
    edge.say("put away: rain and frost go by the climate's figures")
