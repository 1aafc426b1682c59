"""The cheapest way of one job alone, its tasks one after another: a dynamic program over ways and starts.

Each task's choices stand in one flat list, option after option, by start. A choice costs what is handed in;
between two tasks in a row it costs a hand-over when the lead changes, and it saves the site days of workers
who were there on the same day already. Where it is not known who was, all are taken to have been: the answer
is never above the true least.
"""

from __future__ import annotations

from planner.schedule.kernel.compiling import njit
from planner.schedule.kernel.layout import Row

#: No way.
NONE = 1e300
#: Numbers of an option in `ways`: its task, where its choices begin and end, lead, workers as bits, how many.
TASK, FIRST, END, LEAD, TEAM, SIZE = range(6)
WIDTH = 6


@njit
def bits(number: int) -> int:
    """How many bits are set."""
    count = 0
    while number:
        number &= number - 1
        count += 1
    return count


@njit
def cheapest_chain(
    ways: Row,
    option_at: Row,
    waits: Row,
    whole: Row,
    start: Row,
    end: Row,
    ready: Row,
    cost: Row,
    prices: Row,
    day_slots: int,
    least: Row,
    least_same: Row,
    back: Row,
    back_same: Row,
) -> int:
    """Fill `least` and `least_same` (by choice: what the tasks up to it cost when the one before ended on an
    earlier day, or on the same or later) and the way back; the last task's cheapest choice, twice, plus 1
    when it is in `least_same`; -1 when there is no way.

    option_at[k]: first option of task k. waits[k]: slots after task k - 1; whole[k]: 1 when it waits for all
    of that, else for `ready`. prices: hand-over, site day [cents].
    """
    tasks = len(option_at) - 1
    for choice in range(ways[FIRST], ways[WIDTH * (option_at[1] - 1) + END]):
        least[choice] = cost[choice]
        least_same[choice] = NONE
    for task in range(1, tasks):
        for option in range(option_at[task], option_at[task + 1]):
            at = WIDTH * option
            for choice in range(ways[at + FIRST], ways[at + END]):
                least[choice] = least_same[choice] = NONE
            for before in range(option_at[task - 1], option_at[task]):
                _join(
                    ways,
                    at,
                    WIDTH * before,
                    waits[task],
                    whole[task],
                    whole[task - 1],
                    start,
                    end,
                    ready,
                    prices,
                    day_slots,
                    least,
                    least_same,
                    back,
                    back_same,
                )
            for choice in range(ways[at + FIRST], ways[at + END]):
                least[choice] += cost[choice]
                least_same[choice] += cost[choice]
    return _least_of(ways, option_at[tasks - 1], option_at[tasks], least, least_same)


@njit
def _least_of(ways: Row, first: int, end: int, least: Row, least_same: Row) -> int:
    """The cheapest choice of these options, twice, plus 1 when it is in `least_same`; -1 without one."""
    found, best = -1, NONE / 2
    for choice in range(ways[WIDTH * first + FIRST], ways[WIDTH * (end - 1) + END]):
        if least[choice] < best:
            found, best = 2 * choice, least[choice]
        if least_same[choice] < best:
            found, best = 2 * choice + 1, least_same[choice]
    return found


@njit
def _join(
    ways: Row,
    at: int,
    before: int,
    wait: int,
    whole: int,
    whole_before: int,
    start: Row,
    end: Row,
    ready: Row,
    prices: Row,
    day_slots: int,
    least: Row,
    least_same: Row,
    back: Row,
    back_same: Row,
) -> None:
    """Take the choices of the option at `before` as what comes before those of the option at `at`."""
    shared = ways[at + TEAM] & ways[before + TEAM]
    swap = prices[0] if ways[at + LEAD] != ways[before + LEAD] else 0.0
    known = bits(shared) * prices[1]
    unknown = ways[at + SIZE] * prices[1]
    early, done, last = ways[before + FIRST], ways[before + FIRST], ways[before + END]
    past, past_from = NONE, -1  # the cheapest that ended on an earlier day
    today, today_from, day = NONE, -1, -1
    for choice in range(ways[at + FIRST], ways[at + END]):
        morning = start[choice] // day_slots * day_slots
        grew = done
        while done < last and end[done] <= end[choice]:
            point = end[done] if whole or shared else ready[done]
            if point + wait > start[choice]:
                break
            done += 1
        while early < done and end[early] <= morning:
            if least[early] < past:
                past, past_from = least[early], 2 * early
            if least_same[early] < past:
                past, past_from = least_same[early], 2 * early + 1
            early += 1
        if day != morning:
            day, today, grew = morning, NONE, early
        for x in range(max(grew, early), done):
            here = least[x] - known
            if here < today:
                today, today_from = here, 2 * x
            sure = whole_before and start[x] < morning
            here = least_same[x] - (known if sure else unknown)
            if here < today:
                today, today_from = here, 2 * x + 1
        if past + swap < least[choice]:
            least[choice] = past + swap
            back[choice] = past_from
        if today + swap < least_same[choice]:
            least_same[choice] = today + swap
            back_same[choice] = today_from


@njit
def trace(found: int, tasks: int, back: Row, back_same: Row, chosen: Row) -> None:
    """The choices that lead to the found one, by task."""
    for task in range(tasks - 1, -1, -1):
        chosen[task] = found >> 1
        if task:
            found = back_same[found >> 1] if found & 1 else back[found >> 1]
