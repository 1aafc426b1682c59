"""A gate whose day has passed without a tick: until when does the work wait now?

The electrician's lead as shipped: 10 working days. 2027-05-03 is a Monday; Memorial Day, 31 May, is the only
holiday on the way.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

from planner.domain.firm.firm import Firm
from planner.domain.firm.jobs import Gate, GateKind, Job, Line
from planner.domain.firm.phases import Phase
from planner.domain.standing.order_gates import OrderFile
from planner.domain.standing.trade_gates import with_trade_gates
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
