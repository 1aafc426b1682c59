"""The season at a glance: each job as a bar on its crew's line, load by week against capacity, milestones.

In: a season and the plan that is shown. Out: a `SeasonView`. Weeks are ISO 8601 weeks, Monday to Sunday.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from planner.domain.firm.actuals import Log
from planner.domain.firm.calendar import Window, crew_windows, days_between, spare_days
from planner.domain.firm.firm import Firm
from planner.domain.firm.jobs import Job, Status
from planner.domain.firm.phases import Phase
from planner.domain.firm.records import Hold, Moved
from planner.domain.season.cost import site_open
from planner.domain.season.plan import Booking, Plan
from planner.domain.season.season import Season
from planner.domain.standing.locate_standing import LocateStanding
from planner.domain.standing.worked import WorkedDays


@dataclass(frozen=True, slots=True)
class Bar:
    """One job. crew: who leads its first work; first, finish: start and water in; told: finish as published.

    begun: work on the site has started; late_days: working days from promise to finish, 0 when kept;
    hindrance: why its work cannot go as planned, "" when it can; visit: no install, no water goes in.
    """

    job: str
    client: str
    crew: str
    first: date
    finish: date
    promised: date | None
    told: date | None
    begun: bool
    late_days: int
    hindrance: str = ""
    visit: bool = False


@dataclass(frozen=True, slots=True)
class WeekLoad:
    """One ISO week: crew-hours of all crews, and starts and water-ins of installs that fall in it.

    worked_h: logged; to_go_h: planned and still to come; capacity_h: possible.
    """

    year: int
    week: int
    monday: date
    worked_h: float
    to_go_h: float
    capacity_h: float
    starts: tuple[str, ...]
    water_in: tuple[str, ...]

    @property
    def booked_h(self) -> float:
        """Worked and to go together [crew-hours]."""
        return self.worked_h + self.to_go_h

    @property
    def load(self) -> float:
        """Booked over possible; 0 when nothing is possible."""
        return self.booked_h / self.capacity_h if self.capacity_h else 0.0


@dataclass(frozen=True, slots=True)
class SeasonView:
    """crews: name -> its bars by first day; weeks from the first shown to the last, empty ones too.

    held: places kept for inquiries: not sold, and not in the weeks' hours; unplanned: jobs that are sold and
    that the plan does not hold; moved: what changed since it was made; locates: not clear; finished: done
    jobs as their hours tell; inquiries: asked for and not sold.
    """

    today: date
    plan_number: int
    published: bool
    crews: Mapping[str, tuple[Bar, ...]]
    weeks: tuple[WeekLoad, ...]
    held: tuple[Hold, ...] = ()
    unplanned: tuple[Job, ...] = ()
    moved: tuple[Moved, ...] = ()
    locates: tuple[LocateStanding, ...] = ()
    finished: tuple[Bar, ...] = ()
    inquiries: tuple[Job, ...] = ()

    @property
    def bars(self) -> tuple[Bar, ...]:
        """Every job, by first day."""
        return tuple(sorted((b for row in self.crews.values() for b in row), key=lambda b: (b.first, b.job)))


def finished_bars(jobs: Iterable[Job], logs: Iterable[Log], firm: Firm) -> tuple[Bar, ...]:
    """The jobs that are done, from their first logged day to their last, by last day; none without hours.

    The crew is the one that began; a job that ended after its promise says by how many working days.
    """
    hours: dict[str, list[Log]] = defaultdict(list)
    for log in logs:
        hours[log.job].append(log)
    found = []
    for job in jobs:
        own = sorted(hours[job.code], key=lambda log: (log.day, log.id))
        if job.status is Status.DONE and own:
            first, last = own[0], own[-1].day
            late_days = max(0, -spare_days(firm, last, job.promised)) if job.promised else 0
            found.append(
                Bar(job.code, job.client, first.crew, first.day, last, job.promised, None, True, late_days)
            )
    return tuple(sorted(found, key=lambda bar: (bar.finish, bar.job)))


def season_view(
    season: Season,
    plan: Plan,
    logs: Iterable[Log] = (),
    held: Iterable[Hold] = (),
    hurt: Mapping[str, str] | None = None,
    moved: tuple[Moved, ...] = (),
) -> SeasonView:
    """The plan's jobs and weeks, and the places held for inquiries.

    Work already done counts for a job's first day; a week's hours are what was logged and what is to come.
    hurt: job -> why its work cannot go as planned; moved: what changed since the plan was made.
    """
    planned = [b for b in plan.bookings if b.key in season.works]
    rows = [*season.done, *planned]
    bars: dict[str, list[Bar]] = {name: [] for name in season.crews}
    for code in sorted({b.job for b in rows}):
        bar = _bar(season, code, [b for b in rows if b.job == code], (hurt or {}).get(code, ""))
        bars.setdefault(bar.crew, []).append(bar)
    return SeasonView(
        today=season.now.date(),
        plan_number=plan.number,
        published=plan.published_at is not None,
        crews={name: tuple(sorted(row, key=lambda b: (b.first, b.job))) for name, row in bars.items()},
        weeks=_weeks(season, rows, planned, WorkedDays(logs)),
        held=tuple(sorted(held, key=lambda h: (h.start or h.until, h.job))),
        unplanned=unplanned_jobs(season, plan),
        moved=moved,
    )


def unplanned_jobs(season: Season, plan: Plan) -> tuple[Job, ...]:
    """The sold jobs that the plan does not hold and nobody has begun, by promise."""
    held = {b.job for b in plan.bookings} | {b.job for b in season.done}
    found = [job for code, job in season.jobs.items() if code not in held]
    return tuple(sorted(found, key=lambda job: (job.promised or date.max, job.code)))


def _bar(season: Season, code: str, mine: Sequence[Booking], hindrance: str) -> Bar:
    first = min(mine, key=lambda b: (b.start, b.key))
    finish = max(b.end for b in mine).date()
    told = [b.end for key, b in season.published.items() if key.job == code]
    promised = season.jobs[code].promised
    return Bar(
        job=code,
        client=season.jobs[code].client,
        crew=first.lead,
        first=first.start.date(),
        finish=finish,
        promised=promised,
        told=max(told).date() if told else None,
        begun=any(b.job == code for b in season.done),
        late_days=max(0, -spare_days(season.firm, finish, promised)) if promised else 0,
        hindrance=hindrance,
        visit=season.jobs[code].visit is not None,
    )


def monday_of(day: date) -> date:
    """The Monday of the ISO week that holds `day`."""
    return day - timedelta(days=day.weekday())


def _weeks(
    season: Season, rows: Sequence[Booking], planned: Sequence[Booking], worked: WorkedDays
) -> tuple[WeekLoad, ...]:
    if not rows:
        return ()
    begin = monday_of(min(b.start for b in rows).date())
    end = monday_of(max(*(b.end.date() for b in rows), season.last_day))
    windows = _Windows(season)
    done_h: dict[date, float] = defaultdict(float)
    to_go_h: dict[date, float] = defaultdict(float)
    for entry in worked.logs:
        done_h[monday_of(entry.day)] += entry.crew_h
    for b in planned:
        for day in days_between(b.start.date(), b.end.date()):
            if worked.is_ahead(b, day):
                to_go_h[monday_of(day)] += windows.worked_h(b, day)
    starts, ends = _milestones(rows)
    found = []
    for monday in (begin + timedelta(weeks=n) for n in range((end - begin).days // 7 + 1)):
        days = list(days_between(monday, monday + timedelta(days=6)))
        capacity = sum(windows.of(crew, day)[1] for crew in season.crews for day in days)
        iso = monday.isocalendar()
        found.append(
            WeekLoad(
                iso.year,
                iso.week,
                monday,
                done_h[monday],
                to_go_h[monday],
                capacity,
                tuple(sorted(starts.get(monday, ()))),
                tuple(sorted(ends.get(monday, ()))),
            )
        )
    return tuple(found)


def _milestones(rows: Sequence[Booking]) -> tuple[dict[date, list[str]], dict[date, list[str]]]:
    starts: dict[date, list[str]] = defaultdict(list)
    ends: dict[date, list[str]] = defaultdict(list)
    for code in {b.job for b in rows if b.phase is not Phase.VISIT}:
        mine = [b for b in rows if b.job == code]
        starts[monday_of(min(b.start for b in mine).date())].append(code)
        ends[monday_of(max(b.end for b in mine).date())].append(code)
    return starts, ends


class _Windows:
    """Windows of crews by day, asked for once."""

    def __init__(self, season: Season) -> None:
        self.season = season
        self._known: dict[tuple[str, date], tuple[tuple[Window, ...], float]] = {}

    def of(self, crew: str, day: date) -> tuple[tuple[Window, ...], float]:
        """The crew's windows on the day, and their hours."""
        if (crew, day) not in self._known:
            found = crew_windows(self.season.firm, self.season.crews[crew], day, self.season.lost)
            self._known[crew, day] = (found, sum(w.minutes for w in found) / 60)
        return self._known[crew, day]

    def worked_h(self, booking: Booking, day: date) -> float:
        """Hours that the booking's crews work on it on the day, added over the crews [crew-hours]."""
        if not site_open(self.season, booking.job, day):
            return 0.0
        if any(crew not in self.season.crews for crew in booking.crews):
            return 0.0
        teams = [self.of(c, day)[0] for c in booking.crews]
        if not all(teams):
            return 0.0
        shortest = min(teams, key=lambda ws: sum(w.minutes for w in ws))
        spans = [(max(w.start, booking.start), min(w.end, booking.end)) for w in shortest]
        minutes = sum((b - a).total_seconds() / 60 for a, b in spans if a < b)
        return minutes / 60 * len(teams)
