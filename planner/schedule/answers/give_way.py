"""A repair in which a later job gives way: work that lost its place takes that of a job which can wait.

Moved into free places alone, a job that lost its place may have to wait for the season's end; shifting all
that follows calls every client. Between the two: for each such job the season is laid with one other job, not
begun, lifted out, the first job in, the lifted one back in free places; the cheapest is kept, moves and calls
paid.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from planner.domain.season.plan import Booking, Plan
from planner.domain.season.season import Season
from planner.schedule.answers.repair import as_plan, lay_one, opened, rows_of, stayed
from planner.schedule.model.axis import NEVER
from planner.schedule.model.price import Pricer
from planner.schedule.model.problem import Placed
from planner.schedule.model.shop import Shop
from planner.schedule.model.timetable import Timetable

#: Jobs that are tried to give way, over all jobs that lost their places; each has as many.
TRIES = 60


def give_way(season: Season, order: Plan | Sequence[Booking]) -> Plan:
    """The last plan's bookings where they were, if they can be; each job that lost its place takes that of
    one later job, or a free place where that is cheaper.

    Raises NoPlanFits and NoPlanInTime as `solve` does.
    """
    door, shop = opened(season)
    known = door.placed(rows_of(order))
    table, left = stayed(shop, known)
    pricer = Pricer(shop)
    lost: dict[int, list[int]] = {}
    for task in left:
        lost.setdefault(shop.group[task], []).append(task)
    most, spent = TRIES // max(1, len(lost)), set(lost)
    for mine in lost.values():
        soon = min(shop.release[task] for task in mine)
        others = list(_who_can_wait(shop, table, spent, soon))[:most]
        trials = [(other, _tried(shop, table, known, mine, other)) for other in ([], *others)]
        full = [(o, t) for o, t in trials if t is not None]
        if not full:
            for task in mine:
                lay_one(shop, table, task, known.get(shop.keys[task]), NEVER)
            continue
        other, table = min(full, key=lambda trial: pricer.bill(trial[1]).total)
        spent.update(shop.group[task] for task in other)
    return as_plan(season, door, shop, table, "what cannot stay takes the place of a job that can wait")


def _who_can_wait(shop: Shop, table: Timetable, spent: set[int], soon: int) -> Iterator[list[int]]:
    """The tasks of each job whose work is all ahead, free to move and still in its place, by start."""
    found = []
    for group, tasks in enumerate(shop.members):
        free = all(shop.tasks[t].fixed is None and shop.tasks[t].start_at is None for t in tasks)
        if tasks and free and group not in spent and all(table.start[t] >= soon for t in tasks):
            found.append(list(tasks))
    yield from sorted(found, key=lambda tasks: min(table.start[t] for t in tasks))


def _tried(
    shop: Shop, table: Timetable, known: dict[str, Placed], mine: Sequence[int], other: list[int]
) -> Timetable | None:
    """The timetable with the other job lifted, mine laid, the other laid again; None when one finds none."""
    trial = table.copy()
    trial.lift(other)
    again = sorted(other, key=lambda t: (table.start[t], t))
    for task in (*mine, *again):
        lay_one(shop, trial, task, known.get(shop.keys[task]), NEVER)
        if trial.start[task] < 0:
            return None
    return trial
