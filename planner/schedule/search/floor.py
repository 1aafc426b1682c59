"""A proven floor of the price: each job as if it were alone, with its own best choice of crews together.

For every group: the least sum of lateness, waiting and open days over every day on which it could begin (all
crews and machines free), with the fewest crew days that hold its work, counted apart where a wait must pass a
night, and the miles that this work must cause. Crews together shorten the days and add to the crew days, so
each choice of tasks for crews together is weighed as a whole. A day's drive is at least twice the way to any
one of its sites; shared out by the work done there it is at least 2 x way x work / longest day, whatever else
the crew does that day. What begun and past work costs is counted as it is; a crew day of it on which more
work could be done is not counted twice. Hand-overs, further come-backs, moved jobs and what jobs do to each
other are counted as nothing.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from functools import reduce
from itertools import combinations, takewhile
from math import ceil
from typing import TYPE_CHECKING

from planner.schedule.model.decode import Piece
from planner.schedule.model.price import Pricer
from planner.schedule.model.shop import FAR, Option, Shop
from planner.schedule.model.timetable import Timetable
from planner.schedule.search.placed import Begun, fixed_price, least_ways

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Slots = NDArray[np.int64]
    Cents = NDArray[np.float64]

#: Tasks of a job that crews may do together, up to which every choice of them is weighed.
_MOST_TOGETHER = 6


def floor_price(
    shop: Shop, pricer: Pricer, parts: list[Piece], late: Callable[[], bool] = lambda: False
) -> float | None:
    """The floor [cents]; None for problems that have no groups.

    late: True when no further job may be weighed; those left count as nothing, so it stays a floor.
    """
    if not shop.grouped:
        return None
    begun = Begun.of(shop, pricer)
    longest = longest_day(shop)
    rows = [least_ways(shop, worker) for worker in range(len(shop.depot))]
    ways = [min((float(row[group]) for row in rows), default=0.0) for group in range(len(pricer.due))]
    shared_way = 2.0 * max(ways, default=0.0) * sum(begun.shared.values())
    alone = _Alone(shop)
    least = [
        _of_group(alone, pricer, part, longest, ways, begun)
        for part in takewhile(lambda _: not late(), parts)
    ]
    miles = max(0.0, sum(drive for _, drive in least) - shared_way)
    return fixed_price(shop, pricer, Timetable(shop), parts, begun) + sum(cents for cents, _ in least) + miles


def _of_days(pricer: Pricer, group: int, first: Slots, last: Slots) -> Cents:
    """Waiting, lateness and open days of a group that begins on `first` and ends on `last` [cents]."""
    import numpy as np

    due = pricer.due[group]
    late = 0.0 if due is None else pricer.late_price[group] * np.maximum(0, last - due)
    wait = pricer.wait_price[group] * np.maximum(0, last - pricer.wait_from[group])
    return late + wait + pricer.prices.open_day * (last - first)


@dataclass(frozen=True, slots=True)
class _Choice:
    """How one task may be done: its quickest options, and the fewest crew slots of work."""

    options: list[Option]
    work: int


def _of_group(
    alone: _Alone, pricer: Pricer, part: Piece, longest: int, ways: Sequence[float], begun: Begun
) -> tuple[float, float]:
    """(days and crew days, miles) of the group's cheapest choice of tasks for crews together [cents]."""
    import numpy as np

    shop = alone.shop
    group = shop.group[part[0]]
    apart = stretches(shop, part)
    placed, shared = begun.days.get(group), begun.shared.get(group, 0)

    def of_days(chosen: dict[int, _Choice]) -> float | None:
        first, last = alone.spans(part, {task: choice.options for task, choice in chosen.items()})
        if not len(first):
            return None
        if placed is not None:
            first, last = np.minimum(first, placed[0]), np.maximum(last, placed[1])
        return float(_of_days(pricer, group, first, last).min())

    def of_crews(chosen: dict[int, _Choice]) -> tuple[float, float]:
        days = sum(ceil(sum(chosen[t].work for t in stretch) / longest) for stretch in apart)
        work = sum(choice.work for choice in chosen.values())
        return pricer.prices.site_day * max(0, days - shared), 2.0 * ways[group] * work / longest

    best: tuple[float, float] | None = None
    least: float | None = None
    for chosen in _choices(shop, part):
        site, drive = of_crews(chosen)
        if best is not None and least is not None and site + drive + least >= sum(best):
            continue
        days = of_days(chosen)
        if days is None:
            continue
        if least is None:  # the first choice has every task in its quickest way: no other has fewer days
            least = days
        if best is None or days + site + drive < sum(best):
            best = days + site, drive
    return best or (0.0, 0.0)


def _choices(shop: Shop, part: Piece) -> Iterator[dict[int, _Choice]]:
    """Every choice of tasks for crews together, all of them first; the rest is done by as few as can."""
    few: dict[int, _Choice] = {}
    more: dict[int, _Choice] = {}
    for task in part:
        options = shop.options[task]
        hands = min(len(o.workers) for o in options)
        alone = [o for o in options if len(o.workers) == hands]
        few[task] = _Choice(_quickest(alone), min(o.work * len(o.workers) for o in alone))
        if len(alone) < len(options):
            slots = min(o.work * len(o.workers) for o in options if len(o.workers) > hands)
            more[task] = _Choice(_quickest(options), slots)
    if len(more) > _MOST_TOGETHER:
        work = {task: min(few[task].work, more[task].work) for task in more}
        yield few | {task: _Choice(more[task].options, slots) for task, slots in work.items()}
        return
    for count in range(len(more), -1, -1):
        for together in combinations(more, count):
            yield few | {task: more[task] for task in together}


