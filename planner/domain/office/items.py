"""The nouns of the office's own list: what an item is, and the desk that it is made from.

Items are made in `office_locates`, `office_supplies` and `office_people`, and put in order by `office_list`.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime
from enum import StrEnum

from planner.domain.design.design import Design
from planner.domain.firm.actuals import Log
from planner.domain.firm.calendar import working_day_off
from planner.domain.firm.jobs import Job
from planner.domain.firm.phases import WorkKey
from planner.domain.firm.records import Hold, OfficeMark
from planner.domain.quantities.material import Material
from planner.domain.quantities.orders import LeadTimes
from planner.domain.safety.locate import LocateRule
from planner.domain.safety.weather import ForecastFile
from planner.domain.season.plan import Booking, Plan
from planner.domain.season.season import Season
from planner.domain.standing.locate_standing import LocateFile
from planner.domain.standing.order_gates import OrderFile


class Kind(StrEnum):
    """What an item asks of the office."""

    LOCATE = "utility locate"
    CLEARED = "locate answers"
    RENEW = "renew locate"
    ORDER = "order"
    MATERIAL = "delivery"
    DEPOSIT = "deposit"
    PERMIT = "permit"
    HAULER = "hauler"
    UTILITY = "utility crew"
    CONCRETE = "concrete"
    CRANE = "crane"
    ELECTRICIAN = "electrician"
    INSPECTOR = "inspector"
    FROST = "frost"
    WEATHER = "weather"
    VISIT = "visit"
    RENT = "rental"
    RETURN = "rental return"
    TRUCK = "truck"
    CALL = "call"
    HOLD = "held place"
    OVERNIGHT = "fill overnight"
    CURE = "cure on a day off"
    MISSED = "missed check"
    NOTE = "note from a crew"
    DESIGN = "job and design differ"
    BACK = "take back"


@dataclass(frozen=True, slots=True)
class OfficeItem:
    """One thing to do. key: names it for good; due: the last day in time; job: "" when it is no job's.

    pressing: too late already or against a rule, in words, "" otherwise; state: "", "done" or "snoozed";
    rows: the materials that an order holds.
    """

    key: str
    kind: Kind
    due: date
    job: str
    words: str
    pressing: str = ""
    state: str = ""
    until: date | None = None
    rows: tuple[Material, ...] = ()

    @property
    def open_miss(self) -> bool:
        """A check that was missed on site and is not settled: it stands before everything else."""
        return self.kind is Kind.MISSED and not self.state

    @property
    def rank(self) -> int:
        """What stands before what on the list: open misses, then what crews wrote, then all else."""
        return 2 if self.state else {Kind.MISSED: 0, Kind.NOTE: 1}.get(self.kind, 2)


@dataclass(frozen=True, slots=True)
class Desk:
    """What lies on the office's desk besides the plan.

    marks: key -> tick or snooze; holds: places
    kept for inquiries; logs: entries whose notes may tell of missed checks; parted: job -> how it and its
    kept design differ; cancelled: jobs given up; designs: job -> the design kept with it; forecast: of
    the days ahead, None where none is kept or it is too old.
    """

    season: Season
    plan: Plan
    rule: LocateRule
    leads: LeadTimes
    now: datetime
    marks: Mapping[str, OfficeMark]
    holds: Sequence[Hold] = ()
    logs: Sequence[Log] = ()
    parted: Mapping[str, str] = field(default_factory=dict)
    cancelled: Sequence[Job] = ()
    designs: Mapping[str, Design] = field(default_factory=dict)
    forecast: ForecastFile | None = None

    @property
    def today(self) -> date:
        """The day of `now`."""
        return self.now.date()

    @property
    def locates(self) -> LocateFile:
        """What the desk knows of locates."""
        return LocateFile(self.rule, self.marks, self.now, self.season.firm.shift_start)

    @property
    def orders(self) -> OrderFile:
        """What the desk knows of orders."""
        return OrderFile(self.leads, self.marks, self.today, self.season.firm)

    def bookings(self) -> dict[WorkKey, Booking]:
        """The plan's bookings of work that is still to do."""
        return {b.key: b for b in self.plan.bookings if b.key in self.season.works}

    def working_days_before(self, day: date, count: int) -> date:
        """The firm's working day `count` working days before `day`."""
        return working_day_off(self.season.firm, day, -count)
