"""The cheapest way of one job alone, its tasks one after another: a dynamic program over ways and starts.

Each task's choices stand in one flat list, option after option, by start. A choice costs what is handed in;
between two tasks in a row it costs a hand-over when the lead changes, and it saves the site days of workers
who were there on the same day already. Each worker of both is meanwhile elsewhere and comes back, which has a
price, or is kept from all else, which costs what the crew's time is worth and the rest of the days' drives.
Where more than one team was there on a day, all are taken to have been: the answer is never above the true
least.
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
    kept: Row,
    visit: Row,
    sizes: Row,
    least: Row,
    back: Row,
) -> int:
    """Fill `least` (twice a choice: what the tasks up to it cost when on its last day nobody but its own team
    was there, and when others were, too; all `NONE` before) and the way `back`; where the last task's least
    stands, -1 when there is no way.

    option_at[k]: first option of task k. waits[k]: slots after task k - 1; whole[k]: 1 when it waits for all
    of that, else for `ready`. prices: hand-over, site day, come-back [cents]. kept: what a worker's kept time
    is worth up to each slot, a row a worker and one of zeros; then the same twice more where a night comes
    between, seen from before it and from after. visit: what else a day there costs, by worker [cents]. sizes:
    slots of a day, numbers of a worker in `kept`, in `visit`, of a third of `kept`.
    """
    tasks = len(option_at) - 1
    for choice in range(ways[FIRST], ways[WIDTH * (option_at[1] - 1) + END]):
        least[2 * choice] = cost[choice]
    for task in range(1, tasks):
        for option in range(option_at[task], option_at[task + 1]):
            at = WIDTH * option
            for before in range(WIDTH * option_at[task - 1], WIDTH * option_at[task], WIDTH):
                for stay in range(kept_choices(ways[at + TEAM] & ways[before + TEAM], prices[2])):
                    _join(
                        ways,
                        at,
                        before,
                        waits[task],
                        whole[task],
                        stay,
                        start,
                        end,
                        ready,
                        prices,
                        kept,
                        visit,
                        sizes,
                        least,
                        back,
                    )
            for choice in range(ways[at + FIRST], ways[at + END]):
                least[2 * choice] += cost[choice]
                least[2 * choice + 1] += cost[choice]
    return _least_of(
        2 * ways[WIDTH * option_at[tasks - 1] + FIRST], 2 * ways[WIDTH * (option_at[tasks] - 1) + END], least
    )


@njit
def _least_of(first: int, end: int, least: Row) -> int:
    """Where the least of these numbers stands; -1 when none is a price."""
    found, best = -1, NONE / 2
    for place in range(first, end):
        if least[place] < best:
            found, best = place, least[place]
    return found


@njit
def nth_worker(team: int, number: int) -> int:
    """The worker with that place among a team's, as bits, from 0; -1 without one."""
    worker = 0
    while team >> worker:
        if (team >> worker) & 1:
            if number == 0:
                return worker
            number -= 1
        worker += 1
    return -1


@njit
def kept_choices(shared: int, again: float) -> int:
    """How many choices there are of which of the first two workers of two tasks are kept between them."""
    if again <= 0.0 or nth_worker(shared, 0) < 0:
        return 1
    return 2 if nth_worker(shared, 1) < 0 else 4


