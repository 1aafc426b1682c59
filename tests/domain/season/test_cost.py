"""The plan's cost, each term reckoned by hand on one little season."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, datetime
from math import acos, cos, radians, sin

from planner.domain.firm.crews import Crew, Machine
from planner.domain.firm.firm import Firm, Weights
from planner.domain.firm.jobs import DayRange, Job
from planner.domain.firm.lost import LostKind, LostTime
from planner.domain.firm.phases import Phase, WorkKey
from planner.domain.places import EARTH_RADIUS_MI, great_circle_mi
from planner.domain.season.cost import is_near, plan_cost, site_open, sites_by_day
from planner.domain.season.plan import Booking, MachineUse
from planner.domain.season.season import Season
from planner.domain.season.travel import depot_miles, drive_minutes


def at(day: int, hour: int = 7, minute: int = 0) -> datetime:
    return datetime(2027, 4, day, hour, minute)


def booking(job: str, phase: Phase, crew: str, start: datetime, end: datetime, *units: int) -> Booking:
    uses = tuple(MachineUse("excavator", unit) for unit in units)
    return Booking(WorkKey(job, phase), (crew,), start, end, 1.0, uses)


def season(**changes: object) -> Season:
    base = Season(
        firm=Firm(depot_latitude_deg=40.0, depot_longitude_deg=-83.0, road_factor=1.25, road_mph=30.0),
        jobs={
            "A": Job("A", "Ames", latitude_deg=40.0, longitude_deg=-83.1, promised=date(2027, 4, 7)),
            "B": Job("B", "Bell", latitude_deg=40.1, longitude_deg=-83.0, importance=2.0),
        },
        crews={"Heron": Crew("Heron", "Ada"), "Otter": Crew("Otter", "Bo")},
        machines={"excavator": Machine("excavator", "mini excavator", units=2, move_cost_usd=120.0)},
        works={},
        now=at(5),
        last_day=date(2027, 6, 30),
    )
    return replace(base, **changes)  # type: ignore[arg-type]


def test_every_term_by_hand() -> None:
    # Heron: Mon 5 A dig; Tue 6 morning B dig, afternoon back on A; ends Fri 9, two days after the promise.
    # Otter takes over A's fill on Fri 9.
    rows = [
        booking("A", Phase.DIG, "Heron", at(5), at(5, 15, 30), 1),
        booking("B", Phase.DIG, "Heron", at(6), at(6, 11), 1),
        booking("A", Phase.ROCK, "Heron", at(6, 12, 30), at(6, 15, 30), 1),
        booking("A", Phase.FILL, "Otter", at(9), at(9, 11)),
    ]
    cost = plan_cost(season(), rows).cents
    assert cost["late"] == 2 * 250_00
    assert cost["crew change"] == 150_00
    assert cost["leave and return"] == 200_00
    assert cost["machine moves"] == 2 * 120_00
    assert cost["site days"] == 4 * 60_00  # Heron A Mon, B Tue, A Tue; Otter A Fri
    assert cost["open days"] == 4 * 25_00  # A from the 5th to the 9th; B within a day
    to_a = great_circle_mi((40.0, -83.0), (40.0, -83.1)) * 1.25
    to_b = great_circle_mi((40.0, -83.0), (40.1, -83.0)) * 1.25
    a_b = great_circle_mi((40.0, -83.1), (40.1, -83.0)) * 1.25
    assert cost["travel"] == round((2 * to_a + (to_b + a_b + to_a) + 2 * to_a) * 2.5 * 100)
    assert cost["moved"] == 0


def test_lateness_and_waiting_by_hand() -> None:
    # A is promised for the 7th: two days late; B counts double: one day late costs two. Water is in on the
    # 9th and the 8th: four and three days from now; a job whose end is past waits no more.
    promised = {**season().jobs, "B": replace(season().jobs["B"], promised=date(2027, 4, 7))}
    waits = Firm(weights=Weights(wait_day=10.0))
    rows = [
        booking("A", Phase.DIG, "Heron", at(9), at(9, 11)),
        booking("B", Phase.DIG, "Otter", at(8), at(8, 11)),
    ]
    cost = plan_cost(season(jobs=promised, firm=waits), rows).cents
    assert cost["late"] == 2 * 250_00 + 2 * 250_00
    assert cost["waiting"] == (4 + 3) * 10_00
    assert plan_cost(season(jobs=promised, firm=waits, now=at(20)), rows).cents["waiting"] == 0


def test_a_day_on_two_sites_and_back_is_two_site_days_and_three_drives() -> None:
    rows = [
        booking("A", Phase.DIG, "Heron", at(5), at(5, 9)),
        booking("A", Phase.SET_FILTERS, "Heron", at(5, 9), at(5, 10)),
        booking("B", Phase.DIG, "Heron", at(5, 11, 30), at(5, 13)),
        booking("A", Phase.LINER, "Heron", at(5, 14), at(5, 15, 30)),
    ]
    assert sites_by_day(season(), rows) == {date(2027, 4, 5): ["A", "B", "A"]}
    cost = plan_cost(season(), rows).cents
    assert cost["site days"] == 2 * 60_00
    to_a = great_circle_mi((40.0, -83.0), (40.0, -83.1)) * 1.25
    a_b = great_circle_mi((40.0, -83.1), (40.1, -83.0)) * 1.25
    assert cost["travel"] == round((2 * to_a + 2 * a_b) * 2.5 * 100)


def test_what_was_done_counts_for_hand_overs_and_open_days() -> None:
    done = (booking("A", Phase.DIG, "Otter", at(1), at(2, 15, 30)),)
    rows = [booking("A", Phase.LINER, "Heron", at(5), at(5, 11))]
    cost = plan_cost(season(done=done), rows).cents
    assert cost["crew change"] == 150_00
    assert cost["open days"] == 4 * 25_00
    assert cost["site days"] == 3 * 60_00


def test_an_open_hole_by_day_and_over_days_off() -> None:
    # A was dug on Thursday the 1st and is lined on Tuesday the 13th: 12 days. Weekends begin on the 3rd,
    # which is past, and on the 10th. B is dug and lined within the week; a dig without a liner is no hole.
    dear = Firm(weights=Weights(hole_day=15.0, hole_rest=80.0), country="")
    done = (booking("A", Phase.DIG, "Otter", at(1), at(1, 15, 30)),)
    rows = [
        booking("A", Phase.LINER, "Heron", at(13), at(13, 11)),
        booking("B", Phase.DIG, "Otter", at(6), at(6, 11)),
        booking("B", Phase.LINER, "Otter", at(8), at(8, 11)),
    ]
    cost = plan_cost(season(done=done, firm=dear), rows).cents
    assert cost["open hole"] == (12 + 2) * 15_00
    assert cost["hole over days off"] == 1 * 80_00
    bare = plan_cost(season(firm=dear), [booking("A", Phase.DIG, "Otter", at(9), at(12, 11))]).cents
    assert (bare["open hole"], bare["hole over days off"]) == (0, 0)


def test_a_call_is_paid_for_a_day_and_not_for_a_crew() -> None:
    told = booking("A", Phase.DIG, "Heron", at(7), at(7, 15, 30))
    s = season(
        firm=Firm(weights=Weights(call=35.0)),
        published={told.key: told},
        works={told.key: None},
        told={"A": (told.start.date(), told.end.date())},
    )
    assert plan_cost(s, [told]).cents["calls"] == 0
    other_crew = replace(told, crews=("Otter",))
    assert plan_cost(s, [other_crew]).cents["calls"] == 0
    assert plan_cost(s, [other_crew]).cents["moved"] == 400_00
    other_day = replace(told, start=at(8), end=at(8, 15, 30))
    assert plan_cost(s, [other_day]).cents["calls"] == 35_00
    # whoever was not told his day yet needs no call, and one who was told another than the plan's does
    assert plan_cost(replace(s, told={}), [other_day]).cents["calls"] == 0
    called = replace(s, told={"A": (other_day.start.date(), other_day.end.date())})
    assert plan_cost(called, [other_day]).cents["calls"] == 0
    assert plan_cost(called, [told]).cents["calls"] == 35_00


def test_near_ends_to_the_minute() -> None:
    edge = at(19)  # 14 days after the season's now, Monday the 5th at 07:00
    assert is_near(at(18, 15, 30), edge)
    assert not is_near(edge, edge)


def test_rain_in_a_region_shuts_its_own_sites() -> None:
    days = DayRange(date(2027, 4, 6), date(2027, 4, 6))
    jobs = {"A": Job("A", "Ames", region="north"), "B": Job("B", "Bell")}
    north = season(jobs=jobs, lost=(LostTime(LostKind.RAIN, days, "north"),))
    everywhere = season(jobs=jobs, lost=(LostTime(LostKind.RAIN, days),))
    tuesday = date(2027, 4, 6)
    assert (site_open(north, "A", tuesday), site_open(north, "B", tuesday)) == (False, True)
    # rain everywhere keeps the crews at home: it is a matter of their calendar, not of a site
    assert site_open(everywhere, "B", tuesday)


def test_a_crew_with_a_depot_of_its_own_drives_from_there() -> None:
    home = Crew("Heron", "Ada", depot_latitude_deg=40.0, depot_longitude_deg=-83.1)
    assert depot_miles(season(crews={"Heron": home}), "Heron", "A") == 0.0
    assert depot_miles(season(), "Heron", "A") > 5.0


def test_a_rained_off_day_is_neither_driven_nor_counted() -> None:
    over_three_days = [booking("A", Phase.ROCK, "Heron", at(5), at(7, 15, 30))]
    dry = plan_cost(season(), over_three_days).cents
    rain = LostTime(LostKind.RAIN, DayRange(date(2027, 4, 6), date(2027, 4, 6)))
    wet = plan_cost(season(lost=(rain,)), over_three_days).cents
    assert (dry["site days"], wet["site days"]) == (180_00, 120_00)
    assert wet["travel"] * 3 == dry["travel"] * 2


def test_moving_a_published_job_costs_more_when_it_is_near() -> None:
    told = {
        WorkKey("A", Phase.DIG): booking("A", Phase.DIG, "Heron", at(6), at(6, 15, 30)),
        WorkKey("B", Phase.DIG): booking("B", Phase.DIG, "Heron", at(26), at(26, 15, 30)),
    }
    a, b = (told[WorkKey(job, Phase.DIG)] for job in "AB")
    here = season(published=told)
    assert plan_cost(here, [a, b]).cents["moved"] == 0
    assert plan_cost(here, [replace(a, start=at(6, 11, 30)), b]).cents["moved"] == 0  # same day, same lead
    assert plan_cost(here, [replace(a, crews=("Otter",)), b]).cents["moved"] == 400_00
    assert plan_cost(here, [a, replace(b, start=at(27), end=at(27, 15))]).cents["moved"] == 40_00


def test_great_circle_agrees_with_the_spherical_law_of_cosines() -> None:
    for a, b in [
        ((40.0, -83.0), (41.5, -81.7)),
        ((36.12, -86.67), (33.94, -118.40)),
        ((0.0, 0.0), (0.0, 90.0)),
    ]:
        la, lb = radians(a[0]), radians(b[0])
        angle = acos(sin(la) * sin(lb) + cos(la) * cos(lb) * cos(radians(a[1] - b[1])))
        assert abs(great_circle_mi(a, b) - angle * EARTH_RADIUS_MI) < 1e-6 * EARTH_RADIUS_MI


def test_sites_without_coordinates_lie_at_the_assumed_distance() -> None:
    here = season(jobs={"A": Job("A", "Ames"), "B": Job("B", "Bell")})
    # 12 mi to the depot and 12 mi on to the next, at 30 mph: 48 minutes
    assert drive_minutes(here, "A", "B") == 48
    assert drive_minutes(here, "A", "A") == 0


def test_a_begun_job_has_one_first_day_and_cannot_move() -> None:
    """A's dig began as told on the 5th; its rest on the 6th, by whoever, is no other first day."""
    told = {WorkKey("A", Phase.DIG): booking("A", Phase.DIG, "Heron", at(5), at(6, 15, 30))}
    worked = replace(booking("A", Phase.DIG, "Heron", at(5), at(5, 15, 30)), begun=True)
    rest = booking("A", Phase.DIG, "Heron", at(6), at(6, 15, 30))
    assert plan_cost(season(published=told, done=(worked,)), [rest]).cents["moved"] == 0
    assert plan_cost(season(published=told), [rest]).cents["moved"] == 400_00, "not begun: it did move"


