"""Streams side by side, one a core, each with dice of its own; what they find is joined by a fixed rule.

A stream in another process tells its better plans with the step at which it found them. Joined are only those
found within the steps that every stream has done, the cheapest first, then by stream: so the same seed, steps
and cores give the same plan, whichever process is quicker.
"""

from __future__ import annotations

import pickle
import subprocess
import sys
import time
from collections.abc import Callable
from tempfile import TemporaryFile
from typing import NamedTuple

from planner.schedule.kernel.flat import facts_of, row, table_of
from planner.schedule.kernel.session import STRIDE_STEPS
from planner.schedule.model.decode import Piece, pieces
from planner.schedule.model.price import Pricer
from planner.schedule.model.problem import Problem
from planner.schedule.model.shop import Shop
from planner.schedule.model.watch import Watch
from planner.schedule.search.stream import Find, Stream

#: How far apart the dice of two streams begin.
APART = 7919
#: How long a stream may take to tell what it found when the time is over [s].
PATIENCE_S = 1.0


class Told(NamedTuple):
    """What a stream in another process has to tell at its end."""

    steps: int
    finds: list[Find]


class Side:
    """A stream in a process of its own: `python -m planner.schedule.search.side`, its errand in a file."""

    def __init__(self, problem: Problem, begin: list[int], seed: int, steps: int, seconds: float) -> None:
        """Start it from flat rows; it ends after so many steps or seconds."""
        self._errand, self._answer = TemporaryFile(), TemporaryFile()  # noqa: SIM115 - closed by `end`
        pickle.dump((problem, begin, seed, steps, time.time() + seconds), self._errand)
        self._errand.seek(0)
        self._process = subprocess.Popen(
            [sys.executable, "-m", "planner.schedule.search.side"],
            stdin=self._errand,
            stdout=self._answer,
            stderr=subprocess.DEVNULL,
            start_new_session=True,  # Ctrl-C is the first process's to answer
        )

    def end(self, over: Callable[[], bool], *, wait: bool) -> Told | None:
        """What it found; it may take `PATIENCE_S` more, or all the time it needs when we `wait` and nothing
        is over. None when it died or did not answer."""
        began = time.monotonic()
        while self._process.poll() is None:
            if (over() or not wait) and time.monotonic() - began > PATIENCE_S:
                self._process.kill()
            time.sleep(0.05)
        self._answer.seek(0)
        told = None
        if self._process.returncode == 0:
            steps, finds = pickle.load(self._answer)
            told = Told(steps, [Find(*find) for find in finds])
        self._errand.close()
        self._answer.close()
        return told


def main() -> None:
    """The other process."""
    problem, begin, seed, steps, until = pickle.load(sys.stdin.buffer)
    shop = Shop(problem)
    pricer, parts = Pricer(shop), pieces(shop)
    table = table_of(shop, facts_of(shop, pricer, parts), row(begin))
    stream = Stream(shop, pricer, parts, table, seed)
    while stream.steps < steps and time.time() < until:
        stream.advance(min(STRIDE_STEPS, steps - stream.steps))
    finds = [(f.steps, f.price, [int(x) for x in f.state]) for f in stream.finds]
    pickle.dump((stream.steps, finds), sys.stdout.buffer)


def search(shop: Shop, pricer: Pricer, watch: Watch, parts: list[Piece], seed: int, *, share: float) -> None:
    """Advance a stream on each core until its steps are done or this share of the time is used; `watch` holds
    the best."""
    assert watch.best is not None
    if not parts:
        return
    effort = watch.effort
    stream = Stream(shop, pricer, parts, watch.best, seed)
    begin = [int(x) for x in stream.first]
    left = share * effort.seconds - watch.elapsed_s
    sides = [
        Side(shop.problem, begin, seed + APART * core, effort.steps, left) for core in range(1, effort.cores)
    ]
    while stream.steps < effort.steps and not watch.over(share):
        better = stream.advance(min(STRIDE_STEPS, effort.steps - stream.steps))
        if better and not sides:
            table = stream.table()
            watch.offer(table, pricer.bill(table))
    whole = stream.steps >= effort.steps
    others = [side.end(lambda: watch.over(share), wait=whole) for side in sides]
    told = [Told(stream.steps, stream.finds), *(t for t in others if t is not None)]
    watch.steps = min(t.steps for t in told)
    for one in told if sides else ():
        for find in one.finds:
            if find.steps <= watch.steps:
                table = stream.session.table(find.state)
                watch.offer(table, pricer.bill(table))


if __name__ == "__main__":
    main()
