"""What of a crew's paid time a plan uses: minutes on a site by day, crumbs, hours paid and not used.

In: a season, one crew's bookings by start. Two terms of `planner.domain.season.cost` are counted here.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from datetime import date, datetime, timedelta

from planner.domain.firm.calendar import Window, crew_windows, days_between, site_shut
from planner.domain.firm.people import runs
from planner.domain.season.plan import Booking
from planner.domain.season.season import LEAST_PIECE_MIN, Season


def worked_windows(season: Season, booking: Booking, day: date) -> list[Window]:
    """What of `day` the booking's crews work together: all present, somebody to run its machines, the
    site open, inside start and end."""
    if site_shut(season.jobs[booking.job], day, season.lost):
        return []
    if any(crew not in season.crews for crew in booking.crews):
        return []
    if not runs(season.crews[booking.lead], season.needs(booking.key, booking.kinds), day):
        return []
    left = [Window(booking.start, booking.end)]
    for crew in booking.crews:
        own = crew_windows(season.firm, season.crews[crew], day, season.lost)
        pairs = ((max(a.start, b.start), min(a.end, b.end)) for a in left for b in own)
        left = [Window(start, end) for start, end in pairs if start < end]
    return left


def worked_days(season: Season, booking: Booking) -> list[tuple[date, int]]:
    """Each day on which the booking is worked, with its minutes [min]."""
    days = days_between(booking.start.date(), booking.end.date())
    return [(day, n) for day in days if (n := _minutes(worked_windows(season, booking, day)))]


def edges(season: Season, booking: Booking) -> tuple[tuple[date, int], ...]:
    """First and last day on which the booking is worked, with their minutes [min]; one when they are one."""
    days = worked_days(season, booking)
    return tuple(days) if len(days) < 2 else (days[0], days[-1])


def crumbs(season: Season, bookings: Iterable[Booking]) -> int:
    """Runs of one crew's work on a site on a day that are shorter than the least piece.

    Only days on which a piece of work begins or ends count: on those between, the crew works as long as it
    is there. Pieces that follow one another on the same site and day are one run.
    """
    runs: list[tuple[str, date, int]] = []
    for booking in bookings:
        for day, minutes in edges(season, booking):
            if runs and runs[-1][:2] == (booking.job, day):
                runs[-1] = (booking.job, day, runs[-1][2] + minutes)
            else:
                runs.append((booking.job, day, minutes))
    return sum(minutes < LEAST_PIECE_MIN for _, _, minutes in runs)


def idle_labour_h(season: Season, crew: str, bookings: Sequence[Booking]) -> float:
    """Hours, times hands, that the crew is paid and not used in the weeks in which it works [labour-hours].

    From the season's now on. A week (Monday to Sunday) in which the crew has nothing at all is not paid. The
    drive between two sites counts as not used: its miles are charged as travel.
    """
    if crew not in season.crews:
        return 0.0
    weeks = {monday for booking in bookings for monday in _weeks(booking)}
    paid = sum(paid_h(season, crew, monday) for monday in weeks)
    return (paid - sum(used_h(season, b) for b in bookings)) * season.crews[crew].size


def paid_h(season: Season, crew: str, monday: date) -> float:
    """Hours for which the crew is there in the week that begins on `monday`, from the season's now on [h]."""
    days = days_between(monday, monday + timedelta(days=6))
    windows = (crew_windows(season.firm, season.crews[crew], day, season.lost) for day in days)
    return _minutes(_since(season.now, (w for mine in windows for w in mine))) / 60


def used_h(season: Season, booking: Booking) -> float:
    """Hours that each of the booking's crews works on it from the season's now on [h]."""
    if booking.start >= season.now:
        return booking.crew_h
    days = days_between(max(booking.start.date(), season.now.date()), booking.end.date())
    return _minutes(_since(season.now, (w for d in days for w in worked_windows(season, booking, d)))) / 60


def monday_of(day: date) -> date:
    """The Monday of the day's week."""
    return day - timedelta(days=day.weekday())


def _weeks(booking: Booking) -> Iterator[date]:
    monday = monday_of(booking.start.date())
    while monday <= booking.end.date():
        yield monday
        monday += timedelta(days=7)


def _since(now: datetime, windows: Iterable[Window]) -> Iterator[Window]:
    return (Window(max(w.start, now), w.end) for w in windows if w.end > now)


def _minutes(windows: Iterable[Window]) -> int:
    return sum(w.minutes for w in windows)
