"""The days of a year on which a one-call center does not work, where its own list is shorter or longer.

In: entries as a person writes them, "12/24", "last Mon May", "day after fourth Thu Nov". Out: the dates of a
year. A day that is always on the same date is kept on the Friday before when it falls on a Saturday, and on
the Monday after when it falls on a Sunday.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from datetime import date, timedelta

from planner.domain.dates import DAYS, MONTHS
from planner.errors import BadInput

_NTH = {"first": 0, "second": 1, "third": 2, "fourth": 3, "last": -1}
_ON_DATE = re.compile(r"(\d{1,2})/(\d{1,2})")
_ON_WEEKDAY = re.compile(rf"(day after )?({'|'.join(_NTH)}) ({'|'.join(DAYS)}) ({'|'.join(MONTHS)})")


def closed_days(entries: Iterable[str], year: int) -> frozenset[date]:
    """The dates of `year`; what the year before or after keeps in it counts too. BadInput for an odd entry.

    >>> sorted(closed_days(["1/1", "day after fourth Thu Nov"], 2027))
    [datetime.date(2027, 1, 1), datetime.date(2027, 11, 26), datetime.date(2027, 12, 31)]
    """
    listed = list(entries)
    days = (_kept(entry, y) for entry in listed for y in (year - 1, year, year + 1))
    return frozenset(day for day in days if day.year == year)


def _kept(entry: str, year: int) -> date:
    on_date, on_weekday = _ON_DATE.fullmatch(entry), _ON_WEEKDAY.fullmatch(entry)
    try:
        if on_date:
            return _moved(date(year, int(on_date[1]), int(on_date[2])))
        if on_weekday:
            after, nth, weekday, month = on_weekday.groups()
            found = _weekdays(year, MONTHS.index(month) + 1, DAYS.index(weekday))[_NTH[nth]]
            return found + timedelta(days=1 if after else 0)
    except ValueError:
        pass
    fix = "write days like 12/24, last Mon May, day after fourth Thu Nov"
    raise BadInput("closed", entry, fix)


def _moved(day: date) -> date:
    return day + timedelta(days={5: -1, 6: 1}.get(day.weekday(), 0))


def _weekdays(year: int, month: int, weekday: int) -> list[date]:
    """All days of a month on that weekday, 0 is Monday."""
    first = date(year, month, 1)
    first += timedelta(days=(weekday - first.weekday()) % 7)
    days = (first + timedelta(weeks=n) for n in range(5))
    return [day for day in days if day.month == month]
