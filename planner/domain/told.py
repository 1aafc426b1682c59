"""Which days a customer knows: from the published plans and from the calls that the office has ticked.

In: published plans, oldest first, and ticks. Out: job -> (first day, day of water in). A customer knows what
the first published plan with the job said, until a tick says that the newer day was told.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date

from planner.domain.plan import Plan
from planner.domain.records import OfficeMark


def told_days(published: Sequence[Plan], marks: Mapping[str, OfficeMark]) -> dict[str, tuple[date, date]]:
    """Job -> first day and finish that its customer knows."""
    known: dict[str, tuple[date, date]] = {}
    for plan in published:
        for code in {b.job for b in plan.bookings} - known.keys():
            mine = plan.of_job(code)
            known[code] = (mine[0].start.date(), max(b.end for b in mine).date())
    for what, place in (("call", 0), ("late", 1)):
        for code, day in _ticked(marks, what).items():
            if code in known:
                first, finish = known[code]
                known[code] = (day, finish) if place == 0 else (first, day)
    return known


def _ticked(marks: Mapping[str, OfficeMark], what: str) -> dict[str, date]:
    """Job -> the day in the latest ticked item of that sort; keys look like "call:P-014:2027-05-04"."""
    latest: dict[str, tuple[str, date]] = {}
    for key, mark in marks.items():
        if mark.state != "done" or not key.startswith(f"{what}:"):
            continue
        code, day = key.removeprefix(f"{what}:").rsplit(":", 1)
        when = mark.at.isoformat() if mark.at else ""
        latest[code] = max(latest.get(code, ("", date.min)), (when, date.fromisoformat(day)))
    return {code: day for code, (_, day) in latest.items()}