@njit
def _join(
    ways: Row,
    at: int,
    before: int,
    wait: int,
    whole: int,
    stay: int,
    start: Row,
    end: Row,
    ready: Row,
    prices: Row,
    kept: Row,
    visit: Row,
    sizes: Row,
    least: Row,
    back: Row,
) -> None:
    """Take the choices of the option at `before` as what comes before those of the option at `at`; `stay`, as
    bits: which of the first two workers of both are kept in between."""
    # past, own, full, tail: the cheapest that ended on an earlier day; on the same, with nobody else there or
    # with others; on a later one; each less the worth of its end
    shared, more = ways[at + TEAM] & ways[before + TEAM], between(ways, at, before, stay, prices)
    a = row_of(nth_worker(shared, 0) if stay & 1 else -1, sizes)
    b = row_of(nth_worker(shared, 1) if stay & 2 else -1, sizes)
    early, done, last = ways[before + FIRST], ways[before + FIRST], ways[before + END]
    past, own, full, tail, day = (NONE, -1), (NONE, -1), (NONE, -1), (NONE, -1), -1
    known = unknown = 0.0
    for choice in range(ways[at + FIRST], ways[at + END]):
        begins, morning, grew = start[choice], start[choice] // sizes[0] * sizes[0], done
        while done < last and end[done] <= end[choice]:
            point = end[done] if whole or shared else ready[done]
            if point + wait > begins:
                break
            done += 1
        while early < done and end[early] <= morning:
            held = kept[sizes[3] + a + end[early]] + kept[sizes[3] + b + end[early]]
            past = _lower(_lower(past, least, 2 * early, held), least, 2 * early + 1, held)
            early += 1
        if day != morning:
            day, own, full, tail, grew = morning, (NONE, -1), (NONE, -1), (NONE, -1), early
            known = day_price(shared, prices[1], visit, sizes, morning)
            unknown = day_price(ways[at + TEAM], prices[1], visit, sizes, morning)
        for x in range(max(grew, early), done):
            held = kept[a + end[x]] + kept[b + end[x]]
            if end[x] > morning + sizes[0]:
                tail = _lower(_lower(tail, least, 2 * x, known + held), least, 2 * x + 1, unknown + held)
                continue
            own = _lower(own, least, 2 * x, known + held)
            full = _lower(full, least, 2 * x + 1, unknown + held)
        came = kept[2 * sizes[3] + a + begins] + kept[2 * sizes[3] + b + begins] + more
        stayed = kept[a + begins] + kept[b + begins] + more
        leaves = end[choice] > morning + sizes[0]
        alone = leaves or ways[before + TEAM] & ~ways[at + TEAM] == 0
        _take(least, back, 2 * choice, past, came)
        _take(least, back, 2 * choice + (0 if alone else 1), own, stayed)
        _take(least, back, 2 * choice + (0 if leaves else 1), full, stayed)
        _take(least, back, 2 * choice + 1, tail, stayed)


@njit
def row_of(worker: int, sizes: Row) -> int:
    """Where a worker's row of kept time begins; that of the zeros for -1."""
    return worker * sizes[1] if worker >= 0 else sizes[3] - sizes[1]


@njit
def _lower(known: tuple[float, int], least: Row, place: int, saved: float) -> tuple[float, int]:
    """The lower of two: (cents, where it stands), and what stands at a place, less what that saves."""
    cents = least[place] - saved
    return (cents, place) if cents < known[0] else known


@njit
def between(ways: Row, at: int, before: int, stay: int, prices: Row) -> float:
    """What a change of lead and the come-backs of those who are not kept cost [cents]."""
    shared = ways[at + TEAM] & ways[before + TEAM]
    cents = prices[0] if ways[at + LEAD] != ways[before + LEAD] else 0.0
    if nth_worker(shared, 0) >= 0 and not stay & 1:
        cents += prices[2]
    if nth_worker(shared, 1) >= 0 and not stay & 2:
        cents += prices[2]
    return cents


@njit
def day_price(team: int, site_day: float, visit: Row, sizes: Row, morning: int) -> float:
    """What the day that begins at `morning` costs for these workers, as bits, to be there [cents]."""
    cents, worker = 0.0, 0
    while team >> worker:
        if (team >> worker) & 1:
            cents += site_day + visit[worker * sizes[2] + morning // sizes[0]]
        worker += 1
    return cents


@njit
def _take(least: Row, back: Row, place: int, way: tuple[float, int], more: float) -> None:
    """Note a way (cents, where it came from) that costs so much more, if it is cheaper than what is known."""
    if way[0] + more < least[place]:
        least[place] = way[0] + more
        back[place] = way[1]


@njit
def trace(found: int, tasks: int, back: Row, chosen: Row) -> None:
    """The choices that lead to the found one, by task."""
    for task in range(tasks - 1, -1, -1):
        chosen[task] = found >> 1
        if task:
            found = back[found]