def test_work_begun_over_days_off() -> None:
    # A's rock lies begun over the weekend of the 10th and that of the 17th; B's plumbing ends on Friday. A
    # dig is none of it: its days off are the open hole's. A weekend before the season's now, the 3rd, is
    # past.
    dear = Firm(weights=Weights(begun_rest=70.0, hole_rest=1.0), country="")
    done = (booking("B", Phase.SET_FILTERS, "Otter", at(1), at(5, 7, 30)),)
    rows = [
        booking("A", Phase.DIG, "Heron", at(7), at(8, 9)),
        booking("A", Phase.ROCK, "Heron", at(9), at(19, 9)),
        booking("B", Phase.PLUMBING, "Otter", at(8), at(9, 15, 30)),
        booking("B", Phase.DIG, "Otter", at(16), at(19, 9)),
    ]
    cost = plan_cost(season(done=done, firm=dear), rows).cents
    assert cost["begun over days off"] == 2 * 70_00


def test_a_crumb_is_a_crews_day_on_a_site_under_an_hour() -> None:
    # The shift is 07:00-11:00 and 11:30-15:30. Monday: half an hour of A at the day's end. Tuesday: two hours
    # of it, then half an hour on B, by two crews: two crumbs. Wednesday: half an hour of plumbing and half an
    # hour of fill on A follow one another: one hour, no crumb. Thursday: the fill's last half hour.
    dear = Firm(weights=Weights(crumb=90.0), country="")
    both = replace(booking("B", Phase.PLUMBING, "Heron", at(6, 9), at(6, 9, 30)), crews=("Heron", "Otter"))
    rows = [
        booking("A", Phase.ROCK, "Heron", at(5, 15), at(6, 9)),
        both,
        booking("A", Phase.PLUMBING, "Heron", at(7, 14, 30), at(7, 15)),
        booking("A", Phase.FILL, "Heron", at(7, 15), at(8, 7, 30)),
    ]
    assert plan_cost(season(firm=dear), rows).cents["crumbs"] == (1 + 2 + 0 + 1) * 90_00


