"""When a job may be dug: by its ticket, by one asked now, and not in the days between two tickets.

Rule: the cautious one (three full working days, start within ten, fourteen calendar days of life); 2027-05-03
is a Monday, no federal holiday falls before 31 May.
"""

from __future__ import annotations

from datetime import date, datetime

import pytest

from planner.domain.firm.jobs import RAN_OUT, DayRange, Gate, GateKind, Job, Line
from planner.domain.firm.phases import Phase
from planner.domain.firm.records import TICKED, OfficeMark
from planner.domain.standing.locate_gates import NOT_ASKED, with_locate_gate
from planner.domain.standing.locate_standing import LocateFile, is_cleared, locate_gate
from planner.store.shipped.locates import locate_rule

JOB = Job("P", "Mrs Reed", lines=(Line("dig_machine_cy", 20.0),))


def file(now: datetime, asked: datetime | None = None, state: str = "") -> LocateFile:
    marks = {"locate:P": OfficeMark("locate:P", TICKED, None, "office", asked)} if asked else {}
    return LocateFile(locate_rule(state), marks, now)


def test_no_word_is_a_locate_asked_now() -> None:
    # Monday's call: Tuesday, Wednesday, Thursday are the notice; the first dig is on Friday.
    gate = locate_gate(with_locate_gate(file(datetime(2027, 5, 3, 6)), JOB))
    assert gate == Gate(GateKind.LOCATE, date(2027, 5, 7), Phase.DIG, note=NOT_ASKED)
    # a date that the office entered without asking counts only where it is later
    for entered, opens in ((date(2027, 5, 4), date(2027, 5, 7)), (date(2027, 5, 12), date(2027, 5, 12))):
        own = Job("P", "Mrs Reed", lines=JOB.lines, gates=(Gate(GateKind.LOCATE, entered),))
        assert with_locate_gate(file(datetime(2027, 5, 3, 6)), own).release(Phase.DIG) == opens


def test_only_what_opens_ground_waits_and_only_until_it_is_open() -> None:
    now = file(datetime(2027, 5, 3, 6))
    stone = Job("P", "Mrs Reed", lines=(Line("boulder_small_ton", 4.0),))
    assert with_locate_gate(now, stone) is stone
    boxes = Job("P", "Mrs Reed", lines=(Line("filter_boxes", 1.0), Line("boulder_small_ton", 4.0)))
    gate = locate_gate(with_locate_gate(now, boxes))
    assert gate is not None and gate.phase is Phase.SET_FILTERS
    assert with_locate_gate(now, JOB, begun=True) is JOB


@pytest.mark.parametrize(
    ("asked", "opens", "rests"),
    [
        # asked this morning: the same day as without a word
        (datetime(2027, 5, 3, 5), date(2027, 5, 7), ()),
        # asked Wednesday 28 April: clear at the end of Monday
        (datetime(2027, 4, 28, 9), date(2027, 5, 4), ()),
        # asked Wednesday 21 April: its 14th day is Tuesday 4 May; a fresh one clears for Friday
        (
            datetime(2027, 4, 21, 9),
            date(2027, 4, 27),
            (DayRange(date(2027, 5, 5), date(2027, 5, 6), RAN_OUT),),
        ),
        # asked Monday 19 April: ten working days and fourteen days are over: asked anew
        (datetime(2027, 4, 19, 9), date(2027, 5, 7), ()),
    ],
)
def test_a_ticket_holds_from_its_clear_hour_to_its_end(
    asked: datetime, opens: date, rests: tuple[DayRange, ...]
) -> None:
    found = with_locate_gate(file(datetime(2027, 5, 3, 6), asked), JOB)
    assert (found.release(Phase.DIG), found.blackouts) == (opens, rests)


def test_an_answer_from_before_a_request_does_not_clear_it() -> None:
    # the owners answered on 20 April; the office asked anew on 3 May: that request has no answer yet
    met = Job("P", "Mrs Reed", lines=JOB.lines, gates=(Gate(GateKind.LOCATE, date(2027, 4, 20), met=True),))
    anew = file(datetime(2027, 5, 3, 9), asked=datetime(2027, 5, 3, 8))
    assert not is_cleared(anew, met, date(2027, 5, 3))
    assert is_cleared(file(datetime(2027, 5, 3, 9)), met, date(2027, 4, 15)), "no other request is on file"
