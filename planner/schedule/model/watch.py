"""The best so far, who is told about it, and when to stop.

One `Watch` follows one solve. It keeps the incumbent: a worse timetable never replaces it. It asks the caller
whether to stop, and knows when the time of a stage is over.
"""

from __future__ import annotations

from collections.abc import Callable
from time import monotonic

from planner.schedule.model.effort import Effort, Progress
from planner.schedule.model.price import Bill
from planner.schedule.model.timetable import Timetable

#: Share of the time after which nothing new is tried: the rest is for drawing early, checking and writing.
SEARCH_ENDS = 0.96


class Watch:
    """best and bill: the incumbent; dispatch: the yardstick's bill; bound: proven, in cents, or None."""

    def __init__(
        self,
        effort: Effort,
        on_progress: Callable[[Progress], None] | None = None,
        stop: Callable[[], bool] | None = None,
        every_s: float = 0.25,
    ) -> None:
        """Start the clock."""
        self.effort = effort
        self.started = monotonic()
        self.best: Timetable | None = None
        self.bill = Bill(0.0, 0.0, 0, 1 << 30)
        self.dispatch: Bill | None = None
        self.rule_table: Timetable | None = None
        self.bound: float | None = None
        self.cut = False
        self.steps = 0
        self.stopped = False
        self.status = ""
        self.stage = "dispatch rules"
        self.stages: list[str] = []
        self._tell, self._stop = on_progress, stop
        self._told_at, self._every_s = 0.0, every_s

    def offer(self, table: Timetable, bill: Bill) -> bool:
        """Keep a copy when it is better than the best: fewer unplaced tasks, then cheaper."""
        if (bill.unplaced, bill.total) < (self.bill.unplaced, self.bill.total - 1e-6):
            self.best, self.bill = table.copy(), bill
            return True
        return False

    @property
    def at_rule(self) -> bool:
        """True when nothing better than the dispatch rules was found."""
        rule = self.dispatch
        return rule is not None and rule.unplaced == 0 and self.bill.total >= rule.total - 1e-6

    def enter(self, stage: str) -> None:
        """Name the stage that begins."""
        self.stage = stage
        self.stages.append(stage)
        self.tell(now=True)

    def over(self, share: float = SEARCH_ENDS) -> bool:
        """True when the caller wants to stop or this share of the time is used; tells progress on the way."""
        if self.used(share):
            self.cut = True
        if self._stop is not None and self._stop():
            self.stopped = True
        self.tell()
        return self.stopped or self.used(share)

    def used(self, share: float) -> bool:
        """True when this share of the time is used."""
        return self.elapsed_s > share * self.effort.seconds

    @property
    def elapsed_s(self) -> float:
        """Seconds on the wall clock since the solve began."""
        return monotonic() - self.started

    @property
    def proven(self) -> bool:
        """True when no plan can be cheaper than the best."""
        return self.bound is not None and self.bound >= self.bill.total - 0.5

    def tell(self, *, now: bool = False) -> None:
        """Report progress, at most every quarter of a second unless `now`."""
        elapsed = self.elapsed_s
        if self._tell is None or (not now and elapsed - self._told_at < self._every_s):
            return
        self._told_at = elapsed
        base = self.dispatch.total if self.dispatch is not None and self.dispatch.unplaced == 0 else 0.0
        saved = (base - self.bill.total) / base if base > 0 and self.bill.unplaced == 0 else 0.0
        self._tell(
            Progress(
                stage=self.stage,
                best_cents=round(self.bill.total),
                late_jobs=self.bill.late_groups,
                improvement=saved,
                bound_cents=None if self.bound is None else int(self.bound),
                elapsed_s=elapsed,
            )
        )
