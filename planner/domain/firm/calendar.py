"""Working days and shifts: which minutes of which day a crew is paid to be on site.

In: the firm's settings, a crew, the lost time. Out: windows of wall time. The meal break splits a shift in
two; it starts when half the paid hours are worked, on the half hour below. Public holidays come from the
`holidays` library; the firm's own days off close a day, its working days open one.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from dataclasses import replace
from datetime import UTC, date, datetime, time, timedelta
from functools import lru_cache
from typing import NamedTuple
from zoneinfo import ZoneInfo

from planner.domain.firm.crews import Crew
from planner.domain.firm.firm import Firm
from planner.domain.firm.jobs import RAN_OUT, Job
from planner.domain.firm.lost import LostKind, LostTime
from planner.domain.firm.people import hands_missing
from planner.domain.firm.sun import daylight
from planner.domain.firm.visits import NOON, DayPart


class Window(NamedTuple):
    """Wall time from `start` to `end`, end excluded."""

    start: datetime
    end: datetime

    @property
    def minutes(self) -> int:
        """Length [min]."""
        return int((self.end - self.start).total_seconds() // 60)


_light = lru_cache(maxsize=4096)(daylight)


@lru_cache(maxsize=64)
def _public_holidays(country: str, state: str, year: int) -> frozenset[date]:
    import holidays

    found = holidays.country_holidays(country, subdiv=state or None, years=year)
    return frozenset(found.keys())


def public_holiday(firm: Firm, day: date) -> bool:
    """True when the library counts `day` as a public holiday (observed dates included)."""
    return bool(firm.country) and day in _public_holidays(firm.country, firm.state, day.year)


def is_working_day(firm: Firm, day: date) -> bool:
    """True when the firm works on `day`.

    Its own working days win over everything, then its days off, then public holidays, then weekdays.
    """
    if day in firm.work_days:
        return True
    if any(day in off for off in firm.days_off):
        return False
    return day.weekday() in firm.weekdays and not public_holiday(firm, day)


def days_between(first: date, last: date) -> Iterator[date]:
    """Each date from `first` to `last`, both included."""
    day = first
    while day <= last:
        yield day
        day += timedelta(days=1)


def working_days(firm: Firm, first: date, last: date) -> list[date]:
    """The firm's working days from `first` to `last`, both included."""
    return [d for d in days_between(first, last) if is_working_day(firm, d)]


def working_day_off(firm: Firm, day: date, count: int) -> date:
    """The working day `count` working days after `day`, or before it when `count` is below 0."""
    step = timedelta(days=1 if count > 0 else -1)
    left = abs(count)
    while left > 0:
        day += step
        left -= is_working_day(firm, day)
    return day


def spare_days(firm: Firm, finish: date, promised: date) -> int:
    """Working days to spare between a finish and its promise; below 0 the working days that it is late.

    The one count that every screen tells. Late by a weekend alone is late by 1: a late job is never at 0.
    """
    if finish > promised:
        return -max(1, len(working_days(firm, promised + timedelta(days=1), finish)))
    return len(working_days(firm, finish + timedelta(days=1), promised))


def shift(firm: Firm, day: date) -> tuple[Window, ...]:
    """The paid windows of one working day: before and after the meal break (one when there is none).

    A half day ends at the break (or at half the paid hours). A firm that works by daylight starts no earlier
    than the first half hour after sunrise at its depot and ends by the last one before sunset.

    >>> from planner.domain.firm.firm import Firm
    >>> [(w.start.strftime("%H:%M"), w.end.strftime("%H:%M")) for w in shift(Firm(), date(2027, 4, 5))]
    [('07:00', '11:00'), ('11:30', '15:30')]
    """
    windows = _by_the_clock(firm, day)
    return _by_daylight(firm, day, windows) if firm.daylight_only else windows


def paid_day(firm: Firm, day: date) -> Window:
    """From the first paid minute of a day to its last, by the clock, light or no light."""
    windows = _by_the_clock(firm, day)
    return Window(windows[0].start, windows[-1].end)


