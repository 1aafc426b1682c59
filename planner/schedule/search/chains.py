"""One job's tasks in a row, flat, for the dynamic program of its cheapest way alone.

Which choices there are (each way of each task at each start), and what each costs whatever other jobs do:
lateness, waiting, open days, hole, site days, its share of the drive, calls. What is fixed is known and
counted by the caller: here its last lead, its days on the site and its first and last day matter.
"""

from __future__ import annotations

from bisect import bisect_right
from dataclasses import dataclass
from itertools import pairwise
from math import ceil
from typing import Any, NamedTuple

from planner.schedule.kernel.chain import WIDTH
from planner.schedule.model.axis import Axis
from planner.schedule.model.decode import Piece
from planner.schedule.model.price import Pricer
from planner.schedule.model.shop import Option, Shop
from planner.schedule.model.timetable import Timetable

#: Lateness and waiting over the earliest possible beyond which no start is looked at [cents].
LOOK = 750_000.0


class Ground(NamedTuple):
    """What all jobs share. Per worker: `share` of a day's drive that a worked slot bears, 0 on days on which
    fixed work stands; `taken`: fixed work's slots, summed up; `away`: least price from the depot and back
    by group [cents]. Per pool: `room`: units neither out nor held by fixed work, by slot. lines: worked slots
    and days begun of the axes seen so far."""

    table: Timetable
    share: list[Any]
    taken: list[Any]
    away: list[Any]
    room: list[Any]
    lines: dict[int, tuple[Any, Any]]

    def line(self, axis: Axis) -> tuple[Any, Any]:
        """(worked slots, days begun up to each) of an axis."""
        import numpy as np

        if id(axis) not in self.lines:
            at = np.array(axis.at[: axis.count], dtype=np.int64)
            self.lines[id(axis)] = at, np.array(axis.day[: axis.count], dtype=np.int64)
        return self.lines[id(axis)]


@dataclass(slots=True)
class Span:
    """One option's choices: places `first` to `end` in the flat list; k: where on its axis, with worked slots
    `at`, each begins."""

    task: int
    option: Option
    first: int
    end: int
    k: Any
    at: Any


@dataclass(slots=True)
class Chain:
    """One job, flat: see `planner.schedule.kernel.chain`. cost: of each choice by itself [cents]; tail: what
    it costs at least to end after all choices."""

    spans: list[Span]
    ways: Any
    option_at: Any
    waits: Any
    whole: Any
    start: Any
    end: Any
    ready: Any
    cost: Any
    prices: Any
    tail: float


def in_row(shop: Shop, part: Piece) -> bool:
    """True when each task waits for a share of the one before it, so that starts and ends only rise."""
    links = [{k.before: k for k in shop.links[t]} for t in part]
    return all(
        before in mine and mine[before].share > 0.0 and mine[before].least >= 0
        for before, mine in zip(part, links[1:], strict=False)
    )


