"""`python -m planner.schedule.kernel.filling`: compile the kernel for this computer, for the next search.

Lays and anneals a season of two invented tasks, so that every function is compiled and kept, then marks the
folder as ready and throws away what nobody used for a month. What is younger stays: another installation on
this computer may be at work with it.
"""

from __future__ import annotations

import os
import shutil
import time
from pathlib import Path
from typing import Any

from planner.schedule.kernel import ready

#: How long what was compiled lies unused before it is thrown away [s].
KEPT_S = 30 * 86400.0


def main() -> None:
    """Compile at the lowest priority."""
    if hasattr(os, "nice"):
        os.nice(19)
    folder = ready.place()
    folder.mkdir(parents=True, exist_ok=True)
    try:
        _use_everything()
        (folder / "ready").touch()
    finally:
        (folder / "under way").unlink(missing_ok=True)
    for other in folder.parent.iterdir():
        if other != folder and other.is_dir() and long_unused(other):
            shutil.rmtree(other, ignore_errors=True)


def long_unused(folder: Path) -> bool:
    """True when no process used or filled the folder for `KEPT_S`."""
    marks = [folder, folder / "ready", folder / "under way"]
    return time.time() - max(mark.stat().st_mtime for mark in marks if mark.exists()) > KEPT_S


def _use_everything() -> None:
    from planner.schedule.kernel.session import Session
    from planner.schedule.model.decode import Decisions, decode, pieces
    from planner.schedule.model.price import Pricer
    from planner.schedule.model.problem import Group, Problem, Task, Way, Worker
    from planner.schedule.model.shop import Shop

    tasks = tuple(Task(key, (Way(("w",), 2),), "g") for key in "ab")
    shop = Shop(Problem(horizon=20, tasks=tasks, workers=(Worker("w"),), groups=(Group("g"),)))
    parts = pieces(shop)
    table = decode(shop, Decisions(parts, [-1] * len(shop.tasks), shop.release[:]))
    session = Session(shop, Pricer(shop), parts, seed=1)
    session.begin(session.flat(table))
    session.anneal(8, 1.0, 0.9)
    session.lay([0], {})
    session.reject()
    session.accept(0.0)
    _use_chain()


def _use_chain() -> None:
    import numpy as np

    from planner.schedule.kernel.chain import cheapest_chain, trace

    def whole(*values: int) -> Any:
        return np.array(values, dtype=np.int64)

    ways, starts, ends = whole(0, 0, 1, 0, 1, 1, 1, 1, 2, 0, 1, 1), whole(0, 1), whole(1, 2)
    sums = [np.zeros(2) for _ in range(4)]
    backs = [whole(0, 0), whole(0, 0)]
    heads = (ways, whole(0, 1, 2), whole(0, 0), whole(1, 1))
    prices, worth = np.zeros(3), np.zeros(6)
    found = cheapest_chain(*heads, starts, ends, ends, sums[0], prices, worth, 3, 1, sums[2], sums[3], *backs)
    trace(found, 2, backs[0], backs[1], whole(0, 0))


if __name__ == "__main__":
    main()
