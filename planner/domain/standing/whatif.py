"""What if: the same season with one thing different, and what that does to promises, finish and cost.

In: the facts. Out: changed copies of them (the real season is never touched), and `Measure`s to lay side by
side. Every variant is planned with the same effort and seed, the season as it is included.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta

from planner.domain.dates import day_words
from planner.domain.firm.calendar import crew_windows, days_between, is_working_day
from planner.domain.firm.crews import Crew, MachineOut
from planner.domain.firm.jobs import DayRange
from planner.domain.firm.phases import SKILLS
from planner.domain.season.cost import works_on
from planner.domain.season.facts import Facts
from planner.domain.season.plan import Booking, Plan
from planner.domain.season.season import Season
from planner.errors import BadInput


@dataclass(frozen=True, slots=True)
class Variant:
    """One thing that is different. extra_usd: its own price over the season, 0 when not said [USD]."""

    words: str
    facts: Facts
    extra_usd: float = 0.0


@dataclass(frozen=True, slots=True)
class Measure:
    """What a variant's plan is worth.

    kept of promised; late_days: calendar days over all jobs; finish: the last job's; cost_cents: of the plan
    with its extra price; overtime_h: crew-hours on days that are no working days now; idle_days: crew days
    without work up to the finish.
    """

    words: str
    kept: int
    promised: int
    late_days: int
    finish: date
    cost_cents: int
    overtime_h: float
    idle_days: int


def one_more_crew(facts: Facts, size: int) -> Variant:
    """One more crew of that size, with every skill and usual pace."""
    if not 1 <= size <= 12:
        raise BadInput("--crew", size, "give 1 to 12 people")
    names = {crew.name for crew in facts.crews}
    name = next(n for n in ("one more", *(f"one more {i}" for i in range(2, 99))) if n not in names)
    crew = Crew(name, "nobody yet", size, frozenset(SKILLS))
    return Variant(f"one more crew of {size}", replace(facts, crews=(*facts.crews, crew)))


def rented(facts: Facts, kind: str, days: DayRange, usd_week: float = 0.0) -> Variant:
    """One more machine of a kind from `days.first` to `days.last`, at a price a week."""
    if kind not in {m.key for m in facts.machines}:
        have = ", ".join(m.key for m in facts.machines) or "none"
        raise BadInput("--rent", kind, f"use a machine of the firm: {have}")
    if usd_week < 0 or usd_week > 1e6:
        raise BadInput("--rent-usd", usd_week, "give dollars a week, 0 or more")
    firm = facts.firm
    away = [
        DayRange(min(firm.season_first, days.first), days.first - timedelta(days=1)),
        DayRange(days.last + timedelta(days=1), max(firm.season_last, days.last) + timedelta(days=366)),
    ]
    out = tuple(MachineOut(a) for a in away if a.first <= a.last)
    machines = tuple(
        replace(m, units=m.units + 1, out=(*m.out, *out)) if m.key == kind else m for m in facts.machines
    )
    weeks = -(-((days.last - days.first).days + 1) // 7)
    words = f"one more {kind} {day_words(days.first)} to {day_words(days.last)}"
    return Variant(words, replace(facts, machines=machines), usd_week * weeks)


def saturdays_on(facts: Facts, today: date) -> Variant:
    """Every Saturday from today to the season's end is worked, public holidays and own days off excepted."""
    firm = facts.firm
    on = [
        day
        for day in days_between(today, firm.season_last)
        if day.weekday() == 5
        and day not in firm.work_days
        and not any(day in off for off in firm.days_off)
        and is_working_day(replace(firm, weekdays=firm.weekdays | {5}), day)
    ]
    if 5 in firm.weekdays or not on:
        raise BadInput("--saturdays", "on", "they are worked already, or none is left in the season")
    return Variant("Saturdays on", replace(facts, firm=replace(firm, work_days=(*firm.work_days, *on))))


def crew_of(facts: Facts, name: str, size: int) -> Variant:
    """A crew with another number of people."""
    crew = next((c for c in facts.crews if c.name.casefold() == name.casefold()), None)
    if crew is None:
        raise BadInput("--size", name, f"use a crew: {', '.join(c.name for c in facts.crews)}")
    if not 1 <= size <= 12 or size == crew.size:
        raise BadInput("--size", size, f"{crew.name} has {crew.size}: give another number from 1 to 12")
    crews = tuple(replace(c, size=size) if c is crew else c for c in facts.crews)
    return Variant(f"{crew.name} of {size} instead of {crew.size}", replace(facts, crews=crews))


def measure(variant: Variant, season: Season, plan: Plan, usual: Season) -> Measure:
    """The variant's plan in figures. usual: the season as it is, which says what overtime is."""
    by_job: dict[str, list[Booking]] = {}
    for b in plan.bookings:
        by_job.setdefault(b.job, []).append(b)
    ends = {job: max(b.end for b in rows).date() for job, rows in by_job.items()}
    promised = {job: season.jobs[job].promised for job in ends if season.jobs[job].promised}
    late = [max(0, (ends[job] - day).days) for job, day in promised.items() if day]
    finish = max(ends.values(), default=season.now.date())
    return Measure(
        words=variant.words,
        kept=sum(days == 0 for days in late),
        promised=len(late),
        late_days=sum(late),
        finish=finish,
        cost_cents=plan.cost.total_cents + round(variant.extra_usd * 100),
        overtime_h=sum(_overtime_h(season, usual, b) for b in plan.bookings),
        idle_days=idle_days(season, plan.bookings, finish),
    )


def _overtime_h(season: Season, usual: Season, booking: Booking) -> float:
    """Crew-hours of a booking on days that the firm as it is does not work."""
    hours = 0.0
    for day in days_between(booking.start.date(), booking.end.date()):
        if not is_working_day(usual.firm, day) and works_on(season, booking, day):
            for crew in booking.crews:
                for w in crew_windows(season.firm, season.crews[crew], day, season.lost):
                    begin, end = max(w.start, booking.start), min(w.end, booking.end)
                    hours += max(timedelta(), end - begin).total_seconds() / 3600
    return hours


def idle_days(season: Season, bookings: Iterable[Booking], finish: date) -> int:
    """Crew days from today to the finish on which a crew could work and does not [crew days]."""
    busy = {
        (crew, day)
        for b in bookings
        for day in days_between(b.start.date(), b.end.date())
        if works_on(season, b, day)
        for crew in b.crews
    }
    able = {
        (name, day)
        for name, crew in season.crews.items()
        for day in days_between(season.now.date(), finish)
        if _can_work(season, crew, day)
    }
    return len(able - busy)


def _can_work(season: Season, crew: Crew, day: date) -> bool:
    windows = crew_windows(season.firm, crew, day, season.lost)
    latest: datetime | None = windows[-1].end if windows else None
    return latest is not None and latest > season.now
