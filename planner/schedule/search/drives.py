"""Who bears a crew's drive of a day: some of it goes by the work done, some is owed for being there at all.

A day's drive is at least twice the way to any of its sites, so also at least any average of these. Which
average is free to choose for each crew and day: a part that weighs sites by the slots worked there, and parts
that jobs owe, which sum up to 1. Where one job alone can be on a crew's day, it owes the whole way; where two
can, one owes its way and the other what its site adds to that.
"""

from __future__ import annotations

from functools import cached_property
from itertools import combinations
from typing import Any, NamedTuple

from planner.schedule.model.axis import Axis
from planner.schedule.model.shop import Option, Shop
from planner.schedule.search.chains import Chain, Ground, Span
from planner.schedule.search.narrow import Narrow

#: Jobs up to which it is worth its time to let them owe: the gap falls from 7.5 to 0.3 % at one job, 9.3 to
#: 1.8 at two, 10.2 to 8.6 at three, 20 to 18.6 at five with shocks; at ten and more by nothing (measured).
FEW = 8


class Kept(NamedTuple):
    """What a worker's kept time is worth, with the drive that it bears, summed up to each slot of a job's
    days: [0] within a day, [1] and [2] where a night comes between, seen before and after it [cents]; each
    with a row a worker and one of zeros."""

    rows: Any
    day_slots: int

    def price(self, worker: int, first: int, end: int) -> float:
        """Of the worker's time from the end of one task to the start of another."""
        same = (first - 1) // self.day_slots == end // self.day_slots
        return float(self.rows[0 if same else 2, worker, end] - self.rows[0 if same else 1, worker, first])


