"""The firm's settings: hours, working days, closures, units, money weights."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, Annotated

import typer

from planner.cli import complete, edge, options
from planner.errors import BadInput

if TYPE_CHECKING:
    from planner.domain.firm.firm import Firm

group = typer.Typer(help="The firm: hours, working days, units, money weights.", no_args_is_help=True)

Text = str | None


def register(app: typer.Typer) -> None:
    """Add the commands."""
    app.add_typer(group, name="firm")


@group.command()
def show(as_json: edge.JsonFlag = False) -> None:
    """Show the firm's settings.

    Example: planner firm show
    """
    from planner.domain.plain import to_plain
    from planner.flow.keeping.firm import load_firm
    from planner.report.keeping.firm import firm_page

    firm = load_firm(edge.location())
    edge.show("firm", to_plain(firm), lambda c: firm_page(c, firm), as_json=as_json)


@group.command("set")
def set_firm(
    name: Annotated[Text, typer.Option(help="The firm's name.")] = None,
    phone: Annotated[Text, typer.Option(help="The firm's phone, for its clients.")] = None,
    shift_start: Annotated[Text, typer.Option(help="When the day begins, like 07:00.")] = None,
    paid_hours: Annotated[Text, typer.Option(help="Paid hours a day.")] = None,
    meal_break: Annotated[Text, typer.Option(help="Unpaid break in the middle of the day [minutes].")] = None,
    weekdays: Annotated[Text, typer.Option(help="Like mon-fri or mon,tue,wed,thu.")] = None,
    country: Annotated[Text, typer.Option(help="For public holidays, like US; none for no holidays.")] = None,
    state: Annotated[Text, typer.Option(help="Two letters, like OH; none for federal holidays only.")] = None,
    time_zone: Annotated[Text, typer.Option(help="IANA name, like America/New_York.")] = None,
    season_first: Annotated[Text, typer.Option(help="First day of the season.")] = None,
    season_last: Annotated[Text, typer.Option(help="Last day of the season.")] = None,
    units: Annotated[Text, typer.Option(help="us or metric: what you see and type.")] = None,
    dates: Annotated[Text, typer.Option(help="month first, day first or year first, as you type.")] = None,
    percentile: Annotated[Text, typer.Option(help="Plan with this percentile of the hours (80).")] = None,
    latitude: Annotated[Text, typer.Option(help="The depot, degrees north.")] = None,
    longitude: Annotated[Text, typer.Option(help="The depot, degrees east (west is negative).")] = None,
    road_factor: Annotated[Text, typer.Option(help="Road distance per distance as the crow flies.")] = None,
    road_speed: Annotated[Text, typer.Option(help="Average on the road, like 35 or 35mph.")] = None,
    unknown_site: Annotated[Text, typer.Option(help="Way to a site without coordinates, like 12mi.")] = None,
    daily_setup: Annotated[Text, typer.Option(help="Set-up and clean-up a crew and day [hours].")] = None,
    daylight: Annotated[
        bool | None, typer.Option("--daylight/--any-light", help="No work in the dark.")
    ] = None,
    weight: Annotated[list[str] | None, typer.Option(help="NAME=US DOLLARS, like late_day=300.")] = None,
) -> None:
    """Change settings; what is not named stays.

    Example: planner firm set --name "Alder Ponds" --weekdays mon-fri --state OH --weight late_day=300
    """
    from planner.flow.keeping.firm import set_firm

    given = {
        "name": name,
        "phone": phone,
        "shift_start": shift_start,
        "paid_h_day": paid_hours,
        "meal_break_min": meal_break,
        "weekdays": weekdays,
        "country": _code(country),
        "state": _code(state),
        "time_zone": time_zone,
        "season_first": season_first,
        "season_last": season_last,
        "units": units,
        "dates": dates,
        "planning_percentile": percentile,
        "depot_latitude": latitude,
        "depot_longitude": longitude,
        "road_factor": road_factor,
        "road": road_speed,
        "unknown_site": unknown_site,
        "daily_setup": daily_setup,
    }
    texts = {k: v for k, v in given.items() if v is not None}
    if daylight is not None:
        texts["daylight_only"] = "yes" if daylight else "no"
    saved = set_firm(edge.location(), edge.who(), texts, _weights(weight))
    _tell(saved.changed)


@group.command()
def closed(
    first: options.FirstDay,
    last: options.LastDay = None,
    why: options.Why = "",
    drop: options.DropDays = False,
) -> None:
    """Close the firm on some days, besides public holidays.

    Example: planner firm closed 2027-07-05 2027-07-09 --why "summer break"
    """
    from dataclasses import replace

    from planner.domain.firm import amend

    days = options.days("closed", first, last, why)

    def edit(firm: Firm) -> Firm:
        return replace(firm, days_off=amend.days_changed(firm.days_off, days, drop=drop))

    _edit(edit)


@group.command()
def worked(
    day: Annotated[str, typer.Argument(help="The day.", autocompletion=complete.dates)],
    drop: Annotated[bool, typer.Option("--drop", help="Not worked after all.")] = False,
) -> None:
    """Work on a Saturday, or on a public holiday.

    Example: planner firm worked 2027-05-01
    """
    from dataclasses import replace

    from planner.domain.firm import amend

    when = edge.day(day, "day")

    _edit(lambda firm: replace(firm, work_days=amend.day_changed(firm.work_days, when, drop=drop)))


@group.command("half-day")
def half_day(
    day: Annotated[str, typer.Argument(help="The day.", autocompletion=complete.dates)],
    drop: Annotated[bool, typer.Option("--drop", help="A whole day after all.")] = False,
) -> None:
    """Work only until the meal break on a day.

    Example: planner firm half-day 2027-12-24
    """
    from dataclasses import replace

    from planner.domain.firm import amend

    when = edge.day(day, "day")
    _edit(lambda firm: replace(firm, half_days=amend.day_changed(firm.half_days, when, drop=drop)))


def _edit(edit: Callable[[Firm], Firm]) -> None:
    from planner.flow.keeping.firm import edit_firm

    _tell(edit_firm(edge.location(), edge.who(), edit).changed)


def _tell(changed: bool) -> None:
    edge.say("saved; next: planner firm show" if changed else "the settings are like that already")


def _code(text: str | None) -> str | None:
    if text is None:
        return None
    return "" if text.strip().lower() == "none" else text.strip().upper()


def _weights(given: list[str] | None) -> dict[str, float]:
    from planner.domain.firm import entry

    found = {}
    for text in given or []:
        name, equals, value = text.partition("=")
        if not equals:
            raise BadInput("--weight", text, "write NAME=US DOLLARS, like late_day=300")
        found[name.strip()] = entry.number(name.strip(), value)
    return found
