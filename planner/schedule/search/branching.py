"""A floor of a small season by branch and bound: the shared floor, with choices of jobs left out by turns.

At each node the floor is raised for some rounds from its parent's prices, choices that cannot lead to a plan
cheaper than the known one are left out, and what the jobs' cheapest ways disagree on most is decided: who
does a task, or before or after which slot it begins (Land and Doig, Econometrica 28, 1960; from memory). The
node with the lowest floor comes next, so the lowest of all open ones is a floor at any moment.
"""

from __future__ import annotations

from collections import Counter, deque
from collections.abc import Callable
from dataclasses import dataclass, field
from heapq import heappop, heappush
from typing import Any, NamedTuple

from planner.schedule.model.decode import Piece
from planner.schedule.model.price import Pricer
from planner.schedule.model.shop import Shop
from planner.schedule.search.narrow import Narrow, narrow
from planner.schedule.search.shares import Shares

#: Rounds of the floor at a node, of which so many of the last are compared; the first step of Polyak's there.
ROUNDS, COMPARED, STEP = 12, 8, 0.1
#: More such rounds follow, so many times at most, while they leave no more of the gap than this.
MOST, GAIN = 10, 0.8
#: How much more it counts that ways disagree on a crew than on a start (a guess that was not worth changing).
TEAM = 3.0
#: Times that choices are left out before anything is decided, and rounds after each.
ROOT, ROOT_ROUNDS = 3, 30


@dataclass(order=True, slots=True)
class Node:
    """floor [cents]; number: of nodes with one floor the older comes first."""

    floor: float
    number: int
    jobs: list[Narrow] = field(compare=False)
    prices: tuple[Any, Any, Any] = field(compare=False)


class Cut(NamedTuple):
    """What divides a node: of a job, the choices that each of the two children keeps."""

    score: float
    job: int
    one: Any
    two: Any


def floor_of(
    shop: Shop,
    pricer: Pricer,
    parts: list[Piece],
    goal: float,
    rounds: int,
    nodes: int,
    over: Callable[[], bool],
) -> float:
    """A floor of the price [cents] after so many rounds towards a known plan's price, then at so many nodes
    where jobs are few; or fewer when time is over."""
    shares = Shares(shop, pricer, parts)
    for _ in range(rounds):
        shares.round(goal)
        if over() or shares.floor >= goal - 0.5 or shares.settled:
            break
    if not nodes or not shares.drives.few or over() or shares.floor >= goal - 0.5:
        return shares.floor
    return branch(shares, goal, nodes, over)


def branch(shares: Shares, goal: float, nodes: int, over: Callable[[], bool]) -> float:
    """The floor raised by branching [cents], at most just below the goal, the price of a known plan: there
    is no cheaper plan then. Stops after so many nodes or when time is over."""
    top = goal - 0.5
    if not _rooted(shares, top, over):
        return top
    heap, number, left = [Node(shares.floor, 0, shares.jobs[:], shares.best_prices)], 0, top
    while heap and number < nodes and not over():
        node = heappop(heap)
        cut = _bound(shares, node, top, over)
        if cut is None:
            continue
        if cut.job < 0:
            left = min(left, shares.floor)
        for keep in (cut.one, cut.two):
            mine = shares.jobs[cut.job]
            part = narrow(mine.chain, shares.shop.day_slots, keep, mine.low) if cut.job >= 0 else None
            if part is not None:
                number += 1
                jobs = [part if n == cut.job else job for n, job in enumerate(shares.jobs)]
                heappush(heap, Node(shares.floor, number, jobs, shares.best_prices))
    return min([left, *(node.floor for node in heap)])


def _rooted(shares: Shares, top: float, over: Callable[[], bool]) -> bool:
    """Leave out what no cheaper plan needs, by turns with some rounds; False when nothing is left."""
    for _ in range(ROOT):
        if shares.floor >= top or not shares.fix(top):
            return False
        shares.enter(shares.jobs, shares.best_prices, shares.floor, STEP)
        for _ in range(ROOT_ROUNDS):
            if shares.round(top) >= top:
                return False
            if over():
                return True
    return True


def _bound(shares: Shares, node: Node, top: float, over: Callable[[], bool]) -> Cut | None:
    """Raise the node's floor; None when no plan of it is cheaper, a cut of job -1 when none divides it
    or time is over."""
    shares.enter(node.jobs, node.prices, node.floor, STEP)
    seen: deque[list[Any]] = deque(maxlen=COMPARED)
    for _ in range(MOST):
        missing = top - shares.floor
        for _ in range(ROUNDS):
            shares.round(top)
            if shares.floor >= top:
                return None
            if over():
                return Cut(0.0, -1, None, None)
            seen.append([_ways(job, chosen) for job, chosen in zip(shares.jobs, shares.chosen, strict=True)])
        if top - shares.floor > GAIN * missing:
            break
    before = shares.jobs[:]
    if not shares.fix(top):
        return None
    cuts = [cut for n in range(len(before)) for cut in _cuts(shares.jobs[n], n, [row[n] for row in seen])]
    return max(cuts, key=lambda cut: cut.score, default=Cut(0.0, -1, None, None))


def _ways(job: Narrow, chosen: Any) -> list[tuple[int, tuple[int, ...]]]:
    """(start slot, workers) of each task of a way."""
    found = []
    for choice in chosen:
        span = next(s for s in job.chain.spans if s.first <= choice < s.end)
        found.append((job.low + int(job.chain.start[choice]), span.option.workers))
    return found


def _cuts(job: Narrow, number: int, seen: list[Any]) -> list[Cut]:
    """Ways to divide the job's choices, by who does a task and by when it begins."""
    import numpy as np

    found = []
    chain = job.chain
    for task in range(len(chain.option_at) - 1):
        spans = chain.spans[chain.option_at[task] : chain.option_at[task + 1]]
        work = max(s.option.work for s in spans)
        here = np.zeros(len(chain.start), dtype=bool)
        here[spans[0].first : spans[-1].end] = True
        starts = [way[task][0] for way in seen]
        team, count = Counter(way[task][1] for way in seen).most_common(1)[0]
        by_team = np.zeros(len(chain.start), dtype=bool)
        for span in spans:
            if span.option.workers == team:
                by_team[span.first : span.end] = True
        if by_team.any() and (here & ~by_team).any():
            score = (1 - count / len(seen)) * work * TEAM + 1e-3 * work
            found.append(Cut(score, number, by_team | ~here, ~by_team))
        low, high = job.low + int(chain.start[here].min()), job.low + int(chain.start[here].max())
        if low == high:
            continue
        at = min(max(sorted(starts)[len(starts) // 2], low + 1), high)
        under, over = [s for s in starts if s < at] or [at], [s for s in starts if s >= at] or [at]
        share = sum(s < at for s in starts) / len(starts)
        early = job.low + chain.start < at
        score = min(share, 1 - share) * float(np.mean(over) - np.mean(under)) + 1e-4 * (high - low)
        found.append(Cut(score, number, early | ~here, ~early | ~here))
    return found
