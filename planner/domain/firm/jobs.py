"""Jobs as the office knows them: the client, the site, the dates, and the phase quantities."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, datetime
from enum import StrEnum

from planner.domain.firm.items import ITEMS as ITEMS  # noqa: PLC0414
from planner.domain.firm.phases import ORDER, Phase
from planner.domain.firm.visits import DayPart, VisitKind


class Status(StrEnum):
    """Where a job stands. Only sold and under-way jobs are planned."""

    INQUIRY = "inquiry"
    SOLD = "sold"
    UNDER_WAY = "under way"
    DONE = "done"
    CANCELLED = "cancelled"


#: Jobs in these states are planned.
PLANNED = frozenset({Status.SOLD, Status.UNDER_WAY})


class Access(StrEnum):
    """What can reach the hole: a machine, a barrow through a narrow gate, or nothing but hands."""

    MACHINE = "machine"
    NARROW = "narrow gate"
    HAND = "hand only"


class Soil(StrEnum):
    """Soil by how it digs, easiest first."""

    SAND = "sand"
    LOAM = "loam"
    CLAY = "clay"
    STONY = "stony clay"
    ROCK = "rock"


class GateKind(StrEnum):
    """Why work may not begin before a date."""

    START = "earliest start"
    DEPOSIT = "deposit"
    PERMIT = "permit"
    LOCATE = "utility locate"
    MATERIAL = "material arrival"
    ELECTRICIAN = "electrician"
    HAULER = "hauler"
    UTILITY = "utility crew"
    CONCRETE = "concrete"
    CRANE = "crane"
    INSPECTOR = "inspector"


@dataclass(frozen=True, slots=True)
class Trade:
    """Somebody from outside who comes on a day, and what waits for him.

    item: the quantity that asks for him; phase: the work that waits where none is named; beside: that work
    goes on while he is there; after: work up to this phase must be done when he comes, None for none; cures:
    what he leaves must harden, so the wait after him goes on when he is ticked off.
    """

    item: str
    phase: Phase
    beside: bool = False
    after: Phase | None = None
    cures: bool = False


#: Gates that are somebody's appointment: his visit has a day, a part of it, and a lead time.
TRADES: Mapping[GateKind, Trade] = {
    GateKind.HAULER: Trade("hauler_visits", Phase.DIG, beside=True),
    GateKind.UTILITY: Trade("utility_visits", Phase.DIG),
    GateKind.CONCRETE: Trade("concrete_visits", Phase.ROCK, after=Phase.DIG, cures=True),
    GateKind.CRANE: Trade("crane_visits", Phase.ROCK, beside=True),
    GateKind.ELECTRICIAN: Trade("electrician_visits", Phase.FILL),
    GateKind.INSPECTOR: Trade("inspector_visits", Phase.FILL, after=Phase.PLUMBING),
}


def waits_first(kind: GateKind) -> Phase:
    """The first phase that waits for a gate of that kind where none is named."""
    return TRADES[kind].phase if kind in TRADES else Phase.DIG


@dataclass(frozen=True, slots=True)
class Gate:
    """A dated condition: `phase` and every later phase may begin on `opens` at the earliest.

    met: the office has ticked it off (paid, granted, marked, delivered, wired); the date still holds.
    day_part: in which somebody from outside said that he comes. The electrician's visit holds only the
    pump's start: water may be let in before it.
    """

    kind: GateKind
    opens: date
    phase: Phase = Phase.DIG
    met: bool = False
    note: str = ""
    day_part: DayPart = DayPart.ANY

    def __post_init__(self) -> None:
        """The electrician's gate is the fill's, whichever phase was typed: nothing else waits for it."""
        if self.kind is GateKind.ELECTRICIAN and self.phase is not Phase.FILL:
            object.__setattr__(self, "phase", Phase.FILL)

    @property
    def why(self) -> str:
        """What is waited for, in words; of a locate also when it was asked, or that nobody did."""
        told = self.kind is GateKind.LOCATE and self.note
        return f"{self.kind.value} ({self.note})" if told else self.kind.value

    @property
    def entered(self) -> date:
        """The day that the office entered; a gate whose day has passed without a tick opens later."""
        return self.opens

    @property
    def state(self) -> str:
        """ "met", "open", or what a day that passed without a tick comes to."""
        return "met" if self.met else "open"


@dataclass(frozen=True, slots=True)
class Awaited(Gate):
    """A gate that nobody entered: what the orders of its phase come to by their leads and dates."""

    @property
    def why(self) -> str:
        """The orders that are waited for, and how each stands."""
        return self.note


@dataclass(frozen=True, slots=True)
class Unbooked(Gate):
    """Somebody whom the job asks for and whom nobody has booked: `opens` as if he were asked today."""

    @property
    def why(self) -> str:
        """Who is waited for, and by what lead."""
        return self.note


@dataclass(frozen=True, slots=True)
class Reckoned(Gate):
    """A gate of which `opens` is reckoned from the day that the office entered.

    was: that day; told: what it comes to, in words.
    """

    was: date = date.min
    told: str = ""

    @property
    def why(self) -> str:
        """What is waited for, and what the wait is reckoned from."""
        return f"{self.kind.value} ({self.told})"

    @property
    def entered(self) -> date:
        """The day that the office entered."""
        return self.was


@dataclass(frozen=True, slots=True)
class Visiting(Reckoned):
    """An appointment after which its work still waits: for him to be gone, or for what he left to harden."""


@dataclass(frozen=True, slots=True)
class Overdue(Reckoned):
    """A gate whose day has passed without a tick: `opens` is the day that asking anew gives."""

    @property
    def state(self) -> str:
        """When it did not come, and what the wait is reckoned from."""
        return self.told


#: Why nobody digs between the end of a locate's ticket and the day on which a fresh one would clear.
RAN_OUT = "the locate has run out"


@dataclass(frozen=True, slots=True)
class DayRange:
    """Whole days from `first` to `last`, both included."""

    first: date
    last: date
    why: str = ""

    def __contains__(self, day: object) -> bool:
        """True when the date falls inside."""
        return isinstance(day, date) and self.first <= day <= self.last


class Origin(StrEnum):
    """Where a quantity came from. A computed one never silently replaces an entered one."""

    ENTERED = "entered"
    COMPUTED = "computed"


@dataclass(frozen=True, slots=True)
class Line:
    """One quantity of one phase: `item` is a key of `ITEMS`, `quantity` is in that item's unit."""

    item: str
    quantity: float
    origin: Origin = Origin.ENTERED
    note: str = ""

    @property
    def phase(self) -> Phase:
        """The phase that the item belongs to."""
        return ITEMS[self.item].phase

    @property
    def unit(self) -> str:
        """The item's unit, US customary."""
        return ITEMS[self.item].unit


