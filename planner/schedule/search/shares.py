"""A floor that jobs share: each job's cheapest way when the hours of crews and machines have a price.

Whatever the prices, the jobs' cheapest sums less what all hours are worth is never above the cheapest plan
(Lagrangian relaxation: Held and Karp, Operations Research 18, 1970; Fisher, Management Science 27, 1981; from
memory). Prices rise where the jobs want more than there is and fall where they want less (Polyak's step). The
floor may be asked at any moment: more rounds never lower it.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from typing import Any, NamedTuple

from planner.schedule.kernel.chain import NONE, cheapest_chain, nth_worker, trace
from planner.schedule.kernel.chain_rest import cheapest_rest
from planner.schedule.kernel.compiling import COMPILED
from planner.schedule.model.decode import Piece
from planner.schedule.model.price import Pricer
from planner.schedule.model.shop import Option, Shop
from planner.schedule.model.timetable import Timetable
from planner.schedule.search.chains import Chain, Ground, chain_of, in_row
from planner.schedule.search.drives import Drives, Kept
from planner.schedule.search.narrow import Narrow, narrow
from planner.schedule.search.placed import Begun, fixed_price, least_ways

#: Rounds without a better floor after which steps are halved; how much of the last direction goes on.
PATIENCE, MOMENTUM = 4, 0.5
#: The first step, where jobs are few and where rounds are dear, and the shortest, as a share of Polyak's: at
#: 5 jobs 0.3 climbs soonest and highest, at 20 and 50 0.1 climbs sooner and ends as high (measured).
FIRST_STEP, FIRST_OF_MANY, SHORTEST = 0.3, 0.1, 0.002
#: Pieces of a day that have a price of their own: twelve are two hours each. Whole days left the floor 3
#: points lower at 5 jobs and 1 at 20; half-hours added 0.3 points and took three times as long (measured).
PIECES = 12
#: Pairs of ways times slots of the season taken in a second (measured; only sizes the work).
CHOICES_A_SECOND, PLAIN_CHOICES_A_SECOND = 180_000_000, 100_000


@dataclass(slots=True)
class _Pull:
    """One round: the floor [cents], and by worker and pool what is wanted beyond what there is, a piece."""

    floor: float
    workers: list[Any]
    pools: list[Any]


class Shares:
    """floor: the best so far [cents]."""

    def __init__(self, shop: Shop, pricer: Pricer, parts: list[Piece]) -> None:
        """Flatten the jobs; nothing is solved yet."""
        import numpy as np

        self.shop = shop
        table = Timetable(shop)
        self.piece = np.arange(shop.horizon) // max(1, shop.day_slots // PIECES)
        self.pieces = int(self.piece[-1]) + 1
        self.worked = [np.frombuffer(axis.flags, dtype=np.uint8)[: shop.horizon] for axis in shop.worker_axis]
        self.open = np.zeros(shop.horizon, dtype=bool)
        for flags in self.worked:
            self.open |= flags.astype(bool)
        self.ground = _ground(shop, self.worked, table)
        self.free = [flags * (self._held(w) == 0) for w, flags in enumerate(self.worked)]
        self.crew_room = [self._by_piece(flags) for flags in self.free]
        self.unit_room = [self._by_piece(room * self.open) for room in self.ground.room]
        self.given = fixed_price(shop, pricer, table, parts, Begun.of(shop, pricer))
        chains: list[Chain] = []
        for part in parts:
            chain = chain_of(shop, pricer, part, self.ground) if in_row(shop, part) else None
            if chain is not None:
                chains.append(chain)
        self.crew_price = [np.zeros(self.pieces) for _ in self.worked]
        self.unit_price = [np.zeros(self.pieces) for _ in self.unit_room]
        self.drives = Drives(shop, self.ground, chains)
        self.jobs = [job for chain in chains if (job := narrow(chain, shop.day_slots)) is not None]
        self.best_prices = (self.crew_price, self.unit_price, self.drives.weights[:])
        self.floor = -float("inf")
        self._step, self._waited = FIRST_STEP if self.drives.few else FIRST_OF_MANY, 0
        self._heading: tuple[list[Any], list[Any]] | None = None

    @property
    def settled(self) -> bool:
        """True when steps have become so short that more rounds bring nothing."""
        return self._step < SHORTEST

    def _held(self, worker: int) -> Any:
        taken = self.ground.taken[worker]
        return (taken[1:] - taken[:-1])[: self.shop.horizon]

    def _by_piece(self, slots: Any) -> Any:
        import numpy as np

        return np.bincount(self.piece, weights=slots, minlength=self.pieces)

    def round(self, goal: float) -> float:
        """One more round towards the price of a known plan [cents]; the floor."""
        pull = self._solve()
        if pull.floor > self.floor + 1e-6:
            self.floor, self._waited = pull.floor, 0
            self.best_prices = (self.crew_price, self.unit_price, self.drives.weights[:])
        else:
            self._waited += 1
        if self._waited >= PATIENCE:
            self._step, self._waited, self._heading = self._step / 2, 0, None
            self.crew_price, self.unit_price, weights = self.best_prices
            self.drives.weights = weights[:]
            pull = self._solve()
        self._move(pull, goal)
        self.drives.move(self._step)
        return self.floor

    def _move(self, pull: _Pull, goal: float) -> None:
        import numpy as np

        new = (pull.workers, pull.pools)
        old = self._heading
        heads = (
            new
            if old is None
            else tuple(
                [g + MOMENTUM * h for g, h in zip(mine, theirs, strict=True)]
                for mine, theirs in zip(new, old, strict=True)
            )
        )
        self._heading = (list(heads[0]), list(heads[1]))
        rows = [
            (h, p)
            for hs, ps in zip(heads, (self.crew_price, self.unit_price), strict=True)
            for h, p in zip(hs, ps, strict=True)
        ]
        size = sum(float((h[(h > 0) | (p > 0)] ** 2).sum()) for h, p in rows)
        if size <= 0.0:
            return
        step = self._step * max(1.0, goal - pull.floor) / size
        self.crew_price = [
            np.maximum(0.0, p + step * h) for p, h in zip(self.crew_price, heads[0], strict=True)
        ]
        self.unit_price = [
            np.maximum(0.0, p + step * h) for p, h in zip(self.unit_price, heads[1], strict=True)
        ]

    def _solve(self) -> _Pull:
        """Every job's cheapest way at the present prices."""
        import numpy as np

        shop = self.shop
        wants = [np.zeros(shop.horizon + 1) for _ in self.worked]
        holds = [np.zeros(shop.horizon) for _ in self.unit_room]
        floor = self.given
        self.begin()
        self.chosen: list[Any] = []
        for job, narrowed in enumerate(self.jobs):
            rows = self.rows_of(job)
            least, chosen = cheapest(narrowed, rows, shop)
            floor += min(least, narrowed.chain.tail)
            self.chosen.append(chosen)
            if least <= narrowed.chain.tail:
                self._count(job, chosen, wants, holds)
                self._count_kept(job, chosen, rows.kept, wants)
        workers = [
            self._by_piece(np.cumsum(want)[: shop.horizon] * flags) - room
            for want, flags, room in zip(wants, self.free, self.crew_room, strict=True)
        ]
        pools = [self._by_piece(h) - room for h, room in zip(holds, self.unit_room, strict=True)]
        floor -= sum(float(p @ r) for p, r in zip(self.crew_price, self.crew_room, strict=True))
        floor -= sum(float(p @ r) for p, r in zip(self.unit_price, self.unit_room, strict=True))
        return _Pull(floor, workers, pools)

    def begin(self) -> None:
        """Sum up what time costs at the present prices."""
        import numpy as np

        summed = [
            np.concatenate(([0.0], np.cumsum(flags * price[self.piece])))
            for flags, price in zip(self.free, self.crew_price, strict=True)
        ]
        self._worth = np.stack([*summed, np.zeros(self.shop.horizon + 1)])
        self._slot_price = [price[self.piece] * self.open for price in self.unit_price]
        self._lines: dict[Any, Any] = {}
        self.drives.begin()

    def rows_of(self, job: int) -> Rows:
        """What the job's choices, kept workers and days there cost at the present prices."""
        import numpy as np

        narrowed, owed = self.jobs[job], self.drives.owed(job)
        low, days = narrowed.low, narrowed.low // self.shop.day_slots
        here = slice(low, low + narrowed.width + 1)
        rows = len(narrowed.kinds), narrowed.width + 1
        ends, starts = np.empty(rows), np.empty(rows)
        for number, option in enumerate(narrowed.kinds):
            time = self._line(option)[here]
            end, start = self.drives.line(option, job, owed, here)
            ends[number], starts[number] = time + end, time + start
        cost = narrowed.chain.cost + ends.ravel()[narrowed.until] - starts.ravel()[narrowed.begins]
        visit = np.concatenate([row[days : days + narrowed.days] for row in owed])
        return Rows(cost, self.drives.kept(job, self._worth, here), visit)

    def enter(self, jobs: list[Narrow], prices: tuple[Any, Any, Any], floor: float, step: float) -> None:
        """Go on with these choices, known to cost so much at least, from these prices."""
        self.jobs, self.floor, self.best_prices = jobs[:], floor, prices
        self.crew_price, self.unit_price, weights = prices
        self.drives.weights = [rows.copy() for rows in weights]
        self.drives.meet(self.jobs)
        self._step, self._waited, self._heading = step, 0, None

    def fix(self, goal: float) -> bool:
        """Leave out every choice through which each way is as dear as the goal or dearer; False when a job
        has no way left, so that no plan is cheaper. The best prices stand afterwards."""
        self.crew_price, self.unit_price, weights = self.best_prices
        self.drives.weights = [rows.copy() for rows in weights]
        self._heading = None
        self.begin()
        for job, narrowed in enumerate(self.jobs):
            least, by_choice = through(narrowed, self.rows_of(job), self.shop)
            if self.floor + max(0.0, narrowed.chain.tail - least) < goal:
                continue  # what ends after all its choices could be cheaper
            fewer = narrow(
                narrowed.chain, self.shop.day_slots, self.floor + by_choice - least < goal, narrowed.low
            )
            if fewer is None:
                return False
            self.jobs[job] = fewer
        self.drives.meet(self.jobs)
        return True

    def _line(self, option: Option) -> Any:
        """What the time of crews and machines in this way costs, summed up to each slot [cents]."""
        import numpy as np

        key = option.workers, id(option.axis), option.uses
        if key not in self._lines:
            line = self._worth[list(option.workers)].sum(axis=0)
            flags = np.frombuffer(option.axis.flags, dtype=np.uint8)[: self.shop.horizon]
            for first, _, need in option.uses:
                price = self._slot_price[self.shop.pool_of[first]]
                line[1:] += need * np.cumsum(price * flags)
            self._lines[key] = line
        return self._lines[key]

    def _count(self, job: int, chosen: Any, wants: list[Any], holds: list[Any]) -> None:
        """Add what a way of a job takes of crews and machines."""
        chain, low = self.jobs[job].chain, self.jobs[job].low
        for choice in chosen:
            span = next(s for s in chain.spans if s.first <= choice < s.end)
            option = span.option
            for worker in option.workers:
                wants[worker][low + chain.start[choice]] += 1
                wants[worker][low + chain.end[choice]] -= 1
            k = int(span.k[choice - span.first])
            self.drives.count(span, job, k)
            for first, _, need in option.uses:
                number = self.shop.pool_of[first]
                at = span.at[k : k + option.work]
                holds[number][at] += need * self.open[at]

    def _count_kept(self, job: int, chosen: Any, kept: Kept, wants: list[Any]) -> None:
        """Add the time for which workers are kept between two tasks of a way."""
        chain, low = self.jobs[job].chain, self.jobs[job].low
        options = [next(s for s in chain.spans if s.first <= c < s.end).option for c in chosen]
        for (one, a), (two, b) in pairwise(zip(options, chosen, strict=True)):
            shared = sum(1 << w for w in one.workers if w in two.workers)
            first, end = int(chain.end[a]), int(chain.start[b])
            for stays in (nth_worker(shared, 0), nth_worker(shared, 1)):
                if stays >= 0 and first < end and kept.price(stays, first, end) < chain.prices[2]:
                    wants[stays][low + first] += 1
                    wants[stays][low + end] -= 1
                    self.drives.count_kept(job, stays, low + first, low + end)


