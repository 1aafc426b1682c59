"""A gate whose day has passed without a tick, and people from outside: until when does the work wait now?

The electrician's lead as shipped: 10 working days. 2027-05-03 is a Monday; Memorial Day, 31 May, is the only
holiday on the way.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import date, datetime

import pytest

from planner.domain.firm.firm import Firm
from planner.domain.firm.jobs import Gate, GateKind, Job, Line, waits_first
from planner.domain.firm.phases import Phase, WorkKey
from planner.domain.firm.visits import DayPart
from planner.domain.season.plan import Booking
from planner.domain.standing.order_gates import OrderFile
from planner.domain.standing.trade_gates import appointments, with_trade_gates
from planner.store.shipped.leads import lead_times

FRIDAY, MONDAY = date(2027, 4, 30), date(2027, 5, 3)
JOB = Job(
    "P", "Mrs Reed", lines=(Line("dig_machine_cy", 20.0), Line("fill_gal", 3000.0), Line("edge_ft", 40.0))
)


def file(today: date = MONDAY) -> OrderFile:
    return OrderFile(lead_times(), {}, today, Firm())


def opens(job: Job) -> list[date]:
    return [gate.opens for gate in job.gates]


def with_gate(kind: GateKind, day: date, phase: Phase = Phase.DIG, *, met: bool = False) -> Job:
    return replace(JOB, gates=(Gate(kind, day, phase, met),))


@pytest.mark.parametrize(
    ("kind", "day", "today", "expected"),
    [
        # expected on Friday, not ticked on Monday: ten working days after Monday 3 May, Monday 17 May
        (GateKind.ELECTRICIAN, FRIDAY, MONDAY, date(2027, 5, 17)),
        # nobody ticks for weeks: every day puts it off; ten after Thursday 20 May, Memorial Day off, 4 June
        (GateKind.ELECTRICIAN, FRIDAY, date(2027, 5, 20), date(2027, 6, 4)),
        # no lead is known of money and papers: the next working day, over the weekend too
        (GateKind.DEPOSIT, FRIDAY, MONDAY, date(2027, 5, 4)),
        (GateKind.PERMIT, FRIDAY, date(2027, 5, 7), date(2027, 5, 10)),
        # a delivery that was entered is on its way: the next working day, every day anew
        (GateKind.MATERIAL, FRIDAY, MONDAY, date(2027, 5, 4)),
        (GateKind.MATERIAL, FRIDAY, date(2027, 5, 28), date(2027, 6, 1)),
        # its day is today, or to come: that day
        (GateKind.ELECTRICIAN, MONDAY, MONDAY, MONDAY),
        (GateKind.DEPOSIT, date(2027, 5, 6), MONDAY, date(2027, 5, 6)),
        # a day before which the customer wants nobody is no condition: it passes
        (GateKind.START, FRIDAY, MONDAY, FRIDAY),
    ],
)
def test_a_day_that_passed_without_a_tick_is_asked_anew(
    kind: GateKind, day: date, today: date, expected: date
) -> None:
    assert opens(with_trade_gates(file(today), with_gate(kind, day))) == [expected]


def test_a_tick_lets_the_day_hold() -> None:
    job = with_gate(GateKind.ELECTRICIAN, FRIDAY, met=True)
    assert with_trade_gates(file(), job) is job


def test_it_says_what_did_not_come_and_keeps_the_day_that_was_entered() -> None:
    (gate,) = with_trade_gates(file(), with_gate(GateKind.ELECTRICIAN, FRIDAY)).gates
    assert gate.why == "electrician (did not come Fri Apr 30: as if asked anew today)"
    assert (gate.entered, gate.met, gate.phase) == (FRIDAY, False, Phase.FILL)
    (gate,) = with_trade_gates(file(), with_gate(GateKind.PERMIT, FRIDAY)).gates
    assert gate.why == "permit (did not come Fri Apr 30: the next working day at the earliest)"


def test_work_that_began_went_on_without_it() -> None:
    paid = with_gate(GateKind.DEPOSIT, FRIDAY)
    assert with_trade_gates(file(), paid, {Phase.DIG}) is paid
    # a permit for the rock of a job without rock holds its fill
    papers = with_gate(GateKind.PERMIT, FRIDAY, Phase.ROCK)
    assert opens(with_trade_gates(file(), papers, {Phase.DIG})) == [date(2027, 5, 4)]
    assert with_trade_gates(file(), papers, {Phase.DIG, Phase.FILL}) is papers
    # of a job that has no such work left to hold there is nothing to wait for
    bare = replace(papers, lines=(Line("dig_machine_cy", 20.0),))
    assert with_trade_gates(file(), bare) is bare


def test_running_water_does_not_start_the_pump() -> None:
    # the fill is begun: water runs in; the pump still waits until the electrician was there
    visit = with_gate(GateKind.ELECTRICIAN, FRIDAY)
    found = with_trade_gates(file(), visit, {Phase.DIG, Phase.FILL})
    assert opens(found) == [date(2027, 5, 17)]
    assert [found.held_by(found.gates[0], Phase.FILL, part) for part in (1, 2)] == [False, True]
    assert with_trade_gates(file(), visit, {Phase.FILL}, {Phase.FILL}) is visit
    # without water to let in the fill is the start itself
    dry = replace(visit, lines=(Line("edge_ft", 40.0),))
    assert with_trade_gates(file(), dry, {Phase.FILL}) is dry


#: Who comes on Monday 3 May, in which part of the day -> the first day of the work that waits, by the lead
#: times as shipped: concrete hardens 7 days, utility's crew and inspector are gone the day after, hauler and
#: crane work beside the crew.
@pytest.mark.parametrize(
    ("kind", "part", "expected"),
    [
        (GateKind.HAULER, DayPart.AFTERNOON, MONDAY),
        (GateKind.CRANE, DayPart.MORNING, MONDAY),
        (GateKind.CRANE, DayPart.AFTERNOON, MONDAY),
        (GateKind.UTILITY, DayPart.ANY, date(2027, 5, 4)),
        (GateKind.CONCRETE, DayPart.MORNING, date(2027, 5, 10)),
        (GateKind.INSPECTOR, DayPart.MORNING, date(2027, 5, 4)),
        (GateKind.ELECTRICIAN, DayPart.MORNING, MONDAY),
        (GateKind.ELECTRICIAN, DayPart.AFTERNOON, date(2027, 5, 4)),
        (GateKind.PERMIT, DayPart.ANY, MONDAY),
    ],
)
def test_work_waits_until_he_is_gone_or_what_he_left_is_hard(
    kind: GateKind, part: DayPart, expected: date
) -> None:
    job = replace(JOB, gates=(Gate(kind, MONDAY, waits_first(kind), day_part=part),))
    assert opens(with_trade_gates(file(), job)) == [expected]


def test_a_tick_ends_the_wait_but_not_the_hardening() -> None:
    here = replace(JOB, gates=(Gate(GateKind.INSPECTOR, MONDAY, Phase.FILL, met=True),))
    assert opens(with_trade_gates(file(), here)) == [MONDAY]
    poured = replace(JOB, gates=(Gate(GateKind.CONCRETE, MONDAY, Phase.ROCK, met=True),))
    (gate,) = with_trade_gates(file(), poured).gates
    assert (gate.opens, gate.entered) == (date(2027, 5, 10), MONDAY)
    assert gate.why == "concrete (was here Mon May 3, 7 days to harden)"


def test_a_crane_that_did_not_come_is_asked_anew_and_the_stone_waits() -> None:
    # five working days after Monday 3 May is Monday 10 May; concrete: three, and seven more to harden
    gone = [(GateKind.CRANE, date(2027, 5, 10)), (GateKind.CONCRETE, date(2027, 5, 13))]
    for kind, day in gone:
        job = replace(JOB, gates=(Gate(kind, FRIDAY, Phase.ROCK, day_part=DayPart.MORNING),))
        (gate,) = with_trade_gates(file(), job).gates
        assert (gate.opens, gate.entered, gate.day_part) == (day, FRIDAY, DayPart.MORNING)


def test_who_is_asked_for_and_not_booked_holds_as_if_asked_today() -> None:
    asked = replace(JOB, lines=(*JOB.lines, Line("crane_visits", 1), Line("inspector_visits", 1)))
    found = {g.kind: g for g in with_trade_gates(file(), asked).gates}
    assert found[GateKind.CRANE].opens == date(2027, 5, 10)
    assert found[GateKind.CRANE].why == "crane not booked (5 working days of lead)"
    # two working days, then the day after him
    assert found[GateKind.INSPECTOR].opens == date(2027, 5, 6)
    assert not appointments({"P": with_trade_gates(file(), asked)}, [])


def booked(phase: Phase, begin: datetime, end: datetime, part: int = 1) -> Booking:
    return Booking(WorkKey("P", phase, part), ("A",), begin, end, 8.0)


def stands(gate: Gate, *bookings: Booking) -> str:
    job = with_trade_gates(file(), replace(JOB, gates=(gate,)))
    (one,) = appointments({"P": job}, bookings)
    return one.misfit


def test_an_appointment_stands_against_the_bookings_of_its_work() -> None:
    tuesday, rock = date(2027, 5, 4), booked(Phase.ROCK, datetime(2027, 5, 4, 7), datetime(2027, 5, 5, 12))
    assert not stands(Gate(GateKind.CRANE, tuesday, Phase.ROCK), rock)
    late = stands(Gate(GateKind.CRANE, date(2027, 5, 7), Phase.ROCK), rock)
    assert late == "no rock is planned that day: have him come Tue May 4, or pin it"
    pipes = booked(Phase.PLUMBING, datetime(2027, 5, 5, 12, 30), datetime(2027, 5, 6, 11))
    thursday = Gate(GateKind.INSPECTOR, date(2027, 5, 6), Phase.FILL, day_part=DayPart.MORNING)
    assert stands(thursday, pipes).startswith("plumbing is planned until Thu May 6")
    assert not stands(replace(thursday, day_part=DayPart.AFTERNOON), pipes)
    fill = booked(Phase.FILL, datetime(2027, 5, 6, 12, 30), datetime(2027, 5, 6, 14))
    early = stands(replace(thursday, opens=date(2027, 5, 7)), pipes, fill)
    assert early == "too late for Thu May 6: re-plan, or have him come sooner"
