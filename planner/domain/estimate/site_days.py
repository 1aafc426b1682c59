"""Crew-hours on the real calendar: how many working days a crew is on the site, and when it is done.

Set-up, pack-up and clean-up cost `firm.daily_setup_h` on every day on site, so three half-days are dearer
than two days. Hours that pass by themselves (water running, sealant curing) run by the clock, nights too.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from planner.domain.estimate.labour import JobEstimate
from planner.domain.firm.calendar import crew_windows, working_days
from planner.domain.firm.crews import Crew
from planner.domain.firm.firm import Firm
from planner.domain.firm.lost import LostTime
from planner.domain.firm.phases import Phase

#: No job may look further than this for a working day.
_HORIZON_DAYS = 1100


@dataclass(frozen=True, slots=True)
class SiteDays:
    """dates: the days on which the crew is on site; finish: when the work is done."""

    dates: tuple[date, ...]
    finish: datetime

    @property
    def count(self) -> int:
        """Working days on site."""
        return len(self.dates)

    def span(self, firm: Firm) -> int:
        """The firm's working days from the first on site to the last, days of cure between them included.

        Unlike `count` it never falls when the hours grow.
        """
        return len(working_days(firm, self.dates[0], self.finish.date())) if self.dates else 0


def days(
    found: JobEstimate,
    percentile: float,
    start: date,
    firm: Firm,
    crew: Crew,
    lost: Sequence[LostTime] = (),
) -> SiteDays | None:
    """Working days of the whole job by one crew, from `start` on, at `percentile` [percent].

    One phase after the other; before water the cure of the phase rules; between the parts of the fill the
    hose, opened next morning where that saves a visit and ends on the same date. None when
    the calendar has no end for it within three years.
    """
    try:
        return _walked(found, percentile, _Walk(firm, crew, tuple(lost), start))
    except _NoEnd:
        return None


class _NoEnd(Exception):
    """The calendar ran out."""


def _walked(found: JobEstimate, percentile: float, walk: _Walk) -> SiteDays:
    ends: dict[Phase, datetime] = {}
    hours = found.planned(percentile)
    for phase, part in found.phases.items():
        for before, at in ends.items():
            walk.wait_until(at + timedelta(hours=_lag(found.lags, before, phase)))
        spans = [hours[phase] * share for share in part.parts]
        walk = walk.work_through(spans, part.unattended_h)
        ends[phase] = walk.at
    return SiteDays(tuple(walk.dates), walk.at)


def _lag(lags: Mapping[tuple[Phase, Phase], float], before: Phase, phase: Phase) -> float:
    return lags.get((before, phase), 0.0)


class _Walk:
    """A crew going through its days; `at` is the wall time reached."""

    def __init__(self, firm: Firm, crew: Crew, lost: tuple[LostTime, ...], start: date) -> None:
        self.firm, self.crew, self.lost = firm, crew, lost
        self.at = datetime.combine(start, firm.shift_start)
        self.last_day = start + timedelta(days=_HORIZON_DAYS)
        self.dates: list[date] = []

    def work_through(self, spans: Sequence[float], unattended_h: float) -> _Walk:
        """Crew-hours in several spans with unattended hours between them; the better of now and tomorrow."""
        now = self._copy()
        now._spend(spans, unattended_h)
        if len(spans) == 1:
            return now
        morning = self._copy()
        morning.wait_until(datetime.combine(self.at.date() + timedelta(days=1), self.firm.shift_start))
        morning._spend(spans, unattended_h)
        return min(now, morning, key=lambda w: (w.at.date(), len(w.dates), w.at))

    def _copy(self) -> _Walk:
        other = _Walk(self.firm, self.crew, self.lost, self.at.date())
        other.at, other.last_day, other.dates = self.at, self.last_day, list(self.dates)
        return other

    def _spend(self, spans: Sequence[float], unattended_h: float) -> None:
        for i, crew_h in enumerate(spans):
            if i:
                self.wait_hours(unattended_h)
            self.work(crew_h)

    def wait_hours(self, hours: float) -> None:
        """Let clock hours pass without work."""
        if hours > _HORIZON_DAYS * 24.0:
            raise _NoEnd
        self.wait_until(self.at + timedelta(hours=hours))

    def wait_until(self, when: datetime) -> None:
        """Let time pass without work."""
        self.at = max(self.at, when)

    def work(self, crew_h: float) -> None:
        """Spend crew-hours in the windows of the crew; the first minutes of each new day are set-up."""
        left_min = crew_h * 60.0
        while left_min > 1e-9:
            day = self.at.date()
            if day > self.last_day:
                raise _NoEnd
            left_min = self._work_on(day, left_min)
            if left_min > 1e-9:
                self.at = datetime.combine(day + timedelta(days=1), self.firm.shift_start)

    def _work_on(self, day: date, left_min: float) -> float:
        """Work on one day; returns the minutes left over."""
        setup_min = 0.0 if day in self.dates else self.firm.daily_setup_h * 60.0
        for window in crew_windows(self.firm, self.crew, day, self.lost):
            begin = max(self.at, window.start)
            free_min = (window.end - begin).total_seconds() / 60.0
            if free_min <= 0:
                continue
            used = min(free_min, setup_min + left_min)
            if used > setup_min and day not in self.dates:
                self.dates.append(day)
            left_min -= max(0.0, used - setup_min)
            setup_min = max(0.0, setup_min - used)
            self.at = begin + timedelta(minutes=used)
            if left_min <= 1e-9:
                return 0.0
        return left_min