def test_idle_hours_are_paid_in_the_weeks_in_which_a_crew_works() -> None:
    # Heron, three hands: from Wednesday noon on 8 - 4 + 8 + 8 = 20 hours are left of this week, 40 of the
    # next, in which it is off on Friday: 32. It works 4 hours on Thursday and 12 over the weekend, from
    # Friday noon: 20 + 32 - 16 = 36 hours. What it did on Wednesday morning is past. Otter works no hour and
    # is not paid.
    dear = Firm(weights=Weights(idle_hour=30.0), country="")
    heron = Crew("Heron", "Ada", size=3, days_off=(DayRange(date(2027, 4, 16), date(2027, 4, 16)),))
    crews = {"Heron": heron, "Otter": Crew("Otter", "Bo")}
    done = (booking("A", Phase.DIG, "Heron", at(7), at(7, 11)),)
    rows = [
        replace(booking("A", Phase.LINER, "Heron", at(8), at(8, 11)), crew_h=4.0),
        replace(booking("B", Phase.DIG, "Heron", at(9, 11, 30), at(12, 15, 30)), crew_h=12.0),
    ]
    s = season(firm=dear, crews=crews, now=at(7, 11), done=done)
    assert plan_cost(s, rows).cents["idle crews"] == 36 * 3 * 30_00
    assert plan_cost(s, []).cents["idle crews"] == 20 * 3 * 30_00  # the week is begun