def seconds_for(shop: Shop, parts: list[Piece]) -> float:
    """How long flattening all jobs and a first round take, roughly [s]."""
    choices = sum(len(shop.options[t]) ** 2 for part in parts for t in part) * shop.horizon
    return choices / (CHOICES_A_SECOND if COMPILED else PLAIN_CHOICES_A_SECOND)


class Rows(NamedTuple):
    """At some prices, of a job [cents]: what each choice costs, what kept workers do, and what a day there
    costs besides, by worker."""

    cost: Any
    kept: Kept
    visit: Any


def cheapest(job: Narrow, rows: Rows, shop: Shop) -> tuple[float, Any]:
    """(least cost of the chain [cents], the choices); infinite and none when it has no way."""
    import numpy as np

    size = len(rows.cost)
    least, back = np.full(2 * size, NONE), np.zeros(2 * size, dtype=np.int64)
    found = cheapest_chain(*given(job, rows, shop, least, back))
    if found < 0:
        return float("inf"), []
    chosen = np.zeros(len(job.chain.option_at) - 1, dtype=np.int64)
    trace(found, len(chosen), back, chosen)
    return float(least[found]), chosen


def through(job: Narrow, rows: Rows, shop: Shop) -> tuple[float, Any]:
    """(least cost of the chain, that of the cheapest way through each choice) [cents]."""
    import numpy as np

    size = len(rows.cost)
    least, back = np.full(2 * size, NONE), np.zeros(2 * size, dtype=np.int64)
    rest = np.full(2 * size, NONE)
    cheapest_chain(*given(job, rows, shop, least, back))
    cheapest_rest(*given(job, rows, shop, rest))
    by_choice = (least + rest).reshape(-1, 2).min(axis=1)
    return float(by_choice.min()), by_choice


