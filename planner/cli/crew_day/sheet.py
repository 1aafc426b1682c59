"""`planner sheet`: one crew's day, for the terminal, the phone and paper."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from planner.cli import edge
from planner.cli.pages import write_page

if TYPE_CHECKING:
    from rich.console import Console


def register(app: typer.Typer) -> None:
    """Add the command."""
    app.command("sheet")(show_sheet)


def show_sheet(
    crew: Annotated[str, typer.Argument(help="The crew's name, or all.")],
    day: Annotated[str | None, typer.Argument(help="Like tomorrow, mon or 4/6/2027. Default: today.")] = None,
    week: Annotated[bool, typer.Option("--week", help="All days of that week.")] = False,
    page: Annotated[
        Path | None, typer.Option("--page", help="Write one HTML file for phone and paper; needs no network.")
    ] = None,
    temp: Annotated[str | None, typer.Option("--temp", help="Forecast high, like 96F or 35C.")] = None,
    humidity: Annotated[
        float | None, typer.Option("--humidity", help="Relative humidity at the high, in percent.")
    ] = None,
    low: Annotated[str | None, typer.Option("--low", help="Forecast low, like 38F or 3C.")] = None,
    wind: Annotated[str | None, typer.Option("--wind", help="Wind, like 15mph or 24km/h.")] = None,
    sky: Annotated[str, typer.Option("--sky", help="sun, partly cloudy or shade.")] = "sun",
    plan: Annotated[int | None, typer.Option("--plan", help="by the plan of this number instead.")] = None,
    draft: Annotated[bool, typer.Option("--draft", help="By the newest plan, published or not.")] = False,
    readable: edge.ReadableFlag = False,
    as_json: edge.JsonFlag = False,
) -> None:
    """A crew's day sheet for terminal, phone and paper.

    It says where, what in which order, with what, how exactly, what cannot wait, and the cautions.

    With --page it becomes one HTML file for the phone and for paper: the crew ticks, measures and fills in
    hours, and sends them back (see planner return).

    Example: planner sheet North 2027-04-06 --page north.html --temp 96F --humidity 55
    """
    from planner.domain.safety.forecast import read_forecast
    from planner.flow.crew_day.sheet import crew_sheets, week_of
    from planner.report.crew_day.sheet import print_sheet, sheet_data

    date_ = edge.day(day, "day")
    forecast = read_forecast(temp, humidity, low, wind, sky)
    days = week_of(date_) if week else [date_]
    sheets = crew_sheets(
        edge.location(), crew, days, today=edge.today(), number=plan, draft=draft, forecast=forecast
    )
    if page is not None:
        from planner.report.pages import sheet_page

        write_page(page, sheet_page(sheets), readable=readable)
        if not as_json:
            return
    data = [sheet_data(s) for s in sheets] if week or crew == "all" else sheet_data(sheets[0])

    def draw(console: Console) -> None:
        for n, sheet in enumerate(sheets):
            if n:
                console.print()
            print_sheet(sheet, console)

    edge.show("sheet", data, draw, as_json=as_json)
