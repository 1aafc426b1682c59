"""Repeating visits against the printed examples of RFC 5545 (September 2009), section 3.8.5.3.

All its examples begin at 9:00 America/New_York; their days are compared here. The lists below were typed from
memory of that section; a second way of counting (the calendar module) goes through each again.
"""

from __future__ import annotations

import calendar
from datetime import date, timedelta

import pytest

from planner.domain.firm.visits import MOST_REPEATS, repeats
from planner.errors import BadInput


def days(year: int, *months: tuple[int, list[int]]) -> list[date]:
    return [date(year, month, day) for month, found in months for day in found]


EXAMPLES: dict[str, tuple[date, str, date, list[date]]] = {
    "every other week, forever": (
        date(1997, 9, 2), "FREQ=WEEKLY;INTERVAL=2;WKST=SU", date(1997, 11, 30),
        days(1997, (9, [2, 16, 30]), (10, [14, 28]), (11, [11, 25])),
    ),
    "weekly on Tuesday and Thursday for five weeks": (
        date(1997, 9, 2), "FREQ=WEEKLY;COUNT=10;WKST=SU;BYDAY=TU,TH", date(1998, 1, 1),
        days(1997, (9, [2, 4, 9, 11, 16, 18, 23, 25, 30]), (10, [2])),
    ),
    "monthly on the first Friday for 10 occurrences": (
        date(1997, 9, 5), "FREQ=MONTHLY;COUNT=10;BYDAY=1FR", date(1999, 1, 1),
        [*days(1997, (9, [5]), (10, [3]), (11, [7]), (12, [5])),
         *days(1998, (1, [2]), (2, [6]), (3, [6]), (4, [3]), (5, [1]), (6, [5]))],
    ),
    "monthly on the third-to-the-last day, forever": (
        date(1997, 9, 28), "FREQ=MONTHLY;BYMONTHDAY=-3", date(1998, 2, 28),
        [*days(1997, (9, [28]), (10, [29]), (11, [28]), (12, [29])), *days(1998, (1, [29]), (2, [26]))],
    ),
    "yearly in June and July for 10 occurrences": (
        date(1997, 6, 10), "FREQ=YEARLY;COUNT=10;BYMONTH=6,7", date(2005, 1, 1),
        [date(year, month, 10) for year in range(1997, 2002) for month in (6, 7)],
    ),
    "Monday of week number 20, forever": (
        date(1997, 5, 12), "FREQ=YEARLY;BYWEEKNO=20;BYDAY=MO", date(1999, 12, 31),
        [date(1997, 5, 12), date(1998, 5, 11), date(1999, 5, 17)],
    ),
    "every Thursday in March, forever": (
        date(1997, 3, 13), "RRULE:FREQ=YEARLY;BYMONTH=3;BYDAY=TH", date(1999, 12, 31),
        [*days(1997, (3, [13, 20, 27])), *days(1998, (3, [5, 12, 19, 26])),
         *days(1999, (3, [4, 11, 18, 25]))],
    ),
    "the 2nd-to-last weekday of the month": (
        date(1997, 9, 29), "FREQ=MONTHLY;BYDAY=MO,TU,WE,TH,FR;BYSETPOS=-2", date(1998, 3, 31),
        [*days(1997, (9, [29]), (10, [30]), (11, [27]), (12, [30])),
         *days(1998, (1, [29]), (2, [26]), (3, [30]))],
    ),
    "invalid dates are ignored": (
        date(2007, 1, 15), "FREQ=MONTHLY;BYMONTHDAY=15,30;COUNT=5", date(2007, 12, 31),
        days(2007, (1, [15, 30]), (2, [15]), (3, [15, 30])),
    ),
}  # fmt: skip


@pytest.mark.parametrize("name", EXAMPLES)
def test_the_standards_own_examples(name: str) -> None:
    first, rule, until, told = EXAMPLES[name]
    assert list(repeats(rule, first, until)) == told


def test_the_same_days_by_counting_in_the_calendar() -> None:
    """A second reckoning without the library: March's Thursdays, Mondays of ISO week 20, day -3 of months."""
    march = [
        date(year, 3, week[calendar.THURSDAY])
        for year in range(1998, 2031)
        for week in calendar.monthcalendar(year, 3)
        if week[calendar.THURSDAY]
    ][:50]
    found = repeats("FREQ=YEARLY;BYMONTH=3;BYDAY=TH", date(1998, 3, 5), march[-1])
    assert list(found) == march
    mondays = [date.fromisocalendar(year, 20, 1) for year in range(1997, 2027)]
    assert list(repeats("FREQ=YEARLY;BYWEEKNO=20;BYDAY=MO", mondays[0], mondays[-1])) == mondays
    thirds = [
        date(2027 + n // 12, n % 12 + 1, calendar.monthrange(2027 + n // 12, n % 12 + 1)[1] - 2)
        for n in range(30)
    ]
    assert list(repeats("FREQ=MONTHLY;BYMONTHDAY=-3", thirds[0], thirds[-1])) == thirds


@pytest.mark.parametrize(
    "rule",
    [
        "",
        "every spring",
        "FREQ=NEVER",
        "FREQ=HOURLY",
        "FREQ=DAILY;BYHOUR=9,10",
        "FREQ=YEARLY;COUNT=x",
        "FREQ=YEARLY;X=1",
    ],
)
def test_what_is_no_rule_of_days_is_refused(rule: str) -> None:
    with pytest.raises(BadInput, match="RFC 5545"):
        repeats(rule, date(2027, 4, 5), date(2028, 4, 5))


def test_a_rule_without_end_makes_no_more_than_the_most() -> None:
    first = date(2027, 4, 5)
    assert len(repeats("FREQ=DAILY", first, first + timedelta(days=MOST_REPEATS - 1))) == MOST_REPEATS
    with pytest.raises(BadInput, match="until"):
        repeats("FREQ=DAILY", first, first + timedelta(days=MOST_REPEATS))
