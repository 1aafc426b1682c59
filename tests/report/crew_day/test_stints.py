"""A booking's share of each day, and where its machines come from."""

from dataclasses import replace
from datetime import date, datetime

from planner.domain.firm.phases import Phase, WorkKey
from planner.domain.season.plan import Booking, MachineUse
from planner.domain.standing.stints import stints


def test_the_shares_of_all_days_add_up_to_the_booking(roster, plan):
    for booking in plan.bookings:
        total = 0.0
        for day in range(1, 31):
            total += sum(
                s.crew_h
                for s in stints(roster, plan, booking.lead, date(2027, 4, day))
                if s.key == booking.key
            )
        assert total == booking.crew_h, booking.key


def test_a_day_is_cut_at_the_booking_and_keeps_the_meal_break(roster, plan):
    # P-014 dig ends 12:30 on the second day: 7:00-11:00 and 11:30-12:30 are 5 hours; set filters follows.
    dig, filters = stints(roster, plan, "North", date(2027, 4, 6))
    assert (dig.start, dig.end, dig.crew_h) == (datetime(2027, 4, 6, 7), datetime(2027, 4, 6, 12, 30), 5.0)
    assert (dig.day_number, dig.day_count, dig.share_after) == (2, 2, 1.0)
    assert filters.start == datetime(2027, 4, 6, 12, 30) and filters.begins and filters.finishes


def test_a_helper_works_only_when_both_crews_work(roster, plan):
    # River trains on 7 April, so it helps with the liner only on the 8th.
    assert stints(roster, plan, "River", date(2027, 4, 7)) == []
    (helped,) = stints(roster, plan, "River", date(2027, 4, 8))
    assert helped.helps and helped.crew_h == 4.0 and helped.day_count == 1


def test_machine_trips_say_who_had_it_and_who_needs_it_next(roster, plan):
    excavator = MachineUse("excavator", 1)
    later = Booking(
        WorkKey("P-015", Phase.DIG, 1),
        ("South",),
        datetime(2027, 4, 15, 7),
        datetime(2027, 4, 15, 11),
        4,
        (excavator,),
    )
    plan = replace(plan, bookings=(*(b for b in plan.bookings if b.job == "P-014"), later))
    (first,) = stints(roster, plan, "North", date(2027, 4, 5))
    assert first.trips[0].comes_from == "yard" and first.trips[0].goes_to == ""
    rock = stints(roster, plan, "North", date(2027, 4, 8))[1]
    assert rock.key.phase is Phase.ROCK and rock.trips[0].comes_from == ""  # it stayed on the same job
    (last,) = stints(roster, plan, "North", date(2027, 4, 9))
    assert (last.trips[0].goes_to, last.trips[0].next_crew) == ("P-015", "South")
    (fetch,) = stints(roster, plan, "South", date(2027, 4, 15))
    assert (fetch.trips[0].comes_from, fetch.trips[0].by, fetch.trips[0].goes_to) == (
        "P-014",
        "North",
        "yard",
    )


def test_no_work_outside_the_booking_nor_on_days_off(roster, plan):
    assert stints(roster, plan, "North", date(2027, 4, 10)) == []  # Saturday
    assert stints(roster, plan, "Nobody", date(2027, 4, 5)) == []
