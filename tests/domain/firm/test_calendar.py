"""Working days and shifts, against the published federal holidays and ISO 8601 weeks.

Sources: 5 U.S.C. 6103 as printed by the US courts' holiday page (observed dates 2026 to 2028 follow from the
statute's Saturday and Sunday rule); ISO 8601 week dates from the standard's own rule (first Thursday).
"""

from __future__ import annotations

from datetime import date, datetime, time, timedelta

import pytest

from planner.domain.firm.calendar import (
    clock_changes,
    crew_windows,
    is_working_day,
    public_holiday,
    real_hours_later,
    shift,
    working_days,
)
from planner.domain.firm.crews import Crew
from planner.domain.firm.firm import Firm
from planner.domain.firm.jobs import DayRange
from planner.domain.firm.lost import LostKind, LostTime
from planner.domain.season.paid_day import paid_spans


@pytest.mark.parametrize(
    "day",
    [
        date(2026, 1, 19),
        date(2026, 2, 16),
        date(2026, 5, 25),
        date(2026, 7, 3),  # 4 July 2026 is a Saturday
        date(2026, 9, 7),
        date(2026, 10, 12),
        date(2026, 11, 26),
        date(2027, 6, 18),  # 19 June 2027 is a Saturday
        date(2027, 7, 5),  # 4 July 2027 is a Sunday
        date(2027, 12, 24),
        date(2027, 12, 31),  # New Year 2028 is a Saturday
        date(2028, 11, 10),  # 11 November 2028 is a Saturday
    ],
)
def test_federal_holidays_as_observed(day: date) -> None:
    assert public_holiday(Firm(), day)
    assert not is_working_day(Firm(), day)


@pytest.mark.parametrize(
    ("day", "iso"),
    [
        (date(1977, 1, 1), (1976, 53, 6)),
        (date(1978, 1, 1), (1977, 52, 7)),
        (date(2006, 12, 31), (2006, 52, 7)),
        (date(2019, 12, 30), (2020, 1, 1)),
        (date(2024, 12, 30), (2025, 1, 1)),
        (date(2026, 12, 28), (2026, 53, 1)),
        (date(2027, 1, 4), (2027, 1, 1)),
    ],
)
def test_iso_8601_weeks(day: date, iso: tuple[int, int, int]) -> None:
    assert tuple(day.isocalendar()) == iso


def test_own_days_override_weekends_and_holidays() -> None:
    memorial, saturday, own_off = date(2027, 5, 31), date(2027, 5, 8), date(2027, 5, 12)
    firm = Firm(work_days=(memorial, saturday), days_off=(DayRange(own_off, own_off),))
    assert is_working_day(firm, memorial)
    assert is_working_day(firm, saturday)
    assert not is_working_day(firm, own_off)
    assert working_days(firm, date(2027, 5, 8), date(2027, 5, 13)) == [
        date(2027, 5, 8),
        date(2027, 5, 10),
        date(2027, 5, 11),
        date(2027, 5, 13),
    ]


@pytest.mark.parametrize(
    ("paid_h", "break_min", "windows"),
    [
        (8.0, 30, [("07:00", "11:00"), ("11:30", "15:30")]),
        (9.0, 60, [("07:00", "11:30"), ("12:30", "17:00")]),
        (7.5, 30, [("07:00", "10:30"), ("11:00", "15:00")]),
        (6.0, 0, [("07:00", "13:00")]),
    ],
)
def test_shift_holds_the_paid_hours(paid_h: float, break_min: int, windows: list[tuple[str, str]]) -> None:
    firm = Firm(paid_h_day=paid_h, meal_break_min=break_min, shift_start=time(7))
    found = shift(firm, date(2027, 4, 5))
    assert [(w.start.strftime("%H:%M"), w.end.strftime("%H:%M")) for w in found] == windows
    assert sum(w.minutes for w in found) == paid_h * 60


def test_crew_is_away_on_its_days_off_and_when_it_rains_everywhere() -> None:
    crew = Crew("Heron", "Ada", days_off=(DayRange(date(2027, 4, 6), date(2027, 4, 7)),))
    rain = LostTime(LostKind.RAIN, DayRange(date(2027, 4, 8), date(2027, 4, 8)))
    rain_north = LostTime(LostKind.RAIN, DayRange(date(2027, 4, 9), date(2027, 4, 9)), target="north")
    worked = [d for d in range(5, 10) if crew_windows(Firm(), crew, date(2027, 4, d), (rain, rain_north))]
    assert worked == [5, 9]
    assert crew_windows(Firm(), crew, date(2027, 4, 5))[0].start == datetime(2027, 4, 5, 7)