def stretches(shop: Shop, part: Piece) -> list[list[int]]:
    """The part's tasks cut where a wait must pass a night: no two stretches have a day in common.

    It is cut before a task when all tasks before it end no later than one that it follows, all others begin
    no sooner than it does, and the wait between the two is longer than a day's hours leave.
    """
    found: list[list[int]] = [[]]
    window = day_window(shop)
    for place, task in enumerate(part):
        earlier, later = set(part[:place]), set(part[place:])
        for before, share, least, _ in shop.links[task]:
            if before not in earlier or share < 1.0:
                continue
            if least + 2 <= window:  # the last slot of one and the first of the other have a place in a day
                continue
            if _all_end_by(shop, earlier, before) and _all_begin_from(shop, later, task):
                found.append([])
                break
        found[-1].append(task)
    return [stretch for stretch in found if stretch]


def day_window(shop: Shop) -> int:
    """Slots from the earliest start of any worker's day to the latest end of one."""
    day = shop.day_slots
    firsts = [slot % day for axis in shop.worker_axis for slot in axis.at]
    return max(firsts, default=0) + 1 - min(firsts, default=0)


def _all_end_by(shop: Shop, tasks: set[int], last: int) -> bool:
    """True when order alone makes each of the tasks end no later than `last`."""
    known, todo = {last}, [last]
    while todo:
        for link in shop.links[todo.pop()]:
            if link.share > 0.0 and link.least >= 0 and link.before not in known:
                known.add(link.before)
                todo.append(link.before)
    return tasks <= known


def _all_begin_from(shop: Shop, tasks: set[int], first: int) -> bool:
    """True when order alone makes each of the tasks begin no sooner than `first`."""
    known, todo = {first}, [first]
    while todo:
        for after in shop.followers[todo.pop()]:
            if after not in known and after in tasks:
                known.add(after)
                todo.append(after)
    return tasks <= known


def longest_day(shop: Shop) -> int:
    """Most slots that any worker works in a day."""
    most = 1
    for axis in shop.worker_axis:
        days: dict[int, int] = {}
        for slot in axis.at:
            days[slot // shop.day_slots] = days.get(slot // shop.day_slots, 0) + 1
        most = max([most, *days.values()])
    return most


def _quickest(options: list[Option]) -> list[Option]:
    """The options that no other beats: none with no more work on an axis that is open whenever theirs is."""
    best: dict[int, Option] = {}
    for option in options:
        known = best.get(id(option.axis))
        if known is None or option.work < known.work:
            best[id(option.axis)] = option
    kept: list[tuple[Option, int]] = []
    for option in sorted(best.values(), key=lambda o: o.work):
        flags = int.from_bytes(option.axis.flags, "big")
        if not any(flags & ~wider == 0 for _, wider in kept):
            kept.append((option, flags))
    return [option for option, _ in kept]


class _Alone:
    """Groups run by themselves: every task as early as order and calendars allow, resources without limit."""

    def __init__(self, shop: Shop) -> None:
        """Of this shop; working time is made into arrays once for each axis."""
        self.shop = shop
        self._at: dict[int, Slots] = {}

    def spans(self, part: Piece, options: dict[int, list[Option]]) -> tuple[Slots, Slots]:
        """(first days, last days) when the group begins as early as it can on or after each day.

        A share of a task's work is taken as done as early as in its quickest option. A share of
        placed work is not waited for: what begins sooner is never dearer here.
        """
        import numpy as np

        shop, day = self.shop, self.shop.day_slots
        begins = np.arange(min(shop.release[t] for t in part) // day, shop.horizon // day) * day
        starts: dict[int, Slots] = {}
        ends: dict[int, Slots] = {}
        for task in part:
            soon = np.maximum(begins, shop.release[task])
            for before, share, least, _ in shop.links[task]:
                placed = shop.tasks[before].fixed
                if share >= 1.0:
                    point = ends[before] if placed is None else begins * 0 + placed.end
                elif placed is not None:
                    continue
                else:
                    done = (
                        self._after(o, starts[before], ceil(share * o.work - 1e-6)) for o in options[before]
                    )
                    point = reduce(np.minimum, done)
                soon = np.maximum(soon, point + least)
            wanted = shop.tasks[task].start_at
            soon = soon if wanted is None else np.maximum(soon, wanted)
            starts[task] = reduce(np.minimum, (self._after(o, soon, 0) for o in options[task]))
            ends[task] = reduce(np.minimum, (self._after(o, soon, o.work) for o in options[task]))
        last = reduce(np.maximum, ends.values())
        fits = last <= shop.horizon
        return reduce(np.minimum, starts.values())[fits] // day, last[fits] // day

    def _after(self, option: Option, slots: Slots, work: int) -> Slots:
        """End of `work` slots begun at the first worked slot from each slot on (that slot itself for 0)."""
        import numpy as np

        axis = option.axis
        if id(axis) not in self._at:
            self._at[id(axis)] = np.asarray(axis.at[: axis.count], dtype=np.int64)
        at = self._at[id(axis)]
        k = np.searchsorted(at, slots) + max(work, 1) - 1
        found = np.full(len(slots), FAR, dtype=np.int64)
        inside = k < len(at)
        found[inside] = at[k[inside]] + (work > 0)
        return found
