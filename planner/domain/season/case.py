"""What the independent judge looks at, and what it says: the nouns of every rule in `breaches.RULES`."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from planner.domain.firm.phases import WorkKey
from planner.domain.season.plan import Booking, MachineUse
from planner.domain.season.season import Season


@dataclass(frozen=True, slots=True)
class Breach:
    """One broken rule: its name, the work it concerns, and a sentence in trade words."""

    rule: str
    key: WorkKey
    text: str


@dataclass(frozen=True)
class Case:
    """What the rules look at: the season, each booking by key, bookings of each crew and machine unit."""

    season: Season
    booked: Mapping[WorkKey, Booking]
    of_crew: Mapping[str, list[Booking]]
    of_unit: Mapping[MachineUse, list[Booking]]
