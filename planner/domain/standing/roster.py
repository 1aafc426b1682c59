"""The firm as the pages see it: settings, jobs, crews, machines, lost time, and what a plan knew of them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, timedelta

from planner.domain.design.design import Design
from planner.domain.design.levels import Levels, levels_of
from planner.domain.design.parting import told_apart
from planner.domain.firm.calendar import Window, crew_windows
from planner.domain.firm.crews import Crew, Machine, Truck
from planner.domain.firm.firm import Firm
from planner.domain.firm.jobs import PLANNED, Job
from planner.domain.firm.lost import LostTime
from planner.domain.firm.people import needed
from planner.domain.firm.phases import Phase
from planner.domain.firm.records import Moved
from planner.domain.quantities.material import Material
from planner.domain.quantities.orders import job_materials
from planner.domain.quantities.takeoff import take_off
from planner.domain.safety.weather import ForecastFile
from planner.domain.season.plan import Booking
from planner.domain.standing.locate_standing import LocateStanding


@dataclass(frozen=True, slots=True)
class Roster:
    """jobs: code -> Job; crews: name -> Crew, in the firm's order; machines: kind key -> Machine.

    designs: code -> the design kept with that job; unread: code -> why a kept design cannot be read.
    known: the roster as the shown plan knew it, None when nothing changed since; moved: what changed
    since that can move the plan (`stale`), empty when it is not stale; finished: (job, phase) -> last day
    of the phases that are logged as finished; begun: (job, phase) -> first logged day; heard: crew -> its
    last logged day; today: from when on jobs that count no more send nobody out, None when that is not
    asked; locates: job -> how its locate stands for the digging of the shown plan; forecast: of the days
    ahead, None where none is kept or it is too old; trucks: key -> Truck; skills: (job, phase) -> what its
    lead crew must know.
    """

    firm: Firm
    jobs: Mapping[str, Job]
    crews: Mapping[str, Crew]
    machines: Mapping[str, Machine]
    lost: tuple[LostTime, ...] = ()
    designs: Mapping[str, Design] = field(default_factory=dict)
    unread: Mapping[str, str] = field(default_factory=dict)
    known: Roster | None = None
    moved: tuple[Moved, ...] = ()
    finished: Mapping[tuple[str, Phase], date] = field(default_factory=dict)
    begun: Mapping[tuple[str, Phase], date] = field(default_factory=dict)
    heard: Mapping[str, date] = field(default_factory=dict)
    today: date | None = None
    locates: Mapping[str, LocateStanding] = field(default_factory=dict)
    forecast: ForecastFile | None = None
    trucks: Mapping[str, Truck] = field(default_factory=dict)
    skills: Mapping[tuple[str, Phase], frozenset[str]] = field(default_factory=dict)

    def needs(self, booking: Booking) -> frozenset[str]:
        """What somebody of the lead crew must be there for: its machines, the skills of the hands."""
        return needed(booking.kinds, self.skills.get((booking.job, booking.phase), frozenset()))

    def stops(self, job: str, phase: Phase) -> date | None:
        """The last day on which a phase still sends anybody out; None when nothing stops it.

        The last logged day of a finished phase; yesterday for a job that is no longer sold or under way.
        """
        last = self.finished.get((job, phase))
        here = self.jobs.get(job)
        if self.today is not None and (here is None or here.status not in PLANNED):
            yesterday = self.today - timedelta(days=1)
            return yesterday if last is None else min(last, yesterday)
        return last

    def first_day(self, code: str, planned: date) -> date:
        """A job's first day: its first logged one where that is before the planned one."""
        return min([planned, *(day for (job, _), day in self.begun.items() if job == code)])

    def levels(self, code: str) -> Levels | None:
        """The levels of the job's kept design; None when there is none that can be read."""
        return levels_of(self.designs[code]) if code in self.designs else None

    def materials(self, code: str) -> tuple[Material, ...]:
        """All that is ordered for the job: by its kept design where there is one, else its net quantities."""
        job, design = self.jobs[code], self.designs.get(code)
        return job_materials(job, take_off(design, job.soil, job.access) if design else None, self.firm.units)

    def parted(self, code: str) -> str:
        """What the job and its kept design tell differently, in one line; "" when they agree."""
        return told_apart(self.jobs[code], self.designs.get(code, self.unread.get(code)), self.firm.units)

    def windows(self, crew: str, day: date) -> tuple[Window, ...]:
        """When `crew` works on `day` as things stand; empty for a crew that is not on the roster."""
        if crew not in self.crews:
            return ()
        return crew_windows(self.firm, self.crews[crew], day, self.lost)

    def planned_windows(self, crew: str, day: date) -> tuple[Window, ...]:
        """When `crew` was to work on `day` as the plan knew it, also a crew that is gone by now."""
        before = self.known or self
        return crew_windows(before.firm, self.once(crew), day, before.lost)

    def once(self, crew: str) -> Crew:
        """The crew as the plan knew it, also one that is gone by now."""
        before = self.known or self
        return before.crews.get(crew) or self.crews.get(crew) or Crew(crew, "")

    def machine_name(self, kind: str) -> str:
        """What the yard calls the kind: "mini excavator"; its key when it is on no record."""
        machine = self.machines.get(kind) or (self.known or self).machines.get(kind)
        return machine.words if machine else kind

    def machine_words(self, kind: str, unit: int) -> str:
        """A unit as the yard calls it: "mini excavator 2"; the number is left out when there is one."""
        machine = self.machines.get(kind) or (self.known or self).machines.get(kind)
        words = self.machine_name(kind)
        return words if machine and machine.units == 1 else f"{words} {unit}"
