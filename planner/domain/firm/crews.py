"""Crews and machines: who can do what, when they are away, what a move costs."""

from __future__ import annotations

from dataclasses import dataclass

from planner.domain.firm.jobs import DayRange


@dataclass(frozen=True, slots=True)
class Crew:
    """A lead and hands who work as one. size [persons]; pace 1 is the rate book's, 1.1 is 10 % quicker."""

    name: str
    lead: str
    size: int = 3
    skills: frozenset[str] = frozenset()
    pace: float = 1.0
    days_off: tuple[DayRange, ...] = ()
    depot_latitude_deg: float | None = None
    depot_longitude_deg: float | None = None


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
    the week, so that the office books it and sends it back.
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
