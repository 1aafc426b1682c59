"""`python -m planner.schedule.search.filling`: compile the kernel for this computer, for the next search.

Searches a season of two invented tasks and its floor as a real one's are, so that every function is compiled
and kept as it is called, then marks the folder as ready and throws away what nobody used for a month. What is
younger stays: another installation on this computer may be at work with it.
"""

from __future__ import annotations

import os
import shutil
import time
from pathlib import Path

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
    from planner.schedule.model.decode import Decisions, decode, pieces
    from planner.schedule.model.price import Pricer
    from planner.schedule.model.problem import Group, Lag, Problem, Task, Way, Worker
    from planner.schedule.model.shop import Shop
    from planner.schedule.search.branching import floor_of
    from planner.schedule.search.early import drawn_early
    from planner.schedule.search.stream import Stream

    tasks = tuple(Task(key, (Way(("w",), 2),), "g") for key in "ab")
    workers, groups, lags = (Worker("w"),), (Group("g"),), (Lag("a", "b"),)
    shop = Shop(Problem(horizon=20, tasks=tasks, workers=workers, groups=groups, lags=lags))
    parts, pricer = pieces(shop), Pricer(shop)
    table = decode(shop, Decisions(parts, [-1] * len(shop.tasks), shop.release[:]))
    Stream(shop, pricer, parts, table, seed=1).advance(8)
    drawn_early(shop, pricer, table, parts)
    floor_of(shop, pricer, parts, pricer.bill(table).total + 1_000.0, 1, 1, lambda: False)


if __name__ == "__main__":
    main()
