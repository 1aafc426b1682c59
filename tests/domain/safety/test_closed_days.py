"""The days that a one-call center lists as closed, beside federal holidays of a general-purpose library."""

from __future__ import annotations

from datetime import date, datetime

import holidays
import pytest

from planner.domain.safety.closed_days import closed_days
from planner.domain.safety.locate import ask_by, clears
from planner.errors import BadInput
from planner.store.shipped.locates import locate_rule

#: Federal holidays (5 U.S.C. 6103) that a center's list may hold, as the library calls them.
FEDERAL = {
    "1/1": "New Year's Day",
    "last Mon May": "Memorial Day",
    "7/4": "Independence Day",
    "first Mon Sep": "Labor Day",
    "11/11": "Veterans Day",
    "fourth Thu Nov": "Thanksgiving Day",
    "12/25": "Christmas Day",
}


@pytest.mark.parametrize("entry", FEDERAL)
def test_a_holiday_is_kept_on_the_day_on_which_the_federal_one_is(entry: str) -> None:
    """Saturdays on the Friday before, Sundays on the Monday after, New Year's of the next year included."""
    for year in range(2024, 2060):
        days = holidays.country_holidays("US", years=(year, year + 1))
        named = {
            d for d, name in days.items() if name.removesuffix(" (observed)").split(";")[0] == FEDERAL[entry]
        }
        kept = {d for d in named if d.weekday() < 5 and d.year == year}
        assert kept <= closed_days([entry], year)
        assert {d for d in closed_days([entry], year) if d.weekday() < 5} == kept


def test_alabama_counts_its_own_nine_days() -> None:
    """Alabama 811, Holiday Schedule (al811.com): nine days; Friday after Thanksgiving and Christmas Eve count
    among them, other legal holidays do not. Two full working days, the day of the notice not counted."""
    rule = locate_rule("AL")
    # Asked Wednesday 25 November 2026: Thursday and Friday are closed, Monday and Tuesday are the two days.
    assert clears(rule, datetime(2026, 11, 25, 9)) == datetime(2026, 12, 1, 23, 59)
    # Asked Tuesday 22 December 2026: Wednesday is the first, then two are closed, Monday is the second.
    assert clears(rule, datetime(2026, 12, 22, 9)) == datetime(2026, 12, 28, 23, 59)
    # Monday 12 October 2026 is a legal holiday of the state, and a working day of the center.
    assert clears(rule, datetime(2026, 10, 9, 9)) == datetime(2026, 10, 13, 23, 59)
    assert ask_by(rule, datetime(2026, 12, 29, 7)) == date(2026, 12, 22)


@pytest.mark.parametrize("entry", ["", "13/1", "2/30", "fifth Mon May", "last Monday May", "12-24"])
def test_an_odd_entry_is_refused(entry: str) -> None:
    with pytest.raises(BadInput, match="12/24, last Mon May"):
        closed_days([entry], 2027)
