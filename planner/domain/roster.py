"""The firm as the board and the day sheet see it: settings, jobs, crews, machines, lost time."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date

from planner.domain.calendar import Window, crew_windows
from planner.domain.crews import Crew, Machine
from planner.domain.design import Design
from planner.domain.firm import Firm
from planner.domain.jobs import Job
from planner.domain.levels import Levels, levels_of
from planner.domain.lost import LostTime
from planner.domain.parting import told_apart


@dataclass(frozen=True, slots=True)
class Roster:
    """jobs: code -> Job; crews: name -> Crew, in the firm's order; machines: kind key -> Machine.

    designs: code -> the design kept with that job; unread: code -> why a kept design cannot be read.
    """

    firm: Firm
    jobs: Mapping[str, Job]
    crews: Mapping[str, Crew]
    machines: Mapping[str, Machine]
    lost: tuple[LostTime, ...] = ()
    designs: Mapping[str, Design] = field(default_factory=dict)
    unread: Mapping[str, str] = field(default_factory=dict)

    def levels(self, code: str) -> Levels | None:
        """The levels of the job's kept design; None when there is none that can be read."""
        return levels_of(self.designs[code]) if code in self.designs else None

    def parted(self, code: str) -> str:
        """What the job and its kept design tell differently, in one line; "" when they agree."""
        return told_apart(self.jobs[code], self.designs.get(code, self.unread.get(code)), self.firm.units)

    def windows(self, crew: str, day: date) -> tuple[Window, ...]:
        """When `crew` works on `day`; empty for a crew that is not on the roster."""
        if crew not in self.crews:
            return ()
        return crew_windows(self.firm, self.crews[crew], day, self.lost)

    def machine_words(self, kind: str, unit: int) -> str:
        """A unit as the yard calls it: "mini excavator 2"; the number is left out when there is one."""
        machine = self.machines.get(kind)
        words = machine.words if machine else kind
        return words if machine and machine.units == 1 else f"{words} {unit}"