def _by_the_clock(firm: Firm, day: date) -> tuple[Window, ...]:
    start = datetime.combine(day, firm.shift_start)
    paid_min = round(firm.paid_h_day * 60)
    morning_min = paid_min // 2 // 30 * 30
    noon = start + timedelta(minutes=morning_min)
    back = noon + timedelta(minutes=firm.meal_break_min)
    if day in firm.half_days:
        return (Window(start, noon),)
    if firm.meal_break_min == 0:
        return (Window(start, start + timedelta(minutes=paid_min)),)
    return (Window(start, noon), Window(back, back + timedelta(minutes=paid_min - morning_min)))


def part_of_day(part: DayPart, day: date) -> Window:
    """The clock time of `day` in which a visit of that part may begin and end."""
    midnight, noon = datetime.combine(day, time()), datetime.combine(day, NOON)
    tomorrow = midnight + timedelta(days=1)
    return Window(
        noon if part is DayPart.AFTERNOON else midnight, noon if part is DayPart.MORNING else tomorrow
    )


def longest_h(firm: Firm, part: DayPart) -> float:
    """The paid hours of a whole working day that lie in that part of it [h]: a visit lasts no longer.

    >>> [longest_h(Firm(), part) for part in DayPart]
    [8.0, 4.5, 3.5]
    """
    day = firm.season_first
    span = part_of_day(part, day)
    whole = _by_the_clock(replace(firm, half_days=()), day)
    cut = ((max(w.start, span.start), min(w.end, span.end)) for w in whole)
    return sum(((end - start).total_seconds() for start, end in cut if start < end), 0.0) / 3600


