"""The common line of working slots for CP-SAT: closed time is cut out, so that most work has a fixed length.

Position p of the line is the p-th slot in which anybody may work. Clock rules (lags, driving, moving a
machine)
become step functions from the end position of one task to a position of the next.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Callable, Iterable

from planner.schedule.model.axis import Axis


class Line:
    """Slots of [low, high) in which one of the axes works. clock[p]: the slot at position p."""

    def __init__(self, axes: Iterable[Axis], low: int, high: int, day_slots: int) -> None:
        """Join the axes; no axis means every slot."""
        low = max(0, low)
        slots: set[int] = set()
        for axis in axes:
            top = min(high, len(axis.before) - 1)
            slots.update(axis.at[axis.before[low] : axis.before[max(low, top)]])
        self.clock = sorted(slots)
        self.size = len(self.clock)
        self.day_slots = day_slots
        self.days = sorted({slot // day_slots for slot in self.clock})
        self.day_start = [bisect_left(self.clock, day * day_slots) for day in self.days]

    def position(self, slot: int) -> int:
        """How many line slots lie before `slot`."""
        return bisect_left(self.clock, slot)

    def end_clock(self, position: int) -> int:
        """The clock slot just after the work that ends at `position` (a count of line slots)."""
        return self.clock[position - 1] + 1 if position > 0 else (self.clock[0] if self.clock else 0)

    def steps(self, ready: Callable[[int], int], low: int, high: int) -> list[tuple[int, int, bool]]:
        """A rising function of end positions low..high as segments (from, value there, slope).

        slope True: the value rises by one with each position until the next segment; False: it stays.
        """
        found: list[tuple[int, int, bool]] = []
        p = low
        while p <= high:
            value = ready(p)
            q = p + 1
            slope = q <= high and ready(q) == value + 1
            step = 1 if slope else 0
            while q <= high and ready(q) == value + step * (q - p):
                q += 1
            found.append((p, value, slope))
            p = q
        return found

    def after_lag(self, position: int, least: int) -> int:
        """First position at which a follower may start when `least` clock slots must pass after the end."""
        return self.position(self.end_clock(position) + least)

    def latest(self, position: int, most: int) -> int:
        """Last position at which a follower may start within `most` clock slots after the end."""
        return bisect_right(self.clock, self.end_clock(position) + most) - 1
