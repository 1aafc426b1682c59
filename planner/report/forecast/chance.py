"""Chances as a page and as data: promises, finish, slack to keep, and what the figures rest on."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Any

from planner.domain.dates import day_words
from planner.domain.standing.stale import stale_words
from planner.domain.wording import counted
from planner.report.terminal import say, show_table
from planner.report.wording import one_line, sure_words

if TYPE_CHECKING:
    from rich.console import Console

    from planner.domain.firm.records import Moved
    from planner.domain.forecast.climate import Station
    from planner.domain.forecast.outlook import JobOutlook, Outlook
    from planner.domain.safety.weather import ForecastFile


def percent(share: float) -> str:
    """ "87 %"; never rounded up to certain, nor down to never.

    >>> percent(0.872), percent(0.9996), percent(0.0002), percent(1.0)
    ('87 %', '>99 %', '<1 %', '100 %')
    """
    if 0 < share < 0.005:
        return "<1 %"
    if 0.995 <= share < 1:
        return ">99 %"
    return f"{share * 100:.0f} %"


def chance_page(
    console: Console,
    seen: Outlook,
    plan: str,
    station: Station | None,
    lost_per_wet_day: float,
    *,
    own_share: bool,
    unplayed: Mapping[str, str],
    moved: Sequence[Moved],
    forecast: ForecastFile | None = None,
) -> None:
    """plan: how the plan is called; moved: what changed since; unplayed: job -> why it was not played."""
    from rich.table import Table
    from rich.text import Text

    kept = (
        f"{seen.expected_kept:.1f} of {counted(seen.promises, 'promise')} kept on average"
        if seen.promises
        else ""
    )
    say(
        console,
        f"{plan}, played {seen.seasons} times (seed {seen.seed}){': ' + kept if kept else ''}.",
        style="bold",
    )
    if moved:
        say(console, one_line(stale_words(moved)), style="bold")
    say(
        console,
        f"The sold work ends about {day_words(seen.likely_finish)}; with {seen.percentile:.0f} % by "
        f"{day_words(seen.percentile_finish)}. "
        f"It fits the season with {percent(seen.fits)}.",
    )
    for code, why in unplayed.items():
        say(console, f"Not played, its promise is at risk: {one_line(code)}, {one_line(why)}.", style="bold")
    say(console, "")
    table = Table(box=None, pad_edge=False)
    for name in ("job", "promised", "planned", "kept", "likely", sure_words(seen.percentile)):
        table.add_column(name, justify="right" if name == "kept" else "left", no_wrap=True)
    for job in seen.jobs:
        table.add_row(*(Text(cell) for cell in _cells(job)))
    show_table(console, table)
    say(console, "")
    months = Table(box=None, pad_edge=False)
    for name in ("month", "working days", "lost to weather", "slack to keep per crew"):
        months.add_column(name, justify="left" if name == "month" else "right", no_wrap=True)
    for month in seen.months:
        months.add_row(
            f"{month.month:%b %Y}",
            str(month.working_days),
            f"{month.weather_days:.1f} d",
            f"{month.keep_days:.1f} d",
        )
    show_table(console, months)
    say(console, "")
    say(console, rests_on(station, lost_per_wet_day, own_share=own_share))
    if forecast is not None:
        say(console, told_words(forecast))


def told_words(forecast: ForecastFile) -> str:
    """Until when the rain goes by the forecast, in one sentence."""
    return f"Until {day_words(max(forecast.days))} the rain goes by the {one_line(forecast.source)}."


def _cells(job: JobOutlook) -> tuple[str, ...]:
    promised = day_words(job.promised) if job.promised else "-"
    kept = "-"
    if job.kept is not None and job.error is not None:
        kept = percent(job.kept) + (f" ±{job.error * 100:.0f}" if job.error >= 0.005 else "   ")
    return (
        job.job,
        promised,
        day_words(job.planned),
        kept,
        day_words(job.likely),
        day_words(job.percentile_day),
    )


def rests_on(station: Station | None, lost_per_wet_day: float, *, own_share: bool) -> str:
    """Where the weather comes from, in one sentence."""
    if station is None:
        return (
            "Weather is left out: no station in the firm's state. Choose one with --station, or keep your "
            "own with `planner chance station FILE`."
        )
    basis = "from your own rain entries" if own_share else "a default, to be calibrated"
    return (
        f"Weather: {station.name}, days with 0.10 in or more, {station.period} ({station.source}); "
        f"{lost_per_wet_day:.2f} crew days lost per wet day ({basis})."
    )


def chance_data(
    seen: Outlook, number: int, station: Station | None, lost_per_wet_day: float, *, own_share: bool
) -> dict[str, Any]:
    """The outlook for `--json`; chances run from 0 to 1."""
    year, week = seen.runs_out
    return {
        "plan": number,
        "seasons": seen.seasons,
        "seed": seen.seed,
        "percentile": seen.percentile,
        "promises": seen.promises,
        "expected_kept": seen.expected_kept,
        "mean_finish": seen.mean_finish,
        "likely_finish": seen.likely_finish,
        "percentile_finish": seen.percentile_finish,
        "runs_out_week": f"{year}-W{week:02}",
        "fits_season": seen.fits,
        "jobs": list(seen.jobs),
        "months": list(seen.months),
        "station": station.name if station else None,
        "lost_per_wet_day": lost_per_wet_day,
        "lost_per_wet_day_is_own": own_share,
    }
