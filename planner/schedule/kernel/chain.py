"""The cheapest way of one job alone, its tasks one after another: a dynamic program over ways and starts.

Each task's choices stand in one flat list, option after option, by start. A choice costs what is handed in;
between two tasks in a row it costs a hand-over when the lead changes, and it saves the site days of workers
who were there on the same day already. A worker of both is meanwhile elsewhere and comes back, which has a
price, or is kept from all else, which costs what the crew's time is worth. Where it is not known who was
there, all are taken to have been: the answer is never above the true least.
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
    worth: Row,
    visit: Row,
    sizes: Row,
    least: Row,
    least_same: Row,
    back: Row,
    back_same: Row,
) -> int:
    """Fill `least` and `least_same` (by choice: what the tasks up to it cost when the one before ended on an
    earlier day, or on the same or later) and the way back; the last task's cheapest choice, twice, plus 1
    when it is in `least_same`; -1 when there is no way.

    option_at[k]: first option of task k. waits[k]: slots after task k - 1; whole[k]: 1 when it waits for all
    of that, else for `ready`. prices: hand-over, site day, come-back [cents]. worth: a worker's time up to
    each slot, then zeros; visit: what else a day there costs, by worker [cents]. sizes: slots of a day,
    numbers of a worker in `worth`, in `visit`.
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
                    waits,
                    whole,
                    task,
                    start,
                    end,
                    ready,
                    prices,
                    worth,
                    visit,
                    sizes,
                    least,
                    least_same,
                    back,
                    back_same,
                )
            _add_cost(ways[at + FIRST], ways[at + END], cost, least, least_same)
    return _least_of(ways, option_at[tasks - 1], option_at[tasks], least, least_same)


@njit
def _add_cost(first: int, end: int, cost: Row, least: Row, least_same: Row) -> None:
    """What the choices cost by themselves comes on top of what led to them."""
    for choice in range(first, end):
        least[choice] += cost[choice]
        least_same[choice] += cost[choice]


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
def who_stays(shared: int, lead: int) -> int:
    """Of the workers of two tasks in a row, as bits, the one whose time between counts; -1 without one."""
    if shared == 0:
        return -1
    if lead >= 0 and (shared >> lead) & 1:
        return lead
    worker = 0
    while (shared >> worker) & 1 == 0:
        worker += 1
    return worker


@njit
def _join(
    ways: Row,
    at: int,
    before: int,
    waits: Row,
    whole: Row,
    task: int,
    start: Row,
    end: Row,
    ready: Row,
    prices: Row,
    worth: Row,
    visit: Row,
    sizes: Row,
    least: Row,
    least_same: Row,
    back: Row,
    back_same: Row,
) -> None:
    """Take the choices of the option at `before` as what comes before those of the option at `at`."""
    # past, today: the cheapest that ended on another day or on the same; kept: less the worth of its end
    shared = ways[at + TEAM] & ways[before + TEAM]
    swap = prices[0] if ways[at + LEAD] != ways[before + LEAD] else 0.0
    stays = who_stays(shared, ways[at + LEAD])
    again = prices[2] if stays >= 0 else 0.0
    line = stays * sizes[1] if stays >= 0 else len(worth) - sizes[1]
    early, done, last = ways[before + FIRST], ways[before + FIRST], ways[before + END]
    past, past_from, past_kept, past_kept_from = NONE, -1, NONE, -1
    day, today, today_from, today_kept, today_kept_from = -1, NONE, -1, NONE, -1
    for choice in range(ways[at + FIRST], ways[at + END]):
        morning, grew = start[choice] // sizes[0] * sizes[0], done
        while done < last and end[done] <= end[choice]:
            point = end[done] if whole[task] or shared else ready[done]
            if point + waits[task] > start[choice]:
                break
            done += 1
        while early < done and end[early] <= morning:
            here, here_from = _cheaper(least, least_same, early, 0.0, 0.0)
            if here < past:
                past, past_from = here, here_from
            if here - worth[line + end[early]] < past_kept:
                past_kept, past_kept_from = here - worth[line + end[early]], here_from
            early += 1
        if day != morning:
            day, today, today_kept, grew = morning, NONE, NONE, early
            known = _day_price(shared, prices[1], visit, sizes, morning)
            unknown = _day_price(ways[at + TEAM], prices[1], visit, sizes, morning)
        for x in range(max(grew, early), done):
            same = known if whole[task - 1] and start[x] < morning else unknown
            here, here_from = _cheaper(least, least_same, x, known, same)
            if here < today:
                today, today_from = here, here_from
            if here - worth[line + end[x]] < today_kept:
                today_kept, today_kept_from = here - worth[line + end[x]], here_from
        kept = worth[line + start[choice]] - again
        _take(least, back, choice, swap + again, past, past_from, past_kept + kept, past_kept_from)
        _take(
            least_same, back_same, choice, swap + again, today, today_from, today_kept + kept, today_kept_from
        )


@njit
def _day_price(team: int, site_day: float, visit: Row, sizes: Row, morning: int) -> float:
    """What the day that begins at `morning` costs for these workers, as bits, to be there [cents]."""
    cents, worker = 0.0, 0
    while team >> worker:
        if (team >> worker) & 1:
            cents += site_day + visit[worker * sizes[2] + morning // sizes[0]]
        worker += 1
    return cents


@njit
def _cheaper(least: Row, least_same: Row, choice: int, saved: float, saved_same: float) -> tuple[float, int]:
    """(what the way up to a choice costs at least, less what it saves; where it stands)."""
    if least_same[choice] - saved_same < least[choice] - saved:
        return least_same[choice] - saved_same, 2 * choice + 1
    return least[choice] - saved, 2 * choice


@njit
def _take(
    least: Row, back: Row, choice: int, more: float, one: float, one_from: int, two: float, two_from: int
) -> None:
    """Note the cheaper of two ways to a choice if it is cheaper than what is known."""
    if two < one:
        one, one_from = two, two_from
    if one + more < least[choice]:
        least[choice] = one + more
        back[choice] = one_from


@njit
def trace(found: int, tasks: int, back: Row, back_same: Row, chosen: Row) -> None:
    """The choices that lead to the found one, by task."""
    for task in range(tasks - 1, -1, -1):
        chosen[task] = found >> 1
        if task:
            found = back_same[found >> 1] if found & 1 else back[found >> 1]
