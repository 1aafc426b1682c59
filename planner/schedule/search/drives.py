"""Who bears a crew's drive of a day: some of it goes by the work done, some is owed for being there at all.

A day's drive is at least twice the way to any of its sites, so also at least any average of these. Which
average is free to choose for each crew and day: a part that weighs sites by the slots worked there, and parts
that jobs owe, which sum up to 1. Where one job alone wants a crew's day, it comes to owe the whole way.
"""

from __future__ import annotations

from typing import Any, NamedTuple

from planner.schedule.model.shop import Shop
from planner.schedule.search.chains import Chain, Ground, Span

#: Jobs up to which it is worth its time to let them owe: the gap falls from 7.5 to 0.3 % at one job, 9.3 to
#: 1.8 at two, 10.2 to 8.6 at three, 20 to 18.6 at five with shocks; at ten and more by nothing (measured).
FEW = 8


class Kept(NamedTuple):
    """What a worker's kept time is worth, with the drive that it bears, summed up to each slot: [0] within a
    day, [1] and [2] where a night comes between, seen before and after it [cents]; each with a row a worker
    and one of zeros."""

    rows: Any
    day_slots: int

    def price(self, worker: int, first: int, end: int) -> float:
        """Of the worker's time from the end of one task to the start of another."""
        same = (first - 1) // self.day_slots == end // self.day_slots
        return float(self.rows[0 if same else 2, worker, end] - self.rows[0 if same else 1, worker, first])


class Drives:
    """weights: by worker, a row of the part that goes by work and then a row of each job, by day."""

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
        self._summed: Any = None
        slot = np.arange(shop.horizon + 1)
        self._evening = np.minimum(
            shop.horizon, (np.maximum(slot, 1) - 1) // shop.day_slots * shop.day_slots + shop.day_slots
        )
        self._morning = slot // shop.day_slots * shop.day_slots
        self._axes: dict[int, tuple[Any, Any]] = {}
        self.begin()

    def begin(self) -> None:
        """A new round: nobody has been anywhere yet."""
        import numpy as np

        self._less: dict[tuple[int, int], Any] = {}
        if self.few:
            self._summed = None
        self.there = [np.zeros_like(rows) for rows in self.weights]

    def owed(self, job: int) -> Any:
        """What the job owes for being there, by worker and day [cents]."""
        group = self.groups[job]
        return [
            rows[job + 1] * bears * away[group]
            for rows, bears, away in zip(self.weights, self.bears, self.ground.away, strict=True)
        ]

    def kept(self, job: int, worth: Any) -> Kept:
        """What keeping a worker between two tasks of the job costs: the worth of its time (a row a worker,
        one of zeros) and the part of the drive that goes by work, as nobody else can be there."""
        import numpy as np

        if self._summed is None:
            self._summed = np.zeros_like(worth)
            for worker, share in enumerate(self.ground.share):
                by_work = self.weights[worker][0][np.arange(self.shop.horizon) // self.shop.day_slots]
                self._summed[worker, 1:] = np.cumsum(share * by_work)
        away = np.array([*(a[self.groups[job]] for a in self.ground.away), 0.0])[:, None]
        drive = away * self._summed
        left = worth + drive - drive[:, self._evening]
        came = worth + drive - drive[:, self._morning]
        same = worth + drive
        return Kept(np.stack([same, left, came]), self.shop.day_slots)

    def add(self, cost: Any, span: Span, job: int, owed: Any) -> None:
        """Add what the drive of an option's choices costs beyond all of it by work."""
        import numpy as np

        if not self.few:
            return
        here, k, work = slice(span.first, span.end), span.k, span.option.work
        day, first = self._axis(span)
        for worker in span.option.workers:
            less = self._by_work(worker, span, day)
            cost[here] += self.ground.away[worker][self.groups[job]] * (less[k + work] - less[k])
            if owed[worker].any():
                each = owed[worker][day]
                summed = np.cumsum(each * first)
                cost[here] += summed[k + work - 1] - summed[k] + each[k]

    def _axis(self, span: Span) -> tuple[Any, Any]:
        """(day of each worked slot, whether it is the first of its day)."""
        import numpy as np

        key = id(span.option.axis)
        if key not in self._axes:
            day = span.at // self.shop.day_slots
            self._axes[key] = day, np.diff(day, prepend=-1) > 0
        return self._axes[key]

    def _by_work(self, worker: int, span: Span, day: Any) -> Any:
        """Up to each worked slot, the shares of the drive that slots do not bear any more, summed up."""
        import numpy as np

        key = worker, id(span.option.axis)
        if key not in self._less:
            rate = self.ground.share[worker][span.at] * (self.weights[worker][0][day] - 1.0)
            self._less[key] = np.concatenate(([0.0], np.cumsum(rate)))
        return self._less[key]

    def count(self, span: Span, job: int, place: int) -> None:
        """Note that the job is there by the choice at a place of its axis."""
        import numpy as np

        if not self.few:
            return
        day, at = self._axis(span)[0][place : place + span.option.work], span.at
        for worker in span.option.workers:
            way = self.ground.away[worker][self.groups[job]]
            share = self.ground.share[worker][at[place : place + span.option.work]]
            self.there[worker][0] += way * np.bincount(day, weights=share, minlength=self.days)
            self.there[worker][job + 1][day] = way

    def count_kept(self, job: int, worker: int, first: int, end: int) -> None:
        """Note that the job keeps a worker between two tasks: nobody else has what is left of their days."""
        if not self.few:
            return
        way, day_slots = self.ground.away[worker][self.groups[job]], self.shop.day_slots
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