@dataclass(frozen=True, slots=True)
class Need:
    """A job's own demand for a phase, in place of the phase rule's: None leaves the default."""

    skills: frozenset[str] | None = None
    machines: Mapping[str, int] | None = None


@dataclass(frozen=True, slots=True)
class Pin:
    """The office's word: this phase is done by `crew` and/or begins at `start`."""

    phase: Phase
    crew: str | None = None
    start: datetime | None = None


@dataclass(frozen=True, slots=True)
class Job:
    """One pond, from inquiry to running water; or one visit to a pond that is there.

    importance multiplies the price of lateness (1 is usual). carry_ft: stone and spoil carried from the
    truck to the hole [ft]. depth_in, shelves, waterfall_boxes shape the day sheet's checklist.
    needs: Phase -> Need, only where the job differs from the phase rule. occupied: people live round the
    work; wet: standing water or a high water table.
    visit: why somebody comes, None for an install; pond: the job that built it, "" for none of ours.
    on_site_h: hours on site as promised, None for those of the rate book [h]; hands: how many the visit asks
    for [persons]; day_part: in which it begins and ends; repeats: the rule of RFC 5545 by which further
    visits are made for the season, "" for none. A visit has no quantities.
    notes and phone stay in the office; site_notes go on the crew's sheet (gate code, dog, where to park).
    """

    code: str
    client: str
    address: str = ""
    phone: str = ""
    latitude_deg: float | None = None
    longitude_deg: float | None = None
    region: str = ""
    status: Status = Status.SOLD
    gates: tuple[Gate, ...] = ()
    promised: date | None = None
    importance: float = 1.0
    blackouts: tuple[DayRange, ...] = ()
    access: Access = Access.MACHINE
    soil: Soil = Soil.LOAM
    carry_ft: float = 50.0
    depth_in: float = 24.0
    shelves: int = 2
    waterfall: bool = True
    occupied: bool = True
    wet: bool = False
    notes: str = ""
    site_notes: str = ""
    lines: tuple[Line, ...] = ()
    needs: Mapping[Phase, Need] = field(default_factory=dict)
    pins: tuple[Pin, ...] = ()
    visit: VisitKind | None = None
    pond: str = ""
    on_site_h: float | None = None
    hands: int = 1
    day_part: DayPart = DayPart.ANY
    repeats: str = ""

    @property
    def visit_words(self) -> str:
        """ "leak search, 1 hand, promised for the morning"; "" for an install."""
        if self.visit is None:
            return ""
        hands = "1 hand" if self.hands == 1 else f"{self.hands} hands"
        promised = "" if self.day_part is DayPart.ANY else f", promised for the {self.day_part.value}"
        return f"{self.visit.value}, {hands}{promised}"

    @property
    def order(self) -> tuple[Phase, ...]:
        """The phases that a job of its kind may have, in the order of work."""
        return ORDER if self.visit is None else (Phase.VISIT,)

    @property
    def phases(self) -> tuple[Phase, ...]:
        """The phases that the job has: those with a quantity; of a visit its one."""
        with_lines = {line.phase for line in self.lines}
        return tuple(p for p in self.order if p in with_lines or p is Phase.VISIT)

    def amount(self, item: str) -> float:
        """Sum of the lines of `item`, in its unit; 0 when there is none."""
        return sum(line.quantity for line in self.lines if line.item == item)

    def pinned(self, phase: Phase) -> bool:
        """True when the office pinned the phase to a crew or a start."""
        return any(pin.phase is phase for pin in self.pins)

    def held_by(self, gate: Gate, phase: Phase, part: int = 1) -> bool:
        """Whether `gate` holds this part of a phase: where water runs in, the pump starts in part 2."""
        if gate.kind is GateKind.ELECTRICIAN and part == 1 and self.amount("fill_gal") > 0:
            return False
        return gate.phase.rank <= phase.rank

    def release(self, phase: Phase) -> date | None:
        """The latest opening date of the gates that hold `phase` back; None when no gate does."""
        return max((g.opens for g in self.gates if g.phase.rank <= phase.rank), default=None)
