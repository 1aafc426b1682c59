"""What a plan costs, term by named term: the one definition that the scheduler and the screens share.

In: a season and bookings. Out: `Cost` in whole US cents. Bookings already done count for visits, hand-overs,
days on site and the first day of a job, so that a plan made in June is judged with May's work in sight.
Terms (see `firm.Weights` for the prices):

- late: calendar days from the promise to the job's last booking's end, times importance; where a search aims
  at what will happen (`Season.late_usd`), what a day of its last booking's end is expected to cost
- waiting: calendar days from now to each job's last booking's end
- crew change: hand-overs between lead crews along a job's bookings by start
- leave and return: times a crew comes back to a job after working on another
- travel: miles per crew and day, depot - first site - ... - last site - depot
- site days: (crew, day) pairs on each site
- open days: calendar days from a job's first start to its last end, less one
- machine moves: a unit's changes of site, at the machine's own price
- moved: published jobs, not begun yet, whose first day or first lead changed
- open hole: calendar days from a job's first digging to the end of its liner, less one
- hole over days off: weekends and holidays from now on over which such a hole lies open
- calls: published jobs, not begun yet, whose first day changed
- begun over days off: weekends and holidays from now on between a piece's first and last day, for each piece
  but digging and liner, whose days off the open hole counts
- crumbs: a crew's runs of work on a site on a day of less than an hour (`crew_time.crumbs`)
- idle crews: labour-hours paid and not used in the weeks in which a crew works (`crew_time.idle_labour_h`)
- appointments: those who work beside the crew (hauler, crane) on whose day their work does not begin

There is no term for overtime: every booking lies inside its crews' paid hours (the checker's "working time"),
so no plan has any. A Saturday worked on trial is told by `standing.whatif` as overtime hours.

Being early costs nothing: of two plans of one price the one whose jobs end earlier is the better.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from datetime import date, datetime, timedelta
from itertools import groupby, pairwise
from typing import TypeVar

from planner.domain.firm.calendar import days_between, is_working_day, site_shut
from planner.domain.firm.jobs import TRADES, Gate, Overdue, Unbooked, Visiting
from planner.domain.firm.phases import Phase, WorkKey
from planner.domain.season.crew_time import crumbs, idle_labour_h, worked_windows
from planner.domain.season.plan import Booking, Cost
from planner.domain.season.season import Season
from planner.domain.season.travel import depot_miles, drive_miles

#: Term -> its price in `firm.Weights`, and what is counted: one, many. Late days count by importance; each
#: machine has its own price for moves.
COUNTED: Mapping[str, tuple[str, str, str]] = {
    "late": ("late_day", "day late", "days late"),
    "waiting": ("wait_day", "day to wait", "days to wait"),
    "crew change": ("crew_change", "hand-over", "hand-overs"),
    "leave and return": ("leave_and_return", "comeback", "comebacks"),
    "travel": ("travel_mile", "mile", "miles"),
    "site days": ("site_day", "crew day", "crew days"),
    "open days": ("open_day", "torn-up day", "torn-up days"),
    "open hole": ("hole_day", "day", "days"),
    "hole over days off": ("hole_rest", "time", "times"),
    "calls": ("call", "call", "calls"),
    "begun over days off": ("begun_rest", "time", "times"),
    "crumbs": ("crumb", "piece", "pieces"),
    "idle crews": ("idle_hour", "hour", "hours"),
    "appointments": ("appointment", "appointment", "appointments"),
}
K = TypeVar("K")
V = TypeVar("V")


def plan_cost(season: Season, bookings: Iterable[Booking]) -> Cost:
    """The cost of these bookings, each term rounded to a whole cent once [US cents]."""
    rows = sorted((*season.done, *bookings), key=lambda b: (b.start, b.end, b.key))
    of_job = _grouped((b.job, b) for b in rows)
    of_crew = _grouped((crew, b) for b in rows for crew in b.crews)
    weights = season.firm.weights
    crew_days = {crew: sites_by_day(season, mine) for crew, mine in of_crew.items()}
    dollars = {
        "late": sum(late_usd(season, job, mine) for job, mine in of_job.items()),
        "waiting": weights.wait_day * sum(waiting_days(season, mine) for mine in of_job.values()),
        "crew change": sum(hand_overs(mine) for mine in of_job.values()) * weights.crew_change,
        "leave and return": sum(returns(mine) for mine in of_crew.values()) * weights.leave_and_return,
        "travel": sum(miles(season, crew, days) for crew, days in crew_days.items()) * weights.travel_mile,
        "site days": sum(len(set(sites)) for days in crew_days.values() for sites in days.values())
        * weights.site_day,
        "open days": sum(open_days(mine) for mine in of_job.values()) * weights.open_day,
        "machine moves": machine_moves_usd(season, rows),
        "moved": moved_usd(season, rows),
        "open hole": sum((last - first).days for first, last in holes(of_job)) * weights.hole_day,
        "hole over days off": sum(rests_in(season, *hole) for hole in holes(of_job)) * weights.hole_rest,
        "calls": calls(season, rows) * weights.call,
        "begun over days off": sum(rests_in(season, *span) for span in begun_spans(rows))
        * weights.begun_rest,
        "crumbs": weights.crumb and weights.crumb * sum(crumbs(season, mine) for mine in of_crew.values()),
        "idle crews": weights.idle_hour
        and weights.idle_hour * sum(idle_labour_h(season, *each) for each in of_crew.items()),
        "appointments": missed_appointments(season, rows) * weights.appointment,
    }
    return Cost({name: round(usd * 100) for name, usd in dollars.items()})


def late_days(season: Season, job: str, bookings: Sequence[Booking]) -> int:
    """Calendar days by which the job's last booking ends after its promise; 0 without a promise [days]."""
    promised = season.jobs[job].promised
    if promised is None:
        return 0
    return max(0, (max(b.end for b in bookings).date() - promised).days)


