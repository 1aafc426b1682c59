"""Stints: the share of a booking that one crew works on one day.

A booking runs over several days; the crew's windows inside [start, end) give the hours of each. A helper
works only while the lead crew works too.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field, replace
from datetime import date, datetime, timedelta

from planner.domain.firm.calendar import Window, site_shut
from planner.domain.firm.people import runs
from planner.domain.firm.phases import WorkKey
from planner.domain.season.plan import Booking, MachineUse, Plan
from planner.domain.season.towing import Tow
from planner.domain.standing.hindrance import hindrance, operator_gone, planned_tows, untowed
from planner.domain.standing.roster import Roster
from planner.domain.wording import shown


@dataclass(frozen=True, slots=True)
class MachineTrip:
    """One machine of a stint: where it comes from, and where it goes next.

    comes_from: job code, "yard", or "" when it is on site already; goes_to: the same, "" when it stays.
    by, next_crew: the crew that had it before and the one that needs it next. truck: what tows it there
    today, "" when nothing does; towing: that in figures, with who may tow.
    """

    use: MachineUse
    words: str
    comes_from: str = ""
    by: str = ""
    goes_to: str = ""
    next_crew: str = ""
    next_start: datetime | None = None
    truck: str = field(default="", repr=False)
    towing: str = field(default="", repr=False)

    @property
    def towed(self) -> str:
        """ "mini excavator 2 behind the dump truck"; "" when nothing tows it today."""
        return f"{self.words} behind the {self.truck}" if self.truck else ""


@dataclass(frozen=True, slots=True)
class Stint:
    """What a crew does of one booking on one day.

    start, end: first and last working minute of it; crew_h: hours that the crew can be on it today as things
    stand, planned_crew_h: by the plan; before_crew_h: on earlier days; total_crew_h: of the whole booking by
    the plan, by this crew [crew-hours]; trips: of the machines that this crew brings, which is the lead
    crew's part; hindrance: why it cannot be done as planned, "" when it can.
    """

    booking: Booking
    crew: str
    day: date
    start: datetime
    end: datetime
    crew_h: float
    before_crew_h: float
    total_crew_h: float
    day_number: int
    day_count: int
    trips: tuple[MachineTrip, ...] = ()
    planned_crew_h: float = 0.0
    hindrance: str = ""

    @property
    def key(self) -> WorkKey:
        """Which work of which job."""
        return self.booking.key

    @property
    def begins(self) -> bool:
        """The booking's first working day is today."""
        return self.day_number == 1

    @property
    def finishes(self) -> bool:
        """The booking ends today by the plan."""
        return self.day_number == self.day_count

    @property
    def helps(self) -> bool:
        """The crew helps another crew that leads."""
        return self.crew != self.booking.lead

    @property
    def share_after(self) -> float:
        """Share of the booking's hours that is done at the end of today by the plan, 0 to 1."""
        return min(1.0, (self.before_crew_h + self.crew_h) / self.total_crew_h) if self.total_crew_h else 1.0


def worked_windows(roster: Roster, booking: Booking, crew: str, day: date) -> list[Window]:
    """The parts of `day` in which `crew` was to work on `booking` by the plan; empty when it was not."""
    before = roster.known or roster
    job = before.jobs.get(booking.job)
    if job is not None and site_shut(job, day, before.lost):
        return []
    if not runs(roster.once(booking.lead), roster.needs(booking), day):
        return []
    lead, own = roster.planned_windows(booking.lead, day), roster.planned_windows(crew, day)
    span = (Window(booking.start, booking.end),)
    return _shared(_shared(own, lead), span)


def _present(roster: Roster, booking: Booking, day: date, planned: Sequence[Window]) -> list[Window]:
    """What of the planned windows is left by what is known now: all its crews there, the site open."""
    job = roster.jobs.get(booking.job)
    if job is not None and site_shut(job, day, roster.lost):
        return []
    if operator_gone(roster, booking, day):
        return []
    left = list(planned)
    for crew in booking.crews:
        before = roster.planned_windows(crew, day)
        if before and before != roster.windows(crew, day):
            left = _shared(left, roster.windows(crew, day))
    return left


def _shared(ones: Iterable[Window], others: Sequence[Window]) -> list[Window]:
    """The time that lies in a window of both."""
    pairs = ((max(a.start, b.start), min(a.end, b.end)) for a in ones for b in others)
    return [Window(start, end) for start, end in pairs if start < end]


