"""The seasons while they are played: each work put after all that it must wait for, in every season at once.

The repair of each morning: what cannot start is pushed; a crew that has to wait goes on with a later work of
its list that fits into the wait; a work takes whichever unit of its machine is free and runs. Without that no
work overtakes another of its crew, and each waits for the unit that the plan names.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import date, datetime, time, timedelta
from typing import TYPE_CHECKING

from planner.domain.firm.calendar import crew_windows, shift
from planner.domain.firm.lost import LostKind
from planner.domain.firm.people import runs
from planner.domain.firm.phases import WorkKey
from planner.domain.forecast.clock import DAY_MIN, Clock
from planner.domain.forecast.fleet import Fleet
from planner.domain.forecast.luck import Luck
from planner.domain.season.cost import site_open
from planner.domain.season.plan import Booking
from planner.domain.season.season import Season
from planner.domain.season.travel import drive_minutes

if TYPE_CHECKING:
    from planner.domain.forecast.clock import Rows
    from planner.domain.forecast.luck import Days, Flags, Minutes

#: Running totals kept at hand: bounds the memory.
CLOCKS = 24
#: A wait shorter than this is not filled with other work [working minutes].
LEAST_WAIT_MIN = 120.0


@dataclass(frozen=True)
class _Placed:
    start: Minutes
    end: Minutes
    need: Minutes
    clock: Clock
    rows: Rows

    def days(self) -> Days:
        return self.clock.days_between(self.start, self.end, self.rows)

    def share_done(self, share: float) -> Minutes:
        """When a share of the work's minutes is done."""
        return self.end if share >= 1 else self.clock.after(self.start, share * self.need, self.rows)


@dataclass
class _Crew:
    """Where a crew stands in each season: end and site of its last work, and the last wait that it had.

    job: number of the site, -1 before any; gap_first, gap_end: begin and end of the wait; gap_from, gap_to:
    sites before and after it.
    """

    end: Minutes
    job: Days
    gap_first: Minutes
    gap_end: Minutes
    gap_from: Days
    gap_to: Days


@dataclass(frozen=True)
class _Try:
    """A place for a work in some seasons: start, end, and per kind of machine the number of its unit."""

    start: Minutes
    end: Minutes
    units: tuple[tuple[str, Days], ...]


