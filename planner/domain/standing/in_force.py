"""The plan in force: what of a plan still stands, by what is known today. Every page starts from it.

In: the roster (with what the plan knew of it), a plan. Out: the plan without the work of jobs that
count no more and of phases that are finished; and the jobs whose work cannot go as planned.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import date

from planner.domain.dates import day_words
from planner.domain.firm.jobs import PLANNED
from planner.domain.season.plan import Plan
from planner.domain.standing.hindrance import hindrance, planned_tows, untowed
from planner.domain.standing.roster import Roster
from planner.domain.standing.stints import booking_days


def in_force(roster: Roster, plan: Plan) -> Plan:
    """`plan` without the work that sends nobody out any more; `Roster.stops` says from when on.

    Work that had begun by then stays: its stints end there.
    """
    stops = {(b.job, b.phase): roster.stops(b.job, b.phase) for b in plan.bookings}
    kept = (b for b in plan.bookings if b.start.date() <= (stops[b.job, b.phase] or b.start.date()))
    return replace(plan, bookings=tuple(kept))


def hindered(roster: Roster, plan: Plan) -> dict[str, str]:
    """Job -> the first hindrance of its booked work, with its day, for jobs that still count.

    Work whose days are all past without being logged as done is hindered too: nobody is sent there any more.
    """
    found = _passed(roster, plan)
    not_brought = {
        tow.booking.key: why for tow in planned_tows(roster, plan.bookings) if (why := untowed(roster, tow))
    }
    for booking in sorted(plan.bookings, key=lambda b: (b.start, b.key)):
        job = roster.jobs.get(booking.job)
        if booking.job in found or job is None or job.status not in PLANNED:
            continue
        if (booking.job, booking.phase) in roster.finished:
            continue
        for day, _ in booking_days(roster, booking, booking.lead):
            why = hindrance(roster, booking, day)
            if not why and day == booking.start.date():
                why = not_brought.get(booking.key, "")
            if why:
                found[booking.job] = f"{booking.phase.words} {day_words(day)}: {why}"
                break
    return found


def _passed(roster: Roster, plan: Plan) -> dict[str, str]:
    """Job -> that its planned days are past, for jobs that count and are not logged as done."""
    if roster.today is None:
        return {}
    found = {}
    for code in {b.job for b in plan.bookings if (b.job, b.phase) not in roster.finished}:
        job, last = roster.jobs.get(code), plan.finish(code)
        if job is not None and job.status in PLANNED and last is not None and last < roster.today:
            found[code] = past_words(last)
    return found


def past_words(last: date) -> str:
    """Why work whose last planned day is past does not go on by itself."""
    return f"planned up to {day_words(last)} and not logged as done: log its hours, or re-plan"
