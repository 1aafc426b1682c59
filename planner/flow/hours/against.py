"""Planned against worked, by job and phase, of the works that had hours logged lately."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta

from planner.domain.firm.actuals import Progress, progress
from planner.domain.firm.phases import Phase
from planner.flow.hours.logs import planned_phase_h
from planner.store.engine import Store


@dataclass(frozen=True, slots=True)
class Against:
    """One phase of a job. planned_h: what a plan holds for the whole of it, None when unknown [crew-hours];
    so_far: what was logged; last: the newest day of it.
    """

    job: str
    client: str
    phase: Phase
    planned_h: float | None
    so_far: Progress
    last: date

    @property
    def over(self) -> float | None:
        """Worked over what was planned for the part that is done; 1.2 is 20 % more. None when unknown."""
        share = 1.0 if self.so_far.done else self.so_far.share
        if not self.planned_h or share <= 0:
            return None
        return self.so_far.spent_crew_h / (self.planned_h * share)


def planned_against_worked(location: str, today: date, days_back: int) -> list[Against]:
    """The works with hours of the last `days_back` days, newest first."""
    with Store(location).reading() as book:
        recent = book.logs(first=today - timedelta(days=days_back))
        newest = {(entry.job, entry.phase): entry for entry in recent}
        found = []
        for (code, phase), entry in newest.items():
            job, state = book.job(code), progress(book.logs(job=code))[code, phase]
            planned_h = planned_phase_h(book, location, job, entry)
            found.append(Against(code, job.client, phase, planned_h, state, entry.day))
    return sorted(found, key=lambda a: (a.last, a.job), reverse=True)