class Drives:
    """weights: by worker, a row of the part that goes by work and then a row of each job, by day. pays: by
    worker, who pays what by the row of each job: the job itself its way, others what theirs adds [cents]."""

    def __init__(self, shop: Shop, ground: Ground, chains: list[Chain]) -> None:
        """All by work."""
        import numpy as np

        self.shop, self.ground = shop, ground
        self.days = shop.horizon // shop.day_slots + 1
        self.groups = [shop.group[chain.spans[0].task] for chain in chains]
        day = np.arange(shop.horizon) // shop.day_slots
        self.bears = [np.bincount(day, weights=s > 0, minlength=self.days) > 0 for s in ground.share]
        self.weights = [np.zeros((len(chains) + 1, self.days)) for _ in ground.share]
        for rows in self.weights:
            rows[0] = 1.0
        self.few = len(chains) <= FEW
        self.pays = [np.zeros((len(chains), len(chains), self.days)) for _ in ground.share]
        if self.few:
            for worker in range(len(self.pays)):
                self._pay_own(worker)
        self._summed: Any = None
        slot = np.arange(shop.horizon + 1)
        self._day, self._last = slot // shop.day_slots, (np.maximum(slot, 1) - 1) // shop.day_slots + 1
        self._morning = self._day * shop.day_slots
        self._evening = np.minimum(shop.horizon, self._last * shop.day_slots)
        self._axes: dict[int, tuple[Any, Any]] = {}
        self.begin()

    def begin(self) -> None:
        """A new round: nobody has been anywhere yet."""
        import numpy as np

        self._less: dict[tuple[int, int], Any] = {}
        self._been: set[tuple[int, int, int]] = set()
        if self.few:
            self._summed = None
        self.there = [np.zeros_like(rows) for rows in self.weights]

    def owed(self, job: int) -> Any:
        """What the job owes for being there, by worker and day [cents]."""
        return [
            (rows[1:] * pays[:, job]).sum(axis=0) for rows, pays in zip(self.weights, self.pays, strict=True)
        ]

    def kept(self, job: int, worth: Any, here: slice) -> Kept:
        """What keeping a worker between two tasks of the job costs: the worth of its time (a row a worker,
        one of zeros) and the part of the drive that goes by work, as nobody else can be there."""
        import numpy as np

        if self._summed is None:
            self._summed = np.zeros((len(self.weights) + 1, self.shop.horizon + 1))
            for worker, share in enumerate(self.ground.share):
                by_work = self.weights[worker][0][self._day[:-1]]
                self._summed[worker, 1:] = np.cumsum(share * by_work)
        away = np.array([*(a[self.groups[job]] for a in self.ground.away), 0.0])[:, None]
        same = worth[:, here] + away * self._summed[:, here]
        left = same - away * self._summed[:, self._evening[here]]
        came = same - away * self._summed[:, self._morning[here]]
        return Kept(np.stack([same, left, came]), self.shop.day_slots)

    def line(self, option: Option, job: int, owed: Any, here: slice) -> tuple[Any, Any]:
        """What the drive of work in this way costs beyond all of it by work, summed up to each slot, for the
        slot as an end and as a start [cents]."""
        import numpy as np

        if not self.few:
            return 0.0, 0.0
        works, _ = self._axis(option.axis)
        ends, starts = 0.0, 0.0
        for worker in option.workers:
            less = self.ground.away[worker][self.groups[job]] * self._by_work(worker, option.axis)[here]
            there = np.concatenate(([0.0], np.cumsum(owed[worker] * works)))
            ends = ends + less + there[self._last[here]]
            starts = starts + less + there[self._day[here]]
        return ends, starts

    def _axis(self, axis: Axis) -> tuple[Any, Any]:
        """(whether there is work on each day, and in each slot)."""
        import numpy as np

        key = id(axis)
        if key not in self._axes:
            flags = np.frombuffer(axis.flags, dtype=np.uint8)[: self.shop.horizon].astype(bool)
            days = np.bincount(self._day[:-1], weights=flags, minlength=self.days) > 0
            self._axes[key] = days, flags
        return self._axes[key]

    def _by_work(self, worker: int, axis: Axis) -> Any:
        """Up to each slot, the shares of the drive that worked slots do not bear any more, summed up."""
        import numpy as np

        key = worker, id(axis)
        if key not in self._less:
            rate = self.ground.share[worker] * (self.weights[worker][0][self._day[:-1]] - 1.0)
            self._less[key] = np.concatenate(([0.0], np.cumsum(rate * self._axis(axis)[1])))
        return self._less[key]

    def meet(self, jobs: list[Narrow]) -> None:
        """Where by these choices one job alone can be on a worker's day, it owes all; where two can, one owes
        what its site adds to the other's way."""
        import numpy as np

        if not self.few:
            return
        for worker, pays in enumerate(self.pays):
            self._pay_own(worker)
            here = np.array([self._can_be(worker, job) for job in jobs])
            count = here.sum(axis=0)
            for one, two in combinations(range(len(jobs)), 2):
                days = np.flatnonzero(here[one] & here[two] & (count == 2) & self.bears[worker])
                both = self._both(worker, one, two)
                for a, b in ((one, two), (two, one)):
                    first, second = self.way(worker, a), self.way(worker, b)
                    pays[a, b, days] = min(second, max(0.0, both - first))
            for job in range(len(jobs)):
                days = np.flatnonzero(here[job] & (count == 1))
                self.weights[worker][:, days] = 0.0
                self.weights[worker][job + 1, days] = 1.0

    def _pay_own(self, worker: int) -> None:
        """Each job its own way in its own row, and nothing else."""
        self.pays[worker][:] = 0.0
        for job in range(len(self.groups)):
            self.pays[worker][job, job] = self.way(worker, job) * self.bears[worker]

    def way(self, worker: int, job: int) -> float:
        """To the job's site and back [cents]."""
        return float(self.ground.away[worker][self.groups[job]])

    def _both(self, worker: int, one: int, two: int) -> float:
        """The cheapest day at both sites and at no third [cents]."""
        leg = float(self._legs[self.groups[one], self.groups[two]])
        out, back = self.way(worker, one) / 2, self.way(worker, two) / 2
        return leg + min(out + back, 2 * out + leg, 2 * back + leg)

    @cached_property
    def _legs(self) -> Any:
        """Least price from site to site, either way, by whichever sites [cents]."""
        import numpy as np

        legs = np.array(self.shop.leg)
        legs = np.minimum(legs, legs.T)
        for site in range(len(legs)):
            legs = np.minimum(legs, legs[:, [site]] + legs[[site], :])
        return legs

    def _can_be(self, worker: int, job: Narrow) -> Any:
        """On which days a choice of the job lies."""
        import numpy as np

        found = np.zeros(self.days + 1)
        first_day = job.low // self.shop.day_slots
        for span in job.chain.spans:
            if worker in span.option.workers:
                here = slice(span.first, span.end)
                np.add.at(found, first_day + job.chain.start[here] // self.shop.day_slots, 1)
                np.add.at(found, first_day + (job.chain.end[here] - 1) // self.shop.day_slots + 1, -1)
        return np.cumsum(found)[: self.days] > 0

    def count(self, span: Span, job: int, place: int) -> None:
        """Note that the job is there by the choice at a place of its axis."""
        import numpy as np

        if not self.few:
            return
        at = span.at[place : place + span.option.work]
        day = at // self.shop.day_slots
        for worker in span.option.workers:
            share = self.ground.share[worker][at]
            self.there[worker][0] += self.way(worker, job) * np.bincount(
                day, weights=share, minlength=self.days
            )
            new = [d for d in range(day[0], day[-1] + 1) if (worker, job, d) not in self._been]
            self._been.update((worker, job, d) for d in new)
            self.there[worker][1:, new] += self.pays[worker][:, job][:, new]

    def count_kept(self, job: int, worker: int, first: int, end: int) -> None:
        """Note that the job keeps a worker between two tasks: nobody else has what is left of their days."""
        if not self.few:
            return
        way, day_slots = self.way(worker, job), self.shop.day_slots
        share, before, after = self.ground.share[worker], (first - 1) // day_slots, end // day_slots
        if before == after:
            self.there[worker][0][before] += way * share[first:end].sum()
        else:
            self.there[worker][0][before] += way * share[first : (before + 1) * day_slots].sum()
            self.there[worker][0][after] += way * share[after * day_slots : end].sum()

    def move(self, step: float) -> None:
        """Those who are there bear more: a step along what each weight would bring, back to a sum of 1."""
        import numpy as np

        if not self.few:
            return
        for worker, (rows, there) in enumerate(zip(self.weights, self.there, strict=True)):
            top = there.max(axis=0)
            days = np.flatnonzero((top > 0) & self.bears[worker])
            if len(days):
                new = rows.copy()
                new[:, days] = _to_one(rows[:, days] + step * there[:, days] / top[days])
                self.weights[worker] = new


def _to_one(columns: Any) -> Any:
    """The nearest columns of numbers not below 0 that sum up to 1."""
    import numpy as np

    falling = -np.sort(-columns, axis=0)
    over = np.cumsum(falling, axis=0) - 1.0
    count = np.arange(1, len(columns) + 1)[:, None]
    last = (falling - over / count > 0).sum(axis=0)
    less = over[last - 1, np.arange(columns.shape[1])] / last
    return np.maximum(0.0, columns - less)
