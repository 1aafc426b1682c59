"""The price as CP-SAT terms, each named as in `planner.domain.season.cost`, in hundredths of a cent.

The sum never exceeds the true price: where a rare case cannot be said cheaply (three sites in one day, the
same site twice in one day) the term is a little lower. So its proven bound is a bound of the price, and a
timetable whose true price equals it is proven best.
"""

from __future__ import annotations

from collections.abc import Iterable
from itertools import pairwise
from typing import Any

from planner.schedule.cpsat.places import Places
from planner.schedule.cpsat.presence import Presence
from planner.schedule.model.price import Pricer

SCALE = 100

Lit = Any
Expr = Any


class Terms:
    """Adds the objective to a model; parts: term name -> expression; of_group: group -> its own share.

    A group's own share leaves out what several jobs decide together: shared legs, machine moves, gaps of
    placed jobs. Alone in the world a job costs at least its share's minimum, so that minimum is a floor.
    """

    def __init__(self, rules: Places, pricer: Pricer, *, alone: bool = False) -> None:
        """Build all terms and minimise their sum; with `alone` only the groups' own shares."""
        self.rules, self.pricer = rules, pricer
        self.model, self.line, self.shop = rules.model, rules.line, rules.shop
        self.prices = rules.shop.problem.prices
        self.groups = sorted({self.shop.group[t] for t in rules.free if self.shop.group[t] >= 0})
        self.parts: dict[str, Expr] = {}
        self.of_group: dict[int, list[Expr]] = {g: [] for g in self.groups}
        self._add("makespan", self._makespan())
        self._add("late", self._late())
        self._add("waiting", self._waiting())
        self._add("open days", self._open_days())
        self._add("hand-overs", self._hand_overs())
        if not rules.light:
            crews = Presence(rules, pricer, self.groups, self._members, self._cents)
            self._add("comebacks", crews.comebacks())
            self._add("days and miles", crews.days_and_miles())
            self._add("machine moves", self._machine_moves())
        self._add("moved", self._moved())
        if alone:
            self.model.minimize(sum(e for rows in self.of_group.values() for e in rows))
        else:
            self.model.minimize(sum(self.parts.values()))

    def floor(self, group: int, cents: float) -> None:
        """The group's own share is at least this, as proven for the group alone [cents]."""
        self.model.add(sum(self.of_group[group]) >= int(cents * SCALE) - 1)

    def _add(self, name: str, terms: Iterable[tuple[int, Expr]]) -> None:
        rows = list(terms)
        for group, expr in rows:
            if group >= 0:
                self.of_group[group].append(expr)
        self.parts[name] = sum(expr for _, expr in rows)

    def _cents(self, price: float) -> int:
        return round(price * SCALE)

    def _makespan(self) -> Iterable[tuple[int, Expr]]:
        if self.prices.makespan and self.rules.free:
            others = [e for t, e in enumerate(self.rules.table.end) if t not in self.rules.is_free]
            last = self.model.new_int_var(0, self.line.size, "makespan")
            self.model.add_max_equality(last, list(self.rules.finish.values()))
            floor = self.line.position(max(others, default=0))
            self.model.add(last >= floor)
            yield -1, self._cents(self.prices.makespan) * last

    # ---- days ----

    def _members(self, group: int) -> tuple[list[int], list[int]]:
        """(free, placed) tasks of the group."""
        rules, fixed = self.rules, self.pricer.days_of_fixed
        mine = [
            t
            for t in self.pricer.tasks_of[group]
            if rules.table.end[t] >= 0 or t in rules.is_free or t in fixed
        ]
        return [t for t in mine if t in rules.is_free], [t for t in mine if t not in rules.is_free]

    def _last_tasks(self, free: list[int]) -> list[int]:
        inside = set(free)
        sinks = [t for t in free if not inside.intersection(self.shop.followers[t])]
        return sinks or free

    def _first_tasks(self, free: list[int]) -> list[int]:
        inside = set(free)
        return [t for t in free if not any(k.before in inside for k in self.shop.links[t])] or free

    def _ends_after_day(self, free: list[int], place: int) -> Lit:
        """Some task of the group ends on the `place`-th line day or later."""
        sinks = self._last_tasks(free)
        lits = [self.rules.after("f", t, self.line.day_start[place] + 1) for t in sinks]
        if len(lits) == 1:
            return lits[0]
        any_lit = self.model.new_bool_var("")
        for lit in lits:
            self.model.add_implication(lit, any_lit)
        return any_lit

    def _late(self) -> Iterable[tuple[int, Expr]]:
        for group in self.groups:
            due, price = self.pricer.due[group], self._cents(self.pricer.late_price[group])
            if due is None or not price:
                continue
            free, placed = self._members(group)
            fixed_last = max((self.rules.table.end[t] // self.shop.day_slots for t in placed), default=-1)
            base = max(due, fixed_last)
            yield group, price * max(0, fixed_last - due)
            before = base
            for place, day in enumerate(self.line.days):
                if day > base:
                    yield group, price * (day - before) * self._ends_after_day(free, place)
                    before = day

    def _waiting(self) -> Iterable[tuple[int, Expr]]:
        for group in self.groups:
            price = self._cents(self.pricer.wait_price[group])
            if not price:
                continue
            free, placed = self._members(group)
            lasts = [self.rules.table.end[t] // self.shop.day_slots for t in placed]
            since = self.pricer.wait_from[group]
            base: int = max([since, *lasts])
            yield group, price * (base - since)
            for place, day in enumerate(self.line.days):
                if day > base:
                    yield group, price * (day - base) * self._ends_after_day(free, place)
                    base = day

    def _open_days(self) -> Iterable[tuple[int, Expr]]:
        price = self._cents(self.prices.open_day)
        if not price:
            return
        for group in self.groups:
            free, placed = self._members(group)
            day_slots = self.shop.day_slots
            firsts = [self.rules.table.start[t] // day_slots for t in placed]
            lasts = [self.rules.table.end[t] // day_slots for t in placed]
            base = max([*lasts, self.line.days[0]])
            yield group, price * base
            before = base
            for place, day in enumerate(self.line.days):
                if day > base:
                    yield group, price * (day - before) * self._ends_after_day(free, place)
                    before = day
            before = self.line.days[0]
            top = min(firsts, default=None)
            roots = self._first_tasks(free)
            start = before if top is None else min(before, top)
            yield group, -price * start
            before = start
            for place, day in enumerate(self.line.days):
                upto = day if top is None else min(day, top)
                if upto > before:
                    yield group, -price * (upto - before) * self._all_begin_after(roots, place)
                    before = upto

    def _all_begin_after(self, roots: list[int], place: int) -> Lit:
        lits = [self.rules.after("b", t, self.line.day_start[place]) for t in roots]
        if len(lits) == 1:
            return lits[0]
        every = self.model.new_bool_var("")
        for lit in lits:
            self.model.add_implication(every, lit)
        return every

    # ---- crews ----

    def _lead(self, task: int, worker: int) -> Expr:
        if task not in self.rules.is_free:
            return int(self.pricer.lead(self.rules.table, task) == worker)
        options = self.shop.options[task]
        return sum(
            self.rules.way[task, n]
            for n in self.rules.ways[task]
            if options[n].workers and options[n].workers[0] == worker
        )

    def _hand_overs(self) -> Iterable[tuple[int, Expr]]:
        price = self._cents(self.prices.hand_over)
        if not price:
            return
        for group in self.groups:
            free, placed = self._members(group)
            start = self.rules.table.start
            chain = [*sorted(placed, key=lambda t: (start[t], self.shop.rank[t])), *free]
            for a, b in pairwise(chain):
                if a not in self.rules.is_free and b not in self.rules.is_free:
                    leads = [self.pricer.lead(self.rules.table, t) for t in (a, b)]
                    yield group, price * int(leads[0] != leads[1])
                    continue
                change = self.model.new_bool_var(f"handover{a}_{b}")
                for worker in range(len(self.shop.worker_axis)):
                    here, there = self._lead(a, worker), self._lead(b, worker)
                    if not (isinstance(here, int) and here == 0):
                        self.model.add(change >= here - there)
                yield group, price * change

    # ---- machines and promises ----

    def _machine_moves(self) -> Iterable[tuple[int, Expr]]:
        rules, shop = self.rules, self.shop
        for unit in range(len(shop.pool_of)):
            price = self._cents(shop.unit_price[unit])
            holds = [lit for (_, u), lit in rules.holds.items() if u == unit]
            if not price or not holds:
                continue
            static = len([t for t in rules.table.unit_rows[unit][2] if t not in rules.is_free])
            static += 1 if self.pricer.past_of_unit[unit] else 0
            arcs = [lit for (u, _, _), lit in rules.follows_unit.items() if u == unit]
            joined = self._static_joins(unit)
            moves = self.model.new_int_var(0, len(holds) + static, f"moves{unit}")
            self.model.add(moves >= sum(holds) + static - joined - sum(arcs) - 1)
            yield -1, price * moves
        for keep, cents in rules.keeps_unit:
            yield -1, self._cents(cents) * (1 - keep)

    def _static_joins(self, unit: int) -> int:
        """Neighboring placed tasks of one group on the unit; what may come between is priced apart."""
        row = [t for t in self.rules.table.unit_rows[unit][2] if t not in self.rules.is_free]
        sites = [self.shop.group[t] for t in row]
        past = self.pricer.past_of_unit[unit]
        if past:
            sites = [self.shop.group[past[-1]], *sites]
        return sum(a == b for a, b in pairwise(sites))

    def _moved(self) -> Iterable[tuple[int, Expr]]:
        rules = self.rules
        for group in self.groups:
            for tasks, day, lead, price, call in self.pricer.told[group]:
                free = [t for t in tasks if t in rules.is_free]
                if not free or len(free) < len(tasks):
                    continue
                cents, calls = self._cents(price), self._cents(call)
                if day not in self.line.days:
                    yield group, cents + calls
                    continue
                told_day = self._on_day(free[0], group, self.line.days.index(day))
                same = self.model.new_bool_var(f"same{group}")
                self.model.add_implication(same, told_day)
                self.model.add(self._lead(free[0], lead) >= same)
                yield group, cents * (1 - same) + calls * (1 - told_day)

    def _on_day(self, task: int, group: int, place: int) -> Lit:
        """A variable that may be true only when the task starts on that day of the line."""
        told_day = self.model.new_bool_var(f"day{group}")
        self.model.add_implication(told_day, self.rules.after("b", task, self.line.day_start[place]))
        if place + 1 < len(self.line.days):
            late = self.rules.after("b", task, self.line.day_start[place + 1])
            self.model.add_implication(told_day, ~late)
        return told_day
