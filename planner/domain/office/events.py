"""Calendar events of a plan: what a crew, a machine, a job or the whole firm puts into its calendar.

In: the roster, a plan, whose calendar. Out: `Event`s with stable names. An event's uid is made by hashing
whose calendar it is, the work, and the how-manieth day of it, so that it survives re-planning; it tells
nobody anything (RFC 7986, 5.3, asks for that).
"""

from __future__ import annotations

import hashlib
from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import date, datetime, time, timedelta
from enum import StrEnum

from planner.domain.firm.jobs import Status
from planner.domain.firm.phases import Phase, WorkKey
from planner.domain.firm.records import CalendarEvent
from planner.domain.firm.visits import NOON, DayPart, next_after
from planner.domain.season.plan import Booking, Plan
from planner.domain.standing.hindrance import planned_tows
from planner.domain.standing.roster import Roster
from planner.domain.standing.stints import booking_days, stints
from planner.domain.standing.trade_gates import Appointment, appointments

#: Until when somebody comes who named the afternoon.
FIVE = time(17)


class Whose(StrEnum):
    """Whose calendar it is."""

    FIRM = "firm"
    CREW = "crew"
    MACHINE = "machine"
    JOB = "job"


@dataclass(frozen=True, slots=True)
class Event:
    """One event. start, end: wall times, or dates of an all-day event with `end` the day after the last.

    rule: of RFC 5545, by which it comes again; "" for once.

    Private notes, phones and prices of a job never enter an event.
    """

    uid: str
    title: str
    start: datetime | date
    end: datetime | date
    place: str = ""
    text: str = ""
    latitude_deg: float | None = None
    longitude_deg: float | None = None
    sequence: int = 0
    cancelled: bool = False
    rule: str = ""

    @property
    def digest(self) -> str:
        """Of what the event says: its sequence rises when this changes."""
        parts = [self.title, self.start.isoformat(), self.end.isoformat(), self.place, self.text]
        parts += [self.rule] if self.rule else []
        return hashlib.sha256("\x1f".join(parts).encode()).hexdigest()[:16]

    @property
    def first_day(self) -> date:
        """The date of its start."""
        return self.start.date() if isinstance(self.start, datetime) else self.start


def events(roster: Roster, plan: Plan, whose: Whose, name: str = "", *, all_day: bool) -> list[Event]:
    """The events of one calendar by `plan`, in order of time. name: of the crew, machine kind or job."""
    scope = scope_of(whose, name)
    found = _from_outside(roster, plan, whose, name, scope, all_day=all_day)
    if whose is Whose.JOB:
        days = _client_days(roster, plan, name, scope, all_day=all_day)
        again = _again(roster, name, scope)
        return sorted([*days, *found, *again], key=lambda e: (e.start.isoformat(), e.uid))
    towed: dict[WorkKey, list[str]] = defaultdict(list)
    for tow in planned_tows(roster, plan.bookings):
        if tow.truck:
            said = f"{roster.machine_words(*tow.use)} behind the {tow.truck.words}"
            towed[tow.booking.key].append(said)
    for booking in plan.bookings:
        if booking.job in roster.jobs and _belongs(booking, whose, name):
            make = _all_day if all_day else _timed
            found += make(roster, booking, whose, name, scope, ", ".join(towed.get(booking.key, ())))
    return sorted(found, key=lambda e: (e.start.isoformat(), e.uid))


def scope_of(whose: Whose, name: str) -> str:
    """The part of an uid that all events of one calendar share."""
    return hashlib.sha256(f"{whose}\x1f{name}".encode()).hexdigest()[:12]


def uid_of(scope: str, key: WorkKey, piece: int) -> str:
    """The uid of one piece of work in one calendar."""
    named = f"{scope}\x1f{key.job}\x1f{key.phase.value}\x1f{key.part}\x1f{piece}"
    return f"{scope}-{hashlib.sha256(named.encode()).hexdigest()[:24]}"


