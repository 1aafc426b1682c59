"""`planner chance ...`: how likely each promise is kept, when the season ends, how much slack to keep."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from planner.cli import edge

group = typer.Typer(help="Chances: each promise, the season's end, slack to keep.", no_args_is_help=True)

Number = Annotated[
    int | None,
    typer.Argument(help="Plan number; the published one when left out.", show_default=False),
]
Seasons = Annotated[int, typer.Option(help="How often the season is played.")]
Seed = Annotated[int, typer.Option(help="Same seed, same figures.")]
Station = Annotated[str | None, typer.Option(help="Climate station: key or name.")]
PerWetDay = Annotated[float | None, typer.Option(help="Crew days lost per wet day, 0 to 1.")]
CarryOver = Annotated[
    float | None,
    typer.Option(help="Correlation of a wet day with the next, 0 to 0.9.", show_default=False),
]
Quick = Annotated[bool, typer.Option("--quick", help="Leave out what would keep more promises.")]
Early = Annotated[
    bool, typer.Option("--early", help="Let jobs start before the day that customers were told.")
]


def register(app: typer.Typer) -> None:
    """Add the group `chance`."""
    app.add_typer(group, name="chance")


@group.command()
def show(
    number: Number = None,
    seasons: Seasons = 1000,
    seed: Seed = 1,
    station: Station = None,
    per_wet_day: PerWetDay = None,
    carry_over: CarryOver = None,
    early: Early = False,
    quick: Quick = False,
    as_json: edge.JsonFlag = False,
) -> None:
    """Play the season many times: chance that each promise is kept, likely and safe finish, slack.

    Hours, wet spells, sick people, broken machines and late deliveries are drawn; each morning is repaired.

    Example: planner chance show --seasons 2000 --station "Columbus OH"
    """
    from planner.flow.forecast.chance import chances
    from planner.flow.season.limits import check_played
    from planner.report.forecast.chance import chance_data, chance_page
    from planner.report.wording import plan_words

    check_played(seasons, seed)
    found = chances(
        edge.location(),
        edge.now(),
        seasons=seasons,
        seed=seed,
        number=number,
        station=station,
        per_wet_day=per_wet_day,
        carry_over=carry_over,
        early=early,
        quick=quick,
    )
    plan = found.plan
    name = plan_words(plan.number, plan.published_at is not None).capitalize()
    edge.show(
        "chance",
        chance_data(found.outlook, plan.number, found.basis, found.raises)
        | {
            "published": plan.published_at is not None,
            "stale": [m.words for m in found.moved],
            "forecast": found.basis.forecast.source if found.basis.forecast else "",
            "not_played": dict(found.unplayed),
        },
        lambda c: chance_page(
            c,
            found.outlook,
            name,
            found.basis,
            raises=found.raises,
            unplayed=found.unplayed,
            moved=found.moved,
        ),
        as_json=as_json,
    )


@group.command()
def station(
    file: Annotated[
        Path | None,
        typer.Argument(help="CSV with the columns month (1 to 12) and wet_days.", show_default=False),
    ] = None,
    as_json: edge.JsonFlag = False,
) -> None:
    """Keep your own climate station from a CSV file; without a file, list the stations.

    Example: planner chance station our_gauge.csv
    """
    from planner.flow.forecast.climate import all_stations, keep_station
    from planner.report.forecast.climate import gauge_words, stations_page

    if file is not None:
        kept = keep_station(edge.location(), file)
        edge.say(gauge_words(file.name, kept))
    known = all_stations(edge.location())
    edge.show("stations", known, lambda c: stations_page(c, known), as_json=as_json)
