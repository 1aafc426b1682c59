"""Locates on the office's list: what is pressing, and digs that are past without a word."""

from __future__ import annotations

from datetime import date

import pytest

from planner.domain.firm.phases import Phase
from planner.domain.office.items import Kind
from tests.domain.office.test_items import at, booking, desk, only, ticked


@pytest.mark.parametrize(
    ("dig", "pressing"),
    [
        (7, ""),  # asked Thursday 29 April, clear on Monday 3 May 23:59: a dig on Friday is in time
        (3, "too late for Mon May 3: re-plan, or move the dig"),
    ],
)
def test_an_answer_that_is_not_in_yet_presses_when_the_dig_is_due(dig: int, pressing: str) -> None:
    """Ohio Revised Code 3781.28 (House Bill 227, 2026): two full working days, the day of the notice not
    counted: Thursday 29 April, then Friday and Monday."""
    marks = ticked("locate:P-1", at(4, 29, 9))
    item = only(desk(booking(Phase.DIG, at(5, dig), at(5, dig, 15)), marks=marks), Kind.CLEARED)
    assert (item.due, item.pressing) == (date(2027, 5, 3), pressing)


def test_a_notice_that_has_run_out_without_answers_stops_todays_dig() -> None:
    marks = ticked("locate:P-1", at(4, 26, 9))
    due = only(desk(booking(Phase.DIG, at(5, 3), at(5, 3, 15)), marks=marks), Kind.CLEARED)
    later = only(desk(booking(Phase.DIG, at(5, 4), at(5, 4, 15)), marks=marks), Kind.CLEARED)
    assert due.pressing == "the dig is due: no digging before every owner has answered"
    assert later.pressing == ""


def test_a_dig_that_was_planned_for_the_past_begins_today_at_the_earliest() -> None:
    """Asked on 1 April, cleared, planned for 5 April and not logged since: on 3 May the request is too old
    (Ohio: 16 calendar days), whatever day the plan still holds."""
    marks = ticked("locate:P-1", at(4, 1, 9)) | ticked("cleared:P-1:2027-04-01", at(4, 5))
    item = only(desk(booking(Phase.DIG, at(4, 5), at(4, 5, 15)), marks=marks), Kind.LOCATE)
    assert item.key == "relocate:P-1:2027-04-01"
    assert "covers a start up to Sat Apr 17, not the dig on Mon May 3" in item.words
