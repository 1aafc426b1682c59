"""The week's board: which crew does what on which day, and which promised dates are at risk.

In: the roster, a plan, any day of the week, today. Out: a `Board` with one row a crew, one cell a day.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from enum import StrEnum
from typing import NoReturn

from planner.domain.crew_day.misses import LoggedMiss
from planner.domain.crew_day.pauses import Gap, gaps
from planner.domain.firm.actuals import Log
from planner.domain.firm.calendar import is_working_day, shift, spare_days
from planner.domain.firm.crews import Crew
from planner.domain.firm.jobs import PLANNED, Job
from planner.domain.firm.lost import LostKind
from planner.domain.firm.people import lead_of, whereabouts
from planner.domain.firm.phases import Phase, PhaseRule
from planner.domain.firm.records import Moved
from planner.domain.safety.weather import ForecastFile
from planner.domain.season.plan import Plan
from planner.domain.standing.hindrance import why_off
from planner.domain.standing.in_force import hindered
from planner.domain.standing.locate_standing import LocateStanding, not_clear
from planner.domain.standing.roster import Roster
from planner.domain.standing.stints import Stint, stints
from planner.domain.standing.trade_gates import Appointment, appointments
from planner.domain.standing.worked import WorkedDays
from planner.domain.wording import counted
from planner.errors import BadInput
from planner.units import US

#: Working days between planned finish and promise below which a promise is tight. Default, to be calibrated.
TIGHT_DAYS = 2


class Risk(StrEnum):
    """How a promised date stands against the plan."""

    SAFE = "in time"
    TIGHT = "tight"
    LATE = "late"
    UNPLANNED = "not in the plan"
    HINDERED = "hindered"


@dataclass(frozen=True, slots=True)
class Promise:
    """One promised job. finish: last planned day; spare_days: working days left to the promise, < 0 late.

    hindrance: the first thing that keeps its work from going as planned, so that the finish is not to be
    trusted before the season is planned again; "" when there is none. rain_days: of the working days that its
    crews are on it, so many are lost on average by the forecast; it counts towards the risk [days].
    """

    job: str
    client: str
    promised: date
    finish: date | None
    spare_days: int
    risk: Risk
    hindrance: str = ""
    rain_days: float = 0.0


@dataclass(frozen=True, slots=True)
class Cell:
    """One crew and day. stints: what is to come; worked: what was logged, in place of what was planned.

    why: the reason when nobody works (day off, holiday, rain), "" when just free.
    short: why and until when a day is shorter than usual, and whose people are elsewhere; "" for a whole one.
    lead: who leads the crew that day; gaps: the hours without work.
    """

    day: date
    stints: tuple[Stint, ...]
    why: str = ""
    short: str = ""
    worked: tuple[Log, ...] = ()
    lead: str = ""
    gaps: tuple[Gap, ...] = ()

    @property
    def crew_h(self) -> float:
        """Hours of the day, worked and to come [crew-hours]."""
        return sum(s.crew_h for s in self.stints) + sum(e.crew_h for e in self.worked)


@dataclass(frozen=True, slots=True)
class Row:
    """One crew's week. gone: it is off the records, and its booked work has no crew."""

    crew: str
    lead: str
    size: int
    cells: tuple[Cell, ...]
    gone: bool = False


