"""The week as an owner looks at it: planned against worked, who has not reported, paid hours without work.

In: the roster, the plan, the logs, what a labour-hour costs. Out: a `Week`. Idle is what a crew is paid for
on a day that was reported, or is to come, beyond the hours of its work; a past day without a report is not
known.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, timedelta

from planner.domain.firm.actuals import Log
from planner.domain.season.plan import Plan
from planner.domain.standing.roster import Roster
from planner.domain.standing.stints import stints
from planner.domain.standing.view import monday_of

#: (crew, day) -> its logged crew-hours.
_Logged = Mapping[tuple[str, date], float]
#: So many weeks ahead and behind, this one not counted.
WEEKS_AHEAD = WEEKS_BEHIND = 4


@dataclass(frozen=True, slots=True)
class CrewWeek:
    """One crew's week.

    paid_h, planned_h, worked_h: [crew-hours]; idle_h: behind, of reported days; ahead_h: of days to come;
    silent: past days with work on them and no hours; behind_usd, ahead_usd: what its idle hours cost [USD].
    """

    crew: str
    people: int
    paid_h: float
    planned_h: float
    worked_h: float
    idle_h: float
    ahead_h: float
    silent: tuple[date, ...]
    behind_usd: float
    ahead_usd: float

    @property
    def usd(self) -> float:
        """What its idle hours of the week cost, behind and ahead [USD]."""
        return self.behind_usd + self.ahead_usd


@dataclass(frozen=True, slots=True)
class WeekBehind:
    """One week that is over, all crews, of days that were reported [crew-hours]; usd: its idle hours' cost.

    silent: paid crew days without logged hours, which are in none of the sums.
    """

    monday: date
    paid_h: float
    worked_h: float
    idle_h: float
    usd: float
    silent: int


@dataclass(frozen=True, slots=True)
class WeekAhead:
    """One week to come, all crews [crew-hours]; usd: what its idle hours cost."""

    monday: date
    paid_h: float
    planned_h: float
    idle_h: float
    usd: float


@dataclass(frozen=True, slots=True)
class Week:
    """One week, the next four and the last four. usd_h: what a labour-hour costs [USD]."""

    monday: date
    crews: tuple[CrewWeek, ...]
    ahead: tuple[WeekAhead, ...]
    usd_h: float
    behind: tuple[WeekBehind, ...] = ()


def week(roster: Roster, plan: Plan, logs: Iterable[Log], today: date, usd_h: float) -> Week:
    """The ISO week that holds `today`, the next four and the last four, by the plan that pages show."""
    logged: dict[tuple[str, date], float] = defaultdict(float)
    for log in logs:
        logged[log.crew, log.day] += log.crew_h
    monday = monday_of(today)
    days = [monday + timedelta(days=n) for n in range(7)]
    crews = tuple(_crew(roster, plan, logged, name, days, today, usd_h) for name in roster.crews)
    mondays = [monday + timedelta(weeks=n) for n in range(1, WEEKS_AHEAD + 1)]
    ahead = tuple(_ahead(roster, plan, m, usd_h) for m in mondays)
    past = [monday - timedelta(weeks=n) for n in range(1, WEEKS_BEHIND + 1)]
    return Week(monday, crews, ahead, usd_h, tuple(_behind(roster, logged, m, usd_h) for m in past))


def _crew(
    roster: Roster, plan: Plan, logged: _Logged, name: str, days: list[date], today: date, usd_h: float
) -> CrewWeek:
    people = roster.crews[name].size
    planned = {day: _planned_h(roster, plan, name, day) for day in days}
    worked = {day: logged.get((name, day), 0.0) for day in days}
    paid = {day: _paid_h(roster, name, day) for day in days}
    silent = tuple(d for d in days if d < today and planned[d] > 0 and worked[d] == 0)
    idle = sum(max(0.0, paid[d] - worked[d]) for d in days if d < today and d not in silent)
    ahead = sum(max(0.0, paid[d] - max(planned[d], worked[d])) for d in days if d >= today)
    has, needs, did = (sum(of.values()) for of in (paid, planned, worked))
    each = people * usd_h
    return CrewWeek(name, people, has, needs, did, idle, ahead, silent, idle * each, ahead * each)


def _behind(roster: Roster, logged: _Logged, monday: date, usd_h: float) -> WeekBehind:
    """A past week: a crew's day counts once an hour of it was logged."""
    paid = worked = idle = usd = 0.0
    silent = 0
    for name, crew in roster.crews.items():
        for day in (monday + timedelta(days=n) for n in range(7)):
            has = _paid_h(roster, name, day)
            did = logged.get((name, day), 0.0)
            if did == 0:
                silent += has > 0
                continue
            paid, worked, idle = paid + has, worked + did, idle + max(0.0, has - did)
            usd += max(0.0, has - did) * crew.size * usd_h
    return WeekBehind(monday, paid, worked, idle, usd, silent)


def _ahead(roster: Roster, plan: Plan, monday: date, usd_h: float) -> WeekAhead:
    paid = planned = idle = usd = 0.0
    for name, crew in roster.crews.items():
        for day in (monday + timedelta(days=n) for n in range(7)):
            has, needs = _paid_h(roster, name, day), _planned_h(roster, plan, name, day)
            paid, planned = paid + has, planned + needs
            idle += max(0.0, has - needs)
            usd += max(0.0, has - needs) * crew.size * usd_h
    return WeekAhead(monday, paid, planned, idle, usd)


def _paid_h(roster: Roster, crew: str, day: date) -> float:
    """Hours of the day that the crew is paid for [h]."""
    return sum(window.minutes for window in roster.windows(crew, day)) / 60.0


def _planned_h(roster: Roster, plan: Plan, crew: str, day: date) -> float:
    return sum(stint.crew_h for stint in stints(roster, plan, crew, day))
