"""The season as one frozen value: all that a plan must respect, and nothing of how it is found.

`flow` builds it from the store and the labour model; `schedule` solves it; `breaches` and `plan_cost` judge a
plan against it. Calendars are derived from `firm`, crews' days off and `lost`.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date, datetime

from planner.domain.firm.crews import Crew, Machine, Truck
from planner.domain.firm.firm import Firm
from planner.domain.firm.jobs import Job
from planner.domain.firm.lost import LostTime
from planner.domain.firm.people import needed
from planner.domain.firm.phases import WorkKey
from planner.domain.season.plan import Booking, Told

#: Starts and ends lie on this grid, and work is rounded up to it [min].
SLOT_MIN = 30
#: A piece of work is not begun on a day for less, unless it ends that day [min].
LEAST_PIECE_MIN = 60


@dataclass(frozen=True, slots=True)
class Mode:
    """One allowed way of doing a piece of work: which crews together, how long, with which machines.

    crews: names, lead first. work_min: working minutes of all these crews together on site, daily set-up
    and pack-up included, before rounding up to slots [min]. machines: kind -> units held start to end.
    """

    crews: tuple[str, ...]
    work_min: float
    machines: Mapping[str, int] = field(default_factory=dict)

    @property
    def held(self) -> dict[str, int]:
        """The machines that it needs at all: kind -> units."""
        return {kind: n for kind, n in self.machines.items() if n}


@dataclass(frozen=True, slots=True)
class After:
    """This work may start only after `before`.

    share 1: after its end. share < 1: after that share of its working minutes is done (first shelf out), and
    this work may not end before `before` ends. lag_h: real hours more, nights and weekends counted,
    over a change of clocks too.
    """

    before: WorkKey
    share: float = 1.0
    lag_h: float = 0.0
    why: str = ""


@dataclass(frozen=True, slots=True)
class Work:
    """One piece of unfinished work of a sold job.

    opens: first calendar day on which it may run (gates); modes: at least one; after: order with lags;
    skills: all needed in the lead crew. fixed: stays exactly as booked; only_crew: pinned lead crew (or the
    one that began it); only_start: pinned start (or the next working moment, when begun). one_day: it
    begins and ends on one day, in the part of it that its job is promised for (`Job.day_part`): a visit.
    cured: nothing starts before this wall time, when the cure of phases already done is over, or water that
    was opened has run in (cured_why says which).
    Its first day holds at least `LEAST_PIECE_MIN` of it, or all of it, unless its start is not to be chosen
    (fixed, only_start).
    """

    key: WorkKey
    modes: tuple[Mode, ...]
    after: tuple[After, ...] = ()
    opens: date | None = None
    opens_why: str = ""
    skills: frozenset[str] = frozenset()
    fixed: Booking | None = None
    only_crew: str | None = None
    only_start: datetime | None = None
    one_day: bool = False
    cured: datetime | None = None
    cured_why: str = ""


@dataclass(frozen=True, slots=True)
class Season:
    """All facts of one planning.

    now: nothing that is not fixed may start before it. works: key -> Work. jobs: code -> Job (also those
    whose work is partly done). published: the bookings that customers and crews were told, by key.
    last_day: nothing may end after it. The past (bookings done) is in `done`, for travel and visits.
    slot_min: the grid of starts and ends [min], counted from midnight. frozen: published bookings of the next
    days that keep their crews and starts. told: what clients know of their days. late_usd: job -> price of
    ending it on each day from today on, in place of its lateness, for a search that aims at what will happen
    [USD].

    trucks: key -> Truck. Where there are any, a machine that is towed (`Machine.towed_lb`) is brought to its
    work's site on the day on which the work begins, unless it stands there: its unit was last on that site,
    or the work's phase is begun and the unit was nowhere since. Bringing it takes one of that day's tows of a
    truck that may tow so much, a crew's own truck or one kept for moves, and somebody of the lead crew there
    who may tow.
    """

    firm: Firm
    jobs: Mapping[str, Job]
    crews: Mapping[str, Crew]
    machines: Mapping[str, Machine]
    works: Mapping[WorkKey, Work]
    now: datetime
    last_day: date
    lost: tuple[LostTime, ...] = ()
    published: Mapping[WorkKey, Booking] = field(default_factory=dict)
    done: tuple[Booking, ...] = ()
    slot_min: int = SLOT_MIN
    frozen: Mapping[WorkKey, Booking] = field(default_factory=dict)
    told: Told = field(default_factory=dict)
    late_usd: Mapping[str, tuple[float, ...]] = field(default_factory=dict)
    trucks: Mapping[str, Truck] = field(default_factory=dict)

    def needs(self, key: WorkKey, kinds: Iterable[str]) -> frozenset[str]:
        """What somebody of the lead crew must be there for: these machines, the skills of the hands."""
        work = self.works.get(key)
        return needed(kinds, work.skills if work else frozenset())