@dataclass(frozen=True, slots=True)
class Board:
    """One week. promises: those not safe, worst first; risk: code -> Risk of every promised job;
    clients: code -> name; missed: checks that were missed on any site and are not settled; moved: what
    changed since the plan was made, empty when it is not stale; locates: of the digs of this week and before
    that are not clear; parted: how this week's jobs and their kept designs differ, one line a job; visiting:
    who comes from outside in this week, and those whose day passed and who are not ticked off; weather: what
    the forecast says of the week's days to come, None where it says nothing; units: as the firm sees them.
    """

    monday: date
    days: tuple[date, ...]
    rows: tuple[Row, ...]
    promises: tuple[Promise, ...]
    risk: Mapping[str, Risk]
    clients: Mapping[str, str]
    plan_number: int
    published: bool
    missed: tuple[LoggedMiss, ...] = ()
    moved: tuple[Moved, ...] = ()
    locates: tuple[LocateStanding, ...] = ()
    parted: tuple[str, ...] = ()
    visiting: tuple[Appointment, ...] = ()
    weather: ForecastFile | None = None
    units: str = US

    @property
    def week(self) -> str:
        """ISO 8601 week: "2027-W15"."""
        year, week, _ = self.monday.isocalendar()
        return f"{year}-W{week:02d}"


def board(
    roster: Roster,
    plan: Plan,
    day: date,
    missed: tuple[LoggedMiss, ...] = (),
    logs: Iterable[Log] = (),
    rules: Mapping[Phase, PhaseRule] | None = None,
) -> Board:
    """The board of the ISO week that holds `day`. A weekend day appears when someone works on it.

    logs: what was worked stays on the board in place of what was planned for that day; rules: by which the
    gaps of a day are told (`pauses`), none of them when None.
    """
    worked = WorkedDays(logs)
    monday = day - timedelta(days=day.weekday())
    week = [monday + timedelta(days=n) for n in range(7)]
    rows = tuple(
        Row(
            c.name,
            c.lead,
            c.size,
            tuple(_cell(roster, plan, worked, c.name, d, rules) for d in week),
            c.name not in roster.crews,
        )
        for c in (*roster.crews.values(), *_gone(roster, plan, week))
    )
    shown = [
        n
        for n, d in enumerate(week)
        if n < 5
        or is_working_day(roster.firm, d)
        or any(r.cells[n].stints or r.cells[n].worked for r in rows)
    ]
    found = promises(roster, plan)
    return Board(
        monday=monday,
        days=tuple(week[n] for n in shown),
        rows=tuple(replace(r, cells=tuple(r.cells[n] for n in shown)) for r in rows),
        promises=tuple(p for p in found if p.risk is not Risk.SAFE),
        risk={p.job: p.risk for p in found},
        clients={code: job.client for code, job in roster.jobs.items()},
        plan_number=plan.number,
        published=plan.published_at is not None,
        missed=missed,
        moved=roster.moved,
        locates=tuple(s for s in not_clear(roster.locates) if s.dig.date() <= week[-1]),
        parted=tuple(filter(None, map(roster.parted, _to_come(rows)))),
        visiting=tuple(_visiting(roster, plan, monday, week[-1])),
        weather=_weather(roster, week),
        units=roster.firm.units,
    )


def _weather(roster: Roster, week: Sequence[date]) -> ForecastFile | None:
    """The forecast of the week's days from today on; None when it tells of none of them."""
    if roster.forecast is None:
        return None
    ahead = [day for day in week if roster.today is None or day >= roster.today]
    days = {day: told for day, told in roster.forecast.days.items() if day in ahead}
    return replace(roster.forecast, days=days) if days else None


def _visiting(roster: Roster, plan: Plan, monday: date, sunday: date) -> Iterable[Appointment]:
    """Who comes in the week; of those before it only who did not come and holds work."""
    for one in appointments(roster.jobs, plan.bookings):
        missed = one.day < monday and one.misfit and not one.met
        if monday <= one.day <= sunday or missed:
            yield one


def _to_come(rows: Iterable[Row]) -> list[str]:
    """The jobs that any crew of the rows still works on."""
    return sorted({s.key.job for row in rows for cell in row.cells for s in cell.stints})


def _gone(roster: Roster, plan: Plan, week: Sequence[date]) -> list[Crew]:
    """The crews that are off the records and are booked in the week."""
    near = [b for b in plan.bookings if b.start.date() <= week[-1] and b.end.date() >= week[0]]
    names = sorted({crew for b in near for crew in b.crews} - set(roster.crews))
    return [roster.once(name) for name in names]


