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
    from planner.domain.forecast.basis import Basis
    from planner.domain.forecast.outlook import JobOutlook, Outlook
    from planner.domain.forecast.raising import Raise


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
    basis: Basis,
    *,
    raises: Sequence[Raise] | None,
    unplayed: Mapping[str, str],
    moved: Sequence[Moved],
) -> None:
    """plan: how the plan is called; moved: what changed since; unplayed: job -> why it was not played.

    raises: what would keep more promises, None when it was not asked.
    """
    kept = (
        f"{seen.expected_kept:.1f} of {counted(seen.promises, 'promise')} kept on average"
        f"{_off(seen.kept_error, 1)}"
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
        f"The sold work ends about {day_words(seen.likely_finish)}{_days_off(seen.likely_error_days)}; with "
        f"{seen.percentile:.0f} % by {day_words(seen.percentile_finish)}"
        f"{_days_off(seen.percentile_error_days)}. "
        f"It fits the season with {percent(seen.fits)}{_off(seen.fits_error * 100, 0)}.",
    )
    for code, why in unplayed.items():
        say(console, f"Not played, its promise is at risk: {one_line(code)}, {one_line(why)}.", style="bold")
    say(console, "")
    _tables(console, seen)
    if raises is not None:
        for line in raises_lines(raises, seen):
            say(console, line, hang=4)
        say(console, "")
    say(
        console,
        f"± is one standard error of {seen.seasons} played seasons: another seed moves a figure by so much.",
    )
    for line in rests_on(basis):
        say(console, line)


def _tables(console: Console, seen: Outlook) -> None:
    """Each promise, then each month."""
    from rich.table import Table
    from rich.text import Text

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
            f"{month.weather_days:.1f}{_off(month.weather_error_days, 1)} d",
            f"{month.keep_days:.1f}{_off(month.keep_error_days, 1)} d",
        )
    show_table(console, months)
    say(console, "")


def _cells(job: JobOutlook) -> tuple[str, ...]:
    promised = day_words(job.promised) if job.promised else "-"
    return (
        job.job,
        promised,
        day_words(job.planned),
        _kept(job),
        day_words(job.likely),
        day_words(job.percentile_day),
    )


def _off(error: float, digits: int) -> str:
    """ " ±0.3"; nothing when it would round to nothing."""
    words = f"{error:.{digits}f}"
    return f" ±{words}" if float(words) > 0 else ""


def _kept(job: JobOutlook) -> str:
    if job.kept is None or job.error is None:
        return "-"
    return percent(job.kept) + (f" ±{job.error * 100:.0f}" if job.error >= 0.005 else "   ")


def kept_words(seen: Outlook) -> dict[str, str]:
    """Job -> how likely its promise is kept, with the figure's own error; only jobs with a promise."""
    return {job.job: _kept(job).strip() for job in seen.jobs if job.kept is not None}


def _days_off(error: float) -> str:
    words = _off(error, 0)
    return f"{words} {'day' if words == ' ±1' else 'days'}" if words else ""


def raises_lines(raises: Sequence[Raise], seen: Outlook) -> list[str]:
    """What would keep most more promises, and what each costs."""
    if not raises:
        enough = seen.expected_kept > seen.promises - 0.05
        return ["No promise needs help." if enough else "Nothing was found that would keep more promises."]
    lines = ["What would keep most more promises, in the same luck:"]
    for one in raises:
        days = f", {day_words(one.first)} to {day_words(one.last)}" if one.first and one.last else ""
        cost = f"{'-' if one.cost_usd < 0 else ''}${abs(one.cost_usd):,.0f}"
        told = f"; {counted(one.calls, 'client')} to call" if one.calls else ""
        more = f"+{one.more_kept:.1f}{_off(one.error, 1)}"
        lines.append(f"  {more}  {one_line(one.what)}{days}: {cost} ({one.basis}){told}")
    return lines


def rests_on(basis: Basis) -> list[str]:
    """Where the luck comes from, a sentence each."""
    climate, book = basis.climate, basis.book
    late, sick, down = book.mishaps, book.mishaps.sick, book.mishaps.down
    lines = [
        "Weather is left out: no station in the firm's state. Choose one with --station, or keep your "
        "own with `planner chance station FILE`."
    ]
    if climate.station is not None:
        share = "from your own rain entries" if climate.own_share else "a default, to be calibrated"
        asked = "as asked" if basis.carry_over != book.carry_over else book.sources.get("weather", "")
        lines = [
            f"Weather: {climate.station.name}, days with 0.10 in or more, {climate.station.period} "
            f"({climate.station.source}); {climate.lost_per_wet_day:.2f} crew days lost per wet day "
            f"({share}); a wet day carries over to the next by {basis.carry_over:.2f} ({asked})."
        ]
    if basis.forecast is not None:
        last = day_words(max(basis.forecast.days))
        lines.append(f"Until {last} the rain goes by the {one_line(basis.forecast.source)}.")
    return [
        *lines,
        f"Sick: {sick.share:.1%} of each person's days, {sick.days:g} at a time "
        f"({book.sources.get('sick', '')}).",
        f"Machines: each is broken on {down.share:.1%} of days, {down.days:g} at a time "
        f"({book.sources.get('breakdown', '')}).",
        f"Deliveries: {late.late_share:.0%} come late, by {late.late_days:g} days "
        f"({book.sources.get('delivery', '')}).",
    ]


def chance_data(seen: Outlook, number: int, basis: Basis, raises: Sequence[Raise] | None) -> dict[str, Any]:
    """The outlook for `--json`; chances run from 0 to 1, `..._error` is one standard error of its figure."""
    station, mishaps = basis.climate.station, basis.book.mishaps
    year, week = seen.runs_out
    return {
        "plan": number,
        "seasons": seen.seasons,
        "seed": seen.seed,
        "percentile": seen.percentile,
        "promises": seen.promises,
        "expected_kept": seen.expected_kept,
        "expected_kept_error": seen.kept_error,
        "mean_finish": seen.mean_finish,
        "likely_finish": seen.likely_finish,
        "percentile_finish": seen.percentile_finish,
        "runs_out_week": f"{year}-W{week:02}",
        "fits_season": seen.fits,
        "fits_season_error": seen.fits_error,
        "likely_error_days": seen.likely_error_days,
        "percentile_error_days": seen.percentile_error_days,
        "jobs": list(seen.jobs),
        "months": list(seen.months),
        "station": station.name if station else None,
        "lost_per_wet_day": basis.climate.lost_per_wet_day,
        "lost_per_wet_day_is_own": basis.climate.own_share,
        "carry_over": basis.carry_over,
        "sick_share": mishaps.sick.share,
        "sick_days": mishaps.sick.days,
        "breakdown_share": mishaps.down.share,
        "breakdown_days": mishaps.down.days,
        "late_delivery_share": mishaps.late_share,
        "late_delivery_days": mishaps.late_days,
        "sources": dict(basis.book.sources),
        "raises": None if raises is None else list(raises),
    }
