"""Who is where when: the tasks placed so far, and the earliest place for one more.

One row of occupied spans per worker and per unit. `fit` finds the first start from a given slot on at which
the workers are free for the whole span (time to drive included), and enough units are free and in service;
gaps between earlier placements are used. Nothing here decides an order or a way: callers do.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from typing import NamedTuple

from planner.schedule.model.axis import Axis
from planner.schedule.model.shop import FAR, Option, Shop
from planner.schedule.model.towing import ask_trucks

#: Occupied spans of a worker or unit by start: starts, ends, tasks.
Row = tuple[list[int], list[int], list[int]]


class Fit(NamedTuple):
    """A place for a task: start and end slot and the numbered units it would hold."""

    start: int
    end: int
    units: tuple[int, ...]


class Timetable:
    """A partial schedule of a `Shop`. start[t] is -1 while task t has no place."""

    def __init__(self, shop: Shop) -> None:
        """Place what is fixed; the past holds nothing."""
        self.shop = shop
        n = len(shop.tasks)
        self.start = [-1] * n
        self.end = [-1] * n
        self.option = [-1] * n
        self.units: list[tuple[int, ...]] = [()] * n
        self.hold = list(shop.release)
        self.worker_rows: list[Row] = [([], [], []) for _ in shop.worker_axis]
        self.unit_rows: list[Row] = [([], [], []) for _ in shop.pool_of]
        self._drives = any(any(row) for row in shop.drive)
        for i, task in enumerate(shop.tasks):
            if task.fixed is not None:
                self._put_fixed(i)

    def _put_fixed(self, task: int) -> None:
        fixed = self.shop.tasks[task].fixed
        assert fixed is not None
        self.start[task], self.end[task] = fixed.start, fixed.end
        numbers = tuple(
            self.shop.unit_number(pool, unit) for pool, unit in fixed.units if self._has_unit(pool, unit)
        )
        self.units[task] = numbers
        if self.shop.tasks[task].past:
            return
        top = self.shop.horizon
        for row in [self.worker_rows[self.shop.worker_number[w]] for w in fixed.workers] + [
            self.unit_rows[u] for u in numbers
        ]:
            self.enter(row, min(fixed.start, top), min(fixed.end, top), task)

    def _has_unit(self, pool: str, unit: int) -> bool:
        return any(p.key == pool and unit < p.units for p in self.shop.problem.pools)

    @staticmethod
    def enter(row: Row, start: int, end: int, task: int) -> None:
        """Put a span into a row."""
        starts, ends, tasks = row
        if not starts or start >= starts[-1]:
            starts.append(start)
            ends.append(end)
            tasks.append(task)
        else:
            i = bisect_left(starts, start)
            starts.insert(i, start)
            ends.insert(i, end)
            tasks.insert(i, task)

    def copy(self) -> Timetable:
        """An independent copy of the placements."""
        twin = object.__new__(Timetable)
        twin.shop, twin._drives = self.shop, self._drives
        twin.start, twin.end, twin.option = self.start[:], self.end[:], self.option[:]
        twin.units, twin.hold = self.units[:], self.hold[:]
        twin.worker_rows = [(a[:], b[:], c[:]) for a, b, c in self.worker_rows]
        twin.unit_rows = [(a[:], b[:], c[:]) for a, b, c in self.unit_rows]
        return twin

    # ---- order ----

    def axis_of(self, task: int) -> Axis:
        """Working time of the placed task's team on its site."""
        chosen = self.option[task]
        if chosen >= 0:
            return self.shop.options[task][chosen].axis
        fixed = self.shop.tasks[task].fixed
        assert fixed is not None
        team = tuple(self.shop.worker_number[w] for w in fixed.workers)
        return self.shop.axis(team, self.shop.group[task], fixed.closed)

    def point(self, task: int, share: float) -> int:
        """The slot at which `share` of the placed task's work is done: 1 its end, 0 its start."""
        if share >= 1.0:
            return self.end[task]
        if share <= 0.0:
            return self.start[task]
        axis = self.axis_of(task)
        first = axis.before[max(0, self.start[task])]
        count = axis.worked(self.start[task], self.end[task])
        done = -int(-(share * count - 1e-6) // 1)
        if count == 0 or done == 0:
            return self.start[task]
        return axis.at[first + done - 1] + 1

    def earliest(self, task: int) -> tuple[int, int, int]:
        """(earliest start, latest start, least end) that release, holds and lags leave; -1 start: a
        predecessor has no place."""
        soon, late, least_end = self.hold[task], FAR, 0
        start, end = self.start, self.end
        for before, share, least, most in self.shop.links[task]:
            if start[before] < 0 and self.shop.tasks[before].fixed is None:
                return -1, late, least_end
            if share == 1.0:
                point = end[before]
            else:
                point = self.point(before, share)
                if share > 0.0 and end[before] > least_end:
                    least_end = end[before]
            if point + least > soon:  # noqa: PLR1730 - three times as quick as max()
                soon = point + least
            if most < FAR and point + most < late:
                late = point + most
        return soon, late, least_end

    # ---- place ----

    def fit(self, task: int, option: Option, soon: int, least_end: int = 0) -> Fit | None:
        """The first place from slot `soon` on that ends at `least_end` or later; None before the horizon."""
        shop = self.shop
        workers, work, uses, axis, _ = option
        before, at, count = axis.before, axis.at, axis.count
        top = shop.horizon
        if soon > top:
            return None
        k = before[soon if soon > 0 else 0]
        if least_end > 0:
            k = max(k, before[min(least_end, top + 1) - 1] - work + 1)
        group, day_slots = shop.group[task], shop.day_slots
        drives = self._drives and group >= 0
        one_day = shop.one_day[task]
        least, last = min(shop.tasks[task].least, work) - 1, count - work
        while k <= last:
            start = at[k]
            end = at[k + work - 1] + 1
            if one_day and start // day_slots != (end - 1) // day_slots:
                k = before[min(top, (start // day_slots + 1) * day_slots)]
                continue
            again = -1
            for worker in workers:
                starts, ends, tasks = self.worker_rows[worker]
                i = bisect_right(ends, start)
                if i < len(ends):
                    following = starts[i]
                    if following < end:
                        again = ends[i]
                        break
                    if drives and following // day_slots == end // day_slots:
                        need = shop.drive[group][shop.group[tasks[i]]]
                        if need:
                            paid = shop.worker_axis[worker].before
                            if paid[following] - paid[end] < need:
                                again = ends[i]
                                break
                if drives and i:
                    left = ends[i - 1]
                    if left // day_slots == start // day_slots:
                        need = shop.drive[shop.group[tasks[i - 1]]][group]
                        if need:
                            paid_axis = shop.worker_axis[worker]
                            if paid_axis.before[start] - paid_axis.before[left] < need:
                                again = self._after_drive(paid_axis, left, need)
                                break
            if again < 0 and least and axis.day[k + least] != axis.day[k]:
                k += 1
                continue
            if again < 0 and uses:
                chosen, again = self._units_for(task, option, start, end)
                if again < 0:
                    return Fit(start, end, chosen)
            elif again < 0:
                return Fit(start, end, ())
            if again > top:
                return None
            k = before[again]
        return None

    def _after_drive(self, paid: Axis, left: int, need: int) -> int:
        """The first slot at which a crew that left at `left` may work elsewhere: driven, or a new day."""
        day_slots = self.shop.day_slots
        tomorrow = (left // day_slots + 1) * day_slots
        k = paid.before[left] + need
        return min(tomorrow, paid.at[k]) if k < paid.count else tomorrow

    def _units_for(self, task: int, option: Option, start: int, end: int) -> tuple[tuple[int, ...], int]:
        """Units free from start to end, or the next slot at which it is worth asking again (else -1)."""
        chosen: tuple[int, ...] = ()
        group, towed = self.shop.group[task], self.shop.towed
        lead = option.workers[0] if option.workers else -1
        for first, count, need in option.uses:
            good: list[tuple[int, int]] = []
            later: list[int] = []
            for unit in range(first, first + count):
                again, rank = self._unit_free(unit, start, end, group, option.axis)
                if again < 0 and towed:
                    again = ask_trucks(self, task, lead, start, end, (unit,))
                if again < 0:
                    good.append((rank, unit))
                else:
                    later.append(again)
            if len(good) < need:
                if len(good) + len(later) < need:
                    return (), FAR
                later.sort()
                return (), later[need - len(good) - 1]
            good.sort()
            chosen += tuple(unit for _, unit in good[:need])
        if towed and len(chosen) > 1:
            return chosen, ask_trucks(self, task, lead, start, end, chosen)
        return chosen, -1

    def _unit_free(self, unit: int, start: int, end: int, group: int, axis: Axis) -> tuple[int, int]:
        """(-1, rank) when the unit is free, rank lowest for the best choice; else (ask again at, 0)."""
        shop = self.shop
        starts, ends, tasks = self.unit_rows[unit]
        move = shop.unit_move[unit]
        i = bisect_right(ends, start)
        rank = 0
        if i < len(ends):
            following = starts[i]
            gap = move if move and shop.group[tasks[i]] != group else 0
            if following < end + gap:
                return ends[i], 0
        if i:
            left, other = ends[i - 1], shop.group[tasks[i - 1]] != group
            if other and start - left < move:
                return left + move, 0
            rank = start - left + (1 if other else -FAR)
        else:
            rank = FAR
        for a, b in shop.unit_out[unit]:
            if a >= end:
                break
            if b > start and axis.before[min(b, end)] > axis.before[max(a, start)]:
                return b, 0
        return -1, rank

    def put(self, task: int, number: int, fit: Fit) -> None:
        """Place the task with its option `number` where `fit` says."""
        option = self.shop.options[task][number]
        start, end, units = fit
        self.start[task], self.end[task], self.option[task], self.units[task] = start, end, number, units
        for worker in option.workers:
            self.enter(self.worker_rows[worker], start, end, task)
        for unit in units:
            self.enter(self.unit_rows[unit], start, end, task)

    def settle(self, task: int, number: int, units: tuple[int, ...] = ()) -> bool:
        """Place the task as early as its lags and resources allow, with these units where they are free;
        False when it has no place."""
        soon, late, least_end = self.earliest(task)
        if soon < 0:
            return False
        shop = self.shop
        wanted = shop.tasks[task].start_at
        if wanted is not None:
            if soon > wanted:
                return False
            soon = late = wanted
        fit = self.fit(task, shop.options[task][number], soon, least_end)
        if fit is None or fit.end > shop.deadline[task] or fit.start > late:
            return False
        if units:
            fit = self.keep_units(fit, task, shop.options[task][number], units)
        self.put(task, number, fit)
        return True

    def keep_units(self, fit: Fit, task: int, option: Option, units: tuple[int, ...]) -> Fit:
        """The same place with these units instead, when they are of the right pools and free; else `fit`."""
        pools = sorted(self.shop.pool_of[u] for u in units)
        if units == fit.units or pools != sorted(self.shop.pool_of[u] for u in fit.units):
            return fit
        group = self.shop.group[task]
        free = all(self._unit_free(u, fit.start, fit.end, group, option.axis)[0] < 0 for u in units)
        lead = option.workers[0] if option.workers else -1
        if free and self.shop.towed:
            free = ask_trucks(self, task, lead, fit.start, fit.end, units) < 0
        return fit._replace(units=units) if free else fit

    def lift(self, tasks: list[int]) -> None:
        """Take placed tasks out; tasks without a place are passed over."""
        for task in tasks:
            start = self.start[task]
            if start < 0:
                continue
            for worker in self.shop.options[task][self.option[task]].workers:
                self.leave(self.worker_rows[worker], start)
            for unit in self.units[task]:
                self.leave(self.unit_rows[unit], start)
            self.start[task] = self.end[task] = -1
            self.units[task] = ()

    @staticmethod
    def leave(row: Row, start: int) -> None:
        """Take the span that begins at `start` out of a row."""
        starts, ends, tasks = row
        i = bisect_left(starts, start)
        del starts[i], ends[i], tasks[i]
