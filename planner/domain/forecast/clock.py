"""Working time of many played seasons at once, as running totals by day.

"Work so many minutes from here" is then one search in a total. Times are minutes from midnight of the first
day; `rows` say of which seasons the times are.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from planner.domain.forecast.luck import Days, Minutes

    Rows = NDArray[np.intp]

DAY_MIN = 1440.0


@dataclass(frozen=True)
class Clock:
    """One set of crews on one site. windows: of a full day [min from midnight]; open: share of the day's
    minutes that count, 1 on a full day (seasons, days)."""

    windows: tuple[tuple[float, float], ...]
    open: Minutes

    @cached_property
    def paid(self) -> float:
        """Minutes of a full day."""
        return sum(b - a for a, b in self.windows)

    @cached_property
    def total(self) -> Minutes:
        """Minutes worked up to the end of each day (seasons, days)."""
        return self.open.cumsum(axis=1) * self.paid

    @cached_property
    def _lift(self) -> float:
        return float(DAY_MIN * self.total.shape[1])

    @cached_property
    def _flat(self) -> Minutes:
        import numpy as np

        flat: Minutes = (self.total + (np.arange(len(self.total)) * self._lift)[:, None]).ravel()
        return flat

    @cached_property
    def days_open(self) -> Days:
        """Days with any work up to the end of each day (seasons, days)."""
        found: Days = (self.open > 0).cumsum(axis=1)
        return found

    def worked_by(self, t: Minutes, rows: Rows) -> Minutes:
        """Running total of working minutes at time `t`."""
        import numpy as np

        day = self._day(t)
        minute = t - day * DAY_MIN
        part = np.zeros(len(t))
        for a, b in self.windows:
            part += np.minimum(np.maximum(minute - a, 0.0), b - a)
        share = self.open[rows, day]
        return self.total[rows, day] - share * (self.paid - part)

    def when(self, worked: Minutes, rows: Rows, *, starting: bool) -> Minutes:
        """The time at which the running total reaches `worked`; the next moment of work when `starting`."""
        import numpy as np

        side: Any = "right" if starting else "left"
        days = self.total.shape[1]
        slack = 1e-7 if starting else -1e-7
        day = np.searchsorted(self._flat, worked + slack + rows * self._lift, side=side) - rows * days
        day = np.maximum(np.minimum(day, days - 1), 0)
        share = self.open[rows, day]
        into = (worked - (self.total[rows, day] - share * self.paid)) / np.where(share > 0, share, 1.0)
        minute = self.windows[0][0] + into
        done = 0.0
        for (a, b), (c, _) in zip(self.windows, self.windows[1:], strict=False):
            done += b - a
            over = into > done - 1e-7 if starting else into > done + 1e-7
            minute = np.where(over, c + into - done, minute)
        return day * DAY_MIN + minute  # type: ignore[no-any-return]

    def next_work(self, t: Minutes, rows: Rows) -> Minutes:
        """The next moment of work at or after `t`."""
        return self.when(self.worked_by(t, rows), rows, starting=True)

    def after(self, t: Minutes, minutes: Minutes | float, rows: Rows) -> Minutes:
        """The time at which so many minutes from `t` on are worked."""
        return self.when(self.worked_by(t, rows) + minutes, rows, starting=False)

    def _day(self, t: Minutes) -> Days:
        import numpy as np

        last = self.open.shape[1] - 1
        found: Days = np.maximum(np.minimum((t // DAY_MIN).astype(int), last), 0)
        return found

    def days_between(self, start: Minutes, end: Minutes, rows: Rows) -> Days:
        """Days with work from the day of `start` to that of `end`, both included."""
        import numpy as np

        a, b = self._day(start), self._day(end)
        before = np.where(a > 0, self.days_open[rows, np.maximum(a - 1, 0)], 0)
        found: Days = self.days_open[rows, b] - before
        return found
