"""From when a rented machine can be had: what is booked is there, anything else five working days from today.

2027-05-03 is a Monday without a holiday near it.
"""

from __future__ import annotations

from datetime import date, datetime

from planner.domain.firm.crews import NOT_BOOKED, Machine
from planner.domain.firm.firm import Firm
from planner.domain.firm.phases import Phase, WorkKey
from planner.domain.firm.records import TICKED, OfficeMark
from planner.domain.season.plan import Booking, MachineUse
from planner.domain.standing.order_gates import OrderFile
from planner.domain.standing.rentals import stretches, with_rental_leads
from planner.store.shipped.leads import lead_times
from tests.schedule.test_rules import SOON, booked, plan
from tests.schedule.tiny import at, season, work

SKID = Machine("skid", "skid steer", 2, rented=True)
OWN = Machine("excavator", "mini excavator")
MONDAY = date(2027, 5, 3)


def use(first: int, last: int, unit: int = 1) -> Booking:
    begin, end = datetime(2027, 5, first, 7), datetime(2027, 5, last, 15, 30)
    return Booking(WorkKey(f"P{first}", Phase.DIG), ("A",), begin, end, 8.0, (MachineUse("skid", unit),))


def file(*ticked: str, today: date = MONDAY) -> OrderFile:
    marks = {key: OfficeMark(key, TICKED) for key in ticked}
    return OrderFile(lead_times(), marks, today, Firm(country=""))


def out(machine: Machine) -> dict[int, int]:
    """Day of May -> units that are out."""
    assert all(o.days.first == o.days.last and o.days.why == NOT_BOOKED for o in machine.out)
    return {o.days.first.day: o.units for o in machine.out}


def test_nobody_booked_it_so_it_comes_in_five_working_days() -> None:
    own, skid = with_rental_leads(file(), (OWN, SKID), ())
    assert own is OWN
    # Monday to Sunday it is not there; a booking made today begins on Monday 10 May
    assert out(skid) == dict.fromkeys(range(3, 10), 2)


def test_what_is_booked_or_already_on_hire_is_there() -> None:
    rows = [use(4, 5), use(7, 7), use(5, 6, unit=2)]
    assert [s.key for s in stretches({"skid": SKID}, rows, 5)] == [
        "rent:skid:1:2027-W18",
        "rent:skid:2:2027-W18",
    ]
    (skid,) = with_rental_leads(file("rent:skid:1:2027-W18"), (SKID,), rows)
    # unit 1 is on hire from Tuesday to Friday, the day between its two uses too; unit 2 is not booked
    assert out(skid) == {3: 2, 4: 1, 5: 1, 6: 1, 7: 1, 8: 2, 9: 2}
    # on Thursday unit 2's stretch of Wednesday has begun: it stands there, booked or not
    (skid,) = with_rental_leads(file(today=date(2027, 5, 6)), (SKID,), rows)
    assert 6 not in out(skid)
    assert {day: n for day, n in out(skid).items() if day < 9} == {7: 1, 8: 2}


def test_work_with_a_rented_machine_waits_for_its_booking() -> None:
    # P digs with the skid steer, Q by hand, 8 h each, one crew, Monday 5 April. Nobody booked the machine: it
    # comes on Monday 12 April. Q is done on Monday the 5th, P on the 12th: 0 and 7 days of waiting at 10 USD.
    skid = Machine("skid", "skid steer", rented=True)
    machines = with_rental_leads(file(today=date(2027, 4, 5)), (skid,), ())
    found = plan(
        season(work("P", 8.0, machines={"skid": 1}), work("Q", 8.0), machines=machines, weights=SOON)
    )
    assert (booked(found, "Q").start, booked(found, "P").start) == (at(5, "07:00"), at(12, "07:00"))
    assert found.cost.total_cents == 7000
