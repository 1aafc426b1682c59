"""What was told stays: the next days as published, and a warning for whoever was told another day.

A client is told his first day some days ahead (`tell_days`); until then he knows what was promised, and a
plan that moves his work is no news to him. In: a season with its published bookings. Out: the season in
which no told client is visited sooner than the firm's notice allows, the bookings that should stay, and the
season in which those that can stay do.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from datetime import date, timedelta

from planner.domain.firm.calendar import is_working_day, paid_day
from planner.domain.firm.phases import WorkKey
from planner.domain.season.plan import Booking, Plan
from planner.domain.season.season import Season, Work

#: Why work is not begun sooner than people can be told.
CLIENT_TOLD = "its client is told {} ahead"
CREWS_TOLD = "crews are told {} ahead"


def told_by_plan(plan: Plan, today: date, tell_days: int) -> dict[str, tuple[date, date]]:
    """What clients know when on this day they were told what the plan says of the next `tell_days`."""
    found: dict[str, tuple[date, date]] = {}
    for b in plan.bookings:
        first, finish = found.get(b.job, (b.start.date(), b.end.date()))
        found[b.job] = (min(first, b.start.date()), max(finish, b.end.date()))
    until = today + timedelta(days=tell_days)
    return {job: days for job, days in found.items() if days[0] <= until}


def told_until(season: Season) -> date | None:
    """The last first day that clients are told today; None before anything is published."""
    if not season.published:
        return None
    return season.now.date() + timedelta(days=season.firm.weights.tell_days)


def days_ahead(season: Season, count: int) -> date:
    """The first day before which `count` whole working days lie, today among them until its shift is over."""
    day, left = season.now.date(), count
    if season.now >= paid_day(season.firm, day).end:
        day += timedelta(days=1)
    while left > 0:
        left -= is_working_day(season.firm, day)
        day += timedelta(days=1)
    return day


def first_told(season: Season) -> dict[str, Booking]:
    """Job that is not begun -> its first booking as published, over the work that is left."""
    begun, first = {b.job for b in season.done}, dict[str, Booking]()
    for b in sorted(season.published.values(), key=lambda b: (b.start, b.key)):
        if b.key in season.works and b.job not in begun:
            first.setdefault(b.job, b)
    return first


def with_notice(season: Season) -> Season:
    """The season in which a job that is not begun starts no sooner than its people can be told.

    A told client's day comes no earlier than told unless `notice_days` lie between; a job that was not told
    comes into no crew's next `freeze_days`. Before anything is published nobody was told anything, and what
    the office pinned to a start is its own word.
    """
    if not season.published:
        return season
    weights, first = season.firm.weights, first_told(season)
    begun = {b.job for b in season.done}
    client, crews = days_ahead(season, weights.notice_days), days_ahead(season, weights.freeze_days)
    works = dict(season.works)
    for key, work in season.works.items():
        pinned = any(pin.start for pin in season.jobs[key.job].pins)
        if key.job in begun or pinned or work.fixed is not None or work.only_start is not None:
            continue
        if key.job in first:
            opens = min(client, first[key.job].start.date())
            why = CLIENT_TOLD.format(_days(weights.notice_days))
        else:
            opens, why = crews, CREWS_TOLD.format(_days(weights.freeze_days))
        if opens > season.now.date() and (work.opens is None or work.opens < opens):
            works[key] = replace(work, opens=opens, opens_why=why)
    return replace(season, works=works)


def _days(count: int) -> str:
    return f"{count} working {'day' if count == 1 else 'days'}"


def to_stay(season: Season) -> dict[WorkKey, Booking]:
    """The published bookings that stay if they can.

    All of the next `freeze_days`, and the first of a job whose client can't be warned of another day in time.
    """
    weights = season.firm.weights
    crews, client = days_ahead(season, weights.freeze_days), days_ahead(season, weights.notice_days)
    first = {b.key for b in first_told(season).values() if b.start.date() < client}
    return {
        key: b
        for key, b in season.published.items()
        if b.start >= season.now
        and (b.start.date() < crews or key in first)
        and _may_stay(season.works.get(key))
    }


def _may_stay(work: Work | None) -> bool:
    return work is not None and work.fixed is None and work.only_start is None


def with_frozen(season: Season, kept: Iterable[Booking]) -> Season:
    """The season in which these bookings stay as they are: their crews and starts are given."""
    works, frozen = dict(season.works), {b.key: b for b in kept}
    for key, booking in frozen.items():
        modes = tuple(m for m in works[key].modes if m.crews == booking.crews)
        works[key] = replace(works[key], modes=modes, only_crew=booking.lead, only_start=booking.start)
    return replace(season, works=works, frozen=frozen)
