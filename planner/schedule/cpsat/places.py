"""The CP-SAT model's rules for crews and machines: one place at a time, driving, moving, service.

Adds to the variables of `planner.schedule.cpsat.rules`: intervals on each worker and unit, the gaps between
tasks of one group that nothing may enter, and tails of driving or moving time.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from itertools import permutations
from typing import Any

from ortools.sat.python import cp_model

from planner.schedule.cpsat.rules import Expr, Lit, Rules
from planner.schedule.model.shop import Shop
from planner.schedule.model.timetable import Timetable


class Places(Rules):
    """The whole set of rules; `model` is ready for an objective afterwards."""

    def __init__(
        self,
        shop: Shop,
        table: Timetable,
        free: list[int],
        low: int,
        high: int,
        ways: dict[int, list[int]],
        *,
        light: bool = False,
    ) -> None:
        """As `Rules`; light: leave out driving and moving time, and what only the price of visits needs."""
        super().__init__(shop, table, free, low, high, ways)
        self.light = light
        for worker in range(len(shop.worker_axis)):
            self._one_place(worker)
        for pool in range(len(shop.problem.pools)):
            self._pool(pool)

    # ---- workers ----

    def _one_place(self, worker: int) -> None:
        """One place at a time, with the time to drive to another site the same day."""
        shop, line = self.shop, self.line
        mine = [t for t in self.free if (t, worker) in self.works]
        if not mine:
            return
        intervals = [self._interval(t, self.works[t, worker], "w") for t in mine]
        starts, ends, tasks = self.table.worker_rows[worker]
        placed = [
            (line.position(a), line.position(b), t)
            for a, b, t in zip(starts, ends, tasks, strict=True)
            if t not in self.is_free and b > self.low and a < self.high
        ]
        groups = {shop.group[t] for t in mine}
        drive = self._least_drive(groups | {shop.group[t] for _, _, t in placed})
        for place, (a, b, task) in enumerate(placed):
            until = placed[place + 1][0] if place + 1 < len(placed) else line.size
            tail = self._drive_tail(b, drive, worker) if shop.group[task] not in groups else 0
            stop = max(a, min(b + tail, max(b, until)))
            if stop > a:
                intervals.append(self.model.new_fixed_size_interval_var(a, stop - a, ""))
            if place + 1 < len(placed) and shop.group[placed[place + 1][2]] == shop.group[task] >= 0:
                gap = placed[place + 1][0] - b
                if gap > 0 and shop.problem.prices.comeback:
                    keep = self.model.new_bool_var(f"keep{worker}_{place}")
                    intervals.append(self.model.new_optional_fixed_size_interval_var(b, gap, keep, ""))
                    self.hint(
                        keep,
                        self._nothing_between(self.table.worker_rows[worker][2], task, placed[place + 1][2]),
                    )
                    self.keeps.append(keep)
        here = {
            t: (line.position(self.table.start[t]), line.position(self.table.end[t])) for _, _, t in placed
        }
        if not self.light:
            intervals += self._chains(worker, mine, here, drive)
        self.model.add_no_overlap(intervals)

    @staticmethod
    def _nothing_between(row: list[int], a: int, b: int) -> bool:
        return row.index(b) == row.index(a) + 1

    def _chains(
        self, worker: int, mine: list[int], here: dict[int, tuple[int, int]], drive: int
    ) -> Iterable[Any]:
        """Gaps between tasks of one group that nothing may enter, and driving time after all others."""
        on = {t: self.works[t, worker] for t in mine}
        out: dict[int, list[Lit]] = {}
        if drive or self.shop.problem.prices.comeback:
            yield from self._gaps(worker, on, here, self.follows, out)
        if drive:
            for task in mine:
                size = self._tail_size((f"w{worker}", task), lambda p: self._drive_tail(p, drive, worker))
                yield self._tail(task, on[task], out.get(task, []), size)

    def _gaps(
        self,
        number: int,
        on: dict[int, Lit],
        here: dict[int, tuple[int, int]],
        family: dict[tuple[int, int, int], Lit],
        out: dict[int, list[Lit]],
    ) -> Iterable[Any]:
        """Optional gaps from one task to the next of its group on one worker or unit, into `family`.

        on: free task -> it is on this row; here: placed task -> (begin, end); out: filled with the gaps after
        each task.
        """
        model, group = self.model, self.shop.group
        groups = {group[t] for t in on if group[t] >= 0}
        nodes = [t for t in (*on, *here) if group[t] in groups]
        into: dict[int, list[Lit]] = {}
        for a, b in permutations(nodes, 2):
            if group[a] != group[b] or (a in here and b in here) or self._reaches(b, a):
                continue
            lit = model.new_bool_var(f"follows{number}_{a}_{b}")
            for task in (a, b):
                if task not in here:
                    model.add_implication(lit, on[task])
            left = here[a][1] if a in here else self.finish[a]
            right = here[b][0] if b in here else self.begin[b]
            size = model.new_int_var(0, self.line.size, "")
            yield model.new_optional_interval_var(left, size, right, lit, "")
            out.setdefault(a, []).append(lit)
            into.setdefault(b, []).append(lit)
            family[number, a, b] = lit
        for lits in (*out.values(), *into.values()):
            model.add_at_most_one(lits)

    def _reaches(self, a: int, b: int) -> bool:
        """True when b must come after a, by lags inside their group."""
        seen, stack = {a}, [a]
        while stack:
            here = stack.pop()
            if here == b:
                return True
            for follower in self.shop.followers[here]:
                if follower not in seen and self.shop.group[follower] == self.shop.group[a]:
                    seen.add(follower)
                    stack.append(follower)
        return False

    def _tail(self, task: int, on: Lit, out: list[Lit], size: Expr) -> Any:
        """Driving or moving time after a task that no task of its group follows."""
        model = self.model
        leaves = model.new_bool_var("")
        model.add(sum(out) + leaves >= on)
        model.add_implication(leaves, on)
        stop = model.new_int_var(0, 2 * self.line.size, "")
        model.add(stop == self.finish[task] + size)
        return model.new_optional_interval_var(self.finish[task], size, stop, leaves, "")

    def _tail_size(self, key: tuple[str, int], tail: Callable[[int], int]) -> Expr:
        """A length that is at least tail(finish[task]); key: (row or pool kind, task)."""
        task = key[1]
        if key in self._steps:
            return self._steps[key]
        model = self.model
        fitting: dict[int, list[int]] = {}
        for p in range(self.line.size + 1):
            fitting.setdefault(tail(p), []).append(p)
        size = model.new_int_var(0, max(fitting), "")
        lits = []
        reach: list[int] = []
        for value in sorted(fitting):
            reach = sorted([*reach, *fitting[value]])
            lit = model.new_bool_var("")
            model.add_linear_expression_in_domain(
                self.finish[task], cp_model.Domain.from_values(reach)
            ).only_enforce_if(lit)
            model.add(size == value).only_enforce_if(lit)
            lits.append(lit)
        model.add_exactly_one(lits)
        self._steps[key] = size
        return size

    def _drive_tail(self, position: int, drive: int, worker: int) -> int:
        """Line slots that driving takes after an end at `position`: none when the day is over."""
        left = self.line.end_clock(position)
        day_slots = self.shop.day_slots
        tomorrow = self.line.position((left // day_slots + 1) * day_slots)
        paid = self.shop.worker_axis[worker]
        k = paid.before[min(left, len(paid.before) - 1)] + drive
        then = self.line.position(paid.at[k]) if k < paid.count else self.line.size
        return max(0, min(then, tomorrow, position + drive) - position)

    def _least_drive(self, groups: set[int]) -> int:
        known = [g for g in groups if g >= 0]
        return min((self.shop.drive[a][b] for a in known for b in known if a != b), default=0)

    def _interval(self, task: int, lit: Lit, kind: str) -> Any:
        size = self.model.new_int_var(0, self.line.size, f"size{kind}{task}")
        return self.model.new_optional_interval_var(self.begin[task], size, self.finish[task], lit, "")

    # ---- pools ----

    def _pool(self, pool: int) -> None:
        """Units are held from begin to finish, in service, and moved in time; like units count together."""
        shop = self.shop
        units = [u for u, p in enumerate(shop.pool_of) if p == pool]
        mine = [t for t in self.free if any(self._need(t, n, units) for n in self.ways[t])]
        if not mine:
            return
        plain = not any(shop.unit_out[u] for u in units) and not any(
            shop.unit_move[u] or shop.unit_price[u] for u in units
        )
        if plain:
            self._cumulative(units, mine)
        else:
            for unit in units:
                self._unit(unit, mine, units)
            for task in mine:
                need = sum(self._need(task, n, units) * self.way[task, n] for n in self.ways[task])
                self.model.add(sum(self.holds[task, u] for u in units) == need)

    def _need(self, task: int, number: int, units: list[int]) -> int:
        return sum(n for first, _, n in self.shop.options[task][number].uses if first == units[0])

    def _cumulative(self, units: list[int], mine: list[int]) -> None:
        intervals, demands = [], []
        for task in mine:
            for number in self.ways[task]:
                need = self._need(task, number, units)
                if need:
                    intervals.append(self._interval(task, self.way[task, number], f"u{number}_"))
                    demands.append(need)
        for unit in units:
            for a, b, t in zip(*self.table.unit_rows[unit], strict=True):
                p, q = self.line.position(a), self.line.position(b)
                if t not in self.is_free and q > p:
                    intervals.append(self.model.new_fixed_size_interval_var(p, q - p, ""))
                    demands.append(1)
        if len(units) == 1:
            self.model.add_no_overlap(intervals)
        else:
            self.model.add_cumulative(intervals, demands, len(units))

    def _unit(self, unit: int, mine: list[int], units: list[int]) -> None:
        model, shop, line = self.model, self.shop, self.line
        move = shop.unit_move[unit]
        intervals = []
        for task in mine:
            lit = model.new_bool_var(f"holds{task}_{unit}")
            self.holds[task, unit] = lit
            needs = [self.way[task, n] for n in self.ways[task] if self._need(task, n, units)]
            model.add(sum(needs) >= lit)
            intervals.append(self._interval(task, lit, f"u{unit}_"))
            self._out_of_service(task, unit, lit)
        starts, ends, tasks = self.table.unit_rows[unit]
        placed = [
            (line.position(a), line.position(b), t)
            for a, b, t in zip(starts, ends, tasks, strict=True)
            if t not in self.is_free and b > self.low - shop.day_slots and a < self.high
        ]
        groups = {shop.group[t] for t in mine}
        for place, (a, b, task) in enumerate(placed):
            until = placed[place + 1][0] if place + 1 < len(placed) else line.size
            tail = self._move_tail(b, move) if shop.group[task] not in groups else 0
            stop = max(a, min(b + tail, max(b, until)))
            if stop > a:
                intervals.append(model.new_fixed_size_interval_var(a, stop - a, ""))
            if place + 1 < len(placed) and shop.group[placed[place + 1][2]] == shop.group[task]:
                gap = placed[place + 1][0] - b
                if gap > 0 and shop.unit_price[unit]:
                    keep = model.new_bool_var(f"keepunit{unit}_{place}")
                    intervals.append(model.new_optional_fixed_size_interval_var(b, gap, keep, ""))
                    self.hint(keep, self._nothing_between(tasks, task, placed[place + 1][2]))
                    self.keeps_unit.append((keep, shop.unit_price[unit]))
        here = {t: (a, b) for a, b, t in placed}
        if not self.light:
            intervals += self._unit_chains(unit, mine, here, move)
        model.add_no_overlap(intervals)

    def _unit_chains(
        self, unit: int, mine: list[int], here: dict[int, tuple[int, int]], move: int
    ) -> Iterable[Any]:
        """The same for a unit, with the time to move it."""
        on = {t: self.holds[t, unit] for t in mine}
        out: dict[int, list[Lit]] = {}
        yield from self._gaps(unit, on, here, self.follows_unit, out)
        if move:
            for task in mine:
                size = self._tail_size(
                    (f"pool{self.shop.pool_of[unit]}", task), lambda p: self._move_tail(p, move)
                )
                yield self._tail(task, on[task], out.get(task, []), size)

    def _move_tail(self, position: int, move: int) -> int:
        return max(0, self.line.after_lag(position, move) - position)

    def _out_of_service(self, task: int, unit: int, lit: Lit) -> None:
        """No work with the unit on a day on which it is out: the task ends before or begins after."""
        for a, b in self.shop.unit_out[unit]:
            for number in self.ways[task]:
                axis = self.shop.options[task][number].axis
                if axis.worked(a, b) == 0:
                    continue
                p = self.line.position(a)
                q = self.line.position(b)
                if q <= 0 or p >= self.line.size:
                    continue
                ends_before = ~self.after("f", task, p + 1)
                begins_after = self.after("b", task, q)
                self.model.add_bool_or(ends_before, begins_after, ~lit, ~self.way[task, number])
