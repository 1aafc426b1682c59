"""The CP-SAT model's rules for crews and machines: one place at a time, driving, moving, service.

Adds to the variables of `planner.schedule.rules`: intervals on each worker and unit, the gaps between tasks
of
one group that nothing may enter, and tails of driving or moving time.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import Any

from ortools.sat.python import cp_model

from planner.schedule.rules import Expr, Lit, Rules
from planner.schedule.shop import Shop
from planner.schedule.timetable import Timetable


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
        model = self.model
        by_group: dict[int, list[int]] = {}
        groups = {self.shop.group[t] for t in mine}
        for task in [*mine, *(t for t in here if self.shop.group[t] in groups)]:
            by_group.setdefault(self.shop.group[task], []).append(task)
        out: dict[int, list[Lit]] = {}
        into: dict[int, list[Lit]] = {}
        for group, tasks in by_group.items():
            if group < 0 or not (drive or self.shop.problem.prices.comeback):
                continue
            for a in tasks:
                for b in tasks:
                    if a == b or (a in here and b in here) or not self._may_follow(a, b):
                        continue
                    lit = model.new_bool_var(f"follows{worker}_{a}_{b}")
                    for task in (a, b):
                        if task not in here:
                            model.add_implication(lit, self.works[task, worker])
                    left = here[a][1] if a in here else self.finish[a]
                    right = here[b][0] if b in here else self.begin[b]
                    size = model.new_int_var(0, self.line.size, "")
                    yield model.new_optional_interval_var(left, size, right, lit, "")
                    out.setdefault(a, []).append(lit)
                    into.setdefault(b, []).append(lit)
                    self.follows[worker, a, b] = lit
        for lits in (*out.values(), *into.values()):
            model.add_at_most_one(lits)
        if drive:
            for task in mine:
                yield self._tail(worker, task, out.get(task, []), drive)

    def _may_follow(self, a: int, b: int) -> bool:
        """False when b must come before a."""
        return not self._reaches(b, a)

    def _reaches(self, a: int, b: int) -> bool:
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

    def _tail(self, worker: int, task: int, out: list[Lit], drive: int) -> Any:
        """The least driving time after a task that no task of its group follows; none at the day's end."""
        model = self.model
        leaves = model.new_bool_var(f"leaves{worker}_{task}")
        model.add(sum(out) + leaves >= self.works[task, worker])
        model.add_implication(leaves, self.works[task, worker])
        size = self._tail_size("w", task, drive, lambda p: self._drive_tail(p, drive, worker))
        stop = model.new_int_var(0, self.line.size + drive, "")
        model.add(stop == self.finish[task] + size)
        return model.new_optional_interval_var(self.finish[task], size, stop, leaves, "")

    def _tail_size(self, kind: str, task: int, most: int, tail: Callable[[int], int]) -> Expr:
        """A length that is at least tail(finish[task])."""
        key = (hash((kind, most)), task)
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
        model, shop = self.model, self.shop
        out: dict[int, list[Lit]] = {}
        into: dict[int, list[Lit]] = {}
        groups = {shop.group[t] for t in mine}
        nodes = [*mine, *(t for t in here if shop.group[t] in groups)]
        for a in nodes:
            for b in nodes:
                if a == b or shop.group[a] != shop.group[b] or (a in here and b in here):
                    continue
                if shop.group[a] < 0 or not self._may_follow(a, b):
                    continue
                lit = model.new_bool_var(f"followsunit{unit}_{a}_{b}")
                for task in (a, b):
                    if task not in here:
                        model.add_implication(lit, self.holds[task, unit])
                left = here[a][1] if a in here else self.finish[a]
                right = here[b][0] if b in here else self.begin[b]
                size = model.new_int_var(0, self.line.size, "")
                yield model.new_optional_interval_var(left, size, right, lit, "")
                out.setdefault(a, []).append(lit)
                into.setdefault(b, []).append(lit)
                self.follows_unit[unit, a, b] = lit
        for lits in (*out.values(), *into.values()):
            model.add_at_most_one(lits)
        if move:
            for task in mine:
                leaves = model.new_bool_var(f"leavesunit{unit}_{task}")
                model.add(sum(out.get(task, [])) + leaves >= self.holds[task, unit])
                model.add_implication(leaves, self.holds[task, unit])
                size = self._tail_size("u", task, move, lambda p: self._move_tail(p, move))
                stop = model.new_int_var(0, self.line.size + move, "")
                model.add(stop == self.finish[task] + size)
                yield model.new_optional_interval_var(self.finish[task], size, stop, leaves, "")

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
