"""Utility locates: when the office must ask for them, when digging is clear, how long a ticket lives.

In: one state's rule (data, see planner/data/locates.toml) and a moment. Out: dates. The rules drift by law:
every answer is a reminder to ask the one-call center, never a permission to dig. Working days here are
Monday to Friday without the legal holidays of the rule, whatever days the firm itself works.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from functools import lru_cache

from planner.domain.dates import long_day
from planner.domain.safety.closed_days import closed_days
from planner.errors import BadInput

CAUTION = "check your one-call center (811) and the ticket; every owner's response is the go-ahead"

HOURS, FULL_DAYS = "hours", "full days"
WORKING, CALENDAR = "working days", "calendar days"
ANCHORS = ("request included", "request excluded", "start included", "start excluded")
END_OF_DAY = time(23, 59)
ONE_DAY = timedelta(days=1)


@dataclass(frozen=True, slots=True)
class LocateRule:
    """One state's rule. Fields as in the data file; 0 and "" where the source states none.

    closed: the days that do not count, where a law or the center lists its own; else `holidays` tells.
    """

    state: str
    words: str
    notice: int
    notice_unit: str
    source: str
    as_of: str
    seen: str
    clock: str = "request"
    latest: int = 0
    latest_unit: str = WORKING
    life: int = 0
    life_unit: str = CALENDAR
    life_from: str = "request included"
    renew_by_day: int = 0
    renew_before: int = 0
    holidays: str = "federal"
    note: str = ""
    checked: str = ""
    closed: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        """Refuse a rule that cannot be reckoned with (BadInput)."""
        for field, value, allowed in (
            ("notice_unit", self.notice_unit, (HOURS, FULL_DAYS)),
            ("clock", self.clock, ("request", "next day")),
            ("latest_unit", self.latest_unit, (WORKING, CALENDAR)),
            ("life_unit", self.life_unit, (WORKING, CALENDAR)),
            ("life_from", self.life_from, ANCHORS),
            ("holidays", self.holidays, ("federal", "state")),
        ):
            if value not in allowed:
                raise BadInput(field, value, f"write one of: {', '.join(allowed)}", where=self.state)
        closed_days(self.closed, 2027)
        if self.checked and not _is_day(self.checked):
            raise BadInput("checked", self.checked, "write a day like 2026-11-25", where=self.state)
        if self.notice <= 0:
            raise BadInput("notice", self.notice, "write a number above 0", where=self.state)
        for field in ("notice", "latest", "life", "renew_by_day", "renew_before"):
            if not 0 <= getattr(self, field) <= 400:
                raise BadInput(field, getattr(self, field), "write a number from 0 to 400", where=self.state)


def _is_day(text: str) -> bool:
    try:
        return bool(date.fromisoformat(text))
    except ValueError:
        return False


#: How a rule was seen, in words; any other text of the firm's own file is shown as it is written.
_SEEN = {
    "law": "the text of the law or rule was read",
    "center": "the one-call center's own page was read, the law was not",
    "bill": "the bill and its course were read, the act as printed was not",
    "report": "what others write of it was read",
    "assumed": "no source: assumed",
}


def checked_words(rule: LocateRule) -> str:
    """How far the figures can be trusted: "last checked Wed Nov 25, 2026: the law's own text was read"."""
    seen = _SEEN.get(rule.seen, rule.seen)
    if not rule.checked:
        return f"never checked against a law: {seen}"
    return f"last checked {long_day(date.fromisoformat(rule.checked))}: {seen}"


@lru_cache(maxsize=128)
def _legal_holidays(state: str, year: int) -> frozenset[date]:
    import holidays

    return frozenset(holidays.country_holidays("US", subdiv=state or None, years=year))


_closed_days = lru_cache(maxsize=128)(closed_days)


def is_open(rule: LocateRule, day: date) -> bool:
    """True when `day` counts as a working day of the one-call rule."""
    if day.weekday() >= 5:
        return False
    if rule.closed:
        return day not in _closed_days(rule.closed, day.year)
    state = rule.state if rule.holidays == "state" else ""
    return day not in _legal_holidays(state, day.year)


def _walk(day: date, step: int, counts: Callable[[date], bool]) -> Iterator[date]:
    """Days after (step 1) or before (step -1) `day` that count, without `day` itself."""
    while True:
        day += timedelta(days=step)
        if counts(day):
            yield day


def _nth(rule: LocateRule, day: date, n: int, unit: str, step: int = 1) -> date:
    """The n-th counted day after (or before) `day`; `day` itself when n is 0."""
    if n == 0:
        return day
    counts = (lambda d: is_open(rule, d)) if unit == WORKING else (lambda _: True)
    walk = _walk(day, step, counts)
    for _ in range(n - 1):
        next(walk)
    return next(walk)


def clears(rule: LocateRule, asked: datetime) -> datetime:
    """When the notice has run out: the earliest lawful moment to dig if every owner has answered.

    "full days" clear at 23:59 of the last day, so digging is for the day after.
    """
    if rule.notice_unit == FULL_DAYS:
        return datetime.combine(_nth(rule, asked.date(), rule.notice, WORKING), END_OF_DAY)
    moment = asked
    if rule.clock == "next day":
        moment = datetime.combine(_nth(rule, asked.date(), 1, WORKING), time(0, 1))
    elif not is_open(rule, asked.date()):
        moment = datetime.combine(_nth(rule, asked.date(), 1, WORKING), time())
    whole, rest_h = divmod(rule.notice, 24)
    moment = datetime.combine(_nth(rule, moment.date(), whole, WORKING), moment.time())
    late = moment + timedelta(hours=rest_h)
    if late.date() != moment.date():
        late = datetime.combine(_nth(rule, moment.date(), 1, WORKING), late.time())
    return late


def latest_start(rule: LocateRule, asked: date) -> date | None:
    """The last day on which work may start under a request of that day; None when the source states none."""
    return _nth(rule, asked, rule.latest, rule.latest_unit) if rule.latest else None


def ask_by(rule: LocateRule, dig: datetime, call_at: time = time(16, 0)) -> date:
    """The last working day on which a call made by `call_at` clears before `dig`."""
    for day in _walk(dig.date() + ONE_DAY, -1, lambda d: is_open(rule, d)):
        if clears(rule, datetime.combine(day, call_at)) <= dig:
            return day
    raise AssertionError("unreachable")


def ask_from(rule: LocateRule, dig: date) -> date | None:
    """The first day on which a request may be made for work that starts on `dig`; None: no limit stated."""
    if not rule.latest:
        return None
    day = _nth(rule, dig, rule.latest + 1, rule.latest_unit, -1)
    while True:
        last = latest_start(rule, day)
        if last is not None and last >= dig:
            return day
        day += ONE_DAY


def expires(rule: LocateRule, asked: date, start: datetime) -> datetime | None:
    """When the ticket dies; None when the source states no life (then ask).

    asked: day of the request; start: the stated start of work.
    """
    if not rule.life:
        return None
    if rule.life_from == "start excluded":
        return datetime.combine(_nth(rule, start.date(), rule.life, rule.life_unit), start.time())
    return datetime.combine(_day_of_life(rule, rule.life, asked, start.date()), END_OF_DAY)


def _day_of_life(rule: LocateRule, n: int, asked: date, start: date) -> date:
    anchor = asked if rule.life_from.startswith("request") else start
    return _nth(rule, anchor, n - rule.life_from.endswith("included"), rule.life_unit)


def renew_by(rule: LocateRule, asked: date, start: datetime) -> date | None:
    """The last working day on which to renew so that the marks stay valid; None without a stated life."""
    end = expires(rule, asked, start)
    if end is None:
        return None
    if rule.renew_by_day:
        last = _day_of_life(rule, rule.renew_by_day, asked, start.date())
        return last if is_open(rule, last) else _nth(rule, last, 1, WORKING, -1)
    if rule.renew_before:
        return _nth(rule, end.date(), rule.renew_before, WORKING, -1)
    return ask_by(rule, end)


def terms(rule: LocateRule) -> str:
    """The rule in one line of words."""
    unit = "full working days" if rule.notice_unit == FULL_DAYS else "hours, working days only"
    parts = [f"notice {rule.notice} {unit}, the day of the call not counted"]
    if rule.notice_unit == HOURS and rule.clock == "request":
        parts = [f"notice {rule.notice} {unit}, from the call"]
    if rule.latest:
        parts.append(f"start within {rule.latest} {rule.latest_unit}")
    if rule.life:
        parts.append(f"ticket lives {rule.life} {rule.life_unit} ({rule.life_from})")
    else:
        parts.append("ticket life not stated in the source: ask")
    return "; ".join(parts)
