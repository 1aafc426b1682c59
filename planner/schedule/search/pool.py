"""Good and different plans, and what two of them have for a child.

What one run cools into is luck: which crew has which job, and in which order. Two good plans are each right
in other weeks. A child has a stretch of jobs as one of them has it and the rest as the other; laid again and
cooled from little heat, it is often better than both.
"""

from __future__ import annotations

import random
from typing import NamedTuple

from planner.schedule.kernel.layout import HOLD, OPTION, Row
from planner.schedule.kernel.session import Session
from planner.schedule.model.shop import FAR

#: A child has at least and at most this share of the jobs from the other plan.
LEAST_SHARE, MOST_SHARE = 0.25, 0.75
#: Two plans whose prices lie closer than this are the same plan [cents].
SAME = 1.0


class Known(NamedTuple):
    """A plan of the pool. price [cents]; state: its flat rows."""

    price: float
    state: Row


def price_of(plan: Known) -> float:
    """What a plan is sorted by."""
    return plan.price


def cheapest(plans: list[Known], count: int) -> list[Known]:
    """So many plans, the cheapest first."""
    return sorted(plans, key=price_of)[:count]


class Pool:
    """Plans, the cheapest first."""

    def __init__(self, session: Session, seed: int) -> None:
        """Empty. The session is what finds the plans and lays children."""
        self.session = session
        self.plans: list[Known] = []
        self._dice = random.Random(seed)

    def found(self) -> Known:
        """The best plan of the session's last run."""
        return Known(self.session.best_price, self.session.best.copy())

    def keep(self, plans: list[Known], most: int) -> None:
        """Hold the cheapest of these, no plan twice."""
        self.plans = []
        for plan in cheapest(plans, len(plans)):
            if len(self.plans) < most and not self._holds(plan):
                self.plans.append(plan)

    def replace(self, plan: Known, new: Known) -> None:
        """A new plan takes the place of the dearer one that it comes from: so the plans stay different."""
        if new.price < plan.price and not self._holds(new):
            self.plans = cheapest([new, *(p for p in self.plans if p is not plan)], len(self.plans))

    def _holds(self, plan: Known) -> bool:
        return any(abs(plan.price - other.price) < SAME for other in self.plans)

    def parent(self) -> Known:
        """A plan, drawn so that cheap ones come more often."""
        return self.plans[min(self._dice.randrange(len(self.plans)) for _ in range(2))]

    def flip(self) -> bool:
        """Heads or tails."""
        return self._dice.random() < 0.5

    def child(self, plan: Known, mates: list[Known]) -> Row:
        """The plan, but a stretch of jobs, neighbors by start, has its crews, waits and order from one of the
        mates; all are laid again."""
        one, other = plan.state, self._dice.choice(mates).state
        session, parts = self.session, self.session.parts
        begins = [_begin(one, part[0]) for part in parts]
        order = sorted(range(len(parts)), key=lambda part: (begins[part], part))
        count = max(1, int(len(parts) * self._dice.uniform(LEAST_SHARE, MOST_SHARE)))
        first = self._dice.randrange(len(parts))
        choice, holds = {}, {}
        for part in order[first : first + count]:
            begins[part] = _begin(other, parts[part][0])
            for task in parts[part]:
                choice[task] = int(other[4 * task + OPTION])
                holds[task] = int(other[4 * task + HOLD])
        order.sort(key=lambda part: (begins[part], part))
        session.begin(one)
        session.accept(session.lay(order, holds, choice))
        return session.now.copy()


def _begin(state: Row, task: int) -> int:
    """When a task begins; far when it has no place."""
    return int(state[4 * task]) if state[4 * task] >= 0 else FAR
