"""Which days a customer knows, and what he must still hear: from published plans and the office's calls.

In: the plan published first, and ticks. Out: job -> (first day, day of water in). A customer whose work was
near when it was published knows what it said; any other knows nothing but what was promised until his first
day is so near that he is called. From then on he knows what the newest ticked call told him.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date

from planner.domain.firm.records import TICKED, OfficeMark
from planner.domain.season.plan import Plan, Told
from planner.domain.season.told_days import told_by_plan


@dataclass(frozen=True, slots=True)
class News:
    """What a customer does not know yet and must hear. new: he was not told any day, and his is near; moved:
    work begins on another day; late: the water comes on another day, which lies after the promise.
    """

    new: bool = False
    moved: bool = False
    late: bool = False

    def __bool__(self) -> bool:
        """Whether he must be called."""
        return self.new or self.moved or self.late


def news(
    told: Told,
    job: str,
    days: tuple[date, date],
    promised: date | None,
    *,
    begun: bool,
    until: date | None,
) -> News:
    """What the customer of `job` must hear when its first day and finish are `days`.

    begun: work has started, so that the first day is no news, but a late finish is. until: the last first day
    that customers are told today (`told_until`); None where nothing is published yet.
    """
    first, finish = days
    knows, late = told.get(job), promised is not None and finish > promised
    if knows is None:
        heard = until is not None and (begun or first <= until)
        return News(new=not begun, late=late) if heard else News()
    return News(moved=first != knows[0] and not begun, late=late and finish != knows[1])


def told_days(first: Plan | None, marks: Mapping[str, OfficeMark], tell_days: int) -> Told:
    """Job -> first day and finish that its customer knows. first: the plan published first, if any."""
    known: dict[str, tuple[date, date]] = {}
    if first is not None and first.published_at is not None:
        known = told_by_plan(first, first.published_at.date(), tell_days)
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
