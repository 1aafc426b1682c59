"""Annealed local search on the timetable itself: take some jobs out, change a decision, lay them again.

Most steps touch a handful of neighbouring jobs and leave the rest where it is, so that a step costs the
same in a season of 20 jobs and of 200; some take out everything after a moment and close the gaps. Two
timetables run in step: the standing one and the trial. The temperature falls with the placements spent, so
that the search is the same on any machine.
"""

from __future__ import annotations

import random
from bisect import bisect_left
from math import log

from planner.schedule.model.decode import Piece, settle_quickest
from planner.schedule.model.price import Pricer
from planner.schedule.model.shop import Shop
from planner.schedule.model.timetable import Timetable
from planner.schedule.model.watch import Watch

#: First and last temperature as a share of the mean price of a piece (measured on seeded seasons).
HOT, COLD = 0.15, 0.004
#: Share of steps with one job alone, and with all after a moment; sizes of the others.
ALONE, ALL_AFTER = 0.8, 0.005
SIZES = (2, 2, 2, 3, 3, 4, 5, 6)
#: Steps between two questions to the caller whether to stop.
ASK_EVERY = 32
#: What a task without a place costs the search [cents].
UNPLACED = 1e9


def anneal(
    shop: Shop, pricer: Pricer, watch: Watch, begin: Timetable, parts: list[Piece], placements: int, seed: int
) -> None:
    """Search from `begin` until `placements` tasks were placed; every better timetable goes to `watch`."""
    if not parts:
        return
    search = Search(shop, pricer, begin, parts, random.Random(seed))
    scale = pricer.bill(begin).total / len(parts)
    best = search.price
    steps = 0
    while search.spent < placements:
        steps += 1
        if steps % ASK_EVERY == 0 and watch.over():
            return
        heat = HOT * scale * (COLD / HOT) ** (search.spent / placements)
        delta = search.attempt()
        if delta is None:
            continue
        if delta < -heat * log(1.0 - search.rng.random()):
            search.accept(delta)
            if search.price < best - 1e-6:
                best = search.price
                watch.offer(search.now, pricer.bill(search.now))
        else:
            search.reject()


