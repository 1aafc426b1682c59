"""The CP-SAT model of a part of a problem: its variables, the lengths of tasks, their order.

`free` tasks are decided between two slots; all else stays as the timetable has it. Families of variables:

- begin[t], finish[t]: positions on the line
- way[t, o]: task t uses option o; works[t, w]: worker w is on task t; holds[t, u]: unit u is held by t
- follows[w, a, b]: on worker w task b comes next after a of the same group, nothing between
- after[t, p]: begin (or finish) of t lies at position p or later
"""

from __future__ import annotations

from collections.abc import Callable
from itertools import pairwise
from typing import Any

from ortools.sat.python import cp_model

from planner.schedule.cpsat.line import Line
from planner.schedule.model.axis import Axis
from planner.schedule.model.shop import FAR, Option, Shop
from planner.schedule.model.timetable import Timetable

Lit = Any
Expr = Any


class Rules:
    """Tasks on the line and their order; `planner.schedule.cpsat.places.Places` adds crews and machines."""

    def __init__(
        self,
        shop: Shop,
        table: Timetable,
        free: list[int],
        low: int,
        high: int,
        ways: dict[int, list[int]],
    ) -> None:
        """Variables and rules for the `free` tasks between slots `low` and `high`; `ways`: options
        allowed."""
        self.shop, self.table = shop, table
        self.free, self.ways = free, ways
        self.is_free = set(free)
        axes = [shop.options[t][o].axis for t in free for o in ways[t]]
        self.line = Line(axes, low, high, shop.day_slots)
        self.low, self.high = low, high
        self.model = cp_model.CpModel()
        self.begin: dict[int, Expr] = {}
        self.finish: dict[int, Expr] = {}
        self.way: dict[tuple[int, int], Lit] = {}
        self.works: dict[tuple[int, int], Lit] = {}
        self.holds: dict[tuple[int, int], Lit] = {}
        self.follows: dict[tuple[int, int, int], Lit] = {}
        self.follows_unit: dict[tuple[int, int, int], Lit] = {}
        self.keeps: list[Lit] = []
        self.keeps_unit: list[tuple[Lit, float]] = []
        self._after: dict[tuple[str, int, int], Lit] = {}
        self._steps: dict[tuple[str, int], Expr] = {}
        self._breaks: dict[tuple[int, int, int], Lit] = {}
        self._parts: dict[tuple[int, int], tuple[Expr, list[tuple[int, int]], int]] = {}
        for task in free:
            self._task(task)
        self._order()

    def hint(self, lit: Lit, value: bool) -> None:
        """What a helping literal is in the timetable as it stands."""
        self.model.add_hint(lit, value)

    def hint_all(self) -> None:
        """Start from the timetable as it stands; every free task has a place in it."""
        line, table = self.line, self.table
        for task in self.free:
            self.model.add_hint(self.begin[task], line.position(table.start[task]))
            self.model.add_hint(self.finish[task], line.position(table.end[task]))
            for number in self.ways[task]:
                self.hint(self.way[task, number], number == table.option[task])
        for (task, unit), lit in self.holds.items():
            self.hint(lit, unit in table.units[task])
        for rows, family in ((table.worker_rows, self.follows), (table.unit_rows, self.follows_unit)):
            pairs = {(r, a, b) for r, row in enumerate(rows) for a, b in pairwise(row[2])}
            for key, lit in family.items():
                self.hint(lit, key in pairs)

    # ---- a task on the line ----

    def _task(self, task: int) -> None:
        """One way is used; begin and finish lie `work` worked slots apart, closed time of the team
        between."""
        model, line = self.model, self.line
        size = line.size
        release = max(self.shop.release[task], self.low)
        self.begin[task] = model.new_int_var(min(line.position(release), size), size, f"begin{task}")
        last = line.position(min(self.shop.deadline[task], self.high))
        self.finish[task] = model.new_int_var(0, last, f"finish{task}")
        wanted = self.shop.tasks[task].start_at
        if wanted is not None:
            model.add(self.begin[task] == line.position(wanted))
        for number in self.ways[task]:
            self.way[task, number] = model.new_bool_var(f"way{task}_{number}")
            self._length(task, number)
            self._no_scrap(task, number)
        model.add_exactly_one(self.way[task, n] for n in self.ways[task])
        if self.shop.one_day[task]:
            for morning in line.day_start[1:]:
                model.add(self.finish[task] <= morning).only_enforce_if(~self.after("b", task, morning))
        workers = {w for n in self.ways[task] for w in self.shop.options[task][n].workers}
        for worker in workers:
            mine = [
                self.way[task, n] for n in self.ways[task] if worker in self.shop.options[task][n].workers
            ]
            if len(mine) == 1:
                self.works[task, worker] = mine[0]
            else:
                lit = model.new_bool_var(f"works{task}_{worker}")
                model.add(sum(mine) == lit)
                self.works[task, worker] = lit

    def _no_scrap(self, task: int, number: int) -> None:
        """In this way it begins where its first day holds `least` slots of it, or all of it."""
        option, line = self.shop.options[task][number], self.line
        least = min(self.shop.tasks[task].least, option.work) - 1
        if least < 1:
            return
        axis = option.axis
        low, high = axis.before[max(0, self.low)], axis.before[min(self.high, len(axis.before) - 1)]
        barred = [
            line.position(axis.at[k])
            for k in range(low, high)
            if k + least >= axis.count or axis.day[k + least] != axis.day[k]
        ]
        edges = [-1, *barred, line.size + 1]
        spans = [[a + 1, b - 1] for a, b in pairwise(edges) if a + 1 < b]
        domain = cp_model.Domain.from_intervals(spans)
        allowed = self.model.add_linear_expression_in_domain(self.begin[task], domain)
        allowed.only_enforce_if(self.way[task, number])

    def _length(self, task: int, number: int) -> None:
        option, lit = self.shop.options[task][number], self.way[task, number]
        first, runs = self._runs(option.axis)
        if not runs:
            count = option.axis.before[min(self.high, len(option.axis.before) - 1)] - first
            shift = self._shift(option.axis, first)
            self.model.add(self.finish[task] == self.begin[task] + option.work).only_enforce_if(lit)
            self.model.add(self.begin[task] >= shift).only_enforce_if(lit)
            self.model.add(self.finish[task] <= shift + count).only_enforce_if(lit)
            return
        self.model.add(self.begin[task] == self.worked_to(task, option, 0)).only_enforce_if(lit)
        self.model.add(self.finish[task] == self.worked_to(task, option, option.work)).only_enforce_if(lit)
        index = self._parts[task, id(option.axis)][0]
        last = option.axis.before[min(self.high, len(option.axis.before) - 1)]
        self.model.add(index + option.work <= last).only_enforce_if(lit)

    def _shift(self, axis: Axis, first: int) -> int:
        return self.line.position(axis.at[first]) if first < axis.count else self.line.size

    def _runs(self, axis: Axis) -> tuple[int, list[tuple[int, int]]]:
        """(first worked index in reach, [(worked index after a closed run, line slots of the run)])."""
        low = axis.before[max(0, self.low)]
        high = axis.before[min(self.high, len(axis.before) - 1)]
        runs = []
        before = -1
        for k in range(low, high):
            here = self.line.position(axis.at[k])
            if k > low and here != before + 1:
                runs.append((k, here - before - 1))
            before = here
        return low, runs

    def worked_to(self, task: int, option: Option, count: int) -> Expr:
        """Position after `count` worked slots of the task in this option (0: its begin)."""
        axis = option.axis
        key = (task, id(axis))
        if key not in self._parts:
            first, runs = self._runs(axis)
            last = axis.before[min(self.high, len(axis.before) - 1)]
            index = self.model.new_int_var(first, max(first, last), f"index{task}_{len(self._parts)}")
            self._parts[key] = (index, runs, first)
        index, runs, first = self._parts[key]
        expr = index - first + self._shift(axis, first) + count
        for k, length in runs:
            at = k if count == 0 else k - count + 1
            expr += length * self._crossed(task, id(axis), index, at)
        return expr

    def _crossed(self, task: int, axis: int, index: Expr, at: int) -> Lit:
        """The worked index of the begin is `at` or later."""
        key = (task, axis, at)
        if key not in self._breaks:
            lit = self.model.new_bool_var(f"crossed{task}_{at}")
            self.model.add(index >= at).only_enforce_if(lit)
            self.model.add(index < at).only_enforce_if(~lit)
            self._breaks[key] = lit
        return self._breaks[key]

    def after(self, which: str, task: int, position: int) -> Lit:
        """begin ("b") or finish ("f") of the task lies at `position` or later."""
        key = (which, task, position)
        if key not in self._after:
            variable = self.begin[task] if which == "b" else self.finish[task]
            lit = self.model.new_bool_var(f"after{which}{task}_{position}")
            self.model.add(variable >= position).only_enforce_if(lit)
            self.model.add(variable < position).only_enforce_if(~lit)
            self._after[key] = lit
        return self._after[key]

    # ---- order ----

    def _order(self) -> None:
        """Lags to predecessors, free or placed, and from free tasks to placed followers."""
        for task in self.free:
            for before, share, least, most in self.shop.links[task]:
                if before not in self.is_free:
                    self._after_placed(task, before, share, least, most)
                else:
                    self._lag(before, task, share, least, most)
        for before in self.free:
            for task in self.shop.followers[before]:
                if task not in self.is_free:
                    for link in self.shop.links[task]:
                        if link.before == before:
                            self._before_placed(before, task, link.share, link.least)

    def _after_placed(self, task: int, before: int, share: float, least: int, most: int) -> None:
        point = self.table.point(before, share)
        self.model.add(self.begin[task] >= self.line.position(point + least))
        if most < FAR:
            self.model.add(self.begin[task] < self.line.position(point + most + 1))
        if 0 < share < 1:
            self.model.add(self.finish[task] >= self.line.position(self.table.end[before]))

    def _before_placed(self, before: int, task: int, share: float, least: int) -> None:
        limit = self.table.start[task] - least
        moment = self._moment(before, share)
        self.model.add(moment <= self.line.position(limit))
        if 0 < share < 1:
            self.model.add(self.finish[before] <= self.line.position(self.table.end[task]))

    def _moment(self, before: int, share: float) -> Expr:
        """Position at which the share of `before` is done, as a variable."""
        if share >= 1:
            return self.finish[before]
        if share <= 0:
            return self.begin[before]
        moment = self.model.new_int_var(0, self.line.size, f"share{before}")
        for number in self.ways[before]:
            option = self.shop.options[before][number]
            done = -int(-(share * option.work - 1e-6) // 1)
            _, runs = self._runs(option.axis)
            expr = self.worked_to(before, option, done) if runs else self.begin[before] + done
            self.model.add(moment == expr).only_enforce_if(self.way[before, number])
        return moment

    def _lag(self, before: int, task: int, share: float, least: int, most: int) -> None:
        model = self.model
        moment = self._moment(before, share)
        if 0 < share < 1:
            model.add(self.finish[task] >= self.finish[before])
        if least == 0:
            model.add(self.begin[task] >= moment)
        else:
            self._stepwise(moment, self.begin[task], lambda p: self.line.after_lag(p, least), lower=True)
        if most < FAR:
            self._stepwise(moment, self.begin[task], lambda p: self.line.latest(p, most), lower=False)

    def _stepwise(self, moment: Expr, target: Expr, ready: Callable[[int], int], *, lower: bool) -> None:
        """target >= ready(moment) (or <=) for a rising step function, exactly."""
        model, size = self.model, self.line.size
        segments = self.line.steps(ready, 0, size)
        for place, (p, value, slope) in enumerate(segments):
            upto = segments[place + 1][0] - 1 if place + 1 < len(segments) else size
            conditions = []
            if p > 0:
                conditions.append(self._threshold(moment, p))
            needs_end = (slope and lower) or not lower
            if upto < size and needs_end:
                conditions.append(~self._threshold(moment, upto + 1))
            bound = moment + (value - p) if slope else value
            constraint = target >= bound if lower else target <= bound
            if lower and not slope and value > size:
                constraint = moment < p
                conditions = []
            model.add(constraint).only_enforce_if(conditions)

    def _threshold(self, moment: Expr, position: int) -> Lit:
        for which, family in (("f", self.finish), ("b", self.begin)):
            for task, variable in family.items():
                if variable is moment:
                    return self.after(which, task, position)
        lit = self.model.new_bool_var("")
        self.model.add(moment >= position).only_enforce_if(lit)
        self.model.add(moment < position).only_enforce_if(~lit)
        return lit
