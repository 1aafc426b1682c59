"""One endless row of search: short runs, each begun anew or from the best, each round of them longer.

One long run is a lottery: which valley it cools into is luck. Several short ones, then reheats of the best at
less heat, find more with the same steps (measured on seeded seasons). How long a run is depends only on
its place in the row, never on the time that is left: so what less time finds, more time finds too.
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

#: First and last heat of a run from the beginning, as a share of the mean price of a job (measured).
HOT, COLD = 0.15, 0.004
#: Heat of a run that goes on from a plan, as a share of the other.
REHEAT = 1 / 3
#: Steps for each job in a run of the first round; each round's are twice as long.
FIRST_RUN = 200
#: Runs of a round that begin anew, and runs that go on from the best: where there are few jobs luck weighs
#: most and new beginnings bring more, where there are many each is dear (measured at 20, 50 and 100 jobs).
FEW_JOBS = 30
FEW_ANEW, FEW_AGAIN = 3, 3
ANEW, AGAIN = 1, 5


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
        self._runs = self._row(len(parts))

    def _row(self, parts: int) -> Iterator[Run]:
        length = FIRST_RUN * parts
        anew, again = (FEW_ANEW, FEW_AGAIN) if parts <= FEW_JOBS else (ANEW, AGAIN)
        while True:
            for _ in range(anew):
                yield Run(self.first, length, 1.0)
            for _ in range(again):
                yield Run(self.best, length, REHEAT)
            length *= 2

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
