"""`planner estimate`: crew-hours and days of jobs, with their arithmetic and other ways side by side."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

import typer

from planner.cli import complete, edge
from planner.errors import BadInput

if TYPE_CHECKING:
    from rich.console import Console


def register(app: typer.Typer) -> None:
    """Add the command `estimate`."""
    app.command(name="estimate")(estimate)


def estimate(
    jobs: Annotated[
        list[str] | None,
        typer.Argument(
            help="Job codes; every open job when left out.",
            show_default=False,
            autocompletion=complete.job_codes,
        ),
    ] = None,
    crew: Annotated[
        str | None,
        typer.Option(
            help="The crew that does it; else the plan's, or the first able one.",
            autocompletion=complete.crew_names,
        ),
    ] = None,
    explain: Annotated[
        bool, typer.Option("--explain", help="Print the arithmetic line by line, with sources.")
    ] = False,
    compare: Annotated[
        str | None, typer.Option(help="Side by side: crews, people (1 to 5), or digging (machine or hand).")
    ] = None,
    start: Annotated[
        str | None, typer.Option(help="First day, like 2027-04-05; the plan's, else tomorrow.")
    ] = None,
    edition: Annotated[
        str | None,
        typer.Option(help="Rate book edition, or newest; each job's own when left out."),
    ] = None,
    temperature: Annotated[str | None, typer.Option(help="Air temperature, like 95 or 95F or 35C.")] = None,
    humidity: Annotated[float, typer.Option(help="Relative humidity [percent].")] = 30.0,
    wind: Annotated[float, typer.Option(help="Wind [mph]; counts in the cold.")] = 0.0,
    sunny: Annotated[bool, typer.Option("--sunny", help="Work in full sun.")] = False,
    steep: Annotated[bool, typer.Option("--steep", help="Barrows go up a steep plank.")] = False,
    hours_week: Annotated[float | None, typer.Option(help="Hours a week, when longer than usual.")] = None,
    new_hands: Annotated[int, typer.Option(help="Hands in the crew who are new to the trade.")] = 0,
    new_hand_job: Annotated[int, typer.Option(help="Which job it is for the new hands.")] = 1,
    as_json: edge.JsonFlag = False,
) -> None:
    """Crew-hours by phase and days of jobs, with their spread.

    Low, likely and high rates make a spread: P80 is not exceeded four times out of five.

    Example: planner estimate P-014 --explain

    Example: planner estimate P-014 --compare digging
    """
    from planner.domain.estimate.conditions import Conditions
    from planner.domain.season.ways import Compare
    from planner.flow.estimate.estimates import compare_ways, estimate_jobs
    from planner.report.estimate import estimates as pages

    facts = Conditions(
        temperature_f=_fahrenheit(temperature),
        humidity_pct=humidity,
        wind_mph=wind,
        sunny=sunny,
        steep=steep,
        hours_week=hours_week,
        new_hands=new_hands,
        new_hand_job=new_hand_job,
    )
    tomorrow = edge.day("tomorrow", "--start")
    first = edge.day(start, "--start", tomorrow) if start else None
    codes = list(jobs or [])
    if compare is not None:
        if compare not in set(Compare):
            raise BadInput("--compare", compare, f"choose one of {', '.join(Compare)}")
        if len(codes) != 1:
            raise BadInput("--compare", f"{len(codes)} jobs", "name exactly one job to compare ways for")
        found = compare_ways(
            edge.location(),
            codes[0],
            Compare(compare),
            start=first or tomorrow,
            crew=crew,
            edition=edition,
            conditions=facts,
        )
    else:
        found = estimate_jobs(
            edge.location(),
            codes,
            today=edge.today(),
            start=first,
            crew=crew,
            edition=edition,
            conditions=facts,
        )
    data = [pages.estimate_data(one, explain=explain) for one in found]

    def page(console: Console) -> None:
        if compare is not None:
            pages.compare_page(console, found)
        elif not codes and not explain:
            pages.list_page(console, found)
        else:
            for i, one in enumerate(found):
                if i:
                    console.print()
                pages.job_page(console, one, explain=explain)

    edge.show("estimate", data, page, as_json=as_json)


def _fahrenheit(text: str | None) -> float | None:
    """ "35C" -> 95.0; a bare number is Fahrenheit."""
    if text is None:
        return None
    number = text.strip().upper().removesuffix("F").removesuffix("C")
    try:
        value = float(number)
    except ValueError:
        raise BadInput("--temperature", text, "write a temperature like 95F or 35C") from None
    return value * 1.8 + 32.0 if text.strip().upper().endswith("C") else value
