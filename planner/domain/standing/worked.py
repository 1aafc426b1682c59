"""What was worked and what is still to come, day by day: board, season and week loads count by it.

A phase's planned hours count from the day after its last logged one; up to that day its logged hours do. So
no hour stands twice, and a day that was worked stays on the board when a new plan begins after it.
"""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date

from planner.domain.firm.actuals import Log, progress
from planner.domain.season.plan import Booking


class WorkedDays:
    """The logged entries by crew and day, and how far each phase is."""

    def __init__(self, logs: Iterable[Log] = ()) -> None:
        """logs: of any jobs and days."""
        self.logs = tuple(sorted(logs, key=lambda e: (e.day, e.job, e.phase.rank, e.id)))
        self._far = progress(self.logs)

    def of(self, crew: str, day: date) -> tuple[Log, ...]:
        """What `crew` worked on `day`, in order of job and phase."""
        return tuple(e for e in self.logs if e.crew == crew and e.day == day and e.crew_h > 0)

    def is_ahead(self, booking: Booking, day: date) -> bool:
        """True when the booking's hours of `day` are still to come.

        False when its phase is done, or has logged hours of that day or a later one.
        """
        far = self._far.get((booking.job, booking.phase))
        return far is None or (not far.done and day > far.last)
