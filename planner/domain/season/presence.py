"""Who is there when, worked out afresh for the judge: it shares no code with the scheduler.

In: a season, crews, days, bookings. Out: spans of wall time, minutes.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import date, timedelta
from math import ceil

from planner.domain.firm.crews import Person
from planner.domain.firm.lost import LostKind
from planner.domain.season.paid_day import MINUTE, Span, firm_works, paid_spans
from planner.domain.season.plan import Booking
from planner.domain.season.season import Season


def _crew_there(season: Season, crew: str, day: date) -> bool:
    """True when the crew is neither off nor rained out on `day`."""
    if crew not in season.crews:
        return False
    if any(off.first <= day <= off.last for off in season.crews[crew].days_off):
        return False
    for entry in season.lost:
        if entry.days.first <= day <= entry.days.last:
            if entry.kind is LostKind.CREW_OFF and entry.target == crew:
                return False
            if entry.kind is LostKind.RAIN and entry.target == "":
                return False
    return True


def _site_shut(season: Season, job: str, day: date) -> str:
    """Why nobody may work on the job's site on `day`; "" when they may."""
    here = season.jobs[job]
    if any(b.first <= day <= b.last for b in here.blackouts):
        return "the customer's blackout"
    for entry in season.lost:
        rain_here = entry.kind is LostKind.RAIN and entry.target and entry.target == here.region
        if rain_here and entry.days.first <= day <= entry.days.last:
            return f"rain in {here.region}"
    return ""


def _by_name(season: Season, crew: str, day: date) -> tuple[list[Person], int]:
    """The named people of a crew who are with it on `day`, guests too; and how many hands it lacks."""
    own, here = season.crews[crew].people, []
    for person in own:
        off = any(d.first <= day <= d.last for d in person.away)
        if not off and not any(loan.days.first <= day <= loan.days.last for loan in person.lent):
            here.append(person)
    missing = len(own) - len(here)
    for guest in season.crews[crew].guests:
        came = guest.days.first <= day <= guest.days.last
        if came and not any(d.first <= day <= d.last for d in guest.person.away):
            here.append(guest.person)
            missing -= 1
    return here, max(0, missing) if own else 0


def unrun(season: Season, booking: Booking, day: date) -> list[str]:
    """The booking's machines and skills that nobody of its lead crew who is there on `day` is good for."""
    asked = season.works[booking.key].skills if booking.key in season.works else frozenset()
    lead = season.crews.get(booking.crews[0])
    named = {word for person in lead.people for word in person.may} if lead else set()
    words = {use.kind for use in booking.machines} | (asked & named) - {"excavator"}
    return [word for word in sorted(words) if nobody_may(season, booking.crews[0], word, day)]


def nobody_may(season: Season, crew: str, word: str, day: date) -> bool:
    """True when nobody of the crew who is there on `day` may do it: run a machine, tow, a skill of the hands.

    A hand without a name may do what the crew has the skill for, as long as no named one may.
    """
    lead = season.crews.get(crew)
    if lead is None or not (lead.people or lead.guests):
        return False
    here, _ = _by_name(season, lead.name, day)
    named = [p for p in lead.people if word in p.may]
    trusted = word != "excavator" or word in lead.skills
    if not named and len(lead.people) < lead.size and trusted:
        return False
    return all(word not in p.may for p in here)


def can(season: Season, crew: str) -> set[str]:
    """What the crew has somebody for: its skills, its people's, and a guest's excavator."""
    mine = season.crews[crew]
    skills = set(mine.skills)
    for person in mine.people:
        skills |= set(person.may)
    if any("excavator" in guest.person.may for guest in mine.guests):
        skills.add("excavator")
    return skills


def worked(season: Season, booking: Booking) -> list[Span]:
    """The spans inside the booking in which all its crews are paid, present, may run its machines, and the
    site is open."""
    spans: list[Span] = []
    day = booking.start.date()
    while day <= booking.end.date():
        there = all(_crew_there(season, crew, day) for crew in booking.crews) and not unrun(
            season, booking, day
        )
        if there and firm_works(season.firm, day) and not _site_shut(season, booking.job, day):
            for begin, end in _spans_of_team(season, booking.crews, day):
                clipped = (max(begin, booking.start), min(end, booking.end))
                if clipped[0] < clipped[1]:
                    spans.append(clipped)
        day += timedelta(days=1)
    return spans


def _spans_of_team(season: Season, crews: Sequence[str], day: date) -> list[Span]:
    """The paid spans of a day, cut at its end where a crew of the team is short of hands.

    Time is counted in hours of the whole crew: two of three hands do two thirds of the day, in whole half
    hours.
    """
    spans = paid_spans(season.firm, day)
    left = min(_whole_crew_min(season, crew, day, minutes(spans)) for crew in crews)
    kept: list[Span] = []
    for begin, end in spans:
        if left > 0:
            kept.append((begin, min(end, begin + left * MINUTE)))
        left -= int((end - begin) / MINUTE)
    return kept


def _whole_crew_min(season: Season, crew: str, day: date, paid_min: int) -> int:
    sick = 0
    for entry in season.lost:
        if entry.kind is LostKind.CREW_SHORT and entry.target == crew:
            sick += max(1, entry.people) if entry.days.first <= day <= entry.days.last else 0
    size = season.crews[crew].size
    sick += _by_name(season, crew, day)[1]
    if not sick:
        return paid_min
    return max(0, 30 * (paid_min * (size - sick) // (30 * size)))


def minutes(spans: Iterable[Span]) -> int:
    """Length of all spans together [min]."""
    return sum(int((end - begin) / MINUTE) for begin, end in spans)


def slots_min(season: Season, minutes: float) -> int:
    """`minutes` rounded up to whole slots [min]; a millionth of a slot is forgiven."""
    return season.slot_min * ceil(minutes / season.slot_min - 1e-6)
