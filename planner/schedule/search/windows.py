"""Large steps: CP-SAT decides a few neighboring jobs anew while all else stays, again and again.

What the local search cannot see, because it needs several changes at once, a window finds; the answer is laid
by the decoder and kept only when its true price is lower. Work is counted in CP-SAT's deterministic seconds.
"""

from __future__ import annotations

import random

from planner.schedule.cpsat.exact import reach, solve_part
from planner.schedule.model.decode import Piece
from planner.schedule.model.price import Pricer
from planner.schedule.model.shop import Shop
from planner.schedule.model.timetable import Timetable
from planner.schedule.model.watch import Watch

#: Deterministic seconds of one window, at most. The model is the light one: lateness, open days, hand-overs.
WINDOW_WORK = 0.35
#: Fewest and most jobs of a window.
SMALLEST, LARGEST = 2, 5
#: What a window costs beside its search (model building), in deterministic seconds.
OVERHEAD = 0.1


def reoptimise(
    shop: Shop, pricer: Pricer, watch: Watch, parts: list[Piece], *, work: float, seed: int
) -> int:
    """Windows until `work` deterministic seconds are used; the number that improved the incumbent."""
    rng = random.Random(seed)
    used, better, size = 0.0, 0, 3
    while used < work and not watch.over():
        table = watch.best
        assert table is not None
        chosen = window(shop, pricer, table, parts, size, rng)
        free = [t for i in chosen for t in parts[i]]
        low, high = reach(shop, table, free, rng.choice((1, 3, 6)))
        ways = some_ways(shop, table, free, rng)
        answer = solve_part(
            shop, pricer, table, free, low, high, ways, work=WINDOW_WORK, seed=seed, watch=watch, light=True
        )
        used += answer.work + OVERHEAD
        if answer.table is not None and watch.offer(answer.table, pricer.bill(answer.table)):
            better += 1
        if answer.status == "OPTIMAL" and answer.work < 0.5 * WINDOW_WORK:
            size = min(LARGEST, size + 1)
        elif answer.status != "OPTIMAL":
            size = max(SMALLEST, size - 1)
    return better


def window(
    shop: Shop, pricer: Pricer, table: Timetable, parts: list[Piece], size: int, rng: random.Random
) -> list[int]:
    """Jobs close in time: a costly one drawn by its price, and neighbors, some on the same crew."""
    weights = [1.0 + pricer.group_price(table, shop.group[p[0]])[0] / 1e5 for p in parts]
    seed = rng.choices(range(len(parts)), [max(0.1, w) for w in weights])[0]
    begin, end = _span(table, parts[seed])
    lead = pricer.lead(table, parts[seed][0])
    ranked = []
    for i, part in enumerate(parts):
        if i == seed:
            continue
        a, b = _span(table, part)
        apart = max(0, a - end, begin - b) + abs(a - begin) / 4
        if pricer.lead(table, part[0]) != lead:
            apart = apart * 2 + shop.day_slots
        ranked.append((apart * (0.5 + rng.random()), i))
    ranked.sort()
    return [seed, *(i for _, i in ranked[: size - 1])]


def _span(table: Timetable, part: Piece) -> tuple[int, int]:
    return min(table.start[t] for t in part), max(table.end[t] for t in part)


def some_ways(shop: Shop, table: Timetable, free: list[int], rng: random.Random) -> dict[int, list[int]]:
    """The way in use, every worker alone, and a few with help."""
    found = {}
    for task in free:
        options = shop.options[task]
        alone = [n for n, o in enumerate(options) if len(o.workers) <= 1]
        helped = [n for n, o in enumerate(options) if len(o.workers) > 1]
        some = rng.sample(helped, min(2, len(helped)))
        found[task] = sorted({table.option[task], *alone, *some})
    return found
