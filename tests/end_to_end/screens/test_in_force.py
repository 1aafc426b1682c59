"""The plan in force: what of a published plan still stands, told alike by all who read it."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, datetime, timedelta

import pytest

from planner.domain.crew_day.board import Board, Risk
from planner.domain.firm.actuals import Log
from planner.domain.firm.jobs import DayRange, Gate, GateKind, Status
from planner.domain.firm.lost import LostKind, LostTime
from planner.domain.firm.phases import Phase
from planner.domain.season.plan import Plan
from planner.flow.crew_day.board import week_board
from planner.flow.crew_day.sheet import crew_sheets
from planner.flow.office.today import load_morning
from planner.flow.season.plans import make_plan, publish
from planner.flow.stored.roster import moved_since
from planner.store.engine import Store
from tests.flow.conftest import NOW

MONDAY = NOW.date()


@pytest.fixture
def told(firm_db: str) -> str:
    """The firm with a published plan."""
    make_plan(firm_db, NOW, seconds=60, steps=400)
    publish(firm_db, None, NOW, "test")
    return firm_db


def plan_of(location: str) -> Plan:
    with Store(location).reading() as book:
        return book.plan()


def words(location: str) -> list[str]:
    with Store(location).reading() as book:
        return [m.words for m in moved_since(book, location, book.plan())]


def boards(location: str, today: date = MONDAY) -> list[Board]:
    last = max(b.end for b in plan_of(location).bookings).date()
    weeks = ((last - MONDAY).days + 6) // 7 + 1
    return [week_board(location, MONDAY + timedelta(weeks=n), today) for n in range(weeks)]


def on_the_boards(location: str, today: date = MONDAY) -> set[tuple[date, str, str]]:
    return {
        (cell.day, row.crew, stint.key.job)
        for board in boards(location, today)
        for row in board.rows
        for cell in row.cells
        for stint in cell.stints
    }


def test_what_moves_no_plan_makes_none_stale(told: str) -> None:
    with Store(told).writing(who="test") as book:
        one = book.job("P1")
        book.save_job(replace(one, phone="555-0100", notes="pays late", site_notes="dog", client="New name"))
        gated = Gate(GateKind.DEPOSIT, MONDAY + timedelta(days=60), met=False)
        book.save_crew(replace(book.crew("Heron"), lead="Ann"))
        book.save_machine(replace(book.machine("excavator"), words="excavator"))
        book.save_firm(replace(book.firm(), name="Other name", units="metric"))
        book.save_log(Log(MONDAY, "Heron", "P1", Phase.DIG, 0.0, note="rain coming"))
    assert words(told) == []
    with Store(told).writing(who="test") as book:
        book.save_job(replace(book.job("P1"), gates=(*one.gates, gated)))
    assert words(told) == ["P1 is changed (deposit added)"]
    with Store(told).writing(who="test") as book:
        book.save_job(replace(book.job("P1"), gates=one.gates))
    assert words(told) == []


def test_a_gate_that_is_met_leaves_the_plan_fresh(firm_db: str) -> None:
    with Store(firm_db).writing(who="test") as book:
        book.save_job(replace(book.job("P1"), gates=(Gate(GateKind.DEPOSIT, MONDAY),)))
    make_plan(firm_db, NOW, seconds=60, steps=400)
    with Store(firm_db).writing(who="test") as book:
        book.save_job(replace(book.job("P1"), gates=(Gate(GateKind.DEPOSIT, MONDAY, met=True, note="paid"),)))
    assert words(firm_db) == []
    assert publish(firm_db, None, NOW, "test").published_at is not None


def test_what_can_move_a_plan_is_named_the_same_everywhere(told: str) -> None:
    with Store(told).writing(who="test") as book:
        book.save_job(replace(book.job("P2"), status=Status.CANCELLED))
        book.save_log(Log(MONDAY, "Heron", "P1", Phase.DIG, 4.0, share_done=0.5))
        book.save_lost(LostTime(LostKind.RAIN, DayRange(MONDAY, date(2027, 5, 7))))
    said = ["P2 is cancelled", "hours of P1", "rain Mon Apr 5 to Fri May 7"]
    assert words(told) == said
    assert [m.words for m in week_board(told, MONDAY, MONDAY).moved] == said
    assert [m.words for m in load_morning(told, NOW).moved] == said
    assert [m.words for m in crew_sheets(told, "Heron", [MONDAY])[0].moved] == said


def test_a_cancelled_job_sends_nobody_out(told: str) -> None:
    before = on_the_boards(told)
    with Store(told).writing(who="test") as book:
        book.save_job(replace(book.job("P1"), status=Status.CANCELLED))
    left = on_the_boards(told)
    assert {row for row in before if row[2] != "P1"} == left
    sheets = crew_sheets(told, "all", [MONDAY + timedelta(days=n) for n in range(40)])
    assert "P1" not in {task.job.code for sheet in sheets for task in sheet.tasks}


def test_a_job_finished_today_keeps_its_past_only(told: str) -> None:
    days = sorted(day for day, _, job in on_the_boards(told) if job == "P1")
    today = days[0] + timedelta(days=1)
    with Store(told).writing(who="test") as book:
        book.save_job(replace(book.job("P1"), status=Status.DONE))
    assert {day for day, _, job in on_the_boards(told, today) if job == "P1"} == {days[0]}


def test_a_phase_that_is_logged_as_finished_sends_nobody_out(told: str) -> None:
    dig = next(b for b in plan_of(told).bookings if b.job == "P1" and b.phase is Phase.LINER)
    early = dig.start.date() - timedelta(days=1)
    with Store(told).writing(who="test") as book:
        book.save_log(Log(early, dig.lead, "P1", Phase.LINER, 3.0, done=True))
    stints = [s for b in boards(told) for r in b.rows for c in r.cells for s in c.stints]
    assert not [s for s in stints if s.key.job == "P1" and s.key.phase is Phase.LINER]


def test_lost_time_leaves_the_work_on_the_board_without_a_crew(told: str) -> None:
    before = on_the_boards(told)
    day, crew, job = min(before)
    with Store(told).writing(who="test") as book:
        book.save_lost(LostTime(LostKind.CREW_OFF, DayRange(day, day + timedelta(days=30)), crew, note="flu"))
    assert on_the_boards(told) == before
    board = week_board(told, day, MONDAY)
    hit = [s for r in board.rows if r.crew == crew for c in r.cells for s in c.stints]
    assert {(s.crew_h, s.hindrance) for s in hit} == {(0.0, f"no crew: {crew} is off (flu)")}
    assert all(s.planned_crew_h > 0 for s in hit)
    risk = {p.job: p for p in board.promises}
    assert risk[job].risk is Risk.HINDERED and "no crew" in risk[job].hindrance
    assert job in {p.job for p in load_morning(told, NOW).risks}


@pytest.mark.parametrize("what", ["crew", "machine"])
def test_without_its_crew_or_machine_a_booking_stays_and_says_so(told: str, what: str) -> None:
    before = on_the_boards(told)
    jobs = {b.job for b in plan_of(told).bookings if what == "machine" or "Heron" in b.crews}
    with Store(told).writing(who="test") as book:
        if what == "crew":
            book.remove_crew("Heron")
        else:
            book.remove_machine("excavator")
    assert on_the_boards(told) == before
    (first, *_) = boards(told)
    hurt = {p.job: p.hindrance for p in first.promises if p.risk is Risk.HINDERED}
    assert set(hurt) == jobs and all(f"no {what}" in why for why in hurt.values())
    assert [row.gone for row in first.rows if row.crew == "Heron"] == [what == "crew"]


def test_taking_it_back_leaves_nothing_behind(told: str) -> None:
    fresh = boards(told)
    with Store(told).writing(who="test") as book:
        book.remove_crew("Heron")
    with Store(told).writing(who="test") as book:
        book.undo()
    assert boards(told) == fresh


def test_a_lost_day_that_the_plan_knew_hinders_nothing(firm_db: str) -> None:
    day = DayRange(date(2027, 4, 6), date(2027, 4, 6))
    with Store(firm_db).writing(who="test") as book:
        book.save_lost(LostTime(LostKind.CREW_OFF, day, "Heron", note="flu"))
        book.save_job(replace(book.job("P1"), region="north"))
        book.save_lost(LostTime(LostKind.RAIN, DayRange(date(2027, 4, 7), date(2027, 4, 7)), "north"))
    made = make_plan(firm_db, NOW, seconds=60, steps=400).plan
    hours: dict[object, float] = {}
    for board in boards(firm_db):
        for row in board.rows:
            for stint in (s for cell in row.cells for s in cell.stints if not s.helps):
                assert (stint.hindrance, stint.crew_h) == ("", stint.planned_crew_h)
                hours[stint.key] = hours.get(stint.key, 0.0) + stint.crew_h
    assert hours == {b.key: pytest.approx(b.crew_h) for b in made.bookings}
    assert datetime(2027, 4, 7).date() not in {d for d, _, job in on_the_boards(firm_db) if job == "P1"}


def test_a_job_whose_days_are_past_unlogged_is_hindered_everywhere(told: str) -> None:
    last = max(b.end for b in plan_of(told).bookings).date()
    found = week_board(told, last, last).promises
    assert not any("not logged as done" in p.hindrance for p in found if p.finish == last), (
        "today it still goes on"
    )
    later = last + timedelta(days=1)
    found = week_board(told, later, later).promises
    assert {p.job for p in found} == {"P1", "P2", "P3"}
    assert {p.risk for p in found} == {Risk.HINDERED}
    assert all("not logged as done" in p.hindrance for p in found)
    assert found == load_morning(told, datetime.combine(later, NOW.time())).risks