def given(job: Narrow, rows: Rows, shop: Shop, *filled: Any) -> Any:
    """What the dynamic programs of `planner.schedule.kernel` are handed of a job, then what they fill."""
    import numpy as np

    chain, kept = job.chain, rows.kept.rows
    return (
        chain.ways,
        chain.option_at,
        chain.waits,
        chain.whole,
        chain.start,
        chain.end,
        chain.ready,
        rows.cost,
        chain.prices,
        kept.ravel(),
        rows.visit,
        np.array([shop.day_slots, job.width + 1, job.days, kept[0].size]),
        *filled,
    )


def _ground(shop: Shop, worked: list[Any], table: Timetable) -> Ground:
    """What fixed work leaves, and how much of a day's drive each of its slots bears."""
    import numpy as np

    days = np.arange(shop.horizon) // shop.day_slots
    share, taken, away = [], [], []
    for worker, flags in enumerate(worked):
        held = np.zeros(shop.horizon)
        for begin, end in zip(*table.worker_rows[worker][:2], strict=True):
            held[max(0, begin) : max(0, end)] = 1
        taken.append(np.concatenate(([0], np.cumsum(held))))
        of_day = np.bincount(days, weights=flags)
        busy = np.zeros(len(of_day), dtype=bool)
        for task in shop.tasks:
            if task.fixed is not None and shop.problem.workers[worker].key in task.fixed.workers:
                busy[[d for d in task.fixed.days if 0 <= d < len(busy)]] = True
        rate = np.where(busy | (of_day == 0), 0.0, 1.0 / np.maximum(1.0, of_day))
        share.append(rate[days] * flags)
        away.append(2.0 * least_ways(shop, worker))
    room = [np.zeros(shop.horizon) for _ in shop.problem.pools]
    for unit, number in enumerate(shop.pool_of):
        here = np.ones(shop.horizon)
        for begin, end in shop.unit_out[unit]:
            here[max(0, begin) : max(0, end)] = 0
        for begin, end in zip(*table.unit_rows[unit][:2], strict=True):
            here[max(0, begin) : max(0, end)] = 0
        room[number] += here
    return Ground(table, share, taken, away, room, {})