def late_usd(season: Season, job: str, bookings: Sequence[Booking]) -> float:
    """Price of the job's lateness, or of its last day where the season tells one [USD]."""
    by_day = season.late_usd.get(job)
    if by_day is not None:
        return by_day[min(waiting_days(season, bookings), len(by_day) - 1)]
    return season.firm.weights.late_day * season.jobs[job].importance * late_days(season, job, bookings)


def waiting_days(season: Season, bookings: Sequence[Booking]) -> int:
    """Calendar days from the season's now to the job's last booking's end; 0 when that is past [days]."""
    return max(0, (max(b.end for b in bookings).date() - season.now.date()).days)


def hand_overs(bookings: Sequence[Booking]) -> int:
    """Changes of lead crew along a job's bookings in order of start."""
    return sum(a.lead != b.lead for a, b in pairwise(bookings))


def returns(bookings: Sequence[Booking]) -> int:
    """Times a crew (all its bookings, by start) comes back to a job that it had left for another."""
    visits = [job for job, _ in groupby(b.job for b in bookings)]
    return len(visits) - len(set(visits))


def open_days(bookings: Sequence[Booking]) -> int:
    """Calendar days from a job's first start to its last end, less one [days]."""
    return (max(b.end for b in bookings).date() - min(b.start for b in bookings).date()).days


def sites_by_day(season: Season, bookings: Sequence[Booking]) -> dict[date, list[str]]:
    """Day -> one crew's sites of that day in order, one entry per run of work there.

    A day counts for a booking when a working window of all its crews, with the site open, falls inside it.
    """
    days: dict[date, list[str]] = {}
    for booking in bookings:
        for day in days_between(booking.start.date(), booking.end.date()):
            if works_on(season, booking, day):
                sites = days.setdefault(day, [])
                if not sites or sites[-1] != booking.job:
                    sites.append(booking.job)
    return days


def works_on(season: Season, booking: Booking, day: date) -> bool:
    """True when the booking's crews work on `day`: all present, the site open, inside start and end."""
    return bool(worked_windows(season, booking, day))


def site_open(season: Season, job: str, day: date) -> bool:
    """False on the job's blackout days and on rain days of its region."""
    return not site_shut(season.jobs[job], day, season.lost)


def miles(season: Season, crew: str, days: Mapping[date, Sequence[str]]) -> float:
    """Road miles of one crew: each day from the depot through its sites and back [mi]."""
    return sum(
        depot_miles(season, crew, sites[0])
        + sum(drive_miles(season, a, b) for a, b in pairwise(sites))
        + depot_miles(season, crew, sites[-1])
        for sites in days.values()
    )


def machine_moves_usd(season: Season, bookings: Sequence[Booking]) -> float:
    """Price of each unit's changes of site, in order of start; its first site counts as none [USD]."""
    held = _grouped((use, b.job) for b in bookings for use in b.machines)
    return sum(
        sum(a != b for a, b in pairwise(jobs)) * season.machines[use.kind].move_cost_usd
        for use, jobs in held.items()
    )


