"""After a change: keep the order of the last plan, and find a new job its earliest place.

`repair` lays the old plan again in its own order, nothing earlier than it was, so that only what must move
does; it takes milliseconds. `insert` looks for the earliest finish of a new job that hurts no promise: first
in gaps, then with others shifted as far as their promises allow, and returns the better of both; what is
earlier and hurts comes along, so that it can be priced.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime

from planner.domain.dates import long_day
from planner.domain.season.cost import plan_cost
from planner.domain.season.plan import Booking, Plan, PlanState
from planner.domain.season.season import Season
from planner.errors import BadInput, NoPlanFits, NoPlanInTime
from planner.schedule.answers.clash import jobs_named
from planner.schedule.answers.clashes import find_clashes, plain_clashes
from planner.schedule.answers.engine import bookings_of
from planner.schedule.door import Door, enter
from planner.schedule.model.axis import NEVER
from planner.schedule.model.decode import Piece, pieces, settle_quickest
from planner.schedule.model.problem import Placed
from planner.schedule.model.shop import FAR, Shop
from planner.schedule.model.timetable import Timetable

#: Places in the order that `insert` tries with shifting; spread evenly over the season when there are more.
TRIES = 60


@dataclass(frozen=True, slots=True)
class Insertion:
    """Where a new job fits. finish: its last end; shifted: jobs whose dates change for it; plan: with it in.

    earlier: plans in which it finishes earlier and other promises suffer: the earliest, and the mildest.
    """

    job: str
    finish: datetime
    shifted: tuple[str, ...]
    plan: Plan
    earlier: tuple[Plan, ...] = ()


def opened(season: Season) -> tuple[Door, Shop]:
    """The season as the problem to repair. NoPlanFits where its rows clash."""
    reasons = plain_clashes(season)
    if reasons:
        raise NoPlanFits(reasons)
    door = enter(season)
    return door, Shop(door.problem)


def repair(season: Season, order: Plan | Sequence[Booking], *, loose_from: datetime | None = None) -> Plan:
    """The last plan's bookings laid again in their order, each at its old start or as soon after as rules
    allow; works that it does not hold come last.

    loose_from: work that lay at or after this moment may move forward into time that came free. Raises
    NoPlanFits and NoPlanInTime as `solve` does.
    """
    door, shop = opened(season)
    known = door.placed(rows_of(order))
    loose = NEVER if loose_from is None else door.slot(loose_from)
    table = laid_again(shop, known, loose=loose)
    return as_plan(season, door, shop, table, "the order of the last plan, moved only where it must")


def patch(season: Season, order: Plan | Sequence[Booking]) -> Plan:
    """The last plan's bookings exactly where they were, if they can be; the rest where there is room.

    The rest: what cannot stay, none earlier than it was, and works that the plan does not hold.

    Raises NoPlanFits and NoPlanInTime as `solve` does.
    """
    door, shop = opened(season)
    table = left_in_place(shop, door.placed(rows_of(order)))
    return as_plan(season, door, shop, table, "only what cannot stay is moved, into free places")


def insert(season: Season, order: Plan | Sequence[Booking], job: str) -> Insertion:
    """The earliest finish of `job` (its works are in the season) that makes no promised job later than it is.

    `order` is the plan without the job. Raises BadInput when the season has no open work of the job.
    """
    if not any(key.job == job for key in season.works):
        raise BadInput("job", job, "give a job that has unfinished work")
    door, shop = opened(season)
    group = shop.group_number[job]
    known = door.placed(b for b in rows_of(order) if b.job != job)
    rest = [p for p in pieces(shop) if shop.group[p[0]] != group]
    new = [p for p in pieces(shop) if shop.group[p[0]] == group]
    base = laid_again(shop, known, skip={t for p in new for t in p})
    before = lateness(shop, base)
    found = _in_gaps(shop, base, new)
    best, shifted = found, False
    harmful: list[tuple[int, float, Timetable]] = []  # (finish, lateness added [cents], timetable)
    for table in _shifting(shop, base, rest, new, found):
        finish = _finish(table, new)
        now = lateness(shop, table)
        harm = sum(
            (now[g] - before[g]) * (known_group.late_price or 1.0)
            for g, known_group in enumerate(shop.problem.groups)
            if g != group and now[g] > before[g]
        )
        if harm > 0:
            harmful.append((finish, harm, table.copy()))
        elif best is None or finish < _finish(best, new):
            best, shifted = table.copy(), True
    if best is None:
        raise _no_place(season, [job], "move the season's end or its gates")
    plan = as_plan(season, door, shop, best, f"{job} taken in")
    moved = sorted(
        {shop.tasks[t].group for p in rest for t in p if best.start[t] != base.start[t]} if shifted else ()
    )
    goal = _finish(best, new)
    ahead = [h for h in harmful if h[0] < goal]
    chosen = {
        id(h[2]): h[2] for pick in (_earliest, _mildest) for h in [min(ahead, key=pick, default=None)] if h
    }
    earlier = tuple(as_plan(season, door, shop, t, f"{job} taken in early") for t in chosen.values())
    return Insertion(job, door.moment(goal), tuple(moved), plan, earlier)


def _earliest(harm: tuple[int, float, Timetable]) -> tuple[float, float]:
    return (harm[0], harm[1])


def _mildest(harm: tuple[int, float, Timetable]) -> tuple[float, float]:
    return (harm[1], harm[0])


def laid_again(
    shop: Shop, known: dict[str, Placed], skip: Iterable[int] = (), loose: int = NEVER
) -> Timetable:
    """All free tasks laid in the order of the known starts, none earlier than it was; unknown ones last.

    Work that goes on at a given moment and waits for nothing is laid before all others: its place is taken.
    What lay at or after slot `loose` may come earlier.
    """
    table = Timetable(shop)
    skipped = set(skip)
    for task in _in_order(shop, known):
        if task not in skipped:
            lay_one(shop, table, task, known.get(shop.keys[task]), loose)
    return table


def left_in_place(shop: Shop, known: dict[str, Placed]) -> Timetable:
    """All free tasks: first those that still fit where they lay, then the others as soon as there is room.

    What follows a task that had to go waits for it.
    """
    table, left = stayed(shop, known)
    for task in left:
        lay_one(shop, table, task, known.get(shop.keys[task]), NEVER)
    return table


def stayed(shop: Shop, known: dict[str, Placed]) -> tuple[Timetable, list[int]]:
    """Only what still fits exactly where it lay, and the other free tasks in their order."""
    table, left = Timetable(shop), list[int]()
    for task in _in_order(shop, known):
        placed = known.get(shop.keys[task])
        if placed is not None:
            lay_one(shop, table, task, placed, NEVER)
        given = shop.tasks[task].start_at is not None and table.start[task] >= 0
        if placed is None or (table.start[task] != placed.start and not given):
            if table.start[task] >= 0:
                table.lift([task])
            left.append(task)
    return table, left


def _in_order(shop: Shop, known: dict[str, Placed]) -> list[int]:
    """The free tasks by the starts that they had, none before what it follows; given starts first."""
    last = max((p.start for p in known.values()), default=0)
    rank: dict[int, int] = {}
    for task in shop.free:
        placed = known.get(shop.keys[task])
        own = placed.start if placed is not None else last + 1
        before = [rank[k.before] for k in shop.links[task] if k.before in rank]
        rank[task] = max([own, *before])
    free = set(shop.free)
    at_once = {
        t
        for t in free
        if shop.tasks[t].start_at is not None and not any(k.before in free for k in shop.links[t])
    }
    return sorted(shop.free, key=lambda t: (t not in at_once, rank[t], t))


def lay_one(shop: Shop, table: Timetable, task: int, placed: Placed | None, loose: int) -> None:
    """Lay a task in its old way, no earlier than it was (before slot `loose`); elsewhere in its quickest."""
    options = range(len(shop.options[task]))
    if placed is None:
        settle_quickest(table, task, options)
        return
    number = next((n for n in options if shop.options[task][n].way == placed.way), -1)
    held = placed.start if placed.start < loose else 0
    table.hold[task] = max(shop.release[task], held)
    units = tuple(shop.unit_number(*u) for u in placed.units if u[0] in shop.pool_first)
    if number < 0 or not table.settle(task, number, units):
        table.hold[task] = shop.release[task]
        settle_quickest(table, task, options)


def _in_gaps(shop: Shop, base: Timetable, new: list[Piece]) -> Timetable | None:
    """The new job laid into the gaps: quickest ways, or one crew throughout where that ends no later."""
    tables = [base.copy() for _ in range(len(shop.worker_axis) + 1)]
    for lead, table in enumerate(tables, start=-1):
        for piece in new:
            for task in piece:
                alone = [n for n, o in enumerate(shop.options[task]) if o.workers == (lead,)]
                if not alone or not settle_quickest(table, task, alone):
                    settle_quickest(table, task, range(len(shop.options[task])))
    full = [t for t in tables if _complete(t, new)]
    return min(full, key=lambda t: _finish(t, new), default=None)


def _shifting(
    shop: Shop, base: Timetable, rest: list[Piece], new: list[Piece], found: Timetable | None
) -> Iterable[Timetable]:
    """Timetables with the new job laid before the pieces that start later, for several moments."""
    goal = _finish(found, new) if found is not None else FAR
    starts = sorted({base.start[p[0]] for p in rest if 0 <= base.start[p[0]] < goal})
    step = max(1, len(starts) // TRIES)
    for moment in starts[::step]:
        later = [t for p in rest for t in p if base.start[t] >= moment]
        table = base.copy()
        table.lift(later)
        for piece in new:
            for task in piece:
                settle_quickest(table, task, range(len(shop.options[task])))
        if not _complete(table, new) or _finish(table, new) >= goal:
            continue
        for task in sorted(later, key=lambda t: (base.start[t], t)):
            table.hold[task] = base.start[task]
            table.settle(task, base.option[task], base.units[task])
        if all(table.start[t] >= 0 for t in later):
            yield table


def lateness(shop: Shop, table: Timetable) -> list[int]:
    """Days by which each group ends after its promise."""
    found = [0] * len(shop.problem.groups)
    for task, group in enumerate(shop.group):
        due = shop.problem.groups[group].due if group >= 0 else None
        if due is not None and table.end[task] >= 0:
            found[group] = max(found[group], table.end[task] // shop.day_slots - due)
    return found


def _complete(table: Timetable, parts: list[Piece]) -> bool:
    return all(table.start[t] >= 0 for p in parts for t in p)


def _finish(table: Timetable, parts: list[Piece]) -> int:
    return max(table.end[t] for p in parts for t in p)


def rows_of(order: Plan | Sequence[Booking]) -> Sequence[Booking]:
    """The bookings of a plan, or of a part of one."""
    return order.bookings if isinstance(order, Plan) else order


def _no_place(season: Season, jobs: Sequence[str], fix: str) -> NoPlanFits | NoPlanInTime:
    """The refusal when jobs have no place: what proves that no plan fits, else that this order has none."""
    if reasons := find_clashes(season):
        return NoPlanFits(reasons)
    words, end = jobs_named(season, jobs), long_day(season.last_day)
    return NoPlanInTime(f"no place found before {end} for {words} in this order: {fix}")


def as_plan(season: Season, door: Door, shop: Shop, table: Timetable, note: str) -> Plan:
    """The timetable as a repaired plan. Raises NoPlanFits or NoPlanInTime when a task has no place."""
    missing = [shop.tasks[t].key for t in shop.free if table.start[t] < 0]
    if missing:
        jobs = sorted({shop.tasks[shop.number[k]].group for k in missing})
        raise _no_place(season, jobs, "plan anew (planner plan make), or move the season's end")
    bookings = bookings_of(door, shop, table)
    return Plan(bookings, plan_cost(season, bookings), PlanState.REPAIRED, season.now, note=note)
