"""Crews on sites in CP-SAT terms: come-backs, site days, miles; `planner.schedule.cpsat.terms` has the scale.

A worker is present on a site on a day when a task of it runs there that day. Miles are there and back for
each presence, less what is saved when two sites of one day are joined by a leg.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import Any

from planner.schedule.cpsat.places import Places
from planner.schedule.model.price import Pricer

Lit = Any
Expr = Any


class Presence:
    """The terms of crews; `terms` yields (group or -1, expression)."""

    def __init__(
        self,
        rules: Places,
        pricer: Pricer,
        groups: list[int],
        members: Callable[[int], tuple[list[int], list[int]]],
        cents: Callable[[float], int],
    ) -> None:
        """groups: those with free tasks; members: group -> (free, placed) tasks; cents: price to model
        units."""
        self.rules, self.pricer, self.groups = rules, pricer, groups
        self.model, self.line, self.shop = rules.model, rules.line, rules.shop
        self.prices = rules.shop.problem.prices
        self._members, self._cents = members, cents
        self._visits: dict[int, dict[int, Expr]] = {}
        self._comes: dict[int, list[Lit]] = {}
        self._joins: dict[int, list[tuple[int, int, Lit]]] = {}

    def comebacks(self) -> Iterable[tuple[int, Expr]]:
        """Come-backs of each worker to each group: visits less the first."""
        price = self._cents(self.prices.comeback)
        if not price:
            return
        rules = self.rules
        for worker in range(len(self.shop.worker_axis)):
            for group in self.groups:
                free, placed = self._members(group)
                works = [rules.works[t, worker] for t in free if (t, worker) in rules.works]
                if not works:
                    continue
                static = self._static_visits(worker, placed)
                arcs = [
                    lit
                    for (w, a, _), lit in rules.follows.items()
                    if w == worker and self.shop.group[a] == group
                ]
                back = self.model.new_int_var(0, len(works) + static, f"comebacks{worker}_{group}")
                self.model.add(back >= sum(works) + static - sum(arcs) - 1)
                comes = self.model.new_bool_var(f"comes{worker}_{group}")
                self.model.add_max_equality(comes, works)
                self._visits.setdefault(worker, {})[group] = comes + back
                self._comes.setdefault(worker, []).append(comes)
                yield group, price * back
        for keep in rules.keeps:
            yield -1, price * (1 - keep)

    def _static_visits(self, worker: int, placed: list[int]) -> int:
        """Visits of the worker by placed tasks of one group, as they stand."""
        row = self.rules.table.worker_rows[worker][2]
        inside = set(placed)
        past = [t for t in self.pricer.past_of_worker[worker] if t in inside]
        line = [t for t in row if t in inside]
        return len(line) + (1 if past else 0)

    def days_and_miles(self) -> Iterable[tuple[int, Expr]]:
        """Site days and miles by presence of a worker on a site on a day; two sites in one day share a
        leg."""
        day_price = self.prices.site_day
        shop = self.shop
        for worker in range(len(shop.worker_axis)):
            present = self._presence(worker)
            placed = self._placed_presence(worker, self.rules.is_free)
            now = self._placed_presence(worker, set())
            for (group, place), lit in present.items():
                if (group, place) in placed:
                    self.model.add(lit == 1)
                self.rules.hint(lit, (group, place) in now)
                yield group, self._cents(day_price + 2 * shop.depot[worker][group]) * lit
            for place in range(len(self.line.days)):
                here = [(g, lit) for (g, p), lit in present.items() if p == place]
                there = [(g, 1) for (g, p) in placed if p == place and (g, p) not in present]
                yield from self._shared_legs(worker, here, there, {g for g, p in now if p == place})
            self._few_joins(worker, placed)
            self._capacity(worker, present)

    def _presence(self, worker: int) -> dict[tuple[int, int], Lit]:
        rules, line, shop = self.rules, self.line, self.shop
        found: dict[tuple[int, int], Lit] = {}
        for task in rules.free:
            if (task, worker) not in rules.works:
                continue
            group = shop.group[task]
            for place, day in enumerate(line.days):
                low, high = day * shop.day_slots, (day + 1) * shop.day_slots
                ways = [
                    n
                    for n in rules.ways[task]
                    if worker in shop.options[task][n].workers
                    and shop.options[task][n].axis.worked(low, high)
                ]
                if not ways or shop.release[task] >= high or group < 0:
                    continue
                if (group, place) not in found:
                    found[group, place] = self.model.new_bool_var(f"present{worker}_{group}_{place}")
                spans = [~rules.after("f", task, line.day_start[place] + 1)]
                if place + 1 < len(line.days):
                    spans.append(rules.after("b", task, line.day_start[place + 1]))
                all_ways = [n for n in rules.ways[task] if worker in shop.options[task][n].workers]
                uses = (
                    [~rules.works[task, worker]]
                    if len(ways) == len(all_ways)
                    else [~w for w in [self._any_way(task, ways)]]
                )
                self.model.add_bool_or([*spans, *uses, found[group, place]])
        return found

    def _any_way(self, task: int, ways: list[int]) -> Lit:
        if len(ways) == 1:
            return self.rules.way[task, ways[0]]
        lit = self.model.new_bool_var("")
        for n in ways:
            self.model.add_implication(self.rules.way[task, n], lit)
        return lit

    def _placed_presence(self, worker: int, without: set[int]) -> set[tuple[int, int]]:
        """(group, place of the day) at which the timetable has the worker there, some tasks left out."""
        table, shop = self.rules.table, self.shop
        days = {day: place for place, day in enumerate(self.line.days)}
        found = set()
        for task in [*table.worker_rows[worker][2], *self.pricer.past_of_worker[worker]]:
            if task in without or (table.start[task] < 0 and task not in self.pricer.days_of_fixed):
                continue
            worked: Iterable[int] = self.pricer.days_of_fixed.get(task, ())
            if task not in self.pricer.days_of_fixed:
                axis = table.axis_of(task)
                first, last = table.start[task] // shop.day_slots, (table.end[task] - 1) // shop.day_slots
                worked = [
                    d
                    for d in range(first, last + 1)
                    if axis.worked(
                        max(d * shop.day_slots, table.start[task]),
                        min((d + 1) * shop.day_slots, table.end[task]),
                    )
                ]
            found |= {(shop.group[task], days[d]) for d in worked if d in days}
        return found

    def _shared_legs(
        self, worker: int, here: list[tuple[int, Lit]], there: list[tuple[int, int]], now: set[int]
    ) -> Iterable[tuple[int, Expr]]:
        """What is saved when two sites of one day are joined by a leg instead of two ways to the depot."""
        shop = self.shop
        joins = []
        for place, (a, lit_a) in enumerate(here):
            for b, lit_b in [*here[place + 1 :], *there]:
                leg = min(shop.leg[a][b], shop.leg[b][a])
                saved = self._cents(shop.depot[worker][a] + shop.depot[worker][b] - leg)
                if saved <= 0:
                    continue
                join = self.model.new_bool_var("")
                self.model.add_implication(join, lit_a)
                if not isinstance(lit_b, int):
                    self.model.add_implication(join, lit_b)
                joins.append(join)
                self._joins.setdefault(worker, []).append((a, b, join))
                self.rules.hint(join, a in now and b in now and len(now) == 2)
                yield -1, -saved * join
        if joins:
            joined = self.model.new_bool_var("")
            for join in joins:
                self.model.add_implication(join, joined)
            self.model.add(sum(joins) <= sum(lit for _, lit in here) + len(there) - joined)

    def _few_joins(self, worker: int, placed: set[tuple[int, int]]) -> None:
        """Valid cut: legs join visits, so there are fewer legs than visits, and at most two to each visit."""
        visits, joins = self._visits.get(worker, {}), self._joins.get(worker, [])
        if placed or not visits or not joins:
            return
        anywhere = self.model.new_bool_var(f"anywhere{worker}")
        self.model.add_max_equality(anywhere, self._comes[worker])
        self.model.add(sum(join for _, _, join in joins) <= sum(visits.values()) - anywhere)
        for group, count in visits.items():
            mine = [join for a, b, join in joins if group in {a, b}]
            if mine:
                self.model.add(sum(mine) <= 2 * count)

    def _capacity(self, worker: int, present: dict[tuple[int, int], Lit]) -> None:
        """Valid cut: the days present on a site hold the work done there."""
        rules, shop = self.rules, self.shop
        axis = shop.worker_axis[worker]
        for group in self.groups:
            tasks = [t for t in rules.free if shop.group[t] == group and (t, worker) in rules.works]
            days = [(place, lit) for (g, place), lit in present.items() if g == group]
            if not tasks or not days:
                continue
            load = sum(
                shop.options[t][n].work * rules.way[t, n]
                for t in tasks
                for n in rules.ways[t]
                if worker in shop.options[t][n].workers
            )
            room = sum(
                axis.worked(self.line.days[p] * shop.day_slots, (self.line.days[p] + 1) * shop.day_slots)
                * lit
                for p, lit in days
            )
            self.model.add(room >= load)
            for task in tasks:
                self.model.add_bool_or([~rules.works[task, worker], *(d for _, d in days)])