def _by_daylight(firm: Firm, day: date, windows: tuple[Window, ...]) -> tuple[Window, ...]:
    """The windows cut to whole half hours between sunrise and sunset at the depot."""
    if firm.depot_latitude_deg is None or firm.depot_longitude_deg is None:
        return windows
    light = _light(day, firm.depot_latitude_deg, firm.depot_longitude_deg, firm.time_zone)
    if light.sunrise is None or light.sunset is None:
        return windows
    midnight, half = datetime.combine(day, time()), timedelta(minutes=30)
    first = midnight + half * -(-(light.sunrise - midnight) // half)
    last = midnight + half * ((light.sunset - midnight) // half)
    cut = (Window(max(w.start, first), min(w.end, last)) for w in windows)
    return tuple(w for w in cut if w.start < w.end)


def real_hours_later(moment: datetime, hours: float, time_zone: str) -> datetime:
    """The wall time `hours` real hours after the wall time `moment`, whatever the clocks do between.

    time_zone: IANA name. A cure over a night in which clocks go forward ends an hour later by the wall.

    >>> real_hours_later(datetime(2027, 3, 13, 15, 30), 24, "America/New_York")
    datetime.datetime(2027, 3, 14, 16, 30)
    """
    zone = ZoneInfo(time_zone)
    later = moment.replace(tzinfo=zone).astimezone(UTC) + timedelta(hours=hours)
    return later.astimezone(zone).replace(tzinfo=None)


def clock_changes(time_zone: str, first: date, last: date) -> list[tuple[datetime, timedelta]]:
    """Each change of clocks from `first` to `last`: its wall time before, and by how much clocks go forward.

    Below zero they go back.

    >>> clock_changes("America/New_York", date(2027, 3, 1), date(2027, 3, 31))
    [(datetime.datetime(2027, 3, 14, 2, 0), datetime.timedelta(seconds=3600))]
    """
    years = range(first.year, last.year + 1)
    return [
        change for year in years for change in _changes(time_zone, year) if first <= change[0].date() <= last
    ]


@lru_cache(maxsize=64)
def _changes(time_zone: str, year: int) -> tuple[tuple[datetime, timedelta], ...]:
    zone = ZoneInfo(time_zone)

    def ahead(moment: datetime) -> timedelta:
        return moment.replace(tzinfo=zone).utcoffset() or timedelta()

    found = []
    for day in days_between(date(year, 1, 1), date(year, 12, 31)):
        midnight = datetime.combine(day, time())
        by = ahead(midnight + timedelta(days=1)) - ahead(midnight)
        if by:
            real = midnight.replace(tzinfo=zone).astimezone(UTC)
            quarters = (real + timedelta(minutes=15 * n) for n in range(1, 105))
            after = next(q for q in quarters if q.astimezone(zone).utcoffset() != ahead(midnight))
            found.append(((after + ahead(midnight)).replace(tzinfo=None), by))
    return tuple(found)


def lost_to_clocks(
    firm: Firm, lag_h: float, now: datetime, last_day: date, ends: Collection[datetime], slot_min: int
) -> float:
    """By how much a lag must be longer on the wall so that clocks that go forward never shorten it [h].

    0 unless some work could end so before such a change that its follower, by the wall, could start too
    soon on a working day. One length counts for the whole season: stricter than the hours, never laxer.
    ends: moments besides the grid's at which work ends.
    """
    if lag_h <= 0:
        return 0.0
    lag, every = timedelta(hours=lag_h), set(ends)
    longest = timedelta()
    for change, by in clock_changes(firm.time_zone, now.date(), last_day + lag):
        first = max((change - lag).date(), now.date() - timedelta(days=1))
        for window in (w for day in working_days(firm, first, change.date()) for w in shift(firm, day)):
            steps = range(window.minutes // slot_min + 1)
            every |= {window.start + timedelta(minutes=slot_min) * n for n in steps}
        for end in every if by > timedelta() else ():
            by_the_wall, ready = end + lag, real_hours_later(end, lag_h, firm.time_zone)
            if ready > by_the_wall and _could_start(firm, by_the_wall, ready):
                longest = max(longest, ready - by_the_wall)
    return longest / timedelta(hours=1)


def _could_start(firm: Firm, first: datetime, before: datetime) -> bool:
    """True when a working day has paid time from `first` to `before`."""
    days = working_days(firm, first.date(), before.date())
    return any(w.start < before and first < w.end for day in days for w in shift(firm, day))


def crew_away(crew: Crew, day: date, lost: Sequence[LostTime]) -> bool:
    """True when the whole crew is away on `day`: its days off, a crew-off entry, or rain everywhere."""
    if any(day in off for off in crew.days_off):
        return True
    return any(
        day in entry.days
        and (
            (entry.kind is LostKind.CREW_OFF and entry.target == crew.name)
            or (entry.kind is LostKind.RAIN and not entry.target)
        )
        for entry in lost
    )


def site_shut(job: Job, day: date, lost: Sequence[LostTime]) -> str:
    """Why nobody may work on the site on `day`: the customer's dates, a locate that ran out, rain; or ""."""
    shut = next((closed for closed in job.blackouts if day in closed), None)
    if shut is not None:
        return RAN_OUT if shut.why == RAN_OUT else "the customer's dates"
    rained = any(
        entry.kind is LostKind.RAIN and entry.target and entry.target == job.region and day in entry.days
        for entry in lost
    )
    return f"rain in {job.region}" if rained else ""


def hands_present(crew: Crew, day: date, lost: Sequence[LostTime]) -> float:
    """Share of the crew that is there on `day`, 0 to 1: crew-short entries and people away take hands."""
    missing = hands_missing(crew, day) + sum(
        max(1, entry.people)
        for entry in lost
        if entry.kind is LostKind.CREW_SHORT and entry.target == crew.name and day in entry.days
    )
    return max(0.0, (crew.size - missing) / crew.size)


def crew_windows(firm: Firm, crew: Crew, day: date, lost: Sequence[LostTime] = ()) -> tuple[Window, ...]:
    """The windows in which `crew` may work on `day`; empty when it does not work.

    A crew that is short of hands gets less done: its day, counted in hours of the whole crew, ends earlier
    in proportion, on the half hour below.
    """
    if not is_working_day(firm, day) or crew_away(crew, day, lost):
        return ()
    share = hands_present(crew, day, lost)
    windows = shift(firm, day)
    if share == 1.0:
        return windows
    return _first_minutes(windows, int(share * sum(w.minutes for w in windows) + 1e-6) // 30 * 30)


def _first_minutes(windows: Sequence[Window], minutes: int) -> tuple[Window, ...]:
    found = []
    for window in windows:
        part = min(window.minutes, minutes)
        if part > 0:
            found.append(Window(window.start, window.start + timedelta(minutes=part)))
        minutes -= part
    return tuple(found)
