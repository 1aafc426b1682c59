"""A problem made ready for searching: numbers instead of names, one axis per team and site.

Built once per solve and never changed after. Tasks are numbered in an order that respects the lags; units of
all pools stand in one row; a past or fixed task is placed before any search begins.
"""

from __future__ import annotations

from array import array
from functools import cached_property
from typing import NamedTuple

from planner.schedule.model.axis import Axis, both, flags_of, join
from planner.schedule.model.problem import Problem, Span, Task, topological

FAR = 1 << 28


class Option(NamedTuple):
    """One way, numbered. axis: its working time; uses: (first unit, number of units, units needed)."""

    workers: tuple[int, ...]
    work: int
    uses: tuple[tuple[int, int, int], ...]
    axis: Axis
    way: int


class Link(NamedTuple):
    """A lag seen from its follower."""

    before: int
    share: float
    least: int
    most: int


class Joined(NamedTuple):
    """Axes in one row of numbers; id of an axis -> where its `before` begins in it, where its `at`."""

    numbers: array[int]
    before: dict[int, int]
    at: dict[int, int]


class Shop:
    """The numbered problem. Read-only after construction."""

    def __init__(self, problem: Problem) -> None:
        """Number everything; axes are built when first asked for and shared."""
        self.problem = problem
        self.horizon = problem.horizon
        self.day_slots = problem.day_slots
        by_key = {t.key: t for t in problem.tasks}
        self.keys = topological([t.key for t in problem.tasks], problem.lags)
        self.tasks: list[Task] = [by_key[k] for k in self.keys]
        self.number = {k: i for i, k in enumerate(self.keys)}
        ranked = sorted(range(len(self.keys)), key=self.keys.__getitem__)
        self.rank = [0] * len(ranked)  # place of a task's key in the alphabet: how the price breaks ties
        for place, i in enumerate(ranked):
            self.rank[i] = place
        self.worker_number = {w.key: i for i, w in enumerate(problem.workers)}
        self.group_number = {g.key: i for i, g in enumerate(problem.groups)}
        self.group = [self.group_number.get(t.group, -1) for t in self.tasks]
        self._axes: dict[tuple[tuple[int, ...], tuple[tuple[int, int], ...]], Axis] = {}
        self._worker_flags = [flags_of(self.horizon, w.open) for w in problem.workers]
        self._same_hours = [self._worker_flags.index(mine) for mine in self._worker_flags]
        self._lay_units()
        self._lay_trucks()
        self.options: list[list[Option]] = [self._options(t) for t in self.tasks]
        self.release = [t.release for t in self.tasks]
        self.deadline = [self.horizon if t.deadline is None else t.deadline for t in self.tasks]
        self._lay_links()
        self._lay_distances()
        self.one_day = [t.one_day for t in self.tasks]
        self.free = [i for i, t in enumerate(self.tasks) if t.fixed is None]
        self.worker_axis = [self.axis((i,), -1) for i in range(len(problem.workers))]

    # ---- resources ----

    def _lay_units(self) -> None:
        self.pool_first: dict[str, int] = {}
        self._pool_units = {p.key: p.units for p in self.problem.pools}
        self.pool_of: list[int] = []
        self.unit_move: list[int] = []
        self.unit_price: list[float] = []
        self.unit_out: list[tuple[tuple[int, int], ...]] = []
        for number, pool in enumerate(self.problem.pools):
            self.pool_first[pool.key] = len(self.pool_of)
            for unit in range(pool.units):
                self.pool_of.append(number)
                self.unit_move.append(pool.move)
                self.unit_price.append(pool.move_price)
                self.unit_out.append(tuple(sorted((a, b) for u, a, b in pool.out if u == unit)))

    def _lay_trucks(self) -> None:
        """Trucks of one worker first, each with the units that it can still bring on each day.

        Of weights only their order counts: 0 is nothing to tow.
        """
        days = range(self.horizon // self.day_slots + 1)
        trucks = sorted(self.problem.trucks, key=lambda truck: (truck.worker == "", truck.key))
        pools = self.problem.pools
        weights = sorted({0.0, *(truck.tows for truck in trucks), *(pool.tow for pool in pools)})
        self.unit_tow = [weights.index(pools[number].tow) for number in self.pool_of]
        self.towed = bool(trucks) and any(self.unit_tow)
        self.truck_tows = [weights.index(truck.tows) for truck in trucks]
        self.truck_of = [self.worker_number.get(truck.worker, -1) for truck in trucks]
        self.truck_left = [[0 if day in truck.out else truck.a_day for day in days] for truck in trucks]
        self.no_tow = [[day in worker.no_tow for day in days] for worker in self.problem.workers]
        self.there = [task.there for task in self.tasks]

    def unit_name(self, unit: int) -> tuple[str, int]:
        """(pool key, unit within the pool) of a numbered unit."""
        pool = self.problem.pools[self.pool_of[unit]].key
        return pool, unit - self.pool_first[pool]

    def unit_number(self, pool: str, unit: int) -> int:
        """The number of a pool's unit in the row of all units."""
        return self.pool_first[pool] + unit

    def axis(self, workers: tuple[int, ...], group: int, closed: tuple[Span, ...] = ()) -> Axis:
        """Working time of these workers together on the group's site, outside `closed`."""
        if group >= 0:
            closed = (*self.problem.groups[group].closed, *closed)
        key = (tuple(sorted({self._same_hours[w] for w in workers})), closed)
        if key not in self._axes:
            flags = flags_of(self.horizon, None, closed)
            for worker in key[0]:
                flags = both(flags, self._worker_flags[worker])
            self._axes[key] = Axis(flags, self.day_slots)
        return self._axes[key]

    @cached_property
    def joined(self) -> Joined:
        """All axes known by now in one row."""
        axes = list(self._axes.values())
        numbers, before, at = join(axes)
        first = dict(zip(map(id, axes), before, strict=True))
        return Joined(numbers, first, dict(zip(map(id, axes), at, strict=True)))

    def _options(self, task: Task) -> list[Option]:
        if task.fixed is not None:
            return []
        group = self.group_number.get(task.group, -1)
        found = []
        for number, way in enumerate(task.ways):
            team = tuple(self.worker_number[w] for w in way.workers)
            uses = tuple(
                (self.pool_first[pool], self._pool_units[pool], need)
                for pool, need in way.uses.items()
                if need
            )
            found.append(Option(team, way.work, uses, self.axis(team, group, way.closed), number))
        return found

    # ---- order and distance ----

    def _lay_links(self) -> None:
        self.links: list[list[Link]] = [[] for _ in self.tasks]
        self.followers: list[list[int]] = [[] for _ in self.tasks]
        for lag in self.problem.lags:
            before, after = self.number[lag.before], self.number[lag.after]
            most = FAR if lag.most is None else lag.most
            self.links[after].append(Link(before, lag.share, lag.least, most))
            self.followers[before].append(after)

    def _lay_distances(self) -> None:
        problem = self.problem
        keys = [g.key for g in problem.groups]
        self.drive = [[problem.drive.get((a, b), 0) for b in keys] for a in keys]
        self.leg = [[problem.leg_price.get((a, b), 0.0) for b in keys] for a in keys]
        self.depot = [[w.depot_price.get(k, 0.0) for k in keys] for w in problem.workers]

    @cached_property
    def members(self) -> list[list[int]]:
        """Group number -> its free tasks in an order that respects the lags."""
        found: list[list[int]] = [[] for _ in self.problem.groups]
        for i in self.free:
            if self.group[i] >= 0:
                found[self.group[i]].append(i)
        return found

    @cached_property
    def grouped(self) -> bool:
        """True when every free task has a group and no lag between free tasks leaves its group."""
        free = set(self.free)
        if any(self.group[i] < 0 for i in free):
            return False
        return all(
            link.before not in free or self.group[link.before] == self.group[i]
            for i in free
            for link in self.links[i]
        )
