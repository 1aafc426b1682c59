"""Working time as two arrays: how many worked slots lie before a slot, and where the n-th one is.

An `Axis` belongs to a set of workers and a site: the slots in which all of them may work there. Adding work
to a start is then two look-ups, whatever nights, weekends and lost days lie between.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from planner.schedule.model.problem import Span

#: A slot no plan reaches: the place of work that does not fit before the horizon.
NEVER = 1 << 30


class Axis:
    """Worked slots of [0, horizon).

    before[t]: worked slots in [0, t), for t in 0..horizon. at[k]: the k-th worked slot, then NEVER, padded.
    day[k]: how many days were begun up to the k-th worked slot, so that day[b] - day[a] + 1 days hold the
    work from a to b. flags[t]: 1 where slot t is worked.
    """

    __slots__ = ("at", "before", "count", "day", "flags")

    def __init__(self, flags: bytearray, day_slots: int, numbers: list[int]) -> None:
        """flags[t] is 1 where slot t is worked; `numbers` holds 0..horizon once for all axes (memory)."""
        self.flags = bytes(flags)
        before = [0] * (len(flags) + 1)
        at: list[int] = []
        days: list[int] = []
        begun, last = 0, -1
        seen = 0
        for t, flag in enumerate(flags):
            before[t] = numbers[seen]
            if flag:
                at.append(numbers[t])
                seen += 1
                if t // day_slots != last:
                    last = t // day_slots
                    begun += 1
                days.append(numbers[begun])
        before[len(flags)] = numbers[seen]
        self.count = seen
        self.before, self.at, self.day = before, at, days

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