def week_day(text: str) -> date:
    """The Monday of an ISO 8601 week written as "2027-W15".

    >>> week_day("2027-W01")
    datetime.date(2027, 1, 4)
    """
    written = re.fullmatch(r"(20\d\d)-W([0-5]\d)", text.strip().upper(), re.ASCII)
    try:
        return date.fromisocalendar(int(written[1]), int(written[2]), 1) if written else _no_week(text)
    except ValueError:
        return _no_week(text)


def _no_week(text: str) -> NoReturn:
    raise BadInput("week", text, "write year and ISO week, for example 2027-W15")


def promises(roster: Roster, plan: Plan) -> list[Promise]:
    """Every promised, unfinished job, worst first."""
    hurt = hindered(roster, plan)
    found = [
        _promise(roster, plan, job, job.promised, hurt.get(job.code, ""))
        for job in roster.jobs.values()
        if job.promised is not None and job.status in PLANNED
    ]
    return sorted(found, key=lambda p: (min(p.spare_days, -1 if p.hindrance else p.spare_days), p.job))


def _promise(roster: Roster, plan: Plan, job: Job, promised: date, why: str) -> Promise:
    finish = plan.finish(job.code)
    if finish is None:
        return Promise(job.code, job.client, promised, None, 0, Risk.UNPLANNED)
    spare, rain = spare_days(roster.firm, finish, promised), _rain_days(roster, plan, job.code)
    risk = Risk.TIGHT if spare - int(rain + 0.5) < TIGHT_DAYS else Risk.SAFE
    risk = Risk.LATE if spare < 0 else Risk.HINDERED if why else risk
    return Promise(job.code, job.client, promised, finish, spare, risk, why, rain)


def _rain_days(roster: Roster, plan: Plan, code: str) -> float:
    """Working days on the job that the forecast takes on average, days that are past left out [days]."""
    told = roster.forecast
    if told is None:
        return 0.0
    ahead = [day for day in told.days if roster.today is None or day >= roster.today]
    crews = {crew for b in plan.bookings if b.job == code for crew in b.crews}
    on_site = [d for d in ahead if any(s.key.job == code for c in crews for s in stints(roster, plan, c, d))]
    return told.expected_lost_days(on_site)


def _cell(
    roster: Roster,
    plan: Plan,
    worked: WorkedDays,
    crew: str,
    day: date,
    rules: Mapping[Phase, PhaseRule] | None,
) -> Cell:
    planned = stints(roster, plan, crew, day)
    work = tuple(s for s in planned if worked.is_ahead(s.booking, day))
    done = worked.of(crew, day)
    why = "" if work or done else why_off(roster, crew, day)
    own = roster.crews.get(crew) or roster.once(crew)
    between = () if done or rules is None else tuple(gaps(roster, plan, rules, planned))
    return Cell(day, work, why, short_day(roster, crew, day), done, lead_of(own, day), between)


def short_day(roster: Roster, crew: str, day: date) -> str:
    """Why `crew` works only a part of `day`, and until when: "half day, until 11:00"; "" for a whole day.

    Also which of its people are elsewhere or come to it, and who leads then: "Ada Marsh is away, Ben leads".
    """
    windows = roster.windows(crew, day)
    short = [
        f"{counted(entry.people, 'person', 'people')} short"
        for entry in roster.lost
        if entry.kind is LostKind.CREW_SHORT and entry.target == crew and day in entry.days
    ]
    half = ["half day"] if day in roster.firm.half_days else []
    why = [*half, *short, *(whereabouts(roster.crews[crew], day) if windows else ())]
    if not why or not windows:
        return ""
    end, whole = windows[-1].end, shift(roster.firm, day)[-1].end
    until = f", until {end.hour}:{end.minute:02d}" if half or short or end < whole else ""
    return ", ".join(why) + until
