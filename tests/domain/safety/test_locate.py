"""One-call rules against published notices and worked dates; every figure's source stands beside it."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, datetime, time, timedelta

import pytest

from planner.domain.dates import long_day
from planner.domain.safety.locate import (
    LocateRule,
    ask_by,
    ask_from,
    checked_words,
    clears,
    expires,
    is_open,
    latest_start,
    renew_by,
    terms,
)
from planner.errors import BadInput
from planner.store.shipped.locates import locate_rule, locate_rules

# North Carolina as it was in 2008: 48 hours, the clock starts at 00:01 of the next working day.
NC_2008 = LocateRule(
    "NC", "North Carolina, 2008", 48, "hours", "ncbase.org notice", "2008", "primary", clock="next day"
)


def test_published_notice_of_2008() -> None:
    # ncbase.org notice: called in Monday 14 July 2008 10:45, the 48 hours end Thursday 17 July 00:01.
    assert clears(NC_2008, datetime(2008, 7, 14, 10, 45)) == datetime(2008, 7, 17, 0, 1)


def test_ohio_over_memorial_day() -> None:
    # Ohio House Bill 227 (136th General Assembly), in force 9 June 2026: two working days without the day of
    # the notice, at most 16 calendar days ahead. Derived for Thursday 27 May 2027 over Memorial Day (31 May).
    rule = locate_rule("OH")
    assert clears(rule, datetime(2027, 5, 27, 10)) == datetime(2027, 6, 1, 23, 59)
    assert latest_start(rule, date(2027, 5, 27)) == date(2027, 6, 12)
    # a call on a Saturday waits for Monday and Tuesday
    assert clears(rule, datetime(2027, 6, 5, 12)) == datetime(2027, 6, 8, 23, 59)
    # before that act the Revised Code counted 48 hours from the call: that is no longer enough
    assert clears(rule, datetime(2027, 5, 24, 7)) > datetime(2027, 5, 26, 7)
    assert rule.life == 0


def test_north_carolina_three_full_days() -> None:
    # nc811.org: 3 full working days, clear at 23:59 of day 3: Monday 18 May 2026 clears Thursday 21 May.
    rule = locate_rule("NC")
    assert clears(rule, datetime(2026, 5, 18, 8)) == datetime(2026, 5, 21, 23, 59)
    assert ask_by(rule, datetime(2026, 5, 22, 7)) == date(2026, 5, 18)
    # 15 full working days, update by the 12th: 1 June 2026 is a Monday, its 12th working day after is 17 June
    assert renew_by(rule, date(2026, 6, 1), datetime(2026, 6, 5, 7)) == date(2026, 6, 17)


def test_illinois_lives_25_days() -> None:
    # JULIE, Damage Prevention Act amendments: 2 to 10 days ahead without the day of the call, life 25 days.
    # Read as calendar days with the day of the request: requested 1 April 2027, alive to the 25th, a Sunday;
    # renewed two working days before, on Thursday the 22nd.
    rule = locate_rule("IL")
    assert expires(rule, date(2027, 4, 1), datetime(2027, 4, 6, 7)) == datetime(2027, 4, 25, 23, 59)
    assert renew_by(rule, date(2027, 4, 1), datetime(2027, 4, 6, 7)) == date(2027, 4, 22)
    assert clears(rule, datetime(2027, 4, 1, 9)) == datetime(2027, 4, 5, 23, 59)
    assert latest_start(rule, date(2027, 4, 1)) == date(2027, 4, 15)


def test_nebraska_counts_from_the_start() -> None:
    # Nebraska811, Information Center: a ticket that starts 1 September 2019 at noon expires on the 18th at
    # noon; a request on Monday may start on Thursday, as Monday does not count.
    rule = locate_rule("NE")
    start = datetime(2019, 9, 1, 12)
    assert expires(rule, date(2019, 8, 27), start) == datetime(2019, 9, 18, 12)
    assert renew_by(rule, date(2019, 8, 27), start) == date(2019, 9, 16)
    assert clears(rule, datetime(2027, 6, 14, 12)) == datetime(2027, 6, 16, 23, 59)
    # Nebraska Revised Statute 76-2321(1): not more than ten business days ahead (Juneteenth: 18 June)
    assert latest_start(rule, date(2027, 6, 14)) == date(2027, 6, 29)


def test_pennsylvania_is_not_asked_more_than_ten_days_ahead() -> None:
    # Pennsylvania One Call System, Frequently Asked Questions: three business days, not more than ten; the
    # day after Thanksgiving is a holiday there.
    rule = locate_rule("PA")
    assert latest_start(rule, date(2027, 11, 15)) == date(2027, 12, 1)
    assert ask_from(rule, date(2027, 12, 1)) == date(2027, 11, 15)
    assert clears(rule, datetime(2027, 11, 24, 9)) == datetime(2027, 12, 1, 23, 59)


def test_oregon_tickets_live_30_days_since_2026() -> None:
    # Oregon Utility Notification Center, rulemaking: OAR 952-001-0010, from 45 to 30 calendar days.
    rule = locate_rule("OR")
    assert expires(rule, date(2027, 5, 3), datetime(2027, 5, 6, 7)) == datetime(2027, 6, 1, 23, 59)


def test_alabama_working_days_from_the_start() -> None:
    # al811.com: 20 working days from the stated start, renewed at least 2 working days before.
    # Monday 7 September 2026 is Labor Day; Tuesday 8 September is day 1, Monday 5 October is day 20.
    rule = locate_rule("AL")
    start = datetime(2026, 9, 8, 7)
    assert expires(rule, date(2026, 9, 3), start) == datetime(2026, 10, 5, 23, 59)
    assert renew_by(rule, date(2026, 9, 3), start) == date(2026, 10, 1)


def test_texas_and_oregon() -> None:
    # Texas Utilities Code 251.151: two business days, not before the 14th day before the start.
    texas = locate_rule("TX")
    dig = datetime(2026, 7, 6, 7)  # Monday after Friday 3 July, observed Independence Day
    assert ask_by(texas, dig) == date(2026, 6, 30)
    assert ask_from(texas, dig.date()) == date(2026, 6, 22)
    # OAR 952-001-0050: two full business days, at most ten.
    oregon = locate_rule("OR")
    assert clears(oregon, datetime(2026, 5, 18, 9)).date() == date(2026, 5, 20)
    assert latest_start(oregon, date(2026, 5, 18)) == date(2026, 6, 2)


@pytest.mark.parametrize(
    ("year", "moved"),
    [
        (2026, date(2026, 7, 3)),
        (2027, date(2027, 6, 18)),
        (2027, date(2027, 7, 5)),
        (2028, date(2028, 11, 10)),
    ],
)
def test_federal_holidays_that_move(year: int, moved: date) -> None:
    # 5 U.S.C. 6103: Saturday to the Friday before, Sunday to the Monday after (printed shifts 2026-2028).
    assert moved.year == year
    assert not is_open(locate_rule("TX"), moved)


def test_asking_by_the_last_day_is_just_in_time() -> None:
    # Law: a call on the last day clears in time; a call one working day later does not.
    for rule in locate_rules().values():
        for offset in range(40):
            dig = datetime(2026, 5, 18, 7) + timedelta(days=offset)
            last = ask_by(rule, dig)
            assert is_open(rule, last)
            assert clears(rule, datetime.combine(last, time(16))) <= dig
            later = last + timedelta(days=1)
            while not is_open(rule, later):
                later += timedelta(days=1)
            assert clears(rule, datetime.combine(later, time(16))) > dig
            first = ask_from(rule, dig.date())
            assert first is None or first <= last


def test_each_rule_names_its_source() -> None:
    for state, rule in locate_rules().items():
        assert rule.source
        assert rule.seen in {"law", "center", "bill", "report", "assumed"}
        assert (rule.checked == "") == (rule.seen == "assumed")
        assert not rule.checked or long_day(date.fromisoformat(rule.checked)) in checked_words(rule)
        assert len(state) in {0, 2}
        assert str(rule.notice) in terms(rule)
    assert locate_rule("ZZ").seen == "assumed"


def test_a_rule_with_an_unknown_unit_is_refused() -> None:
    with pytest.raises(BadInput, match="notice_unit"):
        LocateRule("XX", "x", 2, "moons", "s", "2026", "weak")
    with pytest.raises(BadInput, match="checked"):
        LocateRule("XX", "x", 2, "hours", "s", "2026", "weak", checked="spring")
    with pytest.raises(BadInput, match="notice"):
        LocateRule("XX", "x", 0, "hours", "s", "2026", "weak")


@pytest.mark.parametrize(
    ("asked", "clear"),
    [
        # 48 hours "from the call, working days only": hours of Saturday and Sunday count nowhere, so the
        # Sunday on which clocks change (15 U.S.C. 260a) takes none away and gives none.
        (datetime(2027, 3, 12, 10), datetime(2027, 3, 16, 10)),  # clocks forward on Sunday 14 March
        (datetime(2027, 11, 5, 10), datetime(2027, 11, 9, 10)),  # clocks back on Sunday 7 November
        (
            datetime(2027, 12, 30, 10),
            datetime(2028, 1, 4, 10),
        ),  # Friday 31st observed (5 U.S.C. 6103), a weekend
        (datetime(2028, 2, 28, 10), datetime(2028, 3, 1, 10)),  # over 29 February
        (datetime(2027, 2, 26, 10), datetime(2027, 3, 2, 10)),  # a year without one
    ],
)
def test_hours_of_notice_over_odd_days(asked: datetime, clear: datetime) -> None:
    by_hours = LocateRule("XX", "invented", 48, "hours", "none", "2027", "primary", clock="request")
    assert clears(by_hours, asked) == clear
    assert ask_by(by_hours, clear, asked.time()) == asked.date()


@pytest.mark.parametrize(
    ("unit", "clock", "words"),
    [
        ("hours", "request", "notice 48 hours, working days only, from the call"),
        ("hours", "next day", "notice 48 hours, working days only, the day of the call not counted"),
        ("full days", "request", "notice 48 full working days, the day of the call not counted"),
    ],
)
def test_the_notice_is_told_from_its_own_start(unit: str, clock: str, words: str) -> None:
    """Only hours can run from the call itself; days begin after it."""
    assert terms(replace(NC_2008, notice_unit=unit, clock=clock)).split("; ")[0] == words
