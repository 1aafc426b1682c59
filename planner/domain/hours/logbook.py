"""What may be logged: hours that a day can hold, on work that is open, within the season.

In: a new entry, the entries so far, the job, the firm, today. Out: the fault in one line, or nothing. Shapes
(negative hours, shares over 1) are checked where entries are stored; here the facts are.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from planner.domain.dates import figures, long_day
from planner.domain.firm.actuals import Log, progress
from planner.domain.firm.firm import Firm
from planner.domain.firm.jobs import ITEMS, Job, Status
from planner.domain.firm.phases import Phase
from planner.errors import BadInput, PlannerError

HOURS_A_DAY = 24.0


def check_entry(entry: Log, logs: Sequence[Log], job: Job, firm: Firm, today: date) -> None:
    """Refuse an entry that cannot be true. Raises BadInput (a wrong value) or PlannerError (a wrong state).

    logs: the entries so far, at least those of the job and those of the crew on that day.
    """
    _check_day(entry.day, firm, today)
    if job.status in {Status.INQUIRY, Status.CANCELLED}:
        raise PlannerError(f"{job.code} is {job.status.value}: mark it sold before logging hours on it")
    if entry.phase not in job.phases:
        have = ", ".join(p.words for p in job.phases) or "none"
        raise BadInput("phase", entry.phase.words, f"{job.code} has no such work; it has: {have}")
    finished = next((e for e in logs if _same(e, entry) and (e.done or (e.share_done or 0) >= 1)), None)
    if finished is not None:
        raise PlannerError(
            f"{job.code} {entry.phase.words} was logged as done on {long_day(finished.day)} "
            f"(entry {finished.id}): take that back first with `planner log undo {finished.id}`"
        )
    if entry.share_done is not None and not 0 <= entry.share_done <= 1:
        raise BadInput("share done", f"{entry.share_done:.0%}", "progress runs from 0 to 100 %")
    _check_hours(entry, logs)


def _check_day(day: date, firm: Firm, today: date) -> None:
    if not firm.season_first <= day <= firm.season_last:
        span = f"the season runs from {long_day(firm.season_first)} to {long_day(firm.season_last)}"
        raise BadInput("day", figures(day), f"{span}: choose a day in it, or change it with `planner firm`")
    if day > today:
        raise BadInput(
            "day", figures(day), f"hours are logged when they are worked: today is {long_day(today)}"
        )


def _check_hours(entry: Log, logs: Sequence[Log]) -> None:
    if not (entry.crew_h >= 0 and entry.lost_h >= 0 and entry.crew_h + entry.lost_h > 0):
        raise BadInput("hours", entry.crew_h, "give hours above 0, worked or lost")
    already = sum(e.crew_h + e.lost_h for e in logs if e.crew == entry.crew and e.day == entry.day)
    if entry.crew_h + entry.lost_h + already > HOURS_A_DAY:
        has = (
            f" and {already:g} h are logged for {entry.crew} on {long_day(entry.day)} already"
            if already
            else ""
        )
        raise BadInput("hours", entry.crew_h + entry.lost_h, f"a day has 24 hours{has}")


def _same(a: Log, b: Log) -> bool:
    return a.job == b.job and a.phase is b.phase


def share_from_quantity(
    job: Job, phase: Phase, item: str | None, quantity: float, logs: Sequence[Log]
) -> float:
    """The phase's share after `quantity` more of an item; the rest of the phase is taken to keep step.

    item: None when the phase has one counted item. Raises BadInput for an item that the job lacks, or more
    than is left of it.
    """
    have = {line.item for line in job.lines if line.phase is phase and ITEMS[line.item].rated}
    if item is None:
        if len(have) != 1:
            raise BadInput("item", "missing", f"say which: {', '.join(sorted(have)) or 'none'}")
        item = next(iter(have))
    if item not in have:
        raise BadInput("item", item, f"use one of: {', '.join(sorted(have)) or 'none'}")
    total = job.amount(item)
    if not 0 < quantity <= total:
        raise BadInput("quantity", quantity, f"give more than 0, at most {total:g} {ITEMS[item].unit}")
    so_far = progress(list(logs)).get((job.code, phase))
    share = (so_far.share if so_far else 0.0) + quantity / total
    if share > 1.0 + 1e-9:
        left = (1.0 - (so_far.share if so_far else 0.0)) * total
        raise BadInput(
            "quantity", quantity, f"progress would pass 100 %: {left:.4g} {ITEMS[item].unit} are left"
        )
    return min(1.0, share)


def status_after(job: Job, logs: Sequence[Log]) -> Status:
    """The job's status by its hours: sold without any, done when every phase is, else under way.

    A cancelled job or an inquiry stays what it is.
    """
    if job.status in {Status.CANCELLED, Status.INQUIRY}:
        return job.status
    mine = progress([e for e in logs if e.job == job.code])
    if not mine:
        return Status.SOLD
    finished = job.phases and all((job.code, p) in mine and mine[job.code, p].done for p in job.phases)
    return Status.DONE if finished else Status.UNDER_WAY
