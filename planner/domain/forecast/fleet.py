"""Machine units in the played seasons: which one is free and runs, and how long it stands broken."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date, timedelta
from typing import TYPE_CHECKING

from planner.domain.firm.calendar import is_working_day
from planner.domain.forecast.clock import DAY_MIN
from planner.domain.forecast.luck import Luck
from planner.domain.season.plan import MachineUse
from planner.domain.season.season import Season

if TYPE_CHECKING:
    from planner.domain.forecast.clock import Rows
    from planner.domain.forecast.luck import Days, Minutes

#: A unit that is still broken after so many looks is taken as running: no repair takes that long [days].
MOST_DOWN_DAYS = 60


@dataclass
class _Unit:
    """Where a unit stands in each season: end of its last work [min], number of its site (-1: none yet)."""

    end: Minutes
    job: Days


@dataclass
class Fleet:
    """All units. swaps: a work takes whichever unit is free first, not the one that the plan names."""

    season: Season
    first: date
    luck: Luck
    now_min: float
    swaps: bool
    _units: dict[MachineUse, _Unit] = field(default_factory=dict)
    _totals: dict[str, Days] = field(default_factory=dict)

    def free(self, use: MachineUse, job: int, ready: Minutes, rows: Rows) -> tuple[Minutes, Days]:
        """When from `ready` on a unit of the kind is there and runs, and its number, by season."""
        import numpy as np

        machine = self.season.machines.get(use.kind)
        units = machine.units if machine else 0
        move_min = machine.move_h * 60 if machine else 0.0
        numbers = {*range(1, units + 1), use.unit} if self.swaps else {use.unit}
        best, chosen = np.full(len(rows), np.inf), np.full(len(rows), use.unit)
        for number in sorted(numbers, key=lambda n: (n != use.unit, n)):
            unit = self._unit(MachineUse(use.kind, number))
            was = unit.job[rows]
            there = unit.end[rows] + np.where((was != job) & (was >= 0), move_min, 0.0)
            there = self._running(use.kind, number, np.maximum(there, ready), rows)
            sooner = there < best - 1e-6
            best, chosen = np.where(sooner, there, best), np.where(sooner, number, chosen)
        return best, chosen

    def hold(self, kind: str, numbers: Days, job: int, end: Minutes) -> None:
        """The units are on that site until `end`."""
        import numpy as np

        for number in np.unique(numbers):
            unit = self._unit(MachineUse(kind, int(number)))
            mine = numbers == number
            unit.end = np.where(mine, np.maximum(unit.end, end), unit.end)
            unit.job = np.where(mine, job, unit.job)

    def stood(self, kind: str, numbers: Days, start: Minutes, end: Minutes, rows: Rows) -> Days | None:
        """Working days after the first on which the unit at work is broken; None when none ever is.

        With `swaps` a unit that is idle by then takes over.
        """
        import numpy as np

        if kind not in self.luck.down:
            return None
        totals = self._totals_of(kind)
        last = totals.shape[2] - 1
        which = np.clip(numbers - 1, 0, len(totals) - 1)
        a, b = (np.clip((t // DAY_MIN).astype(int), 0, last) for t in (start, end))
        days: Days = totals[which, rows, b] - totals[which, rows, a]
        for number in range(1, len(totals) + 1) if self.swaps and days.any() else ():
            idle = (self._unit(MachineUse(kind, number)).end[rows] <= start) & (numbers != number)
            days = np.where(idle, 0, days)
        return days

    def _unit(self, use: MachineUse) -> _Unit:
        import numpy as np

        if use not in self._units:
            n = len(self.luck.lost)
            self._units[use] = _Unit(np.full(n, self.now_min), np.full(n, -1))
        return self._units[use]

    def _running(self, kind: str, number: int, t: Minutes, rows: Rows) -> Minutes:
        """`t`, or the first midnight after it on which the unit runs again when it is broken then."""
        import numpy as np

        down = self.luck.down.get(kind)
        if down is None or number > len(down):
            return t
        last = down.shape[2] - 1
        for _ in range(MOST_DOWN_DAYS):
            day = np.minimum((t // DAY_MIN).astype(int), last)
            out = down[number - 1, rows, day] & (day < last)
            if not out.any():
                break
            t = np.where(out, (day + 1) * DAY_MIN, t)
        return t

    def _totals_of(self, kind: str) -> Days:
        """Working days on which each unit was broken up to each day: (units, seasons, days)."""
        import numpy as np

        if kind not in self._totals:
            down, firm = self.luck.down[kind], self.season.firm
            days = [self.first + timedelta(days=n) for n in range(down.shape[2])]
            self._totals[kind] = (down & np.array([is_working_day(firm, day) for day in days])).cumsum(axis=2)
        return self._totals[kind]
