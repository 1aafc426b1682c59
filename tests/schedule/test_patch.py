"""After a lost day: the least disturbing repair beside the order kept, both reasoned in comments."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

from planner.domain.firm.crews import Machine, MachineOut
from planner.domain.firm.jobs import DayRange, Job
from planner.domain.firm.lost import LostKind, LostTime
from planner.domain.firm.phases import Phase
from planner.domain.season.breaches import breaches
from planner.domain.season.plan import Booking, Cost, Plan, PlanState
from planner.domain.season.season import After
from planner.domain.season.told_days import told_by_plan
from planner.domain.standing.disturbance import Disturbance, disturbance
from planner.schedule.answers.freeze import freeze
from planner.schedule.answers.give_way import give_way
from planner.schedule.answers.repair import patch, repair
from tests.schedule.tiny import FREE, at, key, season, work

MONDAY = date(2027, 4, 5)


def told(*rows: tuple[str, int]) -> Plan:
    bookings = tuple(Booking(key(j), ("A",), at(d, "07:00"), at(d, "15:30"), 8.0) for j, d in rows)
    return Plan(bookings, Cost(), PlanState.FEASIBLE, at(5, "06:00"))


def days(plan: Plan) -> dict[str, int]:
    return {b.job: b.start.day for b in plan.bookings}


def test_only_the_job_in_the_rain_moves() -> None:
    # One crew: P on Monday, Q on Tuesday, R on Wednesday, nothing on Thursday. Rain in P's north on Monday.
    # The order kept: P on Tuesday pushes Q and R a day on: three clients, and on
    # Tuesday, Wednesday and Thursday the crew is elsewhere than told (Monday is lost to the rain anyway).
    # Left in place: Q and R stay, P takes Thursday: one client, one day.
    rain = LostTime(LostKind.RAIN, DayRange(MONDAY, MONDAY), "north")
    jobs = [Job(c, c, region="north" if c == "P" else "south") for c in "PQR"]
    plan = told(("P", 5), ("Q", 6), ("R", 7))
    published = {b.key: b for b in plan.bookings}
    s = season(*(work(c, 8.0) for c in "PQR"), jobs=jobs, lost=(rain,), published=published, weights=FREE)
    kept, left = repair(s, plan), patch(s, plan)
    assert days(kept) == {"P": 6, "Q": 7, "R": 8}
    assert days(left) == {"P": 8, "Q": 6, "R": 7}
    assert breaches(s, left.bookings) == []
    assert disturbance(plan, kept, s) == Disturbance(3, 3, 0)
    assert disturbance(plan, left, s) == Disturbance(1, 1, 0)
    assert min([kept, left], key=lambda p: disturbance(plan, p, s)) is left
    # so the next two days freeze with Q in them: only P has become impossible
    weights = replace(FREE, freeze_days=2, notice_days=2)
    assert set(freeze(replace(s, firm=replace(s.firm, weights=weights))).frozen) == {key("Q")}


def test_a_job_that_can_wait_gives_way() -> None:
    # One crew: P on Monday, promised for Tuesday; Q on Tuesday, promised for Friday; R on Wednesday, promised
    # for that day. Rain in P's north on Monday; Thursday is free. A day late costs 250, a client's call 100.
    # Left in place: P on Thursday, 2 days late, 1 call: 600. The order kept: R is a day late, 3 calls: 550.
    # Q gives way: P on Tuesday, Q on Thursday, nobody late, 2 calls: 200. R giving way would be late itself.
    rain = LostTime(LostKind.RAIN, DayRange(MONDAY, MONDAY), "north")
    due = {"P": 6, "Q": 9, "R": 7}
    jobs = [Job(c, c, region="north" if c == "P" else "south", promised=date(2027, 4, due[c])) for c in "PQR"]
    plan = told(("P", 5), ("Q", 6), ("R", 7))
    published = {b.key: b for b in plan.bookings}
    weights = replace(FREE, late_day=250.0, call=100.0)
    s = season(*(work(c, 8.0) for c in "PQR"), jobs=jobs, lost=(rain,), published=published, weights=weights)
    s = replace(s, told=told_by_plan(plan, MONDAY, 14))
    found = give_way(s, plan)
    assert days(found) == {"P": 6, "Q": 8, "R": 7}
    assert breaches(s, found.bookings) == []
    costs = [fix(s, plan).cost.total_cents for fix in (patch, repair, give_way)]
    assert costs == [60_000, 55_000, 20_000]
    # where nothing was lost nobody gives way
    dry = replace(s, lost=())
    assert days(give_way(dry, plan)) == {"P": 5, "Q": 6, "R": 7}


def test_what_follows_a_moved_phase_waits_for_it() -> None:
    # P digs on Monday, is lined on Tuesday; the excavator is not there on Monday. Q stays on Wednesday.
    out = Machine("excavator", "excavator", out=(MachineOut(DayRange(MONDAY, MONDAY)),))
    works = (
        work("P", 8.0, machines={"excavator": 1}),
        work("P", 8.0, Phase.LINER, after=(After(key("P")),)),
        work("Q", 8.0),
    )
    plan = told(("P", 5), ("Q", 7))
    liner = Booking(key("P", Phase.LINER), ("A",), at(6, "07:00"), at(6, "15:30"), 8.0)
    rows = (*plan.bookings, liner)
    left = patch(season(*works, machines=(out,)), rows)
    found = {b.key: b.start.day for b in left.bookings}
    # the dig comes on Tuesday, the liner after it on Thursday, the next free day
    assert found == {key("P"): 6, key("P", Phase.LINER): 8, key("Q"): 7}
