"""Time that the season loses: rain, sick hands, broken machines, late deliveries, failed inspections."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from planner.domain.firm.jobs import DayRange


class LostKind(StrEnum):
    """Why time is lost; it decides what `LostTime.target` names."""

    RAIN = "rain"  # target: a region, "" for all
    CREW_OFF = "crew off"  # target: a crew
    CREW_SHORT = "crew short"  # target: a crew; `people` fewer hands
    MACHINE_DOWN = "machine down"  # target: a machine kind; `people` counts units
    DELIVERY = "late delivery"  # target: a job; its phase `phase` waits until the day after
    INSPECTION = "failed inspection"  # target: a job; the same


@dataclass(frozen=True, slots=True)
class LostTime:
    """One entry of lost time. id: the store's number, 0 before it is saved.

    people: hands or machine units missing (0 where it does not apply); phase: value of a Phase, "" for any.
    """

    kind: LostKind
    days: DayRange
    target: str = ""
    people: int = 0
    phase: str = ""
    note: str = ""
    id: int = 0
