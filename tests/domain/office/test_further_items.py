"""Further work on the office's list: electrician, fence and toilet, frost, visits in autumn and spring."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

from planner.domain.design.living import Winter
from planner.domain.design.read import read_design
from planner.domain.firm.crews import Truck
from planner.domain.firm.jobs import DayRange, Gate, GateKind, Job, Line
from planner.domain.firm.phases import Phase
from planner.domain.office.items import Kind, OfficeItem
from planner.domain.office.list import office_list
from tests.domain.office.test_items import at, booking, desk, only

FILL = booking(Phase.FILL, at(6, 2), at(6, 2, 15))
START = booking(Phase.FILL, at(6, 3), at(6, 3, 12), part=2)
WINTER = """
name = "Cold pond (invented)"
[outline]
shape = "ellipse"
length_ft = 14
width_ft = 10
[[step]]
down_in = 24
[winter]
last_frost = "04-25"
first_frost = "10-20"
"""


def job(*lines: Line, gates: tuple[Gate, ...] = ()) -> Job:
    return Job("P-1", "Mrs Reed", lines=lines, gates=gates)


def test_the_electrician_is_booked_by_his_lead_time_before_the_pump_starts() -> None:
    """Thursday 3 June less 12 working days; Memorial Day, Monday 31 May, is none: Monday 17 May."""
    wired = job(Line("electrician_visits", 1))
    item = only(desk(FILL, START, job=wired), Kind.ELECTRICIAN)
    assert (item.key, item.due) == ("electrician:P-1", date(2027, 5, 17))
    assert "before the pump starts Thu Jun 3" in item.words and not item.pressing


def test_a_dated_visit_is_told_with_the_start_that_waits_for_it() -> None:
    gate = Gate(GateKind.ELECTRICIAN, date(2027, 6, 3), note="Ms Watts (invented)")
    wired = job(Line("electrician_visits", 1), Line("fill_gal", 900), gates=(gate,))
    item = only(desk(FILL, START, job=wired), Kind.ELECTRICIAN)
    assert item.due == date(2027, 6, 3)
    assert "fill planned Thu Jun 3" in item.words, "the water of Wednesday does not wait for him"


def test_fence_and_toilet_are_fetched_when_the_last_work_is_done() -> None:
    item = only(desk(FILL, START, job=job(Line("site_fence_ft", 80), Line("toilets", 1))), Kind.RETURN)
    assert (item.key, item.due) == ("fetch:P-1", date(2027, 6, 3))
    assert "temporary fence and the site toilet" in item.words


def test_work_that_frost_may_spoil_is_told_and_summer_is_not() -> None:
    designs = {"P-1": read_design(WINTER)}
    summer = desk(FILL, START, job=job(), designs=designs)
    assert not [i for i in office_list(summer) if i.kind is Kind.FROST]
    late = booking(Phase.ROCK, at(11, 2), at(11, 2, 15))
    item = only(desk(FILL, late, job=job(), designs=designs), Kind.FROST)
    assert item.due == date(2027, 11, 2)
    assert "rock Tue Nov 2: stone foam" in item.words and "until 25 Apr and from 20 Oct" in item.words


def test_visits_are_agreed_before_the_first_frost_and_after_the_last() -> None:
    lines = (Line("winter_closings", 1), Line("spring_openings", 1))
    found = {i.key: i for i in office_list(desk(FILL, job=job(*lines), designs={"P-1": read_design(WINTER)}))}
    assert "Wed Oct 20" in found["winter:P-1:2027"].words
    assert found["winter:P-1:2027"].due < date(2027, 10, 20)
    assert "Tue Apr 25, 2028" in found["spring:P-1:2028"].words


def test_a_frosty_day_lies_outside_the_two_dates() -> None:
    winter = Winter((4, 25), (10, 20))
    days = [(4, 24), (4, 25), (4, 26), (10, 19), (10, 20), (12, 1)]
    assert [winter.frosty(date(2027, *day)) for day in days] == [True, True, False, False, True, True]


def test_a_kept_design_is_ordered_with_waste_and_stock_and_no_design_net() -> None:
    liner = booking(Phase.LINER, at(6, 9), at(6, 9, 15.5))
    wanted = job(Line("liner_ft2", 300), Line("underlayment_ft2", 300))
    net = only(desk(liner, job=wanted), Kind.ORDER).words
    assert "net, no design is kept: liner 300 ft2" in net
    drawn = only(desk(liner, job=wanted, designs={"P-1": read_design(WINTER)}), Kind.ORDER).words
    assert "net" not in drawn and "liner" in drawn and " of " in drawn, drawn


def test_a_crew_whose_own_truck_is_in_the_shop_is_told_on_its_first_day_of_work_then() -> None:
    """In the shop from Tuesday 1 to Friday 4 June; the crew works on Wednesday and Thursday."""
    seen = desk(FILL, START, job=job())
    shop = DayRange(date(2027, 6, 1), date(2027, 6, 4), "brakes")
    own = Truck("pickup", "pickup", crew=FILL.lead, out=(shop,))
    spare = Truck("dump", "dump truck", out=(shop,))

    def told(*trucks: Truck) -> list[OfficeItem]:
        season = replace(seen.season, trucks={truck.key: truck for truck in trucks})
        return [i for i in office_list(replace(seen, season=season)) if i.kind is Kind.TRUCK]

    (item,) = told(own, spare)
    assert (item.key, item.due) == ("truck:pickup:2027-06-01", date(2027, 6, 2))
    assert item.words.startswith("pickup is in the shop Tue Jun 1 to Fri Jun 4")
    assert told(replace(own, out=()), spare) == []
