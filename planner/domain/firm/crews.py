"""Crews, machines and trucks: who can do what, when they are away, what a move costs."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from planner.domain.firm.jobs import DayRange

#: What a new hand counts for beside a seasoned one, 0 to 1: default, to be calibrated.
NEW_HAND = 0.5


@dataclass(frozen=True, slots=True)
class Loan:
    """Days on which a person works with another crew. to: that crew's name."""

    days: DayRange
    to: str


@dataclass(frozen=True, slots=True)
class Person:
    """One of a crew by name; the one whose name is the crew's lead leads it.

    may: what he may do: kinds of machines that he may run, skills, "electrical", "drive", "tow". counts: how
    much of a seasoned hand he is worth, 0 to 1 (a new hand: `NEW_HAND`). away: days off that are known
    ahead; lent: days with another crew.
    """

    name: str
    may: frozenset[str] = frozenset()
    counts: float = 1.0
    away: tuple[DayRange, ...] = ()
    lent: tuple[Loan, ...] = ()

    def works(self, day: date) -> bool:
        """True when he works on `day`, with whichever crew."""
        return not any(day in days for days in self.away)

    def at_home(self, day: date) -> bool:
        """True when he works on `day` with the crew that he belongs to."""
        return self.works(day) and not any(day in loan.days for loan in self.lent)


@dataclass(frozen=True, slots=True)
class Guest:
    """A person of another crew, lent to this one on these days. of: the crew that he belongs to."""

    person: Person
    days: DayRange
    of: str


@dataclass(frozen=True, slots=True)
class Crew:
    """A lead and hands who work as one. size [persons]; pace 1 is the rate book's, 1.1 is 10 % quicker.

    people: those of them whom the office names, none in a firm that names nobody; guests: lent to it by other
    crews, as those crews have it (`planner.domain.firm.people.hosted`); they are stored there.
    """

    name: str
    lead: str
    size: int = 3
    skills: frozenset[str] = frozenset()
    pace: float = 1.0
    days_off: tuple[DayRange, ...] = ()
    depot_latitude_deg: float | None = None
    depot_longitude_deg: float | None = None
    people: tuple[Person, ...] = ()
    guests: tuple[Guest, ...] = ()

    @property
    def going_pace(self) -> float:
        """The crew's pace as its hands count: a new hand among them slows it; its own without names."""
        missing = sum(1.0 - person.counts for person in self.people)
        return self.pace * (self.size - missing) / self.size if missing else self.pace


#: Why a rented machine cannot be used on a day.
NOT_BOOKED = "not booked"


@dataclass(frozen=True, slots=True)
class MachineOut:
    """Days on which `units` of a kind cannot be used (repair, lent out)."""

    days: DayRange
    units: int = 1

    @property
    def not_booked(self) -> bool:
        """True when the units are only not rented yet."""
        return self.days.why == NOT_BOOKED


@dataclass(frozen=True, slots=True)
class Machine:
    """A kind of machine and how many the firm has (or rents).

    key: short name used in needs ("excavator"); move_cost_usd and move_h: carrying one to another site.
    bucket_ft3: heaped bucket [ft3] and mass_t [metric tonnes], 0 where they do not apply. rented: hired by
    the week, so that the office books it and sends it back. towed_lb: one on its trailer, trailer too [lb];
    0 for what comes by itself or is hauled by others.
    """

    key: str
    words: str
    units: int = 1
    out: tuple[MachineOut, ...] = ()
    move_cost_usd: float = 0.0
    move_h: float = 0.0
    bucket_ft3: float = 0.0
    mass_t: float = 0.0
    rented: bool = False
    towed_lb: float = 0.0


@dataclass(frozen=True, slots=True)
class Truck:
    """One truck that may tow machines.

    tows_lb: the least of what truck, receiver and hitch are rated to tow [lb]; 0 for one that tows nothing.
    payload_lb: people, tools, load and the trailer's tongue together [lb], 0 when not known. tows_day: so
    many machines it brings to their sites in one day (1: default, to be calibrated). crew: whose truck it
    is every day, which tows for that crew alone; "" for one that is kept for moves. out: days in the shop.
    """

    key: str
    words: str
    tows_lb: float = 0.0
    payload_lb: float = 0.0
    tows_day: int = 1
    crew: str = ""
    out: tuple[DayRange, ...] = ()

    def runs_on(self, day: date) -> bool:
        """True when it is not in the shop on `day`."""
        return not any(day in days for days in self.out)
