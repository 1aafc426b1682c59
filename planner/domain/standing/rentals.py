"""Rented machines: the stretches of their use, which of them are booked, and from when one can be had.

In: the plan's bookings, the machines, what the office ticked (`rent:KIND:UNIT:WEEK`), the days by which a
rental is booked ahead. Out: `Stretch`es, and the machines with the days on which no booked unit is there:
what nobody booked can be had from the day on which a booking made today would begin.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date

from planner.domain.firm.calendar import days_between, working_day_off
from planner.domain.firm.crews import NOT_BOOKED, Machine, MachineOut
from planner.domain.firm.jobs import DayRange
from planner.domain.firm.records import TICKED
from planner.domain.season.plan import Booking, MachineUse
from planner.domain.standing.order_gates import OrderFile


@dataclass(frozen=True, slots=True)
class Stretch:
    """One unit's use without a long gap: its first and its last booking."""

    use: MachineUse
    first: Booking
    last: Booking

    @property
    def key(self) -> str:
        """What names its booking on the office's list."""
        year, week, _ = self.first.start.date().isocalendar()
        return f"rent:{self.use.kind}:{self.use.unit}:{year}-W{week:02}"

    def __contains__(self, day: object) -> bool:
        """True when the unit is on hire on that day."""
        return isinstance(day, date) and self.first.start.date() <= day <= self.last.end.date()


def stretches(machines: Mapping[str, Machine], bookings: Iterable[Booking], gap_days: int) -> list[Stretch]:
    """The stretches of use of every rented unit, by unit and start; a gap over `gap_days` ends one."""
    uses: dict[MachineUse, list[Booking]] = {}
    for b in sorted(bookings, key=lambda b: (b.start, b.key)):
        for use in b.machines:
            if use.kind in machines and machines[use.kind].rented:
                uses.setdefault(use, []).append(b)
    return [found for use, held in uses.items() for found in _runs(use, held, gap_days)]


def _runs(use: MachineUse, held: Sequence[Booking], gap_days: int) -> Iterator[Stretch]:
    first = last = held[0]
    for booking in held[1:]:
        if (booking.start.date() - last.end.date()).days > gap_days:
            yield Stretch(use, first, last)
            first = booking
        last = booking
    yield Stretch(use, first, last)


def with_rental_leads(
    file: OrderFile, machines: Iterable[Machine], bookings: Iterable[Booking]
) -> tuple[Machine, ...]:
    """The machines; rented ones are out until a booking made today would begin, but for what is booked.

    bookings: of the published plan, whose stretches the office ticks. A stretch that has begun is on hire.
    """
    found = {machine.key: machine for machine in machines}
    rented = [m for m in found.values() if m.rented]
    edge = working_day_off(file.firm, file.today, file.leads.book_days)
    booked = [s for s in stretches(found, bookings, file.leads.gap_days) if _is_booked(file, s)]
    for machine in rented:
        outs = [
            MachineOut(DayRange(day, day, NOT_BOOKED), missing)
            for day in days_between(file.today, edge)
            if day < edge and (missing := machine.units - _there(booked, machine.key, day)) > 0
        ]
        found[machine.key] = replace(machine, out=(*machine.out, *outs))
    return tuple(found.values())


def _is_booked(file: OrderFile, stretch: Stretch) -> bool:
    mark = file.marks.get(stretch.key)
    return stretch.first.start.date() < file.today or (mark is not None and mark.state == TICKED)


def _there(booked: Sequence[Stretch], kind: str, day: date) -> int:
    return len({s.use.unit for s in booked if s.use.kind == kind and day in s})
