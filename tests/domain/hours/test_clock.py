"""A time clock's stretches: labour-hours by the calendar, slips found, nothing counted twice.

Elapsed time is compared with python-dateutil's `relativedelta`, another reckoning of hours and minutes.
"""

from __future__ import annotations

from datetime import date, datetime

import pytest
from dateutil.relativedelta import relativedelta
from hypothesis import given
from hypothesis import strategies as st

from planner.domain.firm.actuals import Log
from planner.domain.firm.phases import Phase
from planner.domain.hours.clock import SOURCE, Does, Punch, against_log, clocked_days, doubts, slips

MONDAY = date(2027, 4, 5)


def punch(
    person: str, start: str, end: str | None, line: int = 2, phase: Phase = Phase.DIG, day: int = 5
) -> Punch:
    def at(text: str) -> datetime:
        return datetime.fromisoformat(f"2027-04-{day:02} {text}" if len(text) == 5 else text)

    return Punch(line, person, "North", at(start), None if end is None else at(end), "P-1", phase)


@given(st.integers(0, 1439), st.integers(1, 900))
def test_a_stretch_is_as_long_as_another_reckoning_says(start: int, minutes: int) -> None:
    begins = datetime(2027, 4, 5) + relativedelta(minutes=start)
    ends = begins + relativedelta(minutes=minutes)
    between = relativedelta(ends, begins)
    told_h = between.days * 24 + between.hours + between.minutes / 60
    assert Punch(1, "a", "N", begins, ends, "P", Phase.DIG).labour_h == pytest.approx(told_h)


def test_three_people_with_8_8_and_5_hours_are_a_crew_of_three_for_7() -> None:
    days = clocked_days(
        [punch("Ann", "07:00", "15:00"), punch("Bob", "07:00", "15:00"), punch("Cal", "10:00", "15:00")]
    )
    assert [d.labour_h for d in days] == [21]
    log = days[0].as_log(3)
    assert (log.crew_h, log.people, log.source) == (7, 0, SOURCE)
    assert days[0].as_log(2).people == 3


def test_a_person_who_comes_back_after_the_meal_is_one_person() -> None:
    days = clocked_days([punch("Ann", "07:00", "11:30"), punch("Ann", "12:00", "15:30", 3)])
    assert (len(days), days[0].hours_h) == (1, {"Ann": 8})


def test_the_meal_comes_off_long_stretches_only() -> None:
    days = clocked_days([punch("Ann", "07:00", "15:30"), punch("Bob", "07:00", "12:00")], 0.5)
    assert days[0].hours_h == {"Ann": 8, "Bob": 5}


def test_phases_of_a_day_stay_apart_and_in_order() -> None:
    days = clocked_days([punch("Ann", "11:00", "15:00", phase=Phase.LINER), punch("Ann", "07:00", "11:00")])
    assert [(d.phase, d.labour_h) for d in days] == [(Phase.DIG, 4), (Phase.LINER, 4)]


@pytest.mark.parametrize(
    ("start", "end", "said"),
    [
        ("07:00", None, "never clocked out"),
        ("15:00", "07:00", "write a later time"),
        ("07:00", "2027-04-06 15:30", "32.5 h at a stretch: was it Mon Apr 5, 2027 15:30"),
        ("07:00", "2027-04-06 03:30", "20.5 h at a stretch: was it Mon Apr 5, 2027 15:30"),
    ],
)
def test_a_slip_is_told_with_what_it_was_likely_meant_to_be(start: str, end: str | None, said: str) -> None:
    ((line, fault),) = slips([punch("Ann", start, end, line=7)], date(2027, 4, 7))
    assert (line, fault.field) == (7, "out")
    assert said in str(fault)


def test_sixteen_hours_pass_and_a_minute_more_does_not() -> None:
    assert slips([punch("Ann", "04:00", "20:00")], MONDAY) == []
    assert len(slips([punch("Ann", "04:00", "20:01")], MONDAY)) == 1


def test_a_day_to_come_is_refused() -> None:
    ((_, fault),) = slips([punch("Ann", "07:00", "08:00", day=6)], MONDAY)
    assert fault.field == "in"


@given(st.permutations([("07:00", "09:00"), ("08:59", "10:00"), ("10:00", "12:00")]))
def test_two_at_once_are_found_in_any_order_and_touching_is_none(times: list[tuple[str, str]]) -> None:
    punches = [punch("Ann", a, b, line) for line, (a, b) in enumerate(times, 2)]
    assert len(slips(punches, MONDAY)) == 1
    other = [punch(f"person {i}", a, b, i) for i, (a, b) in enumerate(times)]
    assert slips(other, MONDAY) == []


def test_a_long_stretch_over_several_short_ones_is_met_by_each() -> None:
    punches = [
        punch("Ann", "07:00", "15:00", 2),
        punch("Ann", "08:00", "09:00", 3),
        punch("Ann", "10:00", "11:00", 4),
    ]
    assert [line for line, _ in slips(punches, MONDAY)] == [3, 4]


def entry(source: str, crew_h: float, people: int = 0) -> Log:
    return Log(MONDAY, "North", "P-1", Phase.DIG, crew_h, people=people, source=source, id=4)


@pytest.mark.parametrize(
    ("old", "does"),
    [
        ([], Does.NEW),
        ([entry(SOURCE, 8, 1)], Does.SAME),
        ([entry(SOURCE, 7, 1)], Does.OTHER),
        ([entry(SOURCE, 8, 2)], Does.OTHER),
        ([entry("office", 8)], Does.KEPT),
        ([entry(SOURCE, 8, 1), entry("office", 3)], Does.KEPT),
    ],
)
def test_what_a_clocked_day_does_to_the_log(old: list[Log], does: Does) -> None:
    (day,) = clocked_days([punch("Ann", "07:00", "15:00")])
    assert against_log(day, 3, old).does is does


def test_fewer_hours_than_an_earlier_reading_and_long_days_are_asked_about() -> None:
    (day,) = clocked_days([punch("Ann", "07:00", "20:00")])
    fewer = against_log(day, 3, [entry(SOURCE, 7)])
    asked = doubts([fewer], {"North": 3})
    assert len(asked) == 2
    assert "13 h" in asked[0]
    assert "had 21 labour-h by the clock, now 13" in asked[1]
    more = against_log(day, 3, [entry(SOURCE, 3)])
    assert len(doubts([more], {"North": 3})) == 1
