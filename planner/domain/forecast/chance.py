"""What may become of a plan: the season played many times with the crews' order kept.

In: a season, bookings, how uncertain each piece of work is, the weather. Out: `Draws`, arrays of start and
end times over (season played, work). Each season draws its own durations (lognormal, with a factor that all
works of one job share, and causes that all works of the season share) and its own days lost to rain. No work
overtakes another of its crew or machine.

The trick: time is worked out for all seasons at once. A work's crews have, in each season, a running total
of working minutes by day; "work so many minutes from here" is then one search in that total. Times are
minutes from midnight of the first day (the day of `season.now`).
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime, time, timedelta
from math import log, sqrt
from typing import TYPE_CHECKING, Any

from planner.domain.firm.calendar import clock_changes, crew_windows, shift
from planner.domain.firm.lost import LostKind
from planner.domain.firm.phases import WorkKey
from planner.domain.season.cost import site_open
from planner.domain.season.plan import Booking, MachineUse
from planner.domain.season.season import Season
from planner.domain.season.travel import drive_minutes

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Minutes = NDArray[np.float64]
    Flags = NDArray[np.bool_]

DAY_MIN = 1440.0
#: Days played beyond the season's end, so that a season that runs over shows by how much.
OVERRUN_DAYS = 150
#: Seasons worked out at a time, and running totals kept at hand: bounds the memory.
BLOCK, CLOCKS = 250, 48


@dataclass(frozen=True, slots=True)
class Spread:
    """How uncertain one piece of work is.

    mean_ratio: expected over planned working minutes; cv: standard deviation over mean of the minutes;
    common: share of the log variance that all works of the job share, 0 to 1. leaning: how strongly it leans
    on each of the causes that all works of a season share, what the book does not know about the firm.
    """

    mean_ratio: float = 1.0
    cv: float = 0.0
    common: float = 0.0
    leaning: tuple[float, ...] = ()


@dataclass(frozen=True, slots=True)
class Weather:
    """Chance that a day is lost to rain by month (January first), and how much a lost day carries over.

    carry_over: correlation of a day with the next, 0 to under 1 (default 0: days independent; to be
    calibrated). Rain takes the day from every crew. told: chance of the days that a forecast tells of, which
    knows of the day before already.
    """

    lost_chance: tuple[float, ...] = (0.0,) * 12
    carry_over: float = 0.0
    told: Mapping[date, float] = field(default_factory=dict)


@dataclass(frozen=True)
class Draws:
    """Seasons played: start and end of each work [min from midnight of `first`], (seasons, works)."""

    first: date
    keys: tuple[WorkKey, ...]
    start: Minutes
    end: Minutes
    worked_min: Minutes
    lost: Flags

    def job_end(self, code: str) -> Minutes:
        """End of the job's last work in each season [min]."""
        return self._of(code, self.end).max(axis=1)  # type: ignore[no-any-return]

    def _of(self, code: str, values: Minutes) -> Minutes:
        return values[:, [i for i, key in enumerate(self.keys) if key.job == code]]


def play(
    season: Season,
    bookings: Iterable[Booking],
    spreads: Mapping[WorkKey, Spread],
    weather: Weather,
    *,
    seasons: int = 1000,
    seed: int = 0,
    early: bool = False,
    causes: Sequence[Sequence[float]] = (),
) -> Draws:
    """Play the plan `seasons` times. The same seed gives the same draws.

    causes: covariance of the log causes that the spreads lean on, drawn once for a season, not once for a
    job. early: a job may start before its planned first day when its crew is free; otherwise the customer's
    day holds and only later works of a job begin early.
    """
    import numpy as np

    rows = sorted(bookings, key=lambda b: (b.start, b.end, b.key))
    random = np.random.default_rng(seed)
    first = season.now.date()
    days = (season.last_day - first).days + 1 + OVERRUN_DAYS
    lost = lost_days(weather, first, days, seasons, random)
    factors = duration_factors([b.key for b in rows], spreads, seasons, random, causes)
    told: dict[str, datetime] = {}
    for booking in rows:
        told.setdefault(booking.job, booking.start)
    clocks = clock_changes(season.firm.time_zone, first, first + timedelta(days=days))
    times = np.zeros((3, seasons, len(rows)))
    for begin in range(0, seasons, BLOCK):
        block = slice(begin, begin + BLOCK)
        field_ = _Field(season, first, lost[block], clocks)
        for n, booking in enumerate(rows):
            field_.place(booking, factors[block, n], None if early else told[booking.job])
            placed = field_.done[booking.key]
            times[0, block, n], times[1, block, n], times[2, block, n] = placed.start, placed.end, placed.need
    return Draws(
        first=first,
        keys=tuple(b.key for b in rows),
        start=times[0],
        end=times[1],
        worked_min=times[2],
        lost=lost,
    )


