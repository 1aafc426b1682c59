"""Plans: who does what, when, with which machines, what it costs, and how good it is known to be."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, datetime
from enum import StrEnum
from typing import NamedTuple

from planner.domain.firm.crews import Machine
from planner.domain.firm.phases import Phase, WorkKey


class MachineUse(NamedTuple):
    """One unit of a machine kind: ("excavator", 1) is the first excavator."""

    kind: str
    unit: int


#: Job -> first day and day of water in, as its client knows them.
Told = Mapping[str, tuple[date, date]]


@dataclass(frozen=True, slots=True)
class Booking:
    """One piece of work on the calendar.

    crews: names, the lead crew first, helpers after. start and end are wall time of the firm; between them
    the crews work in all of their windows (nights, weekends, breaks and lost days pass unworked). Machines
    are held from start to end. crew_h: working hours between start and end [crew-hours of the lead crew].
    """

    key: WorkKey
    crews: tuple[str, ...]
    start: datetime
    end: datetime
    crew_h: float
    machines: tuple[MachineUse, ...] = ()
    pinned: bool = False
    begun: bool = False

    @property
    def job(self) -> str:
        """The job's code."""
        return self.key.job

    @property
    def phase(self) -> Phase:
        """The phase."""
        return self.key.phase

    @property
    def lead(self) -> str:
        """The crew that leads."""
        return self.crews[0]

    @property
    def kinds(self) -> frozenset[str]:
        """The kinds of machines that it holds."""
        return frozenset(use.kind for use in self.machines)

    @property
    def all_crew_h(self) -> float:
        """Working hours of all its crews together [crew-hours]."""
        return self.crew_h * len(self.crews)


def units_gone(booking: Booking, machines: Mapping[str, Machine]) -> list[MachineUse]:
    """The units of `booking` that are off the records for good: their kind, or a unit beyond its count."""
    held = {use: machines.get(use.kind) for use in booking.machines}
    return [use for use, machine in held.items() if machine is None or use.unit > machine.units]


class PlanState(StrEnum):
    """How much is known about a plan's cost."""

    BEST = "proven best"
    FEASIBLE = "best found"
    RULE = "dispatch rule"
    REPAIRED = "order kept"


#: How the note of a plan begins that leaves something aside.
EVEN_IF = "even if "


def left_aside(note: str) -> str:
    """What the plan's note says that it leaves aside: "even if locate"; "" when it leaves nothing.

    >>> left_aside("even if locate, told: after the rain")
    'even if locate, told'
    """
    return note.partition(":")[0] if note.startswith(EVEN_IF) else ""


@dataclass(frozen=True, slots=True)
class Cost:
    """A plan's cost by name of weight [US cents, whole], so that terms add up exactly."""

    cents: Mapping[str, int] = field(default_factory=dict)

    @property
    def total_cents(self) -> int:
        """Sum of all terms [US cents]."""
        return sum(self.cents.values())


@dataclass(frozen=True, slots=True)
class Searched:
    """What was spent on a plan: steps of search on each core, cores, seconds of the wall clock and of
    processor."""

    steps: int
    cores: int
    wall_s: float
    processor_s: float


@dataclass(frozen=True, slots=True)
class Plan:
    """One version of the season's plan. number: the store's, 0 before it is saved.

    dispatch_cents: cost of the best dispatch rule's plan on the same season; bound_cents: a proven lower
    bound, None when the solver proved none. history_mark: the store's mark of jobs, logs and lost time that
    the plan was made from. published_at None: a draft. search: what was spent on it, known only while it is
    made.
    """

    bookings: tuple[Booking, ...]
    cost: Cost
    state: PlanState
    made_at: datetime
    number: int = 0
    note: str = ""
    dispatch_cents: int | None = None
    bound_cents: int | None = None
    seed: int = 0
    history_mark: int = 0
    published_at: datetime | None = None
    search: Searched | None = field(default=None, compare=False)

    def of_job(self, code: str) -> tuple[Booking, ...]:
        """The job's bookings by start."""
        return tuple(sorted((b for b in self.bookings if b.job == code), key=lambda b: (b.start, b.key)))

    def finish(self, code: str) -> date | None:
        """The date on which the job's last booking ends; None when the job is not in the plan."""
        return max((b.end.date() for b in self.bookings if b.job == code), default=None)
