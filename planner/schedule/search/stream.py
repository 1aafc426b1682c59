"""One endless row of search: short runs, each begun anew, from a plan or from a child of two.

One long run is a lottery: which valley it cools into is luck. Several short ones, the better half of which
goes on, then children of the best at less heat, find more with the same steps (measured on seeded seasons).
How long a run is depends only on its place in the row, never on the time that is left: so what less time
finds, more time finds too.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

from planner.schedule.kernel.layout import Row
from planner.schedule.kernel.session import Session
from planner.schedule.model.decode import Piece
from planner.schedule.model.price import Pricer
from planner.schedule.model.shop import Shop
from planner.schedule.model.timetable import Timetable
from planner.schedule.search.pool import Known, Pool, cheapest, price_of

#: First and last heat of a run from the beginning, as a share of the mean price of a job (measured).
HOT, COLD = 0.15, 0.004
#: Heat of a run that goes on from a plan, and from a child of two, as shares of the other.
REHEAT, CHILD_HEAT = 1 / 3, 1 / 4
#: Steps for each job in a run of the first round.
FIRST_RUN = 200


class Round(NamedTuple):
    """anew: runs from the beginning; the better half of their plans goes on, each run twice as long, and half
    of these again, until one is left for the pool. kept: plans in the pool; more: runs that go on from them,
    `length` times as long as the first. longer: how many times as long the next round's runs are."""

    anew: int
    kept: int
    more: int
    length: int
    longer: float


#: By the number of jobs up to which it holds: where there are few luck weighs most and many beginnings bring
#: more, where there are many each is dear (measured at 20 and 50 jobs).
ROUNDS = (
    (30, Round(anew=16, kept=6, more=4, length=8, longer=1.1)),
    (1 << 30, Round(anew=1, kept=1, more=5, length=1, longer=2.0)),
)


class Run(NamedTuple):
    """One cooling: from a state, so many steps, at a share of the usual heat."""

    begin: Row
    steps: int
    heat: float


class Find(NamedTuple):
    """A better plan than all before it. steps: done when it was seen; price [cents]; state: its flat rows."""

    steps: int
    price: float
    state: Row


class Stream:
    """A row of runs. steps: done so far; best and best_price [cents]: the best of all of them; finds: how it
    came to be, as seen at the end of each call of `advance`."""

    def __init__(self, shop: Shop, pricer: Pricer, parts: list[Piece], begin: Timetable, seed: int) -> None:
        """Begin from a timetable."""
        self.session = Session(shop, pricer, parts, seed)
        self.first = self.session.flat(begin)
        self.best, self.best_price = self.first, self.session.begin(self.first)
        self.scale = pricer.bill(begin).total / max(1, len(parts))
        self.steps = 0
        self.finds: list[Find] = []
        self._left = 0
        self._heat = self._cooling = 0.0
        self.pool = Pool(self.session, seed)
        self._runs = self._row(len(parts))

    def _row(self, parts: int) -> Iterator[Run]:
        kind = next(kind for most, kind in ROUNDS if parts <= most)
        length = FIRST_RUN * parts
        while True:
            yield from self._round(kind, length)
            length = int(length * kind.longer)

    def _round(self, kind: Round, length: int) -> Iterator[Run]:
        pool = self.pool
        field: list[Known] = []
        for _ in range(kind.anew):
            yield Run(self.first, length, 1.0)
            field.append(pool.found())
        steps = length
        while len(field) > 1:
            steps *= 2
            half = cheapest(field, len(field) // 2)
            field = []
            for plan in half:
                alone = pool.flip()
                yield self._going_on(plan, [] if alone else [*half, *pool.plans], steps)
                field.append(min(plan, pool.found(), key=price_of))
        pool.keep([*pool.plans, *field], kind.kept)
        for _ in range(kind.more):
            plan = pool.parent()
            yield self._going_on(plan, pool.plans, kind.length * length)
            pool.replace(plan, pool.found())

    def _going_on(self, plan: Known, others: list[Known], steps: int) -> Run:
        """A run from a child of the plan and one of the others, or from the plan itself without another."""
        mates = [other for other in others if other is not plan]
        if not mates:
            return Run(plan.state, steps, REHEAT)
        return Run(self.pool.child(plan, mates), steps, CHILD_HEAT)

    def advance(self, steps: int) -> bool:
        """Some more steps; True when a better timetable was found."""
        before = self.best_price
        while steps > 0:
            if self._left == 0:
                run = next(self._runs)
                self.session.begin(run.begin)
                self._left = run.steps
                self._heat = HOT * self.scale * run.heat
                self._cooling = (COLD / HOT) ** (1.0 / run.steps)
            now = min(steps, self._left)
            self._heat = self.session.anneal(now, self._heat, self._cooling)
            self._left -= now
            self.steps += now
            steps -= now
            if self.session.best_price < self.best_price - 1e-6:
                self.best, self.best_price = self.session.best.copy(), self.session.best_price
        if self.best_price < before:
            self.finds.append(Find(self.steps, self.best_price, self.best))
        return self.best_price < before

    def table(self) -> Timetable:
        """The best timetable."""
        return self.session.table(self.best)
