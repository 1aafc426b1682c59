"""What a job's way costs at least after each of its choices: the dynamic program of `chain`, from its end.

With it and what the way up to a choice costs, each choice has the least cost of a way through it. Steps
between two tasks are priced as in `chain`.
"""

from __future__ import annotations

from planner.schedule.kernel.chain import (
    END,
    FIRST,
    NONE,
    TEAM,
    WIDTH,
    between,
    day_price,
    kept_choices,
    nth_worker,
    row_of,
)
from planner.schedule.kernel.compiling import njit
from planner.schedule.kernel.layout import Row


@njit
def cheapest_rest(
    ways: Row,
    option_at: Row,
    waits: Row,
    whole: Row,
    start: Row,
    end: Row,
    ready: Row,
    cost: Row,
    prices: Row,
    kept: Row,
    visit: Row,
    sizes: Row,
    rest: Row,
) -> None:
    """Fill `rest`, twice a choice as `least` of `cheapest_chain`: what the tasks after it cost at least.

    `rest` comes full of `NONE` [cents]; all else as for `cheapest_chain`.
    """
    tasks = len(option_at) - 1
    for choice in range(ways[WIDTH * option_at[tasks - 1] + FIRST], len(start)):
        rest[2 * choice] = rest[2 * choice + 1] = 0.0
    for task in range(tasks - 1, 0, -1):
        for before in range(WIDTH * option_at[task - 1], WIDTH * option_at[task], WIDTH):
            for at in range(WIDTH * option_at[task], WIDTH * option_at[task + 1], WIDTH):
                for stay in range(kept_choices(ways[at + TEAM] & ways[before + TEAM], prices[2])):
                    _join_rest(
                        ways,
                        at,
                        before,
                        waits[task],
                        whole[task],
                        stay,
                        start,
                        end,
                        ready,
                        cost,
                        prices,
                        kept,
                        visit,
                        sizes,
                        rest,
                    )


@njit
def _join_rest(
    ways: Row,
    at: int,
    before: int,
    wait: int,
    whole: int,
    stay: int,
    start: Row,
    end: Row,
    ready: Row,
    cost: Row,
    prices: Row,
    kept: Row,
    visit: Row,
    sizes: Row,
    rest: Row,
) -> None:
    """Take the choices of the option at `at` as what comes after those of the option at `before`."""
    shared, more = ways[at + TEAM] & ways[before + TEAM], between(ways, at, before, stay, prices)
    alone = ways[before + TEAM] & ~ways[at + TEAM] == 0
    a = row_of(nth_worker(shared, 0) if stay & 1 else -1, sizes)
    b = row_of(nth_worker(shared, 1) if stay & 2 else -1, sizes)
    later, past = ways[at + END], NONE
    for x in range(ways[before + END] - 1, ways[before + FIRST] - 1, -1):
        soon = (end[x] if whole or shared else ready[x]) + wait
        while later > ways[at + FIRST]:
            y = later - 1
            if start[y] // sizes[0] * sizes[0] < end[x] or start[y] < soon:
                break
            came = kept[2 * sizes[3] + a + start[y]] + kept[2 * sizes[3] + b + start[y]]
            past = min(past, came + more + cost[y] + rest[2 * y])
            later -= 1
        held = kept[sizes[3] + a + end[x]] + kept[sizes[3] + b + end[x]]
        one = two = past - held
        held = kept[a + end[x]] + kept[b + end[x]]
        for y in range(later - 1, ways[at + FIRST] - 1, -1):
            if start[y] < soon:
                break
            if end[y] < end[x]:
                continue
            morning = start[y] // sizes[0] * sizes[0]
            evening = morning + sizes[0]
            here = kept[a + start[y]] + kept[b + start[y]] - held + more + cost[y]
            late, leaves = end[x] > evening, end[y] > evening
            own = here - day_price(shared, prices[1], visit, sizes, morning)
            full = here - day_price(ways[at + TEAM], prices[1], visit, sizes, morning)
            one = min(one, own + rest[2 * y + (1 if late or not (leaves or alone) else 0)])
            two = min(two, full + rest[2 * y + (1 if late or not leaves else 0)])
        rest[2 * x] = min(rest[2 * x], one)
        rest[2 * x + 1] = min(rest[2 * x + 1], two)
