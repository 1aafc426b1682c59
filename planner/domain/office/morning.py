"""The morning: each crew's work today, promises at risk, what the office must do, and the next step.

In: a board that was drawn for today's week, the office's items, the logbook. Out: `Morning`.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from shlex import quote

from planner.domain.crew_day.board import Board, Cell, Promise, Row
from planner.domain.crew_day.misses import LoggedMiss
from planner.domain.dates import day_words
from planner.domain.firm.actuals import Log
from planner.domain.firm.records import Moved
from planner.domain.office.items import Kind, OfficeItem
from planner.domain.safety.weather import ForecastFile
from planner.domain.standing.locate_standing import LocateStanding
from planner.domain.standing.trade_gates import Appointment
from planner.units import US


@dataclass(frozen=True, slots=True)
class Step:
    """A command to try next, and why."""

    command: str
    why: str


@dataclass(frozen=True, slots=True)
class Morning:
    """One morning. rows: (crew, its cell of today, None on a day when nobody works); plan_number: None
    before the first plan; moved: what changed since the plan was made; unlogged: crews whose last planned day
    of the week has no hours yet; missed: checks missed on site that are not settled (office: all else due);
    locates: of this week's digs that may not go on as planned; forecast: of the days ahead; rain: working
    days that it is likely to take and how likely; no_forecast: why a kept one is not used, "" without one;
    visiting: who comes from outside today, and who was to come this week or before and does not fit.
    """

    day: date
    firm: str
    plan_number: int | None = None
    published: bool = False
    moved: tuple[Moved, ...] = ()
    rows: tuple[tuple[str, Cell | None], ...] = ()
    risks: tuple[Promise, ...] = ()
    office: tuple[OfficeItem, ...] = ()
    unlogged: tuple[str, ...] = ()
    steps: tuple[Step, ...] = ()
    missed: tuple[LoggedMiss, ...] = ()
    locates: tuple[LocateStanding, ...] = ()
    forecast: ForecastFile | None = None
    rain: Mapping[date, float] = field(default_factory=dict)
    no_forecast: str = ""
    units: str = US
    visiting: tuple[Appointment, ...] = ()


def morning(
    day: date,
    firm: str,
    shown: Board,
    office: Sequence[OfficeItem],
    logs: Sequence[Log],
    *,
    forecast: ForecastFile | None = None,
    rain: Mapping[date, float] | None = None,
    no_forecast: str = "",
    units: str = US,
) -> Morning:
    """The morning of `day`."""
    rows = tuple((row.crew, _cell(row, day)) for row in shown.rows)
    logged = {(log.crew, log.day) for log in logs}
    unlogged = tuple(
        row.crew for row in shown.rows if (last := _last_worked(row, day)) and (row.crew, last) not in logged
    )
    return Morning(
        day=day,
        firm=firm,
        plan_number=shown.plan_number,
        published=shown.published,
        moved=shown.moved,
        rows=rows,
        risks=shown.promises,
        office=tuple(item for item in office if item.kind is not Kind.MISSED),
        unlogged=unlogged,
        locates=tuple(s for s in shown.locates if s.grave or s.dig.date() <= day),
        visiting=tuple(a for a in shown.visiting if a.day == day or a.misfit),
        steps=(
            *_rain_steps(rain or {}),
            *_steps(rows, unlogged, stale=bool(shown.moved), published=shown.published),
        ),
        missed=shown.missed,
        forecast=forecast,
        rain=rain or {},
        no_forecast=no_forecast,
        units=units,
    )


def before_the_first_plan(day: date, firm: str, *, crews: bool, jobs: bool) -> Morning:
    """A morning without a plan: what is still missing."""
    steps = []
    if not crews:
        steps.append(Step("planner firm set --name ... --state ...", "say who you are and where"))
        steps.append(Step("planner crew add ...", "add your crews, then: planner machine add ..."))
    if not jobs:
        steps.append(Step("planner import jobs FILE", "bring in your jobs, or: planner job add ..."))
    if crews and jobs:
        steps.append(Step("planner plan make", "plan the season"))
    return Morning(day, firm, steps=tuple(steps))


def _cell(row: Row, day: date) -> Cell | None:
    return next((cell for cell in row.cells if cell.day == day), None)


def _last_worked(row: Row, day: date) -> date | None:
    """The crew's last planned or worked day of this week before `day`."""
    return max((c.day for c in row.cells if (c.stints or c.worked) and c.day < day), default=None)


def _rain_steps(rain: Mapping[date, float]) -> list[Step]:
    """The first day that rain is likely to take: call it off, then plan again."""
    return [
        Step(
            f"planner lost rain {day.isoformat()}",
            f"the forecast takes {day_words(day)}, {100 * rain[day]:.0f} % likely; then planner replan",
        )
        for day in sorted(rain)[:1]
    ]


def _steps(
    rows: Sequence[tuple[str, Cell | None]], unlogged: Sequence[str], *, stale: bool, published: bool
) -> list[Step]:
    steps = []
    if unlogged:
        steps.append(Step("planner log", f"hours of the last day are missing: {', '.join(unlogged)}"))
    if not published and stale:
        steps.append(Step("planner plan make", "the draft is stale: what it was made from changed"))
    elif not published:
        steps.append(Step("planner plan publish", "the plan is a draft: nobody was told"))
    elif stale:
        steps.append(Step("planner replan", "the plan is stale: what it was made from changed"))
    working = [crew for crew, cell in rows if cell is not None and cell.stints]
    if working:
        steps.append(Step(f"planner sheet {quote(working[0])}", "the crew lead's day sheet"))
    steps.append(Step("planner office list", "what the office must do, by date"))
    return steps
