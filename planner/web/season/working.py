"""Work that takes a while, watched from a page: how far it is, stop it, what came of it."""

from __future__ import annotations

import asyncio
import json
from collections.abc import AsyncIterator

from planner.errors import PlannerError
from planner.web.desk import File, Go, Page, Visit
from planner.web.work import Work

#: How often a watcher is told how far the work is [s].
BEAT_S = 0.4
#: A watcher's line stays open for so long, then it calls again [s].
LONGEST_S = 300.0


def watch(visit: Visit) -> Page | Go | File:
    """The work under way; when it is over, what it came to."""
    task = visit.desk.work.task
    if task is None:
        return Go("/plan")
    if not task.over.is_set():
        return Page("season/working.html", {"task": task, "seconds": round(task.elapsed_s)})
    if task.refusal is not None:
        visit.desk.work.task = None
        raise PlannerError(str(task.refusal))
    answer: Page | Go = task.answer
    if isinstance(answer, Go):
        visit.desk.work.task = None
    return answer


def stop(visit: Visit) -> Go:
    """Stop the work; the best found so far is kept."""
    visit.desk.work.stop()
    return Go("/work")


async def events(work: Work) -> AsyncIterator[str]:
    """How far the work is, as server-sent events (WHATWG HTML, 9.2); the last one says that it is over."""
    for _ in range(int(LONGEST_S / BEAT_S)):
        task = work.task
        if task is None or task.over.is_set():
            yield "event: over\ndata: {}\n\n"
            return
        yield f"data: {json.dumps({'line': task.line, 'seconds': round(task.elapsed_s)})}\n\n"
        await asyncio.sleep(BEAT_S)


#: (address, what answers, whether it writes)
PAGES = (
    ("/work", watch, False),
    ("/work/stop", stop, True),
)