def chain_of(shop: Shop, pricer: Pricer, part: Piece, ground: Ground) -> Chain | None:
    """The job's chain; None when a task has no choice at all."""
    import numpy as np

    limit, tail = _limit(shop, pricer, part)
    spans: list[Span] = []
    starts, ends, readies, ways, option_at = [], [], [], [], [0]
    size = 0
    waits, whole, shares = _waits(shop, part)
    for place, task in enumerate(part):
        share = shares[place + 1] if place + 1 < len(part) else 1.0
        soon = _soon(shop, task, ground.table)
        for option in shop.options[task]:
            k, begin, until, point = _choices(shop, task, option, soon, limit, share, ground)
            if not len(k):
                continue
            spans.append(Span(task, option, size, size + len(k), k, ground.line(option.axis)[0]))
            lead = option.workers[0] if option.workers else -1
            team = sum(1 << w for w in option.workers)
            ways += [place, size, size + len(k), lead, team, len(option.workers)]
            size += len(k)
            starts.append(begin)
            ends.append(until)
            readies.append(point)
        option_at.append(len(ways) // WIDTH)
        if option_at[-1] == option_at[-2]:
            return None
    begins, untils, points = [np.concatenate(rows).astype(np.int64) for rows in (starts, ends, readies)]
    heads = [np.array(row, dtype=np.int64) for row in (ways, option_at, waits, whole)]
    mine = _fixed_of(shop, pricer, part)
    hand_over = pricer.prices.hand_over if _apart(shop, part, mine) else 0.0
    again = 0.0 if mine.rows else pricer.prices.comeback  # what is fixed may have been left and come back to
    prices = np.array([hand_over, pricer.prices.site_day, again])
    chain = Chain(
        spans, heads[0], heads[1], heads[2], heads[3], begins, untils, points, np.zeros(size), prices, tail
    )
    for span in spans:
        _price_span(shop, pricer, chain, span, ground, mine)
    _price_ends(shop, pricer, part, chain, mine, hand_over)
    return chain


def _waits(shop: Shop, part: Piece) -> tuple[list[int], list[int], list[float]]:
    """By task: slots after the one before it, 1 when all of that must be done, and which share."""
    waits, whole, shares = [0], [1], [1.0]
    for before, task in pairwise(part):
        links = [k for k in shop.links[task] if k.before == before]
        link = next((k for k in links if k.share >= 1.0), links[0])
        waits.append(link.least)
        whole.append(int(link.share >= 1.0))
        shares.append(link.share)
    return waits, whole, shares


def _soon(shop: Shop, task: int, table: Timetable) -> int:
    """Earliest start that release and fixed work leave."""
    soon = shop.release[task]
    for before, share, least, _ in shop.links[task]:
        if shop.tasks[before].fixed is not None:
            soon = max(soon, table.point(before, share) + least)
    return soon


def _choices(
    shop: Shop, task: int, option: Option, soon: int, limit: int, share: float, ground: Ground
) -> tuple[Any, Any, Any, Any]:
    """(place on the axis, start, end, slot at which `share` is done) of each start that may be."""
    import numpy as np

    at, _ = ground.line(option.axis)
    k = np.arange(max(0, len(at) - option.work + 1))
    begin, until = at[k], at[k + option.work - 1] + 1
    good = (begin >= soon) & (until <= min(shop.deadline[task], limit))
    wanted = shop.tasks[task].start_at
    if wanted is not None:
        good &= begin == wanted
    for worker in option.workers:
        taken = ground.taken[worker]
        good &= taken[until] == taken[begin]
    for first, _, need in option.uses:
        lacking = np.concatenate(([0], np.cumsum(ground.room[shop.pool_of[first]][at] < need)))
        good &= lacking[k + option.work] == lacking[k]
    k = k[good]
    done = max(1, ceil(share * option.work - 1e-6))
    return k, begin[good], until[good], at[k + done - 1] + 1


def _limit(shop: Shop, pricer: Pricer, part: Piece) -> tuple[int, float]:
    """(slot after which no choice ends, what ending later costs at least)."""
    group = shop.group[part[0]]
    due, late = pricer.due[group], pricer.late_price[group]
    wait, wait_from = pricer.wait_price[group], pricer.wait_from[group]

    def of_day(last: int) -> float:
        return (late * max(0, last - due) if due is not None else 0.0) + wait * max(0, last - wait_from)

    first = min(shop.release[t] for t in part) // shop.day_slots
    allowed = of_day(first + 10) + LOOK
    for day in range(first, shop.horizon // shop.day_slots + 1):
        if of_day(day) > allowed:
            return day * shop.day_slots, of_day(day)
    return shop.horizon, float("inf")


class Known(NamedTuple):
    """The job's fixed work: rows (start, end, rank, task), and (worker, day) on its site."""

    rows: list[tuple[int, int, int, int]]
    days: set[tuple[int, int]]


def _fixed_of(shop: Shop, pricer: Pricer, part: Piece) -> Known:
    group = shop.group[part[0]]
    rows, days = [], set()
    for task in pricer.tasks_of[group]:
        fixed = shop.tasks[task].fixed
        if fixed is not None:
            rows.append((fixed.start, fixed.end, shop.rank[task], task))
            days |= {(w, day) for w in pricer.team_of_fixed[task] for day in fixed.days}
    return Known(sorted(rows), days)


def _apart(shop: Shop, part: Piece, mine: Known) -> bool:
    """True when all the job's fixed work begins before the rest can."""
    return not mine.rows or mine.rows[-1][0] < min(shop.release[t] for t in part)


def _price_span(shop: Shop, pricer: Pricer, chain: Chain, span: Span, ground: Ground, mine: Known) -> None:
    """Site days and drive of the option's choices."""
    import numpy as np

    option, group = span.option, shop.group[span.task]
    at, days = ground.line(option.axis)
    k = span.k
    count = days[k + option.work - 1] - days[k] + 1
    cost = chain.cost[span.first : span.end]
    cost += len(option.workers) * pricer.prices.site_day * count
    top = shop.horizon // shop.day_slots + 1
    for worker in option.workers:
        drive = np.concatenate(([0.0], np.cumsum(ground.share[worker][at])))
        cost += ground.away[worker][group] * (drive[k + option.work] - drive[k])
        known = [day for w, day in mine.days if w == worker and 0 <= day < top]
        if known:
            there = np.zeros(top + 1)
            there[[day + 1 for day in known]] = 1.0
            there = np.cumsum(there)
            first = chain.start[span.first : span.end] // shop.day_slots
            last = (chain.end[span.first : span.end] - 1) // shop.day_slots
            cost -= pricer.prices.site_day * (there[last + 1] - there[first])


def _price_ends(shop: Shop, pricer: Pricer, part: Piece, chain: Chain, mine: Known, hand_over: float) -> None:
    """What the job's first and last days, its hole and what was told cost."""
    import numpy as np

    group, prices, day_slots = shop.group[part[0]], pricer.prices, shop.day_slots
    first = [s for s in chain.spans if s.task == part[0]]
    final = [s for s in chain.spans if s.task == part[-1]]
    last_fixed = max([row[1] // day_slots for row in mine.rows], default=-(1 << 28))
    due, price = pricer.due[group], pricer.late_price[group]
    for span in final:
        last = np.maximum(chain.end[span.first : span.end] // day_slots, last_fixed)
        cost = chain.cost[span.first : span.end]
        if due is not None:
            cost += price * np.maximum(0, last - due)
        cost += pricer.wait_price[group] * np.maximum(0, last - pricer.wait_from[group])
        cost += prices.open_day * last
    begun = mine.rows[0][0] // day_slots if mine.rows else None
    lead = pricer.lead_of_fixed[mine.rows[-1][3]] if mine.rows else None
    for span in first:
        cost = chain.cost[span.first : span.end]
        day = chain.start[span.first : span.end] // day_slots if begun is None else begun
        cost -= prices.open_day * day
        own = span.option.workers[0] if span.option.workers else -1
        if lead is not None and own != lead:
            cost += hand_over
    _price_hole(shop, pricer, part, chain, mine)
    _price_told(shop, pricer, part, chain)


def _price_hole(shop: Shop, pricer: Pricer, part: Piece, chain: Chain, mine: Known) -> None:
    """Days and days off on which the hole lies open, from its first digging to the end of its liner."""
    import numpy as np

    prices, day_slots = pricer.prices, shop.day_slots
    digs = [t for t in part if shop.tasks[t].stage == 1]
    liners = [t for t in part if shop.tasks[t].stage == 2]
    begun = min([row[0] // day_slots for row in mine.rows if shop.tasks[row[3]].stage == 1], default=None)
    if not liners or (begun is None and not digs) or not (prices.hole_day or prices.hole_rest):
        return
    if begun is None and part.index(digs[0]) > part.index(liners[-1]):
        return

    def worth(days: Any) -> Any:
        rests = np.searchsorted(np.array(pricer.rests), days, side="right")
        return prices.hole_day * days + prices.hole_rest * rests

    for span in chain.spans:
        cost = chain.cost[span.first : span.end]
        if span.task == liners[-1]:
            last = chain.end[span.first : span.end] // day_slots
            if begun is None:
                cost += worth(last)
            else:
                rests = bisect_right(pricer.rests, begun)
                cost += np.maximum(0.0, worth(last) - prices.hole_day * begun - prices.hole_rest * rests)
        if begun is None and span.task == digs[0]:
            cost -= worth(chain.start[span.first : span.end] // day_slots)


def _price_told(shop: Shop, pricer: Pricer, part: Piece, chain: Chain) -> None:
    """Another first day or lead than was told."""
    for tasks, day, lead, price, call in pricer.told[shop.group[part[0]]]:
        if any(shop.tasks[t].fixed is not None for t in tasks):
            continue
        first = min(tasks, key=part.index)
        for span in (s for s in chain.spans if s.task == first):
            own = span.option.workers[0] if span.option.workers else -1
            moved = chain.start[span.first : span.end] // shop.day_slots != day
            chain.cost[span.first : span.end] += moved * (price + call) + ~moved * (price * (own != lead))