def reconcile(
    current: list[Event], sent: dict[str, CalendarEvent], gone: dict[str, Event], today: date
) -> list[Event]:
    """Events to send: sequences raised where something changed, vanished future ones as cancelled.

    sent: uid -> what was last sent, of this calendar only; gone: uid -> the event as an earlier plan had it.
    A vanished event of the past stays as it was and is left out.
    """
    out = [_numbered(event, sent.get(event.uid)) for event in current]
    there = {event.uid for event in current}
    for uid, before in sent.items():
        if uid in there or uid not in gone or gone[uid].first_day < today:
            continue
        sequence = before.sequence if before.cancelled else before.sequence + 1
        out.append(replace(gone[uid], sequence=sequence, cancelled=True))
    return sorted(out, key=lambda e: (e.start.isoformat(), e.uid))


def remembered(event: Event) -> CalendarEvent:
    """What the store keeps of a sent event."""
    return CalendarEvent(event.uid, event.sequence, event.digest, event.cancelled)


def _numbered(event: Event, before: CalendarEvent | None) -> Event:
    if before is None:
        return event
    same = before.digest == event.digest and not before.cancelled
    return replace(event, sequence=before.sequence if same else before.sequence + 1)


def _belongs(booking: Booking, whose: Whose, name: str) -> bool:
    if whose is Whose.CREW:
        return name in booking.crews
    if whose is Whose.MACHINE:
        return any(use.kind == name for use in booking.machines)
    return whose is Whose.FIRM or booking.job == name


def _timed(
    roster: Roster, booking: Booking, whose: Whose, name: str, scope: str, towed: str
) -> Iterator[Event]:
    days = booking_days(roster, booking, name if whose is Whose.CREW else booking.lead)
    stop = roster.stops(booking.job, booking.phase)
    for n, (day, windows) in enumerate(days, 1):
        if stop is not None and day > stop:
            return
        nth = f", day {n} of {len(days)}" if len(days) > 1 else ""
        yield _event(
            roster,
            booking,
            whose,
            name,
            uid_of(scope, booking.key, n),
            nth,
            windows[0].start,
            windows[-1].end,
            towed if n == 1 else "",
        )


def _all_day(
    roster: Roster, booking: Booking, whose: Whose, name: str, scope: str, towed: str
) -> Iterator[Event]:
    stop = roster.stops(booking.job, booking.phase)
    days = (day for day, _ in booking_days(roster, booking, booking.lead))
    worked = [day for day in days if stop is None or day <= stop]
    first, last = (worked[0], worked[-1]) if worked else (booking.start.date(), booking.end.date())
    if booking.key.part == 1:
        first = min(first, roster.begun.get((booking.job, booking.phase), first))
    after = last + timedelta(days=1)
    yield _event(roster, booking, whose, name, uid_of(scope, booking.key, 0), "", first, after, towed)


def _client_days(roster: Roster, plan: Plan, name: str, scope: str, *, all_day: bool) -> list[Event]:
    """What a client gets of his job: one event a day, in his words, with the firm to call; no code inside."""
    job = roster.jobs.get(name)
    days: dict[date, list[tuple[datetime, datetime, str]]] = defaultdict(list)
    for booking in sorted(plan.bookings, key=lambda b: b.start):
        if job is None or booking.job != name:
            continue
        stop = roster.stops(booking.job, booking.phase)
        for day, windows in booking_days(roster, booking, booking.lead):
            if stop is None or day <= stop:
                days[day].append((windows[0].start, windows[-1].end, booking.phase.words))
    found = []
    for n, (day, works) in enumerate(sorted(days.items()), 1):
        assert job is not None
        nth = f", day {n} of {len(days)}" if len(days) > 1 else ""
        phases = ", ".join(dict.fromkeys(words for _, _, words in works))
        hours = (min(start for start, _, _ in works), max(end for _, end, _ in works))
        start, end = (day, day + timedelta(days=1)) if all_day else hours
        uid = f"{scope}-{hashlib.sha256(f'{scope} day {n}'.encode()).hexdigest()[:24]}"
        text = "\n".join(filter(None, (roster.firm.name, roster.firm.phone)))
        point = (job.latitude_deg, job.longitude_deg)
        what = f"installation{nth}: {phases}" if job.visit is None else f"visit{nth}: {job.visit.value}"
        found.append(Event(uid, f"Pond {what}", start, end, job.address, text, *point))
    return found


