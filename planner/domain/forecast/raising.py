"""What would keep more promises, by how much, at what cost: Saturdays, a hand, a machine, another order.

In: the same luck played without and with the help. Out: `Raise`s. How the help is tried is the flow's.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import date, timedelta
from enum import StrEnum
from typing import TYPE_CHECKING

from planner.domain.firm.calendar import days_between, is_working_day
from planner.domain.firm.crews import Crew
from planner.domain.forecast.outlook import mean_error
from planner.domain.season.facts import Facts
from planner.domain.season.plan import Booking

if TYPE_CHECKING:
    from planner.domain.forecast.luck import Minutes

#: Help is tried for so many weeks from now [weeks].
WEEKS = 8
SATURDAY = 5


class RaiseKind(StrEnum):
    """What helps."""

    SATURDAYS = "Saturdays"
    HAND = "a hired hand"
    MACHINE = "one more machine"
    ORDER = "another order of jobs"


@dataclass(frozen=True, slots=True)
class HelpPrices:
    """hand_usd_h: an hour of a hired hand; overtime_usd_h: an hour of one person on a Saturday;
    machine_usd_week: a rented machine."""

    hand_usd_h: float
    overtime_usd_h: float
    machine_usd_week: float


@dataclass(frozen=True, slots=True)
class Raise:
    """One way to keep more promises. what: in words; more_kept: promises more on average, error: its
    standard error; cost_usd: what it costs; basis: how that is reckoned; first, last: when it is bought;
    calls: told clients whose first day changes for it.
    """

    kind: RaiseKind
    what: str
    more_kept: float
    error: float
    cost_usd: float
    basis: str
    first: date | None = None
    last: date | None = None
    calls: int = 0


def more_kept(before: Minutes, then: Minutes) -> tuple[float, float]:
    """(promises more on average, its standard error), the seasons paired by their luck."""
    gain = then - before
    return float(gain.mean()), mean_error(gain)


def best_raises(found: Iterable[Raise], most: int = 3) -> tuple[Raise, ...]:
    """The ways that bring most; none that brings nothing beyond its error."""
    good = [r for r in found if r.more_kept > max(0.0, r.error)]
    return tuple(sorted(good, key=lambda r: (-r.more_kept, r.cost_usd))[:most])


def with_saturdays(facts: Facts, today: date, prices: HelpPrices) -> tuple[Facts, Raise] | None:
    """The facts with the free Saturdays of the next weeks worked; None when they are worked anyway."""
    firm = facts.firm
    days = [
        day
        for day in days_between(today + timedelta(days=1), today + timedelta(weeks=WEEKS))
        if day.weekday() == SATURDAY
        and not is_working_day(firm, day)
        and not any(day in off for off in firm.days_off)
        and firm.season_first <= day <= firm.season_last
    ]
    if not days:
        return None
    people = sum(crew.size for crew in facts.crews)
    hours = people * firm.paid_h_day * len(days)
    basis = f"{people} people x {firm.paid_h_day:g} h x {len(days)} Saturdays x ${prices.overtime_usd_h:g}"
    made = replace(facts, firm=replace(firm, work_days=(*firm.work_days, *days)))
    what = f"{len(days)} Saturdays, all crews"
    return made, Raise(
        RaiseKind.SATURDAYS, what, 0.0, 0.0, hours * prices.overtime_usd_h, basis, days[0], days[-1]
    )


def with_hand(
    facts: Facts, crew: Crew, bookings: Iterable[Booking], today: date, prices: HelpPrices
) -> tuple[Facts, Raise] | None:
    """The facts with one more person in the crew until its booked work ends; None when it has none."""
    last = max((b.end.date() for b in bookings if crew.name in b.crews), default=today)
    first = max(today, facts.firm.season_first)
    days = sum(is_working_day(facts.firm, day) for day in days_between(first, last))
    if not days or last <= today:
        return None
    hours = days * facts.firm.paid_h_day
    crews = tuple(replace(c, size=c.size + 1) if c.name == crew.name else c for c in facts.crews)
    basis = f"{days} days x {facts.firm.paid_h_day:g} h x ${prices.hand_usd_h:g}"
    what = f"a hired hand for {crew.name}"
    made = replace(facts, crews=crews)
    return made, Raise(RaiseKind.HAND, what, 0.0, 0.0, hours * prices.hand_usd_h, basis, first, last)


def with_machine(
    facts: Facts, kind: str, bookings: Iterable[Booking], today: date, prices: HelpPrices
) -> tuple[Facts, Raise] | None:
    """The facts with one more unit of a machine while work is booked on it; None when none is."""
    used = [b for b in bookings if any(use.kind == kind for use in b.machines)]
    if not used:
        return None
    first = max(today, min(b.start.date() for b in used))
    last = max(b.end.date() for b in used)
    weeks = -(-((last - first).days + 1) // 7)
    name = next((m.words for m in facts.machines if m.key == kind), kind)
    machines = tuple(replace(m, units=m.units + 1) if m.key == kind else m for m in facts.machines)
    basis = f"{weeks} weeks x ${prices.machine_usd_week:,.0f}"
    made = replace(facts, machines=machines)
    cost = weeks * prices.machine_usd_week
    return made, Raise(RaiseKind.MACHINE, f"one more {name}", 0.0, 0.0, cost, basis, first, last)
