"""Which days a customer knows, and what he must still hear: from published plans and the office's calls.

In: published plans, oldest first, and ticks. Out: job -> (first day, day of water in). A customer of the
first plan knows what it said; one whose job a later plan adds knows nothing until he is called. From then on
he knows what the newest ticked call told him.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from planner.domain.firm.records import TICKED, OfficeMark
from planner.domain.season.plan import Plan

#: Job -> first day and day of water in, as its customer knows them.
Told = Mapping[str, tuple[date, date]]


@dataclass(frozen=True, slots=True)
class News:
    """What a customer does not know yet and must hear. new: his job is planned for the first time; moved:
    work begins on another day; late: the water comes on another day, which lies after the promise.
    """

    new: bool = False
    moved: bool = False
    late: bool = False

    def __bool__(self) -> bool:
        """Whether he must be called."""
        return self.new or self.moved or self.late


def news(told: Told, job: str, days: tuple[date, date], promised: date | None, *, begun: bool) -> News:
    """What the customer of `job` must hear when its first day and finish are `days`.

    begun: work has started, so that the first day is no news. Where nobody was told anything there are no
    calls yet: the first plan is told by itself.
    """
    first, finish = days
    knows, late = told.get(job), promised is not None and finish > promised
    if knows is None:
        return News(new=True, late=late) if told and not begun else News()
    return News(moved=first != knows[0] and not begun, late=late and finish != knows[1])


def told_days(published: Sequence[Plan], marks: Mapping[str, OfficeMark]) -> dict[str, tuple[date, date]]:
    """Job -> first day and finish that its customer knows."""
    known: dict[str, tuple[date, date]] = {}
    for plan in published[:1]:
        for code in {b.job for b in plan.bookings}:
            mine = plan.of_job(code)
            known[code] = (mine[0].start.date(), max(b.end for b in mine).date())
    calls = {k: m.at.isoformat() if m.at else "" for k, m in marks.items() if _is_call(k, m)}
    for key in sorted(calls, key=lambda k: (calls[k], k)):
        what, rest = key.split(":", 1)
        code, days = _parted(rest)
        before = known.get(code)
        if len(days) == 2:
            known[code] = (days[0], days[1])
        elif before is not None and days:
            known[code] = (days[0], before[1]) if what == "call" else (before[0], days[0])
    return known


def _is_call(key: str, mark: OfficeMark) -> bool:
    return mark.state == TICKED and key.startswith(("call:", "late:"))


def _parted(rest: str) -> tuple[str, list[date]]:
    """ "P-014:2027-05-04:2027-05-11" -> job and days; older keys hold one day only."""
    words = rest.split(":")
    days: list[date] = []
    while len(words) > 1 and len(days) < 2:
        try:
            days.insert(0, date.fromisoformat(words[-1]))
        except ValueError:
            break
        words.pop()
    return ":".join(words), days
