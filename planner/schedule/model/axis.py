"""Working time as two arrays: how many worked slots lie before a slot, and where the n-th one is.

An `Axis` belongs to a set of workers and a site: the slots in which all of them may work there. Adding work
to a start is then two look-ups, whatever nights, weekends and lost days lie between.
"""

from __future__ import annotations

from array import array
from collections.abc import Iterable, Sequence
from itertools import accumulate
from typing import Any

from planner.schedule.model.problem import Span

#: A slot no plan reaches: the place of work that does not fit before the horizon.
NEVER = 1 << 30

#: Whole numbers of four bytes each: an array, or a view of a part of one.
Numbers = Sequence[int]


class Axis:
    """Worked slots of [0, horizon).

    before[t]: worked slots in [0, t), for t in 0..horizon. at[k]: the k-th worked slot. day[k]: how many days
    were begun up to the k-th worked slot, so that day[b] - day[a] + 1 days hold the work from a to b.
    flags[t]: 1 where slot t is worked.
    """

    __slots__ = ("at", "before", "count", "day", "flags")

    def __init__(self, flags: bytearray, day_slots: int) -> None:
        """flags[t] is 1 where slot t is worked."""
        import numpy as np

        self.flags = bytes(flags)
        worked = np.frombuffer(self.flags, dtype=np.uint8)
        at = np.flatnonzero(worked)
        begun = np.cumsum(np.diff(at // day_slots, prepend=-1) > 0)
        self.count = len(at)
        self.before: Numbers = _numbers(np.concatenate(([0], np.cumsum(worked, dtype=np.int64))))
        self.at: Numbers = _numbers(at)
        self.day: Numbers = _numbers(begun)

    def end_of(self, start: int, work: int) -> int:
        """End slot of `work` slots begun at worked slot `start`; NEVER when it passes the horizon."""
        k = self.before[start] + work - 1
        return self.at[k] + 1 if k < self.count else NEVER

    def works_at(self, slot: int) -> bool:
        """True when `slot` is worked."""
        return 0 <= slot < len(self.before) - 1 and self.before[slot + 1] > self.before[slot]

    def worked(self, start: int, end: int) -> int:
        """Worked slots in [start, end), clipped to the horizon."""
        top = len(self.before) - 1
        return self.before[min(max(end, 0), top)] - self.before[min(max(start, 0), top)]


def join(axes: Sequence[Axis]) -> tuple[array[int], list[int], list[int]]:
    """(the numbers of all axes in one row, where each one's `before` begins in it, where its `at`).

    First stands `before` of all, then `at` of all, then `day` of all. The axes read from the row from now on,
    so that a large season is held once.
    """
    joined = array("i")
    spans: list[list[int]] = []
    for name in ("before", "at", "day"):
        lengths = []
        for axis in axes:
            lengths.append(len(getattr(axis, name)))
            joined.extend(getattr(axis, name))
            setattr(axis, name, array("i"))
        spans.append([*accumulate(lengths, initial=len(joined) - sum(lengths))])
    view = memoryview(joined)
    for name, at in zip(("before", "at", "day"), spans, strict=True):
        for axis, first, end in zip(axes, at, at[1:], strict=False):
            setattr(axis, name, view[first:end])
    return joined, spans[0][:-1], spans[1][:-1]


def _numbers(values: Any) -> array[int]:
    """A numpy row as plain numbers, which are quicker to read one by one."""
    return array("i", values.astype("int32").tobytes())


def flags_of(horizon: int, open_spans: Iterable[Span] | None, closed: Sequence[Span] = ()) -> bytearray:
    """1 for each slot of [0, horizon) inside an open span (all when None) and in no closed one."""
    if open_spans is None:
        flags = bytearray(b"\x01") * horizon
    else:
        flags = bytearray(horizon)
        for span in open_spans:
            a, b = _inside(span, horizon)
            flags[a:b] = b"\x01" * (b - a)
    for span in closed:
        a, b = _inside(span, horizon)
        flags[a:b] = bytes(b - a)
    return flags


def _inside(span: Span, horizon: int) -> Span:
    """The part of a span in [0, horizon); (0, 0) when there is none."""
    a, b = max(0, span[0]), min(horizon, span[1])
    return (a, b) if a < b else (0, 0)


def both(a: bytearray, b: bytearray) -> bytearray:
    """Slots worked in both."""
    joined = int.from_bytes(a, "little") & int.from_bytes(b, "little")
    return bytearray(joined.to_bytes(len(a), "little"))
