"""What changes for whom: days, crews, reasons and calls, in plans small enough to reason out by hand."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, datetime, timedelta

import pytest

from planner.domain.firm.crews import Crew, Machine
from planner.domain.firm.firm import Firm
from planner.domain.firm.jobs import DayRange, Job
from planner.domain.firm.lost import LostKind, LostTime
from planner.domain.firm.phases import Phase, WorkKey
from planner.domain.season.plan import Booking, Cost, MachineUse, Plan, PlanState
from planner.domain.season.season import Mode, Season, Work
from planner.domain.season.told_days import told_by_plan
from planner.domain.standing.changes import PlanChange, calls, changes

NOW = datetime(2027, 5, 3, 6)


def at(day: int, hour: float = 7) -> datetime:
    return datetime(2027, 5, 1) + timedelta(days=day - 1, hours=hour)


def book(
    code: str, day: int, last: int, crew: str = "Heron", phase: Phase = Phase.DIG, machine: str = ""
) -> Booking:
    machines = (MachineUse(machine, 1),) if machine else ()
    return Booking(WorkKey(code, phase), (crew,), at(day), at(last, 15.5), 8.0, machines)


def season_for(
    *rows: Booking, lost: tuple[LostTime, ...] = (), done: tuple[Booking, ...] = (), **jobs: Job
) -> Season:
    codes = {b.job for b in (*rows, *done)}
    return Season(
        firm=Firm(),
        jobs={c: jobs.get(c.replace("-", ""), Job(c, f"client of {c}")) for c in codes},
        crews={n: Crew(n, "lead") for n in ("Heron", "Otter")},
        machines={"excavator": Machine("excavator", "mini excavator")},
        works={b.key: Work(b.key, (Mode(b.crews, 480.0),)) for b in rows},
        now=NOW,
        last_day=date(2027, 11, 19),
        lost=lost,
        done=done,
    )


def compare(
    old: list[Booking],
    new: list[Booking],
    lost: tuple[LostTime, ...] = (),
    done: tuple[Booking, ...] = (),
    **jobs: Job,
) -> list[PlanChange]:
    """The changes from a published plan whose days all clients know."""
    plan = Plan(tuple(old), Cost(), PlanState.FEASIBLE, NOW)
    season = replace(
        season_for(*new, *old, lost=lost, done=done, **jobs),
        published={b.key: b for b in old},
        told=told_by_plan(plan, NOW.date(), 60),
    )
    return changes(plan, {b.key: b for b in new}, season)


def rain(day: int, target: str = "") -> LostTime:
    return LostTime(LostKind.RAIN, DayRange(date(2027, 5, day), date(2027, 5, day)), target)


def test_nothing_changes_between_equal_plans() -> None:
    rows = [book("P-1", 3, 4), book("P-2", 5, 6)]
    assert compare(rows, rows) == []


def test_a_rain_day_moves_two_jobs_and_two_customers_are_called() -> None:
    old = [book("P-1", 3, 4), book("P-2", 5, 6)]
    new = [book("P-1", 4, 5), book("P-2", 6, 7)]
    first, second = compare(old, new, lost=(rain(3),))
    assert (first.job, first.old_day, first.new_day) == ("P-1", date(2027, 5, 3), date(2027, 5, 4))
    assert first.why == "rain on Mon May 3"
    assert first.words == "starts Tue May 4 instead of Mon May 3; water in Wed May 5 instead of Tue May 4"
    # the second job is not on the rain day: it waits for its crew
    assert second.why == "Heron is on P-1 until Wed May 5"
    assert calls([first, second]) == 2


def test_a_begun_job_goes_on_and_needs_no_call() -> None:
    old, new = [book("P-1", 3, 4)], [book("P-1", 4, 5)]
    (change,) = compare(old, new, lost=(rain(3),), done=(book("P-1", 1, 1, phase=Phase.DIG),))
    assert change.words.startswith("goes on Tue May 4")
    assert not change.call


def test_a_finish_past_the_promise_is_called_even_when_begun() -> None:
    promised = Job("P-1", "Mrs Reed", promised=date(2027, 5, 4))
    old, new = [book("P-1", 3, 4)], [book("P-1", 3, 5)]
    (change,) = compare(old, new, done=(book("P-1", 1, 1),), P1=promised)
    assert change.late
    assert change.call
    assert "after the promise" in change.words
    assert change.why == "the work takes longer than was planned"


LOST = DayRange(date(2027, 5, 3), date(2027, 5, 4))


@pytest.mark.parametrize(
    ("entry", "why"),
    [
        (LostTime(LostKind.CREW_OFF, LOST, "Heron"), "Heron is off Mon May 3 to Tue May 4"),
        (LostTime(LostKind.CREW_SHORT, LOST, "Heron", 1), "Heron is short of hands Mon May 3 to Tue May 4"),
        (
            LostTime(LostKind.MACHINE_DOWN, LOST, "excavator", 1),
            "the excavator is out of order Mon May 3 to Tue May 4",
        ),
        (LostTime(LostKind.DELIVERY, LOST, "P-1", phase="dig"), "late delivery until Tue May 4"),
        (LostTime(LostKind.INSPECTION, LOST, "P-1"), "failed inspection until Tue May 4"),
    ],
)
def test_the_reason_names_what_was_lost(entry: LostTime, why: str) -> None:
    old = [book("P-1", 3, 4, machine="excavator")]
    new = [book("P-1", 5, 6, machine="excavator")]
    (change,) = compare(old, new, lost=(entry,))
    assert change.why == why


def test_lost_time_of_others_is_no_reason() -> None:
    others = (
        LostTime(LostKind.CREW_OFF, LOST, "Otter"),
        rain(3, "north"),
        LostTime(LostKind.DELIVERY, LOST, "P-9"),
    )
    (change,) = compare([book("P-1", 3, 4)], [book("P-1", 5, 6)], lost=others)
    assert change.why == "the whole season costs less this way"


def test_a_promise_is_named_only_where_one_is_kept_so() -> None:
    # Otter's job gives way on other days; P-2 was to end on Friday the 7th
    old = [book("P-1", 3, 4, "Otter"), book("P-2", 6, 7)]
    new = [book("P-1", 5, 6, "Otter"), book("P-2", 3, 4)]
    late = Job("P-2", "late", promised=date(2027, 5, 5))
    why = {c.job: c.why for c in compare(old, new, P2=late)}
    assert why["P-1"] == "moved to keep the promise of P-2"
    in_time = Job("P-2", "in time", promised=date(2027, 5, 7))
    why = {c.job: c.why for c in compare(old, new, P2=in_time)}
    assert why["P-1"] == "the whole season costs less this way"


def test_earlier_other_crew_new_and_gone() -> None:
    old = [book("P-1", 10, 11), book("P-2", 5, 6), book("P-4", 12, 12)]
    new = [book("P-1", 6, 7), book("P-2", 5, 6, "Otter"), book("P-3", 13, 13)]
    found = {c.job: c for c in compare(old, new)}
    assert found["P-1"].why == "a place came free with Heron"
    assert found["P-2"].words == "Otter comes instead of Heron"
    assert not found["P-2"].call
    assert found["P-3"].words == "new: starts Thu May 13, water in Thu May 13"
    assert found["P-3"].call
    assert found["P-4"].words == "no longer in the plan"


def test_a_new_job_ahead_is_the_reason() -> None:
    old, new = [book("P-1", 3, 4)], [book("P-2", 3, 4), book("P-1", 5, 6)]
    found = {c.job: c for c in compare(old, new)}
    assert found["P-1"].why == "Heron does P-2 first, which is new"


def test_finished_phases_are_no_change() -> None:
    # the dig of the old plan is done and gone from the new one; the liner stays on its day
    old = [book("P-1", 3, 3), book("P-1", 4, 4, phase=Phase.LINER)]
    new = [book("P-1", 4, 4, phase=Phase.LINER)]
    assert compare(old, new, done=(book("P-1", 3, 3),)) == []


def test_crews_see_phases_that_move_inside_a_job() -> None:
    old = [book("P-1", 3, 3), book("P-1", 4, 4, phase=Phase.LINER), book("P-1", 6, 6, phase=Phase.FILL)]
    new = [book("P-1", 3, 3), book("P-1", 5, 5, phase=Phase.LINER), book("P-1", 6, 6, phase=Phase.FILL)]
    (change,) = compare(old, new, lost=(rain(4),))
    assert change.words == "other days or crew for liner; first and last day stay"
    assert [(m.key.phase, m.old_day, m.new_day) for m in change.moves] == [
        (Phase.LINER, date(2027, 5, 4), date(2027, 5, 5))
    ]
    assert not change.call


def test_the_rest_of_begun_work_that_goes_on_as_told_is_no_change() -> None:
    """A dig told for Monday to Tuesday; on Tuesday morning its rest is on Tuesday: nothing moved."""
    told, worked = book("P-1", 2, 4), book("P-1", 2, 2)
    season = replace(season_for(told, done=(worked,)), now=at(3, 6.75))
    as_told = replace(told, start=at(3), crew_h=4.0)
    assert changes({told.key: told}, {as_told.key: as_told}, season) == []
    later = replace(told, start=at(5), end=at(6, 15.5))
    (change,) = changes({told.key: told}, {later.key: later}, season)
    assert change.words.startswith("goes on Wed May 5 instead of Mon May 3"), "from the day that is left"


def test_a_reason_names_what_was_not_done_and_the_phase_before() -> None:
    """Nobody began it on its day, or the phase before it takes longer: neither keeps another's promise."""
    told, new = book("P-1", 2, 2), book("P-1", 4, 4)
    (change,) = compare([told], [new])
    assert change.why == "it was not done on Sun May 2 as planned"
    dig, rock = book("P-1", 3, 4), book("P-1", 5, 5, phase=Phase.ROCK)
    slow, late = book("P-1", 3, 5), book("P-1", 6, 6, phase=Phase.ROCK)
    (change,) = compare([dig, rock], [slow, late], P1=Job("P-1", "Mrs Reed"))
    assert change.why in {"the work takes longer than was planned", "its dig takes until Wed May 5"}
