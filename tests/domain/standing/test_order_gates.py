"""When work may begin that uses material: by what was ordered, confirmed, or lies in the yard.

Lead times as shipped: liner 10 working days, stone 7, gravel 3. 2027-05-03 is a Monday; Memorial Day, 31 May,
is the only holiday on the way.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import date, datetime

import pytest

from planner.domain.firm.firm import Firm
from planner.domain.firm.jobs import Awaited, Gate, GateKind, Job, Line
from planner.domain.firm.phases import Phase
from planner.domain.firm.records import SNOOZED, TICKED, OfficeMark
from planner.domain.firm.visits import DayPart
from planner.domain.standing.order_gates import OrderFile, order_standings, with_order_gates
from planner.store.shipped.leads import lead_times

JOB = Job(
    "P", "Mrs Reed", lines=(Line("liner_ft2", 400.0), Line("boulder_small_ton", 2.0), Line("gravel_ton", 1.0))
)
MONDAY = date(2027, 5, 3)


def file(*marks: OfficeMark, today: date = MONDAY) -> OrderFile:
    return OrderFile(lead_times(), {m.key: m for m in marks}, today, Firm())


def mark(key: str, at: datetime, until: date | None = None, state: str = TICKED) -> OfficeMark:
    return OfficeMark(key, state, until, "office", at)


def opens(job: Job) -> dict[Phase, date]:
    return {g.phase: g.opens for g in job.gates}


def test_what_nobody_ordered_counts_as_ordered_today() -> None:
    # ten working days after Monday 3 May: Monday 17 May; stone seven: Wednesday 12 May
    found = with_order_gates(file(), JOB)
    assert opens(found) == {Phase.LINER: date(2027, 5, 17), Phase.ROCK: date(2027, 5, 12)}
    # the later phase waits for the liner too: gates hold what comes after
    assert found.release(Phase.ROCK) == date(2027, 5, 17)
    assert found.release(Phase.DIG) is None
    liner, rock = found.gates
    assert liner.why == "liner and underlayment not ordered (10 working days of lead)"
    assert rock.why == (
        "boulders and waterfall stone not ordered (7 working days of lead); "
        "gravel not ordered (3 working days of lead)"
    )
    # tomorrow the wait is a day longer
    assert opens(with_order_gates(file(today=date(2027, 5, 4)), JOB))[Phase.LINER] == date(2027, 5, 18)


@pytest.mark.parametrize(
    ("marks", "liner"),
    [
        # ordered Thursday 20 May: ten working days with Memorial Day off end on Friday 4 June
        ((mark("order:P:liner", datetime(2027, 5, 20, 9)),), date(2027, 6, 4)),
        # the supplier names a day: that day, whatever the lead says
        (
            (
                mark("order:P:liner", datetime(2027, 5, 20, 9)),
                mark("arrives:P:liner", datetime(2027, 5, 21), date(2027, 5, 27)),
            ),
            date(2027, 5, 27),
        ),
        # put away is not ordered
        ((mark("order:P:liner", datetime(2027, 5, 3), date(2027, 5, 9), SNOOZED),), date(2027, 6, 7)),
        # its day has passed and nobody ticked it off: the next working day after Friday 21 May
        (
            (
                mark("order:P:liner", datetime(2027, 5, 3, 9)),
                mark("arrives:P:liner", datetime(2027, 5, 10), date(2027, 5, 20)),
            ),
            date(2027, 5, 24),
        ),
        # ordered Monday 3 May, here by its lead on Monday 17 May, and not ticked off by Friday 21
        ((mark("order:P:liner", datetime(2027, 5, 3, 9)),), date(2027, 5, 24)),
        # its day is today: it may still come
        ((mark("arrives:P:liner", datetime(2027, 5, 10), date(2027, 5, 21)),), date(2027, 5, 21)),
        # here: it waits for nothing
        ((mark("here:P:liner", datetime(2027, 5, 20, 9)),), None),
    ],
)
def test_the_office_says_ordered_confirmed_here(marks: tuple[OfficeMark, ...], liner: date | None) -> None:
    found = with_order_gates(file(*marks, today=date(2027, 5, 21)), JOB)
    assert opens(found).get(Phase.LINER) == liner


def test_it_says_what_did_not_come_on_its_day() -> None:
    late = mark("arrives:P:liner", datetime(2027, 5, 10), date(2027, 5, 20))
    (gate, _) = with_order_gates(file(late, today=date(2027, 5, 21)), JOB).gates
    said = "confirmed for Thu May 20, did not come: the next working day at the earliest"
    assert gate.why == f"liner and underlayment {said}"
    ordered = mark("order:P:liner", datetime(2027, 5, 3, 9))
    (gate, _) = with_order_gates(file(ordered, today=date(2027, 5, 21)), JOB).gates
    said = (
        "ordered Mon May 3, by its lead here Mon May 17, did not come: the next working day at the earliest"
    )
    assert gate.why == f"liner and underlayment {said}"


def test_begun_phases_and_deliveries_that_the_office_entered_wait_for_no_order() -> None:
    assert Phase.LINER not in opens(with_order_gates(file(), JOB, {Phase.LINER}))
    own = Gate(GateKind.MATERIAL, date(2027, 5, 6), Phase.LINER)
    found = with_order_gates(file(), Job("P", "Mrs Reed", lines=JOB.lines, gates=(own,)))
    assert opens(found) == {Phase.LINER: date(2027, 5, 6), Phase.ROCK: date(2027, 5, 12)}
    assert [type(g) for g in found.gates] == [Gate, Awaited]
    # entered at the dig it is the word on all of the job's material
    every = Job("P", "Mrs Reed", lines=JOB.lines, gates=(Gate(GateKind.MATERIAL, date(2027, 5, 6)),))
    assert with_order_gates(file(), every) is every


def test_a_job_without_quantities_waits_for_no_order() -> None:
    bare = Job("P", "Mrs Reed")
    assert order_standings(file(), bare) == ()
    assert with_order_gates(file(), bare) is bare


def test_trucks_that_the_hauler_brings_are_his_and_asked_for_once() -> None:
    """One truckload, one noun: with a hauler the trucks stand as he does, and hold nothing twice."""
    bare = Job("P", "Mrs Reed", lines=(Line("haul_off_cy", 20.0),))
    (own,) = order_standings(file(), bare)
    assert own.words == "not ordered (2 working days of lead)" and with_order_gates(file(), bare).gates
    asked = replace(bare, lines=(*bare.lines, Line("hauler_visits", 1.0)))
    (his,) = order_standings(file(), asked)
    # the hauler's own lead, 3 working days after Monday
    assert (his.words, his.arrives) == ("with the hauler, not booked yet", date(2027, 5, 6))
    assert with_order_gates(file(), asked).gates == ()
    day = Gate(GateKind.HAULER, date(2027, 5, 10), day_part=DayPart.MORNING)
    (dated,) = order_standings(file(), replace(bare, gates=(day,)))
    assert dated.words == "with the hauler, who comes Mon May 10 in the morning"
    assert dated.arrives == day.opens and dated.confirmed and not dated.here
    (was,) = order_standings(file(), replace(bare, gates=(replace(day, met=True),)))
    assert was.here and was.words == "with the hauler, who was here Mon May 10"
