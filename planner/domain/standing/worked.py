"""What was worked and what is still to come, day by day: board, season and week loads count by it.

A phase's planned hours count from the day after its last logged one; up to that day its logged hours do. So
no hour stands twice, and a day that was worked stays on the board when a new plan begins after it.
"""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date

from planner.domain.firm.actuals import Log, progress
from planner.domain.firm.phases import Phase
from planner.domain.season.plan import Booking


class WorkedDays:
    """The logged entries by crew and day, and how far each phase is."""

    def __init__(self, logs: Iterable[Log] = ()) -> None:
        """logs: of any jobs and days."""
        self.logs = tuple(logs)
        self._days: dict[tuple[str, date], list[Log]] = {}
        self._phases: dict[tuple[str, Phase], list[Log]] = {}
        for entry in self.logs:
            self._days.setdefault((entry.crew, entry.day), []).append(entry)
            self._phases.setdefault((entry.job, entry.phase), []).append(entry)

    def of(self, crew: str, day: date) -> tuple[Log, ...]:
        """What `crew` worked on `day`, in order of job and phase."""
        mine = [e for e in self._days.get((crew, day), ()) if e.crew_h > 0]
        return tuple(sorted(mine, key=lambda e: (e.job, e.phase.rank, e.id)))

    def is_ahead(self, booking: Booking, day: date) -> bool:
        """True when the booking's hours of `day` are still to come.

        False when its phase is done, or has logged hours of that day or a later one.
        """
        key = (booking.job, booking.phase)
        far = progress(self._phases.get(key, [])).get(key)
        return far is None or (not far.done and day > far.last)
