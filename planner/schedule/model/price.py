"""What a timetable costs: the engine's own sum, in cents, of the terms of `planner.domain.season.cost`.

It is written for speed and shares no code with that definition; tests hold the two equal to the cent.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import accumulate, pairwise

from planner.schedule.model.shop import FAR, Shop
from planner.schedule.model.timetable import Timetable

#: Of a slot, forgiven in a sum of parts.
GRACE = 1e-6


@dataclass(frozen=True, slots=True)
class Bill:
    """A price in parts [cents] and what stands behind it."""

    total: float
    late: float
    late_groups: int
    unplaced: int


class Pricer:
    """Prices timetables of one shop."""

    def __init__(self, shop: Shop) -> None:
        """Sort what is past or fixed once."""
        self.shop = shop
        problem = shop.problem
        self.prices = problem.prices
        self.tasks_of = [[i for i, g in enumerate(shop.group) if g == n] for n in range(len(problem.groups))]
        self.due = [g.due for g in problem.groups]
        self.late_price = [g.late_price for g in problem.groups]
        self.late_by_day = [g.late_by_day for g in problem.groups]
        self.wait_price = [g.wait_price for g in problem.groups]
        self.wait_from = [g.wait_from for g in problem.groups]
        self.past_of_worker: list[list[int]] = [[] for _ in problem.workers]
        self.past_of_unit: list[list[int]] = [[] for _ in shop.pool_of]
        self.lead_of_fixed: dict[int, int] = {}
        self.team_of_fixed: dict[int, list[int]] = {}
        self.days_of_fixed: dict[int, tuple[int, ...]] = {}
        for i, task in enumerate(shop.tasks):
            if task.fixed is None:
                continue
            team = [shop.worker_number[w] for w in task.fixed.workers if w in shop.worker_number]
            self.lead_of_fixed[i] = team[0] if team else -1
            self.team_of_fixed[i] = team
            self.days_of_fixed[i] = task.fixed.days
            if task.past:
                for worker in team:
                    self.past_of_worker[worker].append(i)
                for pool, unit in task.fixed.units:
                    if pool in shop.pool_first and unit < problem.pools[self._pool(pool)].units:
                        self.past_of_unit[shop.unit_number(pool, unit)].append(i)
        for row in self.past_of_worker:
            row.sort(key=self._by_start)
        self.past_end = [max([self._ends(i) for i in row], default=0) for row in self.past_of_worker]
        self.rests = problem.rests
        self.week_sums = [[0.0, *accumulate([*w.week_prices, 0.0])] for w in problem.workers]
        self.slot_price = [w.slot_price for w in problem.workers]
        self.told: list[list[tuple[list[int], int, int, float, float]]] = [[] for _ in problem.groups]
        for told in problem.told:
            numbers = [shop.number[k] for k in told.tasks]
            lead = shop.worker_number.get(told.lead, -1)
            self.told[shop.group[numbers[0]]].append((numbers, told.day, lead, told.price, told.call))

    def _by_start(self, task: int) -> tuple[int, int, int]:
        fixed = self.shop.tasks[task].fixed
        assert fixed is not None
        return fixed.start, fixed.end, self.shop.rank[task]

    def _ends(self, task: int) -> int:
        return self._by_start(task)[1]

    def _pool(self, key: str) -> int:
        return next(i for i, p in enumerate(self.shop.problem.pools) if p.key == key)

    def lead(self, table: Timetable, task: int) -> int:
        """The placed task's lead worker, -1 when it has none."""
        chosen = table.option[task]
        if chosen < 0:
            return self.lead_of_fixed.get(task, -1)
        workers = self.shop.options[task][chosen].workers
        return workers[0] if workers else -1

    def bill(self, table: Timetable) -> Bill:
        """The price of the whole timetable; tasks without a place are counted, not priced."""
        unplaced = sum(1 for i in self.shop.free if table.start[i] < 0)
        late, groups, total = 0.0, 0, 0.0
        for group in range(len(self.due)):
            cost, lateness = self.group_price(table, group)
            total += cost
            late += lateness
            groups += lateness > 0
        total += sum(self.worker_price(table, w) for w in range(len(table.worker_rows)))
        total += self.units_price(table)
        if self.prices.makespan:
            total += self.prices.makespan * max(table.end, default=0)
        return Bill(total, late, groups, unplaced)

    def group_price(self, table: Timetable, group: int) -> tuple[float, float]:
        """(late, waiting, hand-overs, open days, hole, moved, less a visit a worker; late alone) [cents].

        Comebacks are visits less the first of each worker: visits are counted with the worker, the first
        ones taken off here, so that both parts change only where a timetable changes.
        """
        start, end = table.start, table.end
        fixed = self.days_of_fixed  # always placed, the past at slots below 0
        here = [i for i in self.tasks_of[group] if end[i] >= 0 or i in fixed]
        if not here:
            return 0.0, 0.0
        day_slots = self.shop.day_slots
        last = max([end[i] for i in here]) // day_slots
        due = self.due[group]
        late = self.late_price[group] * (last - due) if due is not None and last > due else 0.0
        by_day = self.late_by_day[group]
        if by_day:
            late = by_day[min(max(0, last - self.wait_from[group]), len(by_day) - 1)]
        cost = late + self.wait_price[group] * max(0, last - self.wait_from[group])
        prices = self.prices
        if prices.open_day:
            cost += prices.open_day * (last - min([start[i] for i in here]) // day_slots)
        if prices.hand_over:
            rank = self.shop.rank
            rows = sorted([(start[i], end[i], rank[i], self.lead(table, i)) for i in here])
            before = rows[0][3]
            for row in rows:
                if row[3] != before:
                    cost += prices.hand_over
                    before = row[3]
        if prices.comeback:
            options, chosen = self.shop.options, table.option
            seen: set[int] = set()
            for i in here:
                seen.update(options[i][chosen[i]].workers if chosen[i] >= 0 else self.team_of_fixed[i])
            cost -= prices.comeback * len(seen)
        if prices.hole_day or prices.hole_rest:
            cost += self._hole_price(table, here)
        if prices.begun_rest:
            tasks = self.shop.tasks
            rests = [self._rests(start[i], end[i]) for i in here if tasks[i].stage == 0]
            cost += prices.begun_rest * sum(rests)
        for told in self.told[group]:
            cost += self._told_price(table, *told)
        return cost, late

    def _hole_price(self, table: Timetable, here: Sequence[int]) -> float:
        """Days and days off on which the group's hole lies open [cents]."""
        tasks, day_slots = self.shop.tasks, self.shop.day_slots
        digs = [table.start[i] // day_slots for i in here if tasks[i].stage == 1]
        liners = [table.end[i] // day_slots for i in here if tasks[i].stage == 2]
        if not digs or not liners or max(liners) <= min(digs):
            return 0.0
        first, last = min(digs), max(liners)
        rests = self._rests(first * day_slots, last * day_slots)
        return self.prices.hole_day * (last - first) + self.prices.hole_rest * rests

    def _rests(self, start: int, end: int) -> int:
        """Runs of days off that begin after the day of `start`, up to that of `end`."""
        day_slots = self.shop.day_slots
        return bisect_right(self.rests, end // day_slots) - bisect_right(self.rests, start // day_slots)

    def _tasks_with_past(self, table: Timetable, worker: int) -> list[int]:
        """The worker's tasks in order, past ones too."""
        past, tasks = self.past_of_worker[worker], table.worker_rows[worker][2]
        start, end, rank = table.start, table.end, self.shop.rank
        if not past or not tasks or start[past[-1]] < start[tasks[0]]:
            return past + tasks
        return sorted([*past, *tasks], key=lambda i: (start[i], end[i], rank[i]))

    def _days_on(self, table: Timetable, task: int) -> tuple[int, int, int]:
        """First and last day on which the placed task is worked, and how many days; no days: (0, 0, 0)."""
        chosen = table.option[task]
        if chosen < 0:
            worked = self.days_of_fixed[task]
            return (worked[0], worked[-1], len(worked)) if worked else (0, 0, 0)
        axis, begun, ended = self.shop.options[task][chosen].axis, table.start[task], table.end[task]
        days = axis.day[axis.before[ended] - 1] - axis.day[axis.before[begun]] + 1
        return begun // self.shop.day_slots, (ended - 1) // self.shop.day_slots, days

    def worker_price(self, table: Timetable, worker: int) -> float:
        """Visits, miles, site days, crumbs and idle hours of one worker [cents]."""
        shop, group = self.shop, self.shop.group
        tasks = self._tasks_with_past(table, worker)
        depot, leg = shop.depot[worker], shop.leg
        cents, site_days, visits = 0.0, 0, 0
        here, today, sites_today = -1, -FAR, {-1}
        for task in tasks:
            site = group[task]
            visits += site not in {here, -1}
            if site < 0:
                continue
            first, final, days = self._days_on(table, task)
            if not days:
                here = site
                continue
            away = depot[site]
            if first == today:
                if site != here:
                    cents += leg[here][site] - depot[here] + away
                    site_days += days if site not in sites_today else days - 1
                else:
                    site_days += days - 1
                cents += 2.0 * away * (days - 1)
                if final == today:
                    sites_today.add(site)
                else:
                    today, sites_today = final, {site}
            else:
                site_days += days
                cents += 2.0 * away * days
                today, sites_today = final, {site}
            here = site
        if self.prices.crumb:
            cents += self.prices.crumb * self._crumbs(table, tasks)
        if self.slot_price[worker]:
            cents += self._idle_price(table, worker, tasks)
        return cents + site_days * self.prices.site_day + visits * self.prices.comeback

    def _crumbs(self, table: Timetable, tasks: Sequence[int]) -> int:
        """Runs of a worker's tasks on a site on a day that are too short."""
        runs: list[tuple[int, int, float]] = []  # site, day, slots
        for task in tasks:
            for day, slots in self._edges(table, task):
                site = self.shop.group[task]
                before = runs.pop()[2] if runs and runs[-1][:2] == (site, day) else 0.0
                runs.append((site, day, before + slots))
        return sum(slots < self.shop.problem.crumb_slots - GRACE for _, _, slots in runs)

    def _idle_price(self, table: Timetable, worker: int, tasks: Sequence[int]) -> float:
        """Wages of the weeks in which the worker's tasks lie, less what was worked for them [cents]."""
        owed, paid, cents = self.week_sums[worker], -1, 0.0
        for task in tasks:
            first, final = self._week(table.start[task]), self._week(table.end[task])
            if final > paid:
                cents += owed[final + 1] - owed[max(first, paid + 1)]
                paid = final
            fixed = self.shop.tasks[task].fixed
            work = self.shop.options[task][table.option[task]].work if fixed is None else fixed.owed
            cents -= self.slot_price[worker] * work
        return cents

    def _week(self, slot: int) -> int:
        """The slot's week, counted from that of day 0."""
        return (slot // self.shop.day_slots + self.shop.problem.weekday) // 7

    def _edges(self, table: Timetable, task: int) -> tuple[tuple[int, float], ...]:
        """First and last day on which the placed task is worked, with their slots; one when they are one."""
        first, last, days = self._days_on(table, task)
        fixed, day_slots = self.shop.tasks[task].fixed, self.shop.day_slots
        if not days:
            return ()
        if fixed is None:
            axis = self.shop.options[task][table.option[task]].axis
            begun, ended = table.start[task], table.end[task]
            parts: tuple[float, float] = (
                axis.before[min(ended, (first + 1) * day_slots)] - axis.before[begun],
                axis.before[ended] - axis.before[max(begun, last * day_slots)],
            )
        else:
            parts = (fixed.first_part, fixed.last_part)
        return ((first, parts[0]),) if first == last else ((first, parts[0]), (last, parts[1]))

    def units_price(self, table: Timetable) -> float:
        """Changes of site of all units [cents]."""
        shop, cents = self.shop, 0.0
        for unit, (_, _, tasks) in enumerate(table.unit_rows):
            price = shop.unit_price[unit]
            if not price:
                continue
            past = self.past_of_unit[unit]
            sites = [shop.group[t] for t in tasks]
            if past:
                rows = sorted([*past, *tasks], key=lambda i: (table.start[i], table.end[i], shop.rank[i]))
                sites = [shop.group[t] for t in rows]
            cents += price * sum([a != b for a, b in pairwise(sites)])
        return cents

    def _told_price(
        self, table: Timetable, tasks: list[int], day: int, lead: int, price: float, call: float
    ) -> float:
        """The price when the first day or lead is not what was told, and of the call for the day [cents]."""
        placed = [(table.start[i], self.shop.rank[i], i) for i in tasks if table.end[i] >= 0]
        if not placed:
            return 0.0
        first = min(placed)[2]
        if table.start[first] // self.shop.day_slots != day:
            return price + call
        return 0.0 if self.lead(table, first) == lead else price
