"""Early costs nothing, so early wins ties: each job moves forward as far as the price stays the same.

In: a complete timetable. Out: one of the same price or less in which no job ends later. What customers and
crews were told stays where it is; so does work whose place is given.
"""

from __future__ import annotations

from collections.abc import Iterator

from planner.schedule.kernel.session import Session
from planner.schedule.model.decode import Piece
from planner.schedule.model.price import Pricer
from planner.schedule.model.shop import Shop
from planner.schedule.model.timetable import Timetable

#: A job that moves forward leaves a place that another may take: so often all jobs are asked again.
ROUNDS = 4
#: With more jobs than this a round takes seconds: all are asked once, for so many mornings before their own.
MANY, LAST_MORNINGS = 150, 10


def drawn_early(shop: Shop, pricer: Pricer, table: Timetable, parts: list[Piece]) -> Timetable:
    """The timetable with each job, first ones first, at the earliest place that costs no more.

    It asks no clock, so that the plan of so many seconds can be made again by its steps.
    """
    session = Session(shop, pricer, parts, seed=0)
    session.begin(session.flat(table))
    free = [i for i, part in enumerate(parts) if not pricer.told[shop.group[part[0]]]]
    rounds, mornings = (ROUNDS, shop.horizon) if len(parts) <= MANY else (1, LAST_MORNINGS)
    for _ in range(rounds):
        order = sorted(free, key=lambda i: (session.start(parts[i][0]), i))
        if not sum([_forward(session, part, mornings) for part in order]):
            break
    return session.table(session.now)


def _forward(session: Session, part: int, mornings: int) -> bool:
    """Lay one job at the first of its last mornings, or its first free moment, at which it costs no more and
    is done earlier; False when none is."""
    shop, tasks = session.shop, session.parts[part]
    ends = [session.end(t) for t in tasks]
    for slot in _mornings(session, tasks[0], mornings):
        hold = {t: shop.release[t] for t in tasks}
        hold[tasks[0]] = slot
        delta = session.lay([part], hold)
        new = [session.trial_end(t) for t in tasks]
        if delta <= 1e-6 and max(new) <= max(ends) and sum(new) < sum(ends):
            session.accept(delta)
            return True
        session.reject()
    return False


def _mornings(session: Session, first: int, last: int) -> Iterator[int]:
    """The job's first free moment, then each midnight up to the day on which it begins now, the last ones."""
    day, release, start = session.shop.day_slots, session.shop.release[first], session.start(first)
    yield release
    yield from range((max(release, start - last * day) // day + 1) * day, start + 1, day)
