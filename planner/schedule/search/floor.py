"""A proven floor of the price: each job as if it were alone, each term at its own least.

For every group: the least sum of lateness, waiting and open days over every day on which it could begin (all
crews and machines free), the fewest crew days that hold its work, counted apart where a wait must pass a
night, and the miles that this work must cause. A day's drive is at least twice the way to any one of its
sites; shared out by the work done there it is at least 2 x way x work / longest day, whatever else the crew
does that day. Hand-overs, come-backs, moved jobs and what jobs do to each other are counted as nothing.
"""

from __future__ import annotations

from bisect import bisect_left
from math import ceil

from planner.schedule.model.decode import Piece
from planner.schedule.model.price import Pricer
from planner.schedule.model.shop import Option, Shop

#: Days ahead in which two days must agree to give the same span.
AHEAD = 28


def floor_price(shop: Shop, pricer: Pricer, parts: list[Piece]) -> float | None:
    """The floor [cents]; None for problems that have no groups, or whose tasks are partly fixed or past."""
    if not shop.grouped or any(t.fixed is not None for t in shop.tasks):
        return None
    longest = longest_day(shop)
    return sum(_of_group(shop, pricer, part, longest) for part in parts) + _moves(shop, parts)


def _of_group(shop: Shop, pricer: Pricer, part: Piece, longest: int) -> float:
    group = shop.group[part[0]]
    options = {task: _quickest(shop.options[task]) for task in part}
    spans = list(_spans(shop, part, options))
    if not spans:
        return 0.0
    due, prices = pricer.due[group], pricer.prices

    def of_days(first: int, last: int) -> float:
        """Waiting, lateness and open days when it begins on `first` and ends on `last`."""
        late = 0 if due is None else pricer.late_price[group] * max(0, last - due)
        wait = pricer.wait_price[group] * max(0, last - pricer.wait_from[group])
        return late + wait + prices.open_day * (last - first)

    cents = min(of_days(first, last) for first, last in spans)
    work = {task: min(o.work * len(o.workers) for o in shop.options[task]) for task in part}
    days = sum(ceil(sum(work[t] for t in stretch) / longest) for stretch in stretches(shop, part))
    nearest = min((row[group] for row in shop.depot), default=0.0)
    return cents + prices.site_day * days + 2.0 * nearest * sum(work.values()) / longest


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
    """For each axis the option with least work: no other can start or end sooner on it."""
    best: dict[int, Option] = {}
    for option in options:
        known = best.get(id(option.axis))
        if known is None or option.work < known.work:
            best[id(option.axis)] = option
    return list(best.values())


def _spans(shop: Shop, part: Piece, options: dict[int, list[Option]]) -> list[tuple[int, int]]:
    """(first day, last day) when the group begins as early as it can on or after each day.

    Days with the same working hours ahead give the same span, so each such pattern is run once.
    """
    day_slots = shop.day_slots
    found: list[tuple[int, int]] = []
    releases = [shop.release[t] for t in part]
    free = all(shop.tasks[t].start_at is None for t in part)
    axes = list({id(o.axis): o.axis for rows in options.values() for o in rows}.values())
    seen: dict[tuple[bytes, ...], tuple[int, int]] = {}
    for day in range(min(releases) // day_slots, shop.horizon // day_slots):
        begin = day * day_slots
        pattern = tuple(axis.flags[begin : begin + AHEAD * day_slots] for axis in axes)
        known = seen.get(pattern) if free and begin >= max(releases) else None
        if known is not None:
            found.append((day + known[0], day + known[1]))
            continue
        ran = _run(shop, part, options, begin)
        if ran is None:
            break
        if ran[1] - day < AHEAD and begin >= max(releases):
            seen[pattern] = (ran[0] - day, ran[1] - day)
        found.append(ran)
    return found


def _run(shop: Shop, part: Piece, options: dict[int, list[Option]], begin: int) -> tuple[int, int] | None:
    """Every task as early as order and calendars allow from slot `begin` on, resources without limit.

    A share of a task's work is taken as done as early as in its quickest option.
    """
    starts: dict[int, int] = {}
    ends: dict[int, int] = {}
    for task in part:
        soon = max(begin, shop.release[task])
        for before, share, least, _ in shop.links[task]:
            if share >= 1.0:
                point = ends[before]
            else:
                point = min(_after(o, starts[before], ceil(share * o.work - 1e-6)) for o in options[before])
            soon = max(soon, point + least)
        wanted = shop.tasks[task].start_at
        soon = soon if wanted is None else max(soon, wanted)
        starts[task] = min((_after(o, soon, 0) for o in options[task]), default=shop.horizon)
        ends[task] = min(_after(o, soon, o.work) for o in options[task])
        if ends[task] > shop.horizon:
            return None
    return min(starts.values()) // shop.day_slots, max(ends.values()) // shop.day_slots


def _after(option: Option, slot: int, work: int) -> int:
    """End of `work` slots begun at the first worked slot from `slot` on (that slot itself for 0)."""
    at = option.axis.at
    k = bisect_left(at, slot)
    if k + max(work, 1) > len(at):
        return 1 << 30
    return at[k] if work == 0 else at[k + work - 1] + 1


def _moves(shop: Shop, parts: list[Piece]) -> float:
    """Machine moves that the number of sites forces: a unit's first site is free, every other one a move."""
    cents = 0.0
    for number, pool in enumerate(shop.problem.pools):
        units = [u for u, p in enumerate(shop.pool_of) if p == number]
        if not pool.move_price or not units:
            continue
        sites = sum(
            any(all(any(first == units[0] for first, _, _ in o.uses) for o in shop.options[t]) for t in part)
            for part in parts
        )
        cents += pool.move_price * max(0, sites - len(units))
    return cents
