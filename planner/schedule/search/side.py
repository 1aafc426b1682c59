"""Streams side by side, one a core, each with dice of its own; what they find is joined by a fixed rule.

A stream in another process tells its better plans with the step at which it found them. Joined are only those
found within the steps that every stream has done, the cheapest first, then by stream: so the same seed, steps
and cores give the same plan, whichever process is quicker.
"""

from __future__ import annotations

import signal
import time
from collections.abc import Callable
from multiprocessing import get_context
from typing import Any, NamedTuple

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


class Told(NamedTuple):
    """What a stream in another process has to tell at its end."""

    steps: int
    finds: list[Find]


class Side:
    """A stream in a process of its own."""

    def __init__(self, problem: Problem, begin: list[int], seed: int, steps: int, seconds: float) -> None:
        """Start it from flat rows; it ends after so many steps or seconds, or when it is asked to."""
        context = get_context("spawn")
        self._halt = context.Event()
        self._ear, mouth = context.Pipe(duplex=False)
        until = time.time() + seconds
        arguments = (mouth, self._halt, problem, begin, seed, steps, until)
        self._process = context.Process(target=_run, args=arguments, daemon=True)
        self._process.start()
        mouth.close()

    def end(self, over: Callable[[], bool], *, wait: bool) -> Told | None:
        """What it found; asked to end now unless `wait`. None when it died or did not answer."""
        if not wait:
            self._halt.set()
        patience = 0
        while not self._ear.poll(0.1):
            patience += 1
            if over():
                self._halt.set()
            if not self._process.is_alive() or (self._halt.is_set() and patience > 50):
                break
        try:
            told: Told | None = self._ear.recv() if self._ear.poll(0) else None
        except EOFError:
            told = None
        self._process.terminate()
        self._process.join()
        return told


def _run(
    mouth: Any, halt: Any, problem: Problem, begin: list[int], seed: int, steps: int, until: float
) -> None:
    """The other process: Ctrl-C is the first one's to answer."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    shop = Shop(problem)
    pricer, parts = Pricer(shop), pieces(shop)
    table = table_of(shop, facts_of(shop, pricer, parts), row(begin))
    stream = Stream(shop, pricer, parts, table, seed)
    while stream.steps < steps and not halt.is_set() and time.time() < until:
        stream.advance(min(STRIDE_STEPS, steps - stream.steps))
    finds = [Find(f.steps, f.price, [int(x) for x in f.state]) for f in stream.finds]
    mouth.send(Told(stream.steps, finds))
    mouth.close()


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