def lost_days(weather: Weather, first: date, days: int, seasons: int, random: Any) -> Flags:
    """Which days are lost to rain: (seasons, days); the first day is known and never drawn as lost.

    A two-state chain with the month's chance as its long-run share and `carry_over` as the correlation of
    neighboring days: P(lost | lost) = p + r (1 - p), P(lost | not) = p (1 - r).
    """
    import numpy as np

    lost = np.zeros((seasons, days), dtype=bool)
    draws = random.random((seasons, days))
    r = weather.carry_over
    for n in range(1, days):
        day = first + timedelta(days=n)
        p = weather.told.get(day, weather.lost_chance[day.month - 1])
        chance = (
            p if n == 1 or day in weather.told else np.where(lost[:, n - 1], p + r * (1 - p), p * (1 - r))
        )
        lost[:, n] = draws[:, n] < chance
    return lost


def duration_factors(
    keys: Sequence[WorkKey],
    spreads: Mapping[WorkKey, Spread],
    seasons: int,
    random: Any,
    causes: Sequence[Sequence[float]] = (),
) -> Minutes:
    """Actual over planned minutes of each work: (seasons, works), lognormal with the spread's mean and cv.

    Times the season's own causes, of median 1.
    """
    import numpy as np

    jobs = sorted({key.job for key in keys})
    of_job = dict(zip(jobs, random.standard_normal((len(jobs), seasons)), strict=True))
    own = random.standard_normal((len(keys), seasons))
    factors = np.ones((seasons, len(keys)))
    for n, key in enumerate(keys):
        spread = spreads.get(key, Spread())
        sigma = sqrt(log(1 + spread.cv**2))
        z = sqrt(spread.common) * of_job[key.job] + sqrt(1 - spread.common) * own[n]
        factors[:, n] = spread.mean_ratio * np.exp(sigma * z - sigma**2 / 2)
    if len(causes):
        values, vectors = np.linalg.eigh(np.array(causes))
        drawn = random.standard_normal((seasons, len(values))) * np.sqrt(np.maximum(values, 0.0)) @ vectors.T
        none = (0.0,) * len(values)
        lean = np.array([spreads[key].leaning if key in spreads else none for key in keys])
        factors *= np.exp(drawn @ lean.T)
    return factors


