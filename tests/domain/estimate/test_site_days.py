"""Days on site, walked through the real calendar and reckoned by hand."""

from dataclasses import replace
from datetime import date, datetime, timedelta

import pytest

from planner.domain.estimate.labour import with_daily_setup
from planner.domain.estimate.site_days import days
from planner.domain.firm.crews import Crew
from planner.domain.firm.jobs import DayRange
from planner.domain.firm.lost import LostKind, LostTime
from planner.domain.firm.phases import Phase
from tests.domain.estimate.ponds import BOOK, FIRM, MONDAY, NORTH, only, pond, told

#: The shipped rates without bands, so that the middle of the hours is their likely value.
SURE = BOOK.with_rows(replace(row, low=row.likely, high=row.likely) for row in BOOK.rows.values())


def test_two_days_by_hand() -> None:
    """8 h paid, 0.75 h set-up: 7.25 h of work a day. 10 h end 2.75 + 0.75 h into the second day."""
    job = only(dig_hand_cy=(30.0 - 1.5) / 1.54)
    found = days(told(job, book=SURE), 50, MONDAY, FIRM, NORTH)
    hours = told(job, book=SURE).crew_h_at(50)
    assert hours == pytest.approx(10.0, abs=1e-6)
    assert found.dates == (MONDAY, date(2027, 4, 6))
    assert abs(found.finish - datetime(2027, 4, 6, 10, 30)) < timedelta(seconds=1)


def test_weekends_holidays_and_days_off_pass() -> None:
    """Thu Jul 1, 2027: Mon Jul 5 is the observed holiday (5 U.S.C. 6103); the crew is off on Fri Jul 2."""
    crew = replace(NORTH, days_off=(DayRange(date(2027, 7, 2), date(2027, 7, 2)),))
    job = only(dig_hand_cy=(30.0 - 1.5) / 1.54)
    found = days(told(job), 50, date(2027, 7, 1), FIRM, crew)
    assert found.dates == (date(2027, 7, 1), date(2027, 7, 6))


def test_rain_passes_too() -> None:
    lost = (LostTime(LostKind.RAIN, DayRange(MONDAY, MONDAY)),)
    found = days(told(only(dig_hand_cy=2.0)), 50, MONDAY, FIRM, NORTH, lost)
    assert found.dates == (date(2027, 4, 6),)


def test_sealant_cures_before_water() -> None:
    """The phase rules ask 24 h between plumbing and fill: two short phases still take two days."""
    found = days(told(only(connections=1.0, fill_gal=100.0)), 50, MONDAY, FIRM, NORTH)
    assert found.dates == (MONDAY, date(2027, 4, 6))


def test_water_runs_at_night() -> None:
    """3,600 gal at 5 gpm run 12 h: begun on Monday, the pump is started on Tuesday."""
    found = days(told(only(fill_gal=3600.0, hose_gpm=5.0)), 50, MONDAY, FIRM, NORTH)
    assert found.dates == (MONDAY, date(2027, 4, 6))
    quick = days(told(only(fill_gal=100.0, hose_gpm=50.0)), 50, MONDAY, FIRM, NORTH)
    assert quick.dates == (MONDAY,)


def test_three_half_days_are_dearer_than_two_days() -> None:
    """14.5 h of work: two full days of 8 h paid, or three visits that cost 16.75 h."""
    assert with_daily_setup(14.5, FIRM, 2) == 2 * FIRM.paid_h_day
    assert with_daily_setup(14.5, FIRM, 3) == with_daily_setup(14.5, FIRM, 2) + FIRM.daily_setup_h


def test_higher_percentile_never_ends_sooner_nor_takes_fewer_days() -> None:
    for job in (pond(), pond(fill_gal=900.0), pond(boulder_medium_ton=1.0), only(fill_gal=3000.0)):
        found = told(job)
        spans = [days(found, p, MONDAY, FIRM, NORTH) for p in range(5, 100, 5)]
        ends, counts = [d.finish.date() for d in spans], [d.count for d in spans]
        assert ends == sorted(ends)
        assert counts == sorted(counts)


def test_water_waits_for_the_morning_where_that_saves_a_visit() -> None:
    """Plumbing ends on Monday afternoon; 24 h cure. Water of 5 h opened then would run past the shift.

    Opened on Wednesday at 7:00 all is done that day, and the crew comes twice, not three times.
    """
    job = only(pipe_ft=151.0, fill_gal=2400.0, hose_gpm=8.0, edge_ft=30.0)
    found = days(told(job), 50, MONDAY, FIRM, NORTH)
    assert found.dates == (MONDAY, date(2027, 4, 7))


def test_a_crew_that_never_works_and_an_endless_job_have_no_end() -> None:
    idle = Crew("Idle", "", days_off=(DayRange(date(2020, 1, 1), date(2090, 1, 1)),))
    assert days(told(pond()), 50, MONDAY, FIRM, idle) is None
    assert days(told(only(dig_hand_cy=1e7)), 50, MONDAY, FIRM, NORTH) is None
    assert days(told(only(fill_gal=1e6, hose_gpm=1e-6)), 50, MONDAY, FIRM, NORTH) is None


def test_a_set_up_longer_than_the_morning_goes_on_after_the_break() -> None:
    """5 h of set-up leave 3 h a day: 4 h of work end one hour into the second day's, at 13:30."""
    firm = replace(FIRM, daily_setup_h=5.0)
    job = only(dig_hand_cy=(12.0 - 1.5) / 1.54)
    found = days(told(job, book=SURE, firm=firm), 50, MONDAY, firm, NORTH)
    assert found is not None
    assert found.dates == (MONDAY, date(2027, 4, 6))
    assert abs(found.finish - datetime(2027, 4, 6, 13, 30)) < timedelta(seconds=1)


def test_a_day_with_room_for_its_set_up_only_is_no_day_on_site() -> None:
    firm = replace(FIRM, daily_setup_h=4.0, half_days=(MONDAY,))
    found = days(told(only(pipe_ft=10), firm=firm), 50, MONDAY, firm, NORTH)
    assert found is not None
    assert found.dates == (date(2027, 4, 6),)


def test_a_long_lag_behind_an_early_phase_is_not_forgotten() -> None:
    waits = replace(told(pond()), lags={(Phase.DIG, Phase.PLUMBING): 1000.0})
    found = days(waits, 50, MONDAY, FIRM, NORTH)
    assert found is not None
    assert found.finish - datetime(2027, 4, 5, 7) > timedelta(hours=1000)
