"""`planner estimate`: crew-hours and days of jobs, with their arithmetic and other ways side by side."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from planner.cli import complete, edge
from planner.cli.pages import write_page
from planner.errors import BadInput

if TYPE_CHECKING:
    from datetime import date

    from rich.console import Console

    from planner.domain.estimate.conditions import Conditions
    from planner.domain.season.ways import Estimated


Jobs = Annotated[
    list[str] | None,
    typer.Argument(
        help="Job codes; every open job when left out.",
        show_default=False,
        autocompletion=complete.job_codes,
    ),
]
CrewName = Annotated[
    str | None,
    typer.Option(
        help="The crew that does it; else the plan's, or the first able one.",
        autocompletion=complete.crew_names,
    ),
]
Explain = Annotated[bool, typer.Option("--explain", help="Print the arithmetic line by line, with sources.")]
Side = Annotated[
    str | None, typer.Option(help="Side by side: crews, people (1 to 5), or digging (machine or hand).")
]
Start = Annotated[str | None, typer.Option(help="First day, like 4/5/2027; the plan's, else tomorrow.")]
Edition = Annotated[
    str | None, typer.Option(help="Rate book edition, or newest; each job's own when left out.")
]
Temperature = Annotated[str | None, typer.Option(help="Air temperature, like 95 or 95F or 35C.")]
Humidity = Annotated[float, typer.Option(help="Relative humidity [percent].")]
Wind = Annotated[float, typer.Option(help="Wind [mph]; counts in the cold.")]
Sunny = Annotated[bool, typer.Option("--sunny", help="Work in full sun.")]
Steep = Annotated[bool, typer.Option("--steep", help="Barrows go up a steep plank.")]
HoursWeek = Annotated[float | None, typer.Option(help="Hours a week, when longer than usual.")]
NewHands = Annotated[int, typer.Option(help="Hands in the crew who are new to the trade.")]
PagePath = Annotated[
    Path | None, typer.Option("--page", help="Write it as an .html file, or print it to a .pdf.")
]
NewHandJob = Annotated[int, typer.Option(help="Which job it is for the new hands.")]


def register(app: typer.Typer) -> None:
    """Add the command `estimate`."""
    app.command(name="estimate")(estimate)


def estimate(
    jobs: Jobs = None,
    crew: CrewName = None,
    explain: Explain = False,
    compare: Side = None,
    start: Start = None,
    edition: Edition = None,
    temperature: Temperature = None,
    humidity: Humidity = 30.0,
    wind: Wind = 0.0,
    sunny: Sunny = False,
    steep: Steep = False,
    hours_week: HoursWeek = None,
    new_hands: NewHands = 0,
    new_hand_job: NewHandJob = 1,
    page: PagePath = None,
    as_json: edge.JsonFlag = False,
) -> None:
    """Crew-hours by phase and days of jobs, with their spread.

    Low, likely and high rates make a spread: safe hours are not exceeded four times out of five.

    Example: planner estimate P-014 --explain

    Example: planner estimate P-014 --compare digging
    """
    from planner.domain.estimate.conditions import Conditions
    from planner.domain.firm import entry
    from planner.report.estimate import estimates as pages

    facts = Conditions(
        temperature_f=None if temperature is None else entry.degrees_f("--temperature", temperature),
        humidity_pct=humidity,
        wind_mph=wind,
        sunny=sunny,
        steep=steep,
        hours_week=hours_week,
        new_hands=new_hands,
        new_hand_job=new_hand_job,
    )
    first = edge.day(start, "--start") if start else None
    found = _found(codes := list(jobs or []), compare, first, crew, edition, facts)
    data = [pages.estimate_data(one, explain=explain) for one in found]

    def draw(console: Console) -> None:
        if compare is not None:
            pages.compare_page(console, found)
        elif not codes and not explain:
            pages.list_page(console, found)
        else:
            pages.job_pages(console, found, explain=explain)

    if page is not None:
        one_each = codes and compare is None
        _write(
            page, [partial(pages.job_page, one=one, explain=explain) for one in found] if one_each else [draw]
        )
    if page is None or as_json:
        edge.show("estimate", data, draw, as_json=as_json)


def _write(path: Path, draws: Sequence[Callable[[Console], None]]) -> None:
    """The estimates as one file, each on paper of its own."""
    from planner.report.pages import text_page
    from planner.report.terminal import as_text

    write_page(path, text_page("Estimate", [as_text(draw) for draw in draws]))


def _found(
    codes: list[str],
    compare: str | None,
    first: date | None,
    crew: str | None,
    edition: str | None,
    facts: Conditions,
) -> list[Estimated]:
    """The jobs' estimates, or one job's in several ways."""
    from planner.domain.season.ways import Compare
    from planner.flow.estimate.estimates import compare_ways, estimate_jobs

    here = edge.location()
    if compare is None:
        return estimate_jobs(
            here, codes, today=edge.today(), start=first, crew=crew, edition=edition, conditions=facts
        )
    if compare not in set(Compare):
        raise BadInput("--compare", compare, f"choose one of {', '.join(Compare)}")
    if len(codes) != 1:
        raise BadInput("--compare", f"{len(codes)} jobs", "name exactly one job to compare ways for")
    start = first or edge.day("tomorrow", "--start")
    return compare_ways(
        here, codes[0], Compare(compare), start=start, crew=crew, edition=edition, conditions=facts
    )