class Search:
    """The state of one annealing: `now` stands, `trial` differs from it by the step under way."""

    def __init__(
        self, shop: Shop, pricer: Pricer, begin: Timetable, parts: list[Piece], rng: random.Random
    ) -> None:
        """Copy the beginning twice and price it."""
        self.shop, self.pricer, self.rng = shop, pricer, rng
        self.now, self.trial = begin.copy(), begin.copy()
        self.parts = parts
        self.part_of = {t: i for i, p in enumerate(parts) for t in p}
        self.spent = 0
        self.price = self._full()
        self.group_price = [pricer.group_price(self.now, g)[0] for g in range(len(pricer.due))]
        self.units_price = pricer.units_price(self.now)
        self.alone: list[dict[int, int]] = [
            {o.workers[0]: n for n, o in enumerate(options) if len(o.workers) == 1}
            for options in shop.options
        ]
        self.workers = len(shop.worker_axis)
        self.choosy = any(len(options) > 1 for options in shop.options)
        self._taken: list[int] = []
        self._rows: dict[int, list[tuple[int, int]]] = {}
        self._moves_cost = any(shop.unit_price)
        self._units: set[int] = set()
        self._changed_groups: dict[int, float] = {}
        self._new_units_price = 0.0

    def _full(self) -> float:
        bill = self.pricer.bill(self.now)
        return bill.total + UNPLACED * bill.unplaced

    # ---- one step ----

    def attempt(self) -> float | None:
        """Change `trial` by one step; the change of price, or None when the step did not apply."""
        rng = self.rng
        seed = rng.randrange(len(self.parts))
        dice = rng.random()
        choice: dict[int, int] = {}
        hold: dict[int, int] = {}
        if dice < ALONE:
            order = [seed]
            self._decide(seed, order, choice, hold)
        elif dice < 1.0 - ALL_AFTER:
            order = self._by_start(self._neighbours(seed, rng.choice(SIZES)))
            self._decide(seed, order, choice, hold)
            if rng.random() < 0.3:
                self._decide(rng.choice(order), order, choice, hold)
        else:
            start = self.now.start
            here = start[self.parts[seed][0]]
            order = self._by_start([i for i, p in enumerate(self.parts) if start[p[0]] >= here or i == seed])
        return self.relay(order, choice, hold)

    def _neighbours(self, seed: int, size: int) -> list[int]:
        """The seed and jobs next to it in the row of one of its workers (or units), near ones first."""
        rng, now = self.rng, self.now
        task = rng.choice(self.parts[seed])
        rows = [now.worker_rows[w] for w in self._workers(task)] or [
            now.unit_rows[u] for u in now.units[task]
        ]
        if not rows or now.start[task] < 0:
            others = rng.sample(range(len(self.parts)), min(size - 1, len(self.parts)))
            return [seed, *(i for i in others if i != seed)]
        starts, _, tasks = rng.choice(rows)
        left = bisect_left(starts, now.start[task])
        right = left + 1
        found = [seed]
        part_of = self.part_of
        while len(found) < size and (left > 0 or right < len(tasks)):
            if right >= len(tasks) or (left > 0 and rng.random() < 0.5):
                left -= 1
                other = part_of.get(tasks[left])
            else:
                other = part_of.get(tasks[right])
                right += 1
            if other is not None and other not in found and rng.random() < 0.85:
                found.append(other)
        return found

    def _workers(self, task: int) -> tuple[int, ...]:
        chosen = self.now.option[task]
        return self.shop.options[task][chosen].workers if chosen >= 0 else ()

    def _by_start(self, chosen: list[int]) -> list[int]:
        start, far = self.now.start, self.shop.horizon
        return sorted(
            chosen, key=lambda i: (start[self.parts[i][0]] if start[self.parts[i][0]] >= 0 else far, i)
        )

    def _decide(self, seed: int, order: list[int], choice: dict[int, int], hold: dict[int, int]) -> None:
        """One change of decisions: order, crew, way or waiting."""
        rng = self.rng
        dice = rng.random()
        if len(order) > 1 and dice < 0.45:
            i = order.index(seed)
            j = rng.randrange(len(order))
            if rng.random() < 0.5:
                order.insert(j, order.pop(i))
            else:
                order[i], order[j] = order[j], order[i]
        elif self.choosy and rng.random() < 0.4:
            self._other_crew(seed, choice)
            hold.update((t, self.shop.release[t]) for t in self.parts[seed])
        elif self.choosy and rng.random() < 0.4:
            self._other_way(seed, choice)
        else:
            self._wait(seed, hold)

    def _other_crew(self, part: int, choice: dict[int, int]) -> None:
        """The part, or its rest from some task on, goes to another worker wherever that one may do it."""
        rng, tasks = self.rng, self.parts[part]
        if not self.workers:
            return
        worker = rng.randrange(self.workers)
        begin = 0 if rng.random() < 0.7 else rng.randrange(len(tasks))
        for task in tasks[begin:]:
            number = self.alone[task].get(worker)
            if number is not None:
                choice[task] = number

    def _other_way(self, part: int, choice: dict[int, int]) -> None:
        """One task, or a run of tasks, is done another way: another crew, with or without help."""
        rng, tasks = self.rng, self.parts[part]
        place = rng.randrange(len(tasks))
        task = tasks[place]
        options = self.shop.options[task]
        if rng.random() < 0.5:
            choice[task] = rng.randrange(len(options))
            return
        worker = rng.randrange(self.workers) if self.workers else -1
        for other in tasks[place : place + rng.randint(1, 3)]:
            number = self.alone[other].get(worker)
            if number is not None:
                choice[other] = number

    def _wait(self, part: int, hold: dict[int, int]) -> None:
        """One task waits for a moment that is worth it, or waits no more."""
        rng, tasks = self.rng, self.parts[part]
        waiting = [t for t in tasks if self.now.hold[t] > self.shop.release[t]]
        if waiting and rng.random() < 0.5:
            hold.update({t: self.shop.release[t] for t in waiting})
            return
        task = tasks[0] if rng.random() < 0.5 else rng.choice(tasks)
        start, held = self.now.start[task], self.now.hold[task]
        if start < 0:
            return
        if held > self.shop.release[task] and rng.random() < 0.6:
            hold[task] = self.shop.release[task]
            return
        day_slots = self.shop.day_slots
        option = self.shop.options[task][self.now.option[task]]
        if option.workers and rng.random() < 0.6:
            ends = self.now.worker_rows[option.workers[0]][1]
            near = bisect_left(ends, start + 1)
            later = ends[near : near + 5]
            if later:
                hold[task] = rng.choice(later)
                return
        hold[task] = (start // day_slots + rng.randint(-3, 4)) * day_slots
        hold[task] = max(hold[task], self.shop.release[task])

    # ---- laying again ----

    def relay(self, order: list[int], choice: dict[int, int], hold: dict[int, int]) -> float:
        """Lay these parts of `trial` again, with other options and holds where named; the change of price."""
        trial, now, shop = self.trial, self.now, self.shop
        tasks = [t for i in order for t in self.parts[i]]
        self._taken = tasks
        trial.lift(tasks)
        for task, slot in hold.items():
            trial.hold[task] = slot
        unplaced = 0
        for task in tasks:
            number = choice.get(task, now.option[task])
            done = (
                trial.settle(task, number)
                if number >= 0
                else settle_quickest(trial, task, range(len(shop.options[task])))
            )
            if not done:
                trial.option[task] = now.option[task]
            unplaced += (not done) - (now.start[task] < 0)
        self.spent += len(tasks) + 4
        groups = self._differences(tasks)
        return unplaced * UNPLACED + self._change(groups)

    def _differences(self, tasks: list[int]) -> set[int]:
        """Collect the days of each worker's row, the units and the groups in which trial and now differ."""
        trial, now = self.trial, self.now
        rows, units, groups = self._rows, self._units, set()
        rows.clear()
        units.clear()
        options, day_slots, group_of = self.shop.options, self.shop.day_slots, self.shop.group
        for task in tasks:
            if (
                trial.start[task] == now.start[task]
                and trial.option[task] == now.option[task]
                and trial.units[task] == now.units[task]
            ):
                continue
            groups.add(group_of[task])
            for table in (now, trial):
                start = table.start[task]
                if start < 0:
                    continue
                days = (start // day_slots - 1, table.end[task] // day_slots + 1)
                for worker in options[task][table.option[task]].workers:
                    if worker in rows:
                        rows[worker].append(days)
                    else:
                        rows[worker] = [days]
                units.update(table.units[task])
        return groups

    def _change(self, changed: set[int]) -> float:
        """The change of price from `now` to `trial`, over the rows, days and groups that differ."""
        pricer, trial, now = self.pricer, self.trial, self.now
        delta = 0.0
        for row, spans in self._rows.items():
            days = merged(spans)
            delta += pricer.worker_price(trial, row, days)
            delta -= pricer.worker_price(now, row, days)
        groups = self._changed_groups
        groups.clear()
        for group in changed:
            if group >= 0:
                groups[group] = pricer.group_price(trial, group)[0]
                delta += groups[group] - self.group_price[group]
        self._new_units_price = self.units_price
        if self._units and self._moves_cost:
            self._new_units_price = pricer.units_price(trial)
            delta += self._new_units_price - self.units_price
        if pricer.prices.makespan:
            delta += pricer.prices.makespan * (max(trial.end) - max(now.end))
        return delta

    def accept(self, delta: float) -> None:
        """The trial stands."""
        self.price += delta
        self.units_price = self._new_units_price
        for group, price in self._changed_groups.items():
            self.group_price[group] = price
        self._follow(self.trial, self.now)

    def reject(self) -> None:
        """The trial goes back to what stands."""
        self._follow(self.now, self.trial)

    def _follow(self, leader: Timetable, follower: Timetable) -> None:
        for task in self._taken:
            follower.start[task], follower.end[task] = leader.start[task], leader.end[task]
            follower.option[task], follower.units[task] = leader.option[task], leader.units[task]
            follower.hold[task] = leader.hold[task]
        for row in self._rows:
            a, b, c = leader.worker_rows[row]
            follower.worker_rows[row] = (a[:], b[:], c[:])
        for unit in self._units:
            a, b, c = leader.unit_rows[unit]
            follower.unit_rows[unit] = (a[:], b[:], c[:])


def merged(spans: list[tuple[int, int]]) -> list[tuple[int, int]]:
    """Spans of days, joined where they touch.

    >>> merged([(5, 7), (1, 2), (3, 5)])
    [(1, 7)]
    """
    if len(spans) == 1:
        return spans
    spans.sort()
    found = [spans[0]]
    for first, last in spans[1:]:
        low, high = found[-1]
        if first <= high + 1:
            if last > high:
                found[-1] = (low, last)
        else:
            found.append((first, last))
    return found
