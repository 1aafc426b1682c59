"""What may become of a plan: the season played many times, repaired each morning as the office would.

In: a season, bookings, how uncertain each piece of work is, the weather, how often things go wrong. Out:
`Draws`, arrays of start and end times over (season played, work). All seasons are worked out at once, works
in the plan's order (`field.py`); times are minutes from midnight of the first day (the day of `season.now`).
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import TYPE_CHECKING

from planner.domain.firm.calendar import clock_changes
from planner.domain.firm.phases import WorkKey
from planner.domain.forecast.field import Field
from planner.domain.forecast.luck import Mishaps, Spread, Weather, draw_luck
from planner.domain.season.plan import Booking
from planner.domain.season.season import Season

if TYPE_CHECKING:
    from planner.domain.forecast.luck import Days, Flags, Minutes

#: Days played beyond the season's end, so that a season that runs over shows by how much.
OVERRUN_DAYS = 150
#: Seasons worked out at a time: bounds the memory.
BLOCK = 500


@dataclass(frozen=True)
class Draws:
    """Seasons played: start and end of each work [min from midnight of `first`], (seasons, works).

    worked_min: minutes that it took; days: days on which it was worked; lost: days lost to rain.
    """

    first: date
    keys: tuple[WorkKey, ...]
    start: Minutes
    end: Minutes
    worked_min: Minutes
    days: Days
    lost: Flags

    def job_end(self, code: str) -> Minutes:
        """End of the job's last work in each season [min]."""
        return self._of(code, self.end).max(axis=1)  # type: ignore[no-any-return]

    def job_start(self, code: str) -> Minutes:
        """Start of the job's first work in each season [min]."""
        return self._of(code, self.start).min(axis=1)  # type: ignore[no-any-return]

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
    mishaps: Mishaps | None = None,
    repairs: bool = False,
) -> Draws:
    """Play the plan `seasons` times. The same seed gives the same draws, and two plans of the same works the
    same luck.

    causes: covariance of the log causes that the spreads lean on, drawn once for a season, not once for a
    job. early: a job may start before its planned first day when its crew is free; otherwise the customer's
    day holds and only later works of a job begin early. repairs: each morning, see `field.py`.
    """
    import numpy as np

    rows = sorted(bookings, key=lambda b: (b.start, b.end, b.key))
    first = season.now.date()
    days = (season.last_day - first).days + 1 + OVERRUN_DAYS
    luck = draw_luck(
        [b.key for b in rows],
        spreads,
        causes,
        weather,
        mishaps or Mishaps(),
        first=first,
        days=days,
        seasons=seasons,
        seed=seed,
        crews={name: crew.size for name, crew in season.crews.items()},
        units={kind: machine.units for kind, machine in season.machines.items()},
    )
    told: dict[str, datetime] = {}
    for booking in rows:
        told.setdefault(booking.job, booking.start)
    clocks = clock_changes(season.firm.time_zone, first, first + timedelta(days=days))
    times = np.zeros((4, seasons, len(rows)))
    for begin in range(0, seasons, BLOCK):
        block = slice(begin, begin + BLOCK)
        field_ = Field(season, first, luck.of(block), repairs, clocks)
        for n, booking in enumerate(rows):
            field_.place(booking, n, None if early else told[booking.job])
            placed = field_.done[booking.key]
            times[:, block, n] = placed.start, placed.end, placed.need, placed.days()
    return Draws(
        first=first,
        keys=tuple(b.key for b in rows),
        start=times[0],
        end=times[1],
        worked_min=times[2],
        days=times[3].astype(int),
        lost=luck.lost,
    )