@pytest.mark.parametrize(
    ("size", "people", "windows"),
    [
        # two of three hands: two thirds of 480 min is 320, on the half hour below 300 min
        (3, 1, [("07:00", "11:00"), ("11:30", "12:30")]),
        (2, 1, [("07:00", "11:00")]),
        (4, 3, [("07:00", "09:00")]),
        (2, 2, []),
        (2, 5, []),
        (2, 0, [("07:00", "11:00")]),  # how many is not said: one
    ],
)
def test_a_crew_short_of_hands_has_a_shorter_day(
    size: int, people: int, windows: list[tuple[str, str]]
) -> None:
    day = date(2027, 4, 5)
    sick = (LostTime(LostKind.CREW_SHORT, DayRange(day, day), "Heron", people),)
    found = crew_windows(Firm(), Crew("Heron", "Ada", size=size), day, sick)
    assert [(w.start.strftime("%H:%M"), w.end.strftime("%H:%M")) for w in found] == windows
    assert crew_windows(Firm(), Crew("Otter", "Bo", size=size), day, sick) == shift(Firm(), day)


def test_a_half_day_ends_at_the_break() -> None:
    firm = Firm(half_days=(date(2027, 4, 9),))
    assert [w.end.strftime("%H:%M") for w in shift(firm, date(2027, 4, 9))] == ["11:00"]
    assert len(shift(firm, date(2027, 4, 8))) == 2


def test_late_autumn_is_cut_to_the_daylight() -> None:
    # Columbus, Ohio, 12 November: the sun is up from about 7:15 to 17:17 (an almanac's figures, from memory)
    firm = Firm(
        daylight_only=True,
        shift_start=time(7),
        paid_h_day=10,
        depot_latitude_deg=39.96,
        depot_longitude_deg=-83.0,
    )
    november, june = (shift(firm, day) for day in (date(2027, 11, 12), date(2027, 6, 14)))
    assert (november[0].start.time(), november[-1].end.time()) == (time(7, 30), time(17, 0))
    assert (june[0].start.time(), june[-1].end.time()) == (time(7), time(17, 30))


@pytest.mark.parametrize("day", [date(2027, 4, 9), date(2027, 11, 12), date(2027, 12, 21), date(2027, 6, 14)])
@pytest.mark.parametrize("paid_h", [7.5, 8.0, 10.0])
@pytest.mark.parametrize("break_min", [0, 30, 60])
def test_the_judge_reckons_the_same_shift_by_itself(day: date, paid_h: float, break_min: int) -> None:
    for half, light in [((), False), ((day,), False), ((), True), ((day,), True)]:
        firm = Firm(
            half_days=half,
            daylight_only=light,
            paid_h_day=paid_h,
            meal_break_min=break_min,
            depot_latitude_deg=39.96,
            depot_longitude_deg=-83.0,
        )
        assert [tuple(w) for w in shift(firm, day)] == paid_spans(firm, day)


@pytest.mark.parametrize(
    ("moment", "hours", "later"),
    [
        # 15 U.S.C. 260a: forward on the second Sunday of March, back on the first of November, at 2:00.
        (datetime(2027, 3, 13, 15, 30), 24.0, datetime(2027, 3, 14, 16, 30)),
        (datetime(2027, 11, 6, 15, 30), 24.0, datetime(2027, 11, 7, 14, 30)),
        (datetime(2027, 4, 5, 15, 30), 24.0, datetime(2027, 4, 6, 15, 30)),
        (datetime(2027, 3, 12, 15, 30), 72.0, datetime(2027, 3, 15, 16, 30)),
    ],
)
def test_real_hours_pass_whatever_the_clocks_do(moment: datetime, hours: float, later: datetime) -> None:
    assert real_hours_later(moment, hours, "America/New_York") == later
    by_the_wall = moment + timedelta(hours=hours)
    changes = clock_changes("America/New_York", moment.date(), later.date())
    assert by_the_wall + sum((by for _, by in changes), timedelta()) == later


def test_clocks_change_twice_a_year_where_they_change() -> None:
    year = date(2027, 1, 1), date(2027, 12, 31)
    found = clock_changes("America/New_York", *year)
    assert [when for when, _ in found] == [datetime(2027, 3, 14, 2), datetime(2027, 11, 7, 2)]
    assert clock_changes("America/Phoenix", *year) == []
