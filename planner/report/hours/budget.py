"""Labor in dollars, and what is not labor: for the terminal, the pages and `--json`."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from planner.domain.wording import counted
from planner.report.hours.ledger import plain_table
from planner.report.terminal import say, show_table

if TYPE_CHECKING:
    from rich.console import Console

    from planner.domain.hours.budget import Budget, Dollars
    from planner.domain.season.pricing import Beside

#: Besides labor, as planned.
BESIDE = ("job", "material", "ordered", "machines", "haul", "others", "not labor", "with labor")
#: After a sum that lacks what has no price.
MORE = "+"
HEADS = ("sold", "now", "worked", "left", "at the end", "over")


def dollar_cells(told: Dollars) -> tuple[str, ...]:
    """Sold, told now, worked, left, at the end, and what that is beyond what was sold."""
    over = f"{round(told.over_usd):+,d}" if told.worked_usd and told.sold_usd else ""
    figures = (told.sold_usd, told.now_usd, told.worked_usd, told.left_usd, told.end_usd)
    return (*(f"{usd:,.0f}" for usd in figures), over)


def budget_parts(found: Budget) -> list[tuple[tuple[str, ...], list[tuple[str, ...]]]]:
    """The tables as heads and rows of text, in dollars."""
    jobs = [
        (j.job, *dollar_cells(j.dollars), f"{j.likely_usd:,.0f} to {j.safe_usd:,.0f}") for j in found.jobs
    ]
    if len(found.jobs) > 1:
        jobs.append(("all", *dollar_cells(found.dollars), ""))
    phases = [(phase.words, *dollar_cells(told)) for phase, told in found.by_phase().items()]
    crews = [(crew, *dollar_cells(told)) for crew, told in found.by_crew().items()]
    return [
        (("job", *HEADS, "end, range"), jobs),
        (("phase", *HEADS), phases),
        (("crew", *HEADS), crews),
        *([(BESIDE, _beside_rows(found))] if found.beside else []),
    ]


def _beside_rows(found: Budget) -> list[tuple[str, ...]]:
    """Each job's costs besides labor, and with its labor at the end."""
    rows = [(job, found.beside[job.job]) for job in found.jobs if job.job in found.beside]
    return [
        (
            job.job,
            *(f"{usd:,.0f}" for usd in (it.materials_usd, it.ordered_usd, it.machines_usd)),
            *(f"{usd:,.0f}" for usd in (it.haul_usd, it.visits_usd)),
            *(f"{usd:,.0f}{MORE if it.unpriced else ''}" for usd in (it.usd, found.end_usd(job) or 0.0)),
        )
        for job, it in rows
    ]


def budget_lines(found: Budget) -> list[str]:
    """What the columns mean."""
    return [
        "Dollars of labor: the hours as told without dollars, x the people who work them, x "
        f"${found.usd_h:.2f} a labour-hour (money.toml); worked by the hands that were logged.",
        "The range at the end is what half and what 9 in 10 jobs do not exceed, judged by the hours so far.",
        *_beside_lines(found),
    ]


def _beside_lines(found: Budget) -> list[str]:
    if not found.beside:
        return []
    lacking = sum(len(it.unpriced) for it in found.beside.values())
    without = (
        f" A + stands where something has no price yet ({counted(lacking, 'row')} in all): planner price."
        if lacking
        else ""
    )
    return [
        "Not labor: as planned, at the price's cost without markup (planner price); ordered is what of the "
        f"material is ordered, confirmed or here. What was paid is not logged.{without} With labor: labor at "
        "the end and all of it."
    ]


def budget_page(console: Console, found: Budget) -> None:
    """By job, by phase, by crew."""
    if not found.jobs:
        say(console, "No job is sold or under way: planner job add, planner hours --done for finished ones.")
        return
    for head, rows in budget_parts(found):
        show_table(console, plain_table(head, rows))
        console.print()
    for line in budget_lines(found):
        say(console, line)


def budget_data(found: Budget) -> dict[str, Any]:
    """The budget for `--json`."""
    return {
        "plan": found.plan,
        "labor_usd_h": found.usd_h,
        "jobs": [
            {
                "job": job.job,
                "client": job.client,
                **_data(job.dollars),
                "end_p50_usd": job.likely_usd,
                "end_p90_usd": job.safe_usd,
                "not_labor": _beside_data(found.beside.get(job.job)),
                "end_with_all_usd": found.end_usd(job),
                "phases": [
                    {"phase": phase.value, "crew": job.crews[phase], **_data(told)}
                    for phase, told in job.phases.items()
                ],
            }
            for job in found.jobs
        ],
        "phases": [{"phase": phase.value, **_data(told)} for phase, told in found.by_phase().items()],
        "crews": [{"crew": crew, **_data(told)} for crew, told in found.by_crew().items()],
        **_data(found.dollars),
    }


def _beside_data(it: Beside | None) -> dict[str, Any] | None:
    if it is None:
        return None
    return {
        "materials_usd": it.materials_usd,
        "ordered_usd": it.ordered_usd,
        "machines_usd": it.machines_usd,
        "haul_usd": it.haul_usd,
        "visits_usd": it.visits_usd,
        "planned_usd": it.usd,
        "unpriced": list(it.unpriced),
    }


def _data(told: Dollars) -> dict[str, float]:
    return {
        "sold_usd": told.sold_usd,
        "now_usd": told.now_usd,
        "worked_usd": told.worked_usd,
        "left_usd": told.left_usd,
        "end_usd": told.end_usd,
        "over_usd": told.over_usd,
    }
