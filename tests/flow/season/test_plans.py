"""From the store to a saved plan and back: nothing half done, nothing stale told."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, datetime, time, timedelta

import pytest

from planner.cli.main import main
from planner.domain.firm.actuals import Log
from planner.domain.firm.calendar import working_days
from planner.domain.firm.jobs import DayRange, Line, Pin
from planner.domain.firm.lost import LostKind, LostTime
from planner.domain.firm.phases import Phase, WorkKey
from planner.domain.season.breaches import breaches
from planner.domain.season.cost import plan_cost
from planner.domain.season.facts import season_of
from planner.errors import BadInput, NoPlanFits, PlannerError
from planner.flow.season.plans import go_back, make_plan, plan_heads, publish, save_plan, why
from planner.flow.stored.facts import load_facts
from planner.store.engine import Store
from tests.flow.conftest import NOW, job


def log(location: str, **fields: object) -> None:
    entry = {
        "day": date(2027, 4, 5),
        "crew": "Heron",
        "job": "P1",
        "phase": Phase.DIG,
        "crew_h": 4.0,
        **fields,
    }
    with Store(location).writing(who="test") as book:
        book.save_log(Log(**entry))  # type: ignore[arg-type]


def test_a_plan_is_saved_without_a_breach_and_with_its_true_cost(firm_db: str) -> None:
    made = make_plan(firm_db, NOW, seconds=1)
    assert made.plan.number == 1
    assert {b.job for b in made.plan.bookings} == {"P1", "P2", "P3"}
    assert breaches(made.season, made.plan.bookings) == []
    assert plan_cost(made.season, made.plan.bookings) == made.plan.cost
    with Store(firm_db).reading() as book:
        kept = book.plan(1)
    assert sorted(kept.bookings, key=lambda b: b.key) == sorted(made.plan.bookings, key=lambda b: b.key)
    assert replace(kept, bookings=()) == replace(made.plan, bookings=())


def test_a_plan_with_a_breach_is_never_saved(firm_db: str) -> None:
    made = make_plan(firm_db, NOW, seconds=60, steps=400)
    early = replace(made.plan.bookings[0], start=made.plan.bookings[0].start - timedelta(hours=3))
    for bookings in (made.plan.bookings[1:], (early, *made.plan.bookings[1:])):
        with pytest.raises(PlannerError, match="was not saved"):
            save_plan(firm_db, replace(made.plan, number=0, bookings=bookings), made.season)
    assert [head.number for head in plan_heads(firm_db)] == [made.plan.number]
    again = save_plan(firm_db, replace(made.plan, number=0), made.season)
    assert again.number == made.plan.number + 1


def test_the_same_facts_and_seed_give_the_same_plan(firm_db: str) -> None:
    first, second = (make_plan(firm_db, NOW, seconds=1, steps=2_000, seed=7).plan for _ in range(2))
    assert first.bookings == second.bookings


def test_a_begun_phase_goes_on_with_its_crew_in_the_morning(firm_db: str) -> None:
    key, tuesday = WorkKey("P1", Phase.DIG), datetime(2027, 4, 6, 6, 45)
    whole = season_of(load_facts(firm_db), tuesday).works[key]
    of_heron = next(m.work_min for m in whole.modes if m.crews == ("Heron",))
    log(firm_db, share_done=0.5, crew_h=of_heron / 60 / 2)
    dig = season_of(load_facts(firm_db), tuesday).works[key]
    assert (dig.only_crew, dig.only_start) == ("Heron", datetime(2027, 4, 6, 7))
    assert [m.crews for m in dig.modes] == [("Heron",)]
    assert dig.modes[0].work_min == pytest.approx(of_heron / 2, rel=0.02)


def test_of_several_begun_works_the_latest_touched_goes_on(firm_db: str) -> None:
    # Heron left P1's dig for P2's; Otter began P3's dig too, but there is one excavator
    for code, crew, day in (("P1", "Heron", 2), ("P2", "Heron", 5), ("P3", "Otter", 1)):
        log(firm_db, job=code, crew=crew, day=date(2027, 4, day), share_done=0.5)
    works = season_of(load_facts(firm_db), datetime(2027, 4, 6, 6, 45)).works
    starts = {code: works[WorkKey(code, Phase.DIG)].only_start for code in ("P1", "P2", "P3")}
    assert starts == {"P1": None, "P2": datetime(2027, 4, 6, 7), "P3": None}


def test_begun_work_waits_for_its_open_site_and_the_next_slot(firm_db: str) -> None:
    log(firm_db, share_done=0.5)
    with Store(firm_db).writing(who="test") as book:
        closed = DayRange(date(2027, 4, 6), date(2027, 4, 7))
        book.save_job(replace(book.job("P1"), blackouts=(closed,)))
    key = WorkKey("P1", Phase.DIG)
    facts = load_facts(firm_db)
    assert season_of(facts, datetime(2027, 4, 6, 9)).works[key].only_start == datetime(2027, 4, 8, 7)
    assert season_of(facts, datetime(2027, 4, 8, 9, 10)).works[key].only_start == datetime(2027, 4, 8, 9, 30)


def test_before_the_season_nothing_is_planned_earlier_than_its_first_day(firm_db: str) -> None:
    assert season_of(load_facts(firm_db), datetime(2027, 1, 4, 7)).now == datetime(2027, 3, 15)


@pytest.mark.parametrize("crew", ["Heron", "Otter"])
def test_a_later_phase_that_is_begun_waits_for_one_that_is_still_open(firm_db: str, crew: str) -> None:
    # the dig was never ticked off, and somebody has begun the liner: both are planned, the dig goes on first
    tuesday, dug = datetime(2027, 4, 6, 6, 45), date(2027, 4, 5)
    log(firm_db, day=dug, share_done=0.9)
    log(firm_db, day=dug, phase=Phase.SET_FILTERS, done=True)
    log(firm_db, day=dug, phase=Phase.LINER, crew=crew, crew_h=1.0, share_done=0.2)
    made = make_plan(firm_db, tuesday, seconds=1)
    booked = {b.key: b for b in made.plan.bookings}
    dig, liner = booked[WorkKey("P1", Phase.DIG)], booked[WorkKey("P1", Phase.LINER)]
    assert dig.start == datetime(2027, 4, 6, 7)
    assert liner.start >= dig.end
    assert liner.lead == crew


def test_filters_that_are_begun_go_on_beside_the_dig(firm_db: str) -> None:
    tuesday, dug = datetime(2027, 4, 6, 6, 45), date(2027, 4, 5)
    log(firm_db, day=dug, share_done=0.6)
    log(firm_db, day=dug, phase=Phase.SET_FILTERS, crew="Otter", crew_h=1.0, share_done=0.2)
    made = make_plan(firm_db, tuesday, seconds=1)
    starts = {b.key.phase: b.start for b in made.plan.bookings if b.job == "P1"}
    assert starts[Phase.DIG] == starts[Phase.SET_FILTERS] == datetime(2027, 4, 6, 7)


def test_hours_logged_on_a_day_without_light_are_still_the_past(firm_db: str) -> None:
    # the shift now begins after sunset: what was worked stands, and its cure too
    dark = {"depot_latitude_deg": 40.0, "depot_longitude_deg": -82.0, "time_zone": "America/New_York"}
    night = {"shift_start": time(21), "paid_h_day": 2.0, "meal_break_min": 0, "daylight_only": True}
    with Store(firm_db).writing(who="test") as book:
        book.save_firm(replace(book.firm(), **dark, **night))
    for phase in (Phase.DIG, Phase.PLUMBING):
        log(firm_db, phase=phase, done=True)
    season = season_of(load_facts(firm_db), datetime(2027, 4, 6, 6, 45))
    assert {b.start for b in season.done} == {datetime(2027, 4, 5, 21)}
    # 24 h after the shift's end at 23:00; that night's shift is over by then
    assert season.works[WorkKey("P1", Phase.FILL)].cured == datetime(2027, 4, 6, 23)


@pytest.mark.parametrize(("phase", "goes_on"), [("fill", True), ("dig", False), ("", False)])
def test_a_late_delivery_holds_only_its_own_phase(firm_db: str, phase: str, goes_on: bool) -> None:
    tuesday = datetime(2027, 4, 6, 6, 45)
    log(firm_db, share_done=0.5)
    late = LostTime(LostKind.DELIVERY, DayRange(date(2027, 4, 6), date(2027, 4, 9)), "P1", phase=phase)
    with Store(firm_db).writing(who="test") as book:
        book.save_lost(late)
    dig = season_of(load_facts(firm_db), tuesday).works[WorkKey("P1", Phase.DIG)]
    assert (dig.only_start is not None) is goes_on


def test_a_stale_plan_is_not_published(firm_db: str) -> None:
    make_plan(firm_db, NOW, seconds=1)
    log(firm_db)
    with pytest.raises(PlannerError, match="stale"):
        publish(firm_db, None, NOW, "test")
    with Store(firm_db).reading() as book:
        assert book.published() is None


def test_publish_and_go_back(firm_db: str) -> None:
    for number in (1, 2):
        make_plan(firm_db, NOW, seconds=1, seed=number)
        publish(firm_db, None, datetime(2027, 4, 5, 7, number), "test")
    assert go_back(firm_db, datetime(2027, 4, 5, 8), "test").number == 1
    with Store(firm_db).reading() as book:
        published = book.published()
    assert published is not None
    assert published.number == 1
    assert [head.number for head in plan_heads(firm_db)] == [2, 1]


def test_going_back_counts_within_the_same_minute(firm_db: str) -> None:
    for number in (1, 2):
        make_plan(firm_db, NOW, seconds=1, seed=number)
        publish(firm_db, None, NOW, "test")
    for told in (1, 2):
        assert go_back(firm_db, NOW, "test").number == told
        with Store(firm_db).reading() as book:
            published = book.published()
        assert published is not None
        assert published.number == told


def test_going_back_with_nothing_before_is_refused(firm_db: str) -> None:
    make_plan(firm_db, NOW, seconds=1)
    publish(firm_db, None, NOW, "test")
    with pytest.raises(PlannerError, match="no earlier"):
        go_back(firm_db, NOW, "test")


def test_a_thimble_of_water_is_planned_like_any_other(firm_db: str) -> None:
    # a lag of 0.0000002 h is no slot to the scheduler: the judge must not call it a breach
    thimble = (Line("fill_gal", 0.0001), Line("hose_gpm", 10), Line("edge_ft", 40))
    with Store(firm_db).writing(who="test") as book:
        book.save_job(job("P1", lines=thimble))
    made = make_plan(firm_db, NOW, seconds=1)
    parts = [b for b in made.plan.bookings if b.job == "P1"]
    assert [b.key.part for b in parts] == [1, 2]


@pytest.mark.parametrize(
    ("option", "value"),
    [
        ("--note", "a\x1b[31m"),
        ("--note", "two\nlines"),
        ("--note", "x" * 501),
        ("--seconds", "nan"),
        ("--seconds", "-1"),
        ("--seed", "-1"),
    ],
)
def test_odd_options_make_no_plan(
    firm_db: str, option: str, value: str, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setenv("PLANNER_DB", firm_db)
    assert main(["plan", "make", option, value]) == 2
    assert option in capsys.readouterr().err
    assert plan_heads(firm_db) == []


def test_an_impossible_gate_names_the_row(firm_db: str) -> None:
    from planner.domain.firm.jobs import Gate, GateKind

    late = Gate(GateKind.PERMIT, date(2027, 12, 1))
    with Store(firm_db).writing(who="test") as book:
        book.save_job(job("P2", gates=(late,)))
    with pytest.raises(NoPlanFits, match="P2"):
        make_plan(firm_db, NOW, seconds=1)
    assert plan_heads(firm_db) == []


def test_nothing_to_plan_is_said(firm_db: str) -> None:
    with Store(firm_db).writing(who="test") as book:
        for code in ("P1", "P2", "P3"):
            book.save_job(job(code, status="done"))
    with pytest.raises(PlannerError, match="no work to plan"):
        make_plan(firm_db, NOW, seconds=1)


def test_why_says_what_holds_each_start(firm_db: str) -> None:
    made = make_plan(firm_db, NOW, seconds=1)
    told = why(firm_db, [], relief=True)
    found = told.found
    assert told.plan.number == made.plan.number
    assert {r.job for r in found} == {"P1", "P2", "P3"}
    held = {link.kind for r in found for link in r.chain}
    assert held <= {"gate", "pinned", "now", "order", "cure", "crew", "machine", "closed", "away", "choice"}
    assert all(r.chain[0].key.job == r.job and r.chain[0].text for r in found)
    assert {r.cause.kind for r in found} <= {"gate", "pinned", "now", "closed", "away", "choice"}
    finish = {code: made.plan.finish(code) for code in ("P1", "P2", "P3")}
    for reason in found:
        last = finish[reason.job]
        assert last is not None
        spare = len(working_days(made.season.firm, last + timedelta(days=1), date(2027, 5, 14)))
        assert reason.spare_days == spare
    assert all(relief.days > 0 for relief in told.eased)


def test_why_of_an_unknown_job_or_a_stale_plan_is_refused(firm_db: str) -> None:
    make_plan(firm_db, NOW, seconds=1)
    with pytest.raises(BadInput, match="P9"):
        why(firm_db, ["P9"], relief=False)
    log(firm_db)
    with pytest.raises(PlannerError, match="stale"):
        why(firm_db, [], relief=False)


def test_promises_first_never_plans_more_lateness(firm_db: str) -> None:
    with Store(firm_db).writing(who="test") as book:
        for code, day in (("P1", 9), ("P2", 14), ("P3", 19)):
            book.save_job(job(code, promised=date(2027, 4, day)))
    usual, first = (
        make_plan(firm_db, NOW, seconds=1, steps=10_000, promises_first=yes).plan.cost.cents["late"]
        for yes in (False, True)
    )
    assert first <= usual


def test_only_what_the_office_pinned_is_called_pinned(firm_db: str) -> None:
    with Store(firm_db).writing(who="test") as book:
        book.save_job(job("P2", pins=(Pin(Phase.DIG, "Otter"),)))
    log(firm_db, share_done=0.5)
    plan = make_plan(firm_db, NOW.replace(day=6), seconds=1).plan
    digs = {b.job: b for b in plan.bookings if b.phase is Phase.DIG}
    assert (digs["P1"].begun, digs["P1"].pinned) == (True, False)
    assert (digs["P2"].begun, digs["P2"].pinned) == (False, True)
    assert (digs["P3"].begun, digs["P3"].pinned) == (False, False)
