"""A dig and its utility locate: two-job seasons whose best plan is reasoned beside them."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime

from planner.domain.firm.jobs import Job, Line
from planner.domain.firm.phases import Phase
from planner.domain.firm.records import TICKED, OfficeMark
from planner.domain.standing.locate_gates import with_locate_gate
from planner.domain.standing.locate_standing import LocateFile
from planner.store.shipped.locates import locate_rule
from tests.schedule.test_rules import SOON, booked, plan
from tests.schedule.tiny import at, season, work


def test_a_dig_waits_for_its_locate() -> None:
    # Three full days of notice, and Monday 5 April, 06:00. Q was asked for on Tuesday 30 March: clear
    # at the end of Friday, so it is dug on Monday. Nobody asked for P: asked now it clears at the end of
    # Thursday 8 April, so its 8 h are dug on Friday. In any other order Q would wait for nothing.
    # Waiting: Q 0 days, P 4 days at 10 USD.
    asked = OfficeMark("locate:Q", TICKED, None, "office", datetime(2027, 3, 30, 9))
    file = LocateFile(locate_rule(""), {"locate:Q": asked}, at(5, "06:00"))
    sold = [
        Job(code, code, lines=(Line("dig_machine_cy", 20.0),), latitude_deg=41.0, longitude_deg=-74.0)
        for code in ("P", "Q")
    ]
    jobs = [with_locate_gate(file, job) for job in sold]
    works = [work(job.code, 8.0, opens=job.release(Phase.DIG)) for job in jobs]
    found = plan(season(*works, jobs=jobs, weights=SOON))
    assert (booked(found, "Q").start, booked(found, "P").start) == (at(5, "07:00"), at(9, "07:00"))
    assert found.cost.total_cents == 4000


def test_a_dig_rests_between_a_ticket_that_ran_out_and_a_fresh_one() -> None:
    # The ticket of 23 March lives to Monday 5 April, its 14th day. Asked anew on that Monday it clears at the
    # end of Thursday: Tuesday to Thursday nobody digs there. R digs on Monday; P, 16 h, would
    # have Tuesday and Wednesday, and gets Friday and the next Monday instead.
    asked = OfficeMark("locate:P", TICKED, None, "office", datetime(2027, 3, 23, 9))
    file = LocateFile(locate_rule(""), {"locate:P": asked}, at(5, "06:00"))
    job = Job("P", "P", lines=(Line("dig_machine_cy", 20.0),), latitude_deg=41.0, longitude_deg=-74.0)
    job = with_locate_gate(file, job)
    r = replace(work("R", 8.0), only_start=at(5, "07:00"))
    found = booked(plan(season(r, work("P", 16.0), jobs=[job], weights=SOON)), "P")
    assert (found.start, found.end) == (at(9, "07:00"), at(12, "15:30"))