def moved_usd(season: Season, bookings: Sequence[Booking]) -> float:
    """Price of published jobs whose first day or first lead differs now [USD].

    Only works in both the published and the new plan count, and only jobs that are not begun: the first day
    of a begun job is the day on which it began. Near: the published day lies within `near_days` of the
    season's now.
    """
    weights = season.firm.weights
    edge = season.now + timedelta(days=weights.near_days)
    usd = 0.0
    for old, new in first_bookings(season, bookings).values():
        if old.start.date() != new.start.date() or old.lead != new.lead:
            usd += weights.moved_near if is_near(old.start, edge) else weights.moved_far
    return usd


def calls(season: Season, bookings: Sequence[Booking]) -> int:
    """Jobs, not begun, that begin on another day than their client was told: so many clients are called."""
    firsts = first_bookings(season, bookings)
    moved = (
        season.told[job][0] != new.start.date() for job, (_, new) in firsts.items() if job in season.told
    )
    return sum(moved)


def appointed(season: Season) -> dict[WorkKey, date]:
    """Work not begun, not pinned -> the day of who works beside its crew; his gate bars an earlier start."""
    found: dict[WorkKey, date] = {}
    for key, work in season.works.items():
        days = [gate.opens for gate in season.jobs[key.job].gates if _beside(gate, key.phase)]
        if days and key.part == 1 and work.fixed is None and work.only_start is None:
            found[key] = max(days)
    return found


def _beside(gate: Gate, phase: Phase) -> bool:
    """Whether it is an appointment that stands, of one who works beside the crew of this phase."""
    comes = gate.kind in TRADES and TRADES[gate.kind].beside and not gate.met
    return comes and gate.phase is phase and not isinstance(gate, Unbooked | Overdue | Visiting)


def missed_appointments(season: Season, bookings: Iterable[Booking]) -> int:
    """Appointments on whose day the work that is done beside them does not begin."""
    days = appointed(season)
    return sum(b.key in days and b.start.date() != days[b.key] for b in bookings)


def holes(of_job: Mapping[str, Sequence[Booking]]) -> list[tuple[date, date]]:
    """Of each job that digs and lines: the day of its first digging and that on which its liner ends."""
    found = []
    for mine in of_job.values():
        digs = [b.start.date() for b in mine if b.phase is Phase.DIG]
        liners = [b.end.date() for b in mine if b.phase is Phase.LINER]
        if digs and liners and max(liners) > min(digs):
            found.append((min(digs), max(liners)))
    return found


def begun_spans(bookings: Iterable[Booking]) -> list[tuple[date, date]]:
    """First and last day of each piece of work that no open hole counts."""
    counted = {Phase.DIG, Phase.LINER}
    return [(b.start.date(), b.end.date()) for b in bookings if b.phase not in counted]


def rests_in(season: Season, first: date, last: date) -> int:
    """Weekends and holidays that begin after `first`, up to `last`, and not before the season's now."""
    begins = max(first + timedelta(days=1), season.now.date())
    return sum(rest_begins(season, day) for day in days_between(begins, last))


def rest_begins(season: Season, day: date) -> bool:
    """True on the first of a run of days on which the firm does not work."""
    return not is_working_day(season.firm, day) and is_working_day(season.firm, day - timedelta(days=1))


def is_near(published_start: datetime, edge: datetime) -> bool:
    """True when a published start lies before `edge`."""
    return published_start < edge


def first_bookings(season: Season, bookings: Sequence[Booking]) -> dict[str, tuple[Booking, Booking]]:
    """Job not yet begun -> its first booking as published and now, over the works that both hold."""
    now, begun = {b.key: b for b in bookings}, {b.job for b in season.done}
    both = [(old, now[key]) for key, old in season.published.items() if key in now and key.job not in begun]
    pairs = _grouped((old.job, (old, new)) for old, new in both)
    return {
        job: (
            min((o for o, _ in found), key=lambda b: (b.start, b.key)),
            min((n for _, n in found), key=lambda b: (b.start, b.key)),
        )
        for job, found in pairs.items()
    }


def _grouped(pairs: Iterable[tuple[K, V]]) -> dict[K, list[V]]:
    found: dict[K, list[V]] = {}
    for key, value in pairs:
        found.setdefault(key, []).append(value)
    return found