def booking_days(roster: Roster, booking: Booking, crew: str) -> list[tuple[date, list[Window]]]:
    """Each day with work of `crew` on `booking`, with its windows."""
    days = []
    day = booking.start.date()
    while day <= booking.end.date():
        windows = worked_windows(roster, booking, crew, day)
        if windows:
            days.append((day, windows))
        day += timedelta(days=1)
    return days


def stints(roster: Roster, plan: Plan, crew: str, day: date) -> list[Stint]:
    """What `crew` does on `day` by the plan, in order of start."""
    found = []
    for booking in plan.bookings:
        if crew in booking.crews and booking.start.date() <= day <= booking.end.date():
            stint = _stint(roster, plan, booking, crew, day)
            if stint is not None:
                found.append(stint)
    return sorted(found, key=lambda s: (s.start, s.key))


def _stint(roster: Roster, plan: Plan, booking: Booking, crew: str, day: date) -> Stint | None:
    days = booking_days(roster, booking, crew)
    dates = [d for d, _ in days]
    stop = roster.stops(*booking.key[:2])
    if day not in dates or (stop is not None and day > stop):
        return None
    number = dates.index(day)
    windows = days[number][1]
    present = [_present(roster, booking, d, planned) for d, planned in days[: number + 1]]
    begins, finishes = number == 0, number == len(days) - 1
    coming = planned_tows(roster, plan.bookings) if begins and booking.machines else ()
    brought = {tow.use: tow for tow in coming if tow.booking.key == booking.key}
    why = [hindrance(roster, booking, day), *(untowed(roster, tow) for tow in brought.values())]
    shown = present[-1] or windows
    return Stint(
        booking=booking,
        crew=crew,
        day=day,
        start=shown[0].start,
        end=shown[-1].end,
        crew_h=_hours(present[-1]),
        before_crew_h=sum(_hours(w) for w in present[:-1]),
        total_crew_h=sum(_hours(w) for _, w in days),
        day_number=number + 1,
        day_count=len(days),
        trips=tuple(
            _towed(roster, brought.get(use), _trip(roster, plan, booking, use, begins, finishes))
            for use in booking.machines
            if crew == booking.lead
        ),
        planned_crew_h=_hours(windows),
        hindrance="; ".join(dict.fromkeys(filter(None, why))),
    )


def _towed(roster: Roster, tow: Tow | None, trip: MachineTrip) -> MachineTrip:
    """The trip with the truck that tows it, as far as a truck of the day is left for it."""
    if tow is None or tow.truck is None:
        return trip
    weight = shown(tow.towed_lb, "lb", roster.firm.units)
    who = f"; {' or '.join(tow.who)} may tow" if tow.who else ""
    return replace(trip, truck=tow.truck.words, towing=f"{weight} on its trailer{who}")


def _hours(windows: Sequence[Window]) -> float:
    return sum(w.minutes for w in windows) / 60.0


def _trip(
    roster: Roster, plan: Plan, booking: Booking, use: MachineUse, begins: bool, finishes: bool
) -> MachineTrip:
    earlier = last_before(plan.bookings, use, booking)
    later = first_after(plan.bookings, use, booking)
    comes_from = by = goes_to = next_crew = ""
    next_start = None
    if begins and (earlier is None or earlier.job != booking.job):
        comes_from, by = (earlier.job, earlier.lead) if earlier else ("yard", "")
    if finishes and (later is None or later.job != booking.job):
        goes_to = later.job if later else "yard"
        next_crew = later.lead if later else ""
        next_start = later.start if later else None
    return MachineTrip(
        use, roster.machine_words(use.kind, use.unit), comes_from, by, goes_to, next_crew, next_start
    )


def last_before(bookings: Iterable[Booking], use: MachineUse, booking: Booking) -> Booking | None:
    """The last other booking that holds the machine and ends by the start of `booking`."""
    held = [b for b in bookings if use in b.machines and b.key != booking.key and b.end <= booking.start]
    return max(held, key=lambda b: (b.end, b.key), default=None)


def first_after(bookings: Iterable[Booking], use: MachineUse, booking: Booking) -> Booking | None:
    """The first other booking that holds the machine and starts when `booking` has ended or later."""
    held = [b for b in bookings if use in b.machines and b.key != booking.key and b.start >= booking.end]
    return min(held, key=lambda b: (b.start, b.key), default=None)