def _again(roster: Roster, name: str, scope: str) -> Iterator[Event]:
    """A client's visit in later seasons, by its kept rule: from its first day after this season on.

    The days of this season are the plan's; a rule that counts its days has told them all.
    """
    job = roster.jobs.get(name)
    if job is None or job.visit is None or not job.repeats or "COUNT=" in job.repeats:
        return
    first = job.release(Phase.VISIT) or job.promised
    if first is None:
        return
    day = next_after(job.repeats, first, roster.firm.season_last)
    if day is not None and job.status is not Status.CANCELLED:
        text = "\n".join(filter(None, (roster.firm.name, roster.firm.phone)))
        uid = f"{scope}-{hashlib.sha256(f'{scope} again'.encode()).hexdigest()[:24]}"
        title = f"Pond visit about this day: {job.visit.value}"
        point = (job.latitude_deg, job.longitude_deg)
        yield Event(uid, title, day, day + timedelta(days=1), job.address, text, *point, rule=job.repeats)


def _from_outside(
    roster: Roster, plan: Plan, whose: Whose, name: str, scope: str, *, all_day: bool
) -> list[Event]:
    """Who comes from outside: to the firm's sites, to the one job, to sites where the crew is that day.

    Whole days, or between hours the half that he named. A machine's calendar has none.
    """
    found = []
    for seen in appointments(roster.jobs, plan.bookings):
        one = replace(seen, day_part=DayPart.ANY) if all_day else seen
        job = roster.jobs[one.job]
        here = whose is Whose.CREW and any(s.key.job == one.job for s in stints(roster, plan, name, one.day))
        if not (here or whose is Whose.FIRM or (whose is Whose.JOB and one.job == name)):
            continue
        named = f"{scope}\x1f{one.job}\x1fcomes\x1f{one.kind.value}\x1f{one.phase.value}"
        client = whose is Whose.JOB
        found.append(
            Event(
                uid=f"{scope}-{hashlib.sha256(named.encode()).hexdigest()[:24]}",
                title=f"Pond: {one.kind.value} comes" if client else f"{one.job} {one.kind.value} comes",
                start=_half(one, NOON, roster.firm.shift_start),
                end=_half(one, FIVE, NOON, after=True),
                place=job.address,
                text="\n".join(filter(None, (roster.firm.name, roster.firm.phone))) if client else one.note,
                latitude_deg=job.latitude_deg,
                longitude_deg=job.longitude_deg,
            )
        )
    return found


def _half(one: Appointment, afternoon: time, morning: time, *, after: bool = False) -> datetime | date:
    """When his half day begins or ends; of one who named none the day, and the day after it as its end."""
    if one.day_part is DayPart.ANY:
        return one.day + timedelta(days=1) if after else one.day
    return datetime.combine(one.day, morning if one.day_part is DayPart.MORNING else afternoon)


def _event(
    roster: Roster,
    booking: Booking,
    whose: Whose,
    name: str,
    uid: str,
    nth: str,
    start: datetime | date,
    end: datetime | date,
    towed: str,
) -> Event:
    """towed: what a truck brings to the work that day, "" for nothing."""
    job = roster.jobs[booking.job]
    title = booking.key.words if whose is Whose.CREW else f"{booking.key.words} ({booking.lead})"
    helps = whose is Whose.CREW and name != booking.lead  # the lead brings the machines
    uses = () if helps else booking.machines
    machines = ", ".join(roster.machine_words(use.kind, use.unit) for use in uses)
    crews = ", ".join(booking.crews)
    lines = [f"Client: {job.client}", f"Crew: {crews}"]
    if machines:
        lines += [f"Machines: {machines}", *([f"Towed: {towed}"] if towed else [])]
    return Event(
        uid=uid,
        title=title + nth,
        start=start,
        end=end,
        place=job.address,
        text="\n".join(lines),
        latitude_deg=job.latitude_deg,
        longitude_deg=job.longitude_deg,
    )