@dataclass
class Field:
    """The seasons while they are played: what is placed, and when crews and machines are free."""

    season: Season
    first: date
    luck: Luck
    repairs: bool
    clocks: Sequence[tuple[datetime, timedelta]] = ()
    done: dict[WorkKey, _Placed] = field(default_factory=dict)
    _crews: dict[str, _Crew] = field(default_factory=dict)
    _clocks: dict[tuple[tuple[str, ...], str, frozenset[str]], Clock] = field(default_factory=dict)
    _jobs: list[str] = field(default_factory=list)
    _drives: dict[int, Minutes] = field(default_factory=dict)

    def __post_init__(self) -> None:
        """Number the sites and the seasons."""
        import numpy as np

        self._jobs = sorted(self.season.jobs)
        self._number = {job: n for n, job in enumerate(self._jobs)}
        self._all = np.arange(len(self.luck.lost))
        self._fleet = Fleet(self.season, self.first, self.luck, self._at(self.season.now), self.repairs)

    def place(self, booking: Booking, n: int, not_before: datetime | None) -> None:
        """Put one booking after everything that it must wait for, by season. n: its place in the row."""
        import numpy as np

        clock, rows = self._clock(booking), self._all
        need = np.asarray(self._planned_min(booking) * self.luck.factors[:, n])
        work = self.season.works.get(booking.key)
        for crew in booking.crews:
            self._crews.setdefault(crew, self._fresh_crew())
        if work is not None and work.fixed is not None and booking.start < self.season.now:
            shape = np.ones(len(rows))
            start, end = shape * self._at(booking.start), shape * self._at(booking.end)
            units = tuple((use.kind, np.full(len(rows), use.unit)) for use in booking.machines)
            self._keep(booking, clock, _Try(start, end, units), np.zeros(len(rows), bool))
        else:
            ready = self._ready(booking, not_before)
            least = self._least_end(booking)
            found = self._at_end(booking, clock, ready, need, least)
            found, filled = self._in_gap(booking, clock, ready, need, least, found)
            self._keep(booking, clock, found, filled)
            start, end = found.start, found.end
        self.done[booking.key] = _Placed(start, end, need, clock, rows)

    # ---- where it may lie ----

    def _ready(self, booking: Booking, not_before: datetime | None) -> Minutes:
        """When gates, the customer's day, material and the phases before let it start."""
        import numpy as np

        moments = [self.season.now] + ([not_before] if not_before else [])
        work = self.season.works.get(booking.key)
        if work is not None:
            if work.opens is not None:
                moments.append(datetime.combine(work.opens, time()))
            moments += [moment for moment in (work.only_start, work.cured) if moment is not None]
        ready = np.full(len(self._all), self._at(max(moments)))
        for after in work.after if work else ():
            if after.before in self.done:
                before = self.done[after.before]
                ready = np.maximum(ready, self._later(before.share_done(after.share), after.lag_h))
        late = self.luck.late.get(booking.key)
        if late is not None and booking.start.date() > self.first:
            here = self._at(datetime.combine(booking.start.date(), time())) + late * DAY_MIN
            ready = np.where(late > 0, np.maximum(ready, here), ready)
        return ready

    def _least_end(self, booking: Booking) -> Minutes | None:
        """The earliest end: a work may not end before one that it overlaps."""
        import numpy as np

        work = self.season.works.get(booking.key)
        befores = [after.before for after in work.after if after.share < 1] if work else []
        ends = [self.done[key].end for key in befores if key in self.done]
        return np.maximum.reduce(ends) if ends else None

    def _at_end(
        self, booking: Booking, clock: Clock, ready: Minutes, need: Minutes, least: Minutes | None
    ) -> _Try:
        """After all that its crews did before."""
        import numpy as np

        for name in booking.crews:
            crew = self._crews[name]
            ready = np.maximum(ready, self._driven(crew.end, crew.job, booking.job, clock, self._all))
        return self._laid(booking, clock, ready, need, least, self._all)

    def _in_gap(
        self,
        booking: Booking,
        clock: Clock,
        ready: Minutes,
        need: Minutes,
        least: Minutes | None,
        found: _Try,
    ) -> tuple[_Try, Flags]:
        """In the seasons in which the crew had a wait that this work fits into: there, before later work."""
        import numpy as np

        none = np.zeros(len(self._all), bool)
        crew = self._crews[booking.lead]
        if not self.repairs or len(booking.crews) > 1:
            return found, none
        fits = (crew.gap_end > np.maximum(ready, crew.gap_first) + need) & (found.start > crew.gap_end)
        rows = np.flatnonzero(fits)
        if not len(rows):
            return found, none
        soon = self._driven(crew.gap_first[rows], crew.gap_from[rows], booking.job, clock, rows)
        tried = self._laid(
            booking,
            clock,
            np.maximum(soon, ready[rows]),
            need[rows],
            None if least is None else least[rows],
            rows,
        )
        there = self._drive_row(self._number[booking.job])[crew.gap_to[rows]]
        good = clock.after(tried.end, there, rows) <= crew.gap_end[rows]
        none[rows[good]] = True
        start, end = found.start.copy(), found.end.copy()
        start[rows[good]], end[rows[good]] = tried.start[good], tried.end[good]
        units = []
        for (kind, planned), (_, mine) in zip(found.units, tried.units, strict=True):
            chosen = planned.copy()
            chosen[rows[good]] = mine[good]
            units.append((kind, chosen))
        return _Try(start, end, tuple(units)), none

    def _laid(
        self,
        booking: Booking,
        clock: Clock,
        ready: Minutes,
        need: Minutes,
        least: Minutes | None,
        rows: Rows,
    ) -> _Try:
        """The first place from `ready` on, with the machine that it takes."""
        import numpy as np

        units = []
        for use in booking.machines:
            ready, unit = self._fleet.free(use, self._number[booking.job], ready, rows)
            units.append((use.kind, unit))
        start = self._past_waits(booking, clock, ready, rows)
        end = np.maximum(start, clock.after(start, need, rows))
        for kind, unit in units:
            stood = self._fleet.stood(kind, unit, start, end, rows)
            if stood is not None:
                more_min: Minutes = (stood * clock.paid).astype(np.float64)
                end = np.where(stood > 0, clock.after(end, more_min, rows), end)
        return _Try(start, end if least is None else np.maximum(end, least), tuple(units))

    def _keep(self, booking: Booking, clock: Clock, found: _Try, filled: Flags) -> None:
        """Remember where crews and machines are now; filled: the seasons in which a wait was used."""
        import numpy as np

        job = self._number[booking.job]
        for name in booking.crews:
            crew = self._crews[name]
            waited = ~filled & (found.start > crew.end + LEAST_WAIT_MIN)
            if self.repairs and waited.any():
                idle_min = clock.worked_by(found.start, self._all) - clock.worked_by(crew.end, self._all)
                waited &= idle_min >= LEAST_WAIT_MIN
            crew.gap_end = np.where(waited, found.start, crew.gap_end)
            crew.gap_to = np.where(waited, job, crew.gap_to)
            crew.gap_first = np.where(waited, crew.end, np.where(filled, found.end, crew.gap_first))
            crew.gap_from = np.where(waited, crew.job, np.where(filled, job, crew.gap_from))
            crew.end = np.where(filled, crew.end, found.end)
            crew.job = np.where(filled, crew.job, job)
        for kind, numbers in found.units:
            self._fleet.hold(kind, numbers, job, found.end)

    # ---- time ----

    def _later(self, done: Minutes, lag_h: float) -> Minutes:
        """The lag's real hours after `done`, by the wall: clocks may change between."""
        import numpy as np

        ready = done + lag_h * 60
        for moment, by in self.clocks if lag_h else ():
            at = self._at(moment)
            ready = ready + np.where((done < at) & (ready >= at), by / timedelta(minutes=1), 0.0)
        return ready

    def _driven(self, left: Minutes, was: Days, job: str, clock: Clock, rows: Rows) -> Minutes:
        """When a crew that left site `was` can be at work on `job`: driving takes paid time, or the night."""
        import numpy as np

        number = self._number[job]
        moving = (was != number) & (was >= 0)
        if not moving.any():
            return left
        away_min: Minutes = np.where(moving, self._drive_row(number)[was], 0.0)
        there = clock.after(left, away_min, rows)
        same_day = there // DAY_MIN == left // DAY_MIN
        return np.where(moving, np.where(same_day, there, (left // DAY_MIN + 1) * DAY_MIN), left)

    def _drive_row(self, number: int) -> Minutes:
        """Minutes from every site to the numbered one."""
        import numpy as np

        if number not in self._drives:
            job = self._jobs[number]
            self._drives[number] = np.array([drive_minutes(self.season, a, job) for a in self._jobs], float)
        return self._drives[number]

    def _past_waits(self, booking: Booking, clock: Clock, ready: Minutes, rows: Rows) -> Minutes:
        """The next moment of work; none on the days of a late delivery or a failed inspection."""
        import numpy as np

        start = clock.next_work(ready, rows)
        for entry in sorted(self.season.lost, key=lambda e: e.days.first):
            waits = entry.kind in {LostKind.DELIVERY, LostKind.INSPECTION} and entry.target == booking.job
            if waits and entry.phase in {"", booking.phase.value}:
                first = self._at(datetime.combine(entry.days.first, time()))
                after = self._at(datetime.combine(entry.days.last + timedelta(days=1), time()))
                past = clock.next_work(np.full(len(start), after), rows)
                start = np.where((start >= first) & (start < after), past, start)
        return start

    def _planned_min(self, booking: Booking) -> float:
        work = self.season.works.get(booking.key)
        if work is not None and work.fixed is None:
            for mode in work.modes:
                if mode.crews == booking.crews:
                    return mode.work_min
        return booking.crew_h * 60

    def _at(self, moment: datetime) -> float:
        return (moment - datetime.combine(self.first, time())).total_seconds() / 60

    def _fresh_crew(self) -> _Crew:
        import numpy as np

        n = len(self._all)
        long_ago, nowhere = np.full(n, -np.inf), np.full(n, -1)
        now = np.full(n, self._at(self.season.now))
        return _Crew(now, nowhere, long_ago, long_ago, nowhere, nowhere)

    def _clock(self, booking: Booking) -> Clock:
        job = self.season.jobs[booking.job]
        rain_here = any(e.kind is LostKind.RAIN and e.target == job.region for e in self.season.lost)
        own_days = bool(job.blackouts or (job.region and rain_here))
        lead = self.season.crews[booking.lead]
        kinds = self.season.needs(booking.key, booking.kinds) if lead.people or lead.guests else frozenset()
        key = (booking.crews, booking.job if own_days else "", kinds)
        clock = self._clocks.pop(key, None) or self._new_clock(booking)
        self._clocks[key] = clock
        if len(self._clocks) > CLOCKS:
            del self._clocks[next(iter(self._clocks))]
        return clock

    def _new_clock(self, booking: Booking) -> Clock:
        import numpy as np

        season, n = self.season, self.luck.lost.shape[1]
        needs = season.needs(booking.key, booking.kinds)
        works = np.zeros(n)
        for day in range(n):
            when = self.first + timedelta(days=day)
            if site_open(season, booking.job, when) and runs(season.crews[booking.lead], needs, when):
                works[day] = min(
                    sum(w.minutes for w in crew_windows(season.firm, season.crews[c], when, season.lost))
                    for c in booking.crews
                )
        windows = tuple(
            (float(w.start.hour * 60 + w.start.minute), float(w.start.hour * 60 + w.start.minute + w.minutes))
            for w in shift(season.firm, self.first)
        )
        open_ = np.where(self.luck.lost, 0.0, works / sum(b - a for a, b in windows))
        hands = [self.luck.hands[crew] for crew in booking.crews if crew in self.luck.hands]
        return Clock(windows, open_ * np.minimum.reduce(hands) if hands else open_)
