"""Work that takes a while: one at a time, in its own thread, watched from a page, stopped when asked to.

What it comes to is an answer like any other page's: it is shown when the work is done.
"""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import dataclass, field
from threading import Event, Lock, Thread
from typing import Any

from planner.errors import PlannerError

#: Says how far the work has come, in one line.
Tell = Callable[[str], None]
#: Whether somebody asked to stop.
Stopped = Callable[[], bool]


@dataclass(slots=True)
class Task:
    """One piece of work. words: what it is; who: asked for it; keeps: what a stop leaves, or ""."""

    words: str
    who: str
    keeps: str
    line: str = "reading the season ..."
    answer: Any = None
    refusal: PlannerError | None = None
    stop: Event = field(default_factory=Event)
    over: Event = field(default_factory=Event)
    began_s: float = field(default_factory=time.monotonic)

    @property
    def elapsed_s(self) -> float:
        """Since it was begun [s]."""
        return time.monotonic() - self.began_s

    def tell(self, line: str) -> None:
        """Say how far it has come."""
        self.line = line


class Work:
    """The one task of a server."""

    def __init__(self) -> None:
        """Nothing to do yet."""
        self._lock = Lock()
        self.task: Task | None = None

    def begin(self, words: str, who: str, does: Callable[[Tell, Stopped], Any], keeps: str = "") -> Task:
        """Start `does` in its own thread. PlannerError while another task runs."""
        with self._lock:
            if self.task is not None and not self.task.over.is_set():
                raise PlannerError(
                    f"{self.task.who} is at it already ({self.task.words}): wait, or stop that"
                )
            task = self.task = Task(words, who, keeps)
        Thread(target=_run, args=(task, does), name="planner-work", daemon=True).start()
        return task

    def stop(self) -> None:
        """Ask the task to come to its end; what it found so far is kept."""
        if self.task is not None:
            self.task.stop.set()


def _run(task: Task, does: Callable[[Tell, Stopped], Any]) -> None:
    try:
        task.answer = does(task.tell, task.stop.is_set)
    except PlannerError as refusal:
        task.refusal = refusal
    except Exception:
        task.refusal = PlannerError("the work broke off by a fault of the planner: please report this")
        raise
    finally:
        task.over.set()