@dataclass(frozen=True)
class _Clock:
    """One set of crews on one site: working minutes of each day, and their running total, by season."""

    windows: tuple[tuple[float, float], ...]
    open: Minutes  # (seasons, days): share of the day's minutes that count, 1 on a full day
    total: Minutes  # (seasons, days): minutes worked up to the end of the day
    flat: Minutes
    lift: Minutes

    def worked_by(self, t: Minutes) -> Minutes:
        """Running total of working minutes at time `t`."""
        import numpy as np

        day = np.clip((t // DAY_MIN).astype(int), 0, self.total.shape[1] - 1)
        minute = t - day * DAY_MIN
        part = sum(np.clip(minute - a, 0.0, b - a) for a, b in self.windows)
        rows = np.arange(len(t))
        before = self.total[rows, day] - self.open[rows, day] * self._paid()
        return before + self.open[rows, day] * part  # type: ignore[no-any-return]

    def when(self, worked: Minutes, *, starting: bool) -> Minutes:
        """The time at which the running total reaches `worked`; the next moment of work when `starting`."""
        import numpy as np

        side: Any = "right" if starting else "left"
        days = self.total.shape[1]
        rows = np.arange(len(worked))
        slack = 1e-7 if starting else -1e-7
        day = np.searchsorted(self.flat, worked + slack + self.lift, side=side) - rows * days
        day = np.clip(day, 0, days - 1)
        share = self.open[rows, day]
        into = (worked - (self.total[rows, day] - share * self._paid())) / np.where(share > 0, share, 1.0)
        minute = np.full(len(worked), self.windows[0][0]) + into
        done = 0.0
        for (a, b), (c, _) in zip(self.windows, self.windows[1:], strict=False):
            done += b - a
            over = into > done - 1e-7 if starting else into > done + 1e-7
            minute = np.where(over, c + into - done, minute)
        return day * DAY_MIN + minute  # type: ignore[no-any-return]

    def _paid(self) -> float:
        return sum(b - a for a, b in self.windows)


@dataclass(frozen=True)
class _Placed:
    start: Minutes
    end: Minutes
    need: Minutes
    clock: _Clock
    job: str


@dataclass
class _Field:
    """The seasons while they are played: what is placed, and when crews and machines are free."""

    season: Season
    first: date
    lost: Flags
    clocks: Sequence[tuple[datetime, timedelta]] = ()
    done: dict[WorkKey, _Placed] = field(default_factory=dict)
    _crew_last: dict[str, _Placed] = field(default_factory=dict)
    _unit_last: dict[MachineUse, _Placed] = field(default_factory=dict)
    _clocks: dict[tuple[tuple[str, ...], str], _Clock] = field(default_factory=dict)

    def place(self, booking: Booking, factor: Minutes, not_before: datetime | None) -> None:
        """Put one booking after everything that it must wait for, in every season."""
        import numpy as np

        clock = self._clock(booking)
        need = np.asarray(self._planned_min(booking) * factor)
        work = self.season.works.get(booking.key)
        if work is not None and work.fixed is not None and booking.start < self.season.now:
            shape = np.ones(len(factor))
            start, end = shape * self._at(booking.start), shape * self._at(booking.end)
        else:
            start = self._past_waits(booking, clock, self._ready(booking, clock, not_before, len(factor)))
            begun = clock.worked_by(start)
            end = np.maximum(start, clock.when(begun + need, starting=False))
        for after in work.after if work else ():
            before = self.done.get(after.before)
            if before is not None and after.share < 1:
                end = np.maximum(end, before.end)
        placed = _Placed(start, end, need, clock, booking.job)
        self.done[booking.key] = placed
        for crew in booking.crews:
            self._crew_last[crew] = placed
        for use in booking.machines:
            self._unit_last[use] = placed

    def _ready(self, booking: Booking, clock: _Clock, not_before: datetime | None, n: int) -> Minutes:
        import numpy as np

        moments = [self.season.now] + ([not_before] if not_before else [])
        work = self.season.works.get(booking.key)
        if work is not None:
            if work.opens is not None:
                moments.append(datetime.combine(work.opens, time()))
            if work.only_start is not None:
                moments.append(work.only_start)
        ready = np.full(n, self._at(max(moments)))
        for after in work.after if work else ():
            if after.before in self.done:
                before = self.done[after.before]
                ready = np.maximum(ready, self._later(_share_done(before, after.share), after.lag_h))
        for crew in booking.crews:
            if crew in self._crew_last:
                ready = np.maximum(ready, self._driven(self._crew_last[crew], booking.job, clock))
        for use in booking.machines:
            last = self._unit_last.get(use)
            if last is not None:
                machine = self.season.machines.get(use.kind)
                move_h = machine.move_h if machine and last.job != booking.job else 0.0
                ready = np.maximum(ready, last.end + move_h * 60)
        return ready

    def _later(self, done: Minutes, lag_h: float) -> Minutes:
        """The lag's real hours after `done`, by the wall: clocks may change between."""
        import numpy as np

        ready = done + lag_h * 60
        for moment, by in self.clocks if lag_h else ():
            at = self._at(moment)
            ready = ready + np.where((done < at) & (ready >= at), by / timedelta(minutes=1), 0.0)
        return ready

    def _driven(self, last: _Placed, job: str, clock: _Clock) -> Minutes:
        """When the crew of `last` can be at work on `job`: driving takes paid time, or the night."""
        import numpy as np

        if last.job == job:
            return last.end
        drive = drive_minutes(self.season, last.job, job)
        there = clock.when(clock.worked_by(last.end) + drive, starting=False)
        same_day = there // DAY_MIN == last.end // DAY_MIN
        return np.where(same_day, there, (last.end // DAY_MIN + 1) * DAY_MIN)

    def _past_waits(self, booking: Booking, clock: _Clock, ready: Minutes) -> Minutes:
        """The next moment of work; none on the days of a late delivery or a failed inspection."""
        import numpy as np

        start = clock.when(clock.worked_by(ready), starting=True)
        for entry in sorted(self.season.lost, key=lambda e: e.days.first):
            waits = entry.kind in {LostKind.DELIVERY, LostKind.INSPECTION} and entry.target == booking.job
            if waits and entry.phase in {"", booking.phase.value}:
                first = self._at(datetime.combine(entry.days.first, time()))
                after = self._at(datetime.combine(entry.days.last + timedelta(days=1), time()))
                past = clock.when(clock.worked_by(np.full(len(start), after)), starting=True)
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

    def _clock(self, booking: Booking) -> _Clock:
        job = self.season.jobs[booking.job]
        rain_here = any(e.kind is LostKind.RAIN and e.target == job.region for e in self.season.lost)
        own_days = bool(job.blackouts or (job.region and rain_here))
        key = (booking.crews, booking.job if own_days else "")
        clock = self._clocks.pop(key, None) or self._new_clock(booking)
        self._clocks[key] = clock
        if len(self._clocks) > CLOCKS:
            del self._clocks[next(iter(self._clocks))]
        return clock

    def _new_clock(self, booking: Booking) -> _Clock:
        import numpy as np

        season, n = self.season, self.lost.shape[1]
        works = np.zeros(n)
        for day in range(n):
            when = self.first + timedelta(days=day)
            if site_open(season, booking.job, when):
                works[day] = min(
                    sum(w.minutes for w in crew_windows(season.firm, season.crews[c], when, season.lost))
                    for c in booking.crews
                )
        windows = tuple(
            (float(w.start.hour * 60 + w.start.minute), float(w.start.hour * 60 + w.start.minute + w.minutes))
            for w in shift(season.firm, self.first)
        )
        open_ = np.where(self.lost, 0.0, works / sum(b - a for a, b in windows))
        total = np.cumsum(open_ * sum(b - a for a, b in windows), axis=1)
        lift = np.arange(len(total)) * (DAY_MIN * n)
        return _Clock(windows, open_, total, (total + lift[:, None]).ravel(), lift)


def _share_done(before: _Placed, share: float) -> Minutes:
    """When a share of an earlier work's minutes is done."""
    if share >= 1:
        return before.end
    begun = before.clock.worked_by(before.start)
    return before.clock.when(begun + share * before.need, starting=False)
