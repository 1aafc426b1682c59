"""The hours that the plan holds are told alike by estimate, board, plan, log and season."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner.domain.season.job_hours import in_slots_h
from planner.domain.season.works import whole_slots

from .conftest import Run


def _board_h(run: Run, code: str, weeks: tuple[str, ...]) -> float:
    """Crew-hours of the job on the boards of these weeks."""
    shown = [s for week in weeks for s in run("board", "--week", week, "--json").data["stints"]]
    return float(sum(s["crew_h"] for s in shown if s["job"] == code))


def _one(run: Run, *words: object, **more: Any) -> Any:
    return run("estimate", *words, "--json", **more).data[0]


def test_work_is_rounded_up_to_whole_slots() -> None:
    """61 minutes are three half hours and a part without work is none (worked by hand)."""
    assert in_slots_h([61.0, 30.0, 0.0]) == 2.0
    assert in_slots_h([60.00001]) == 1.0, "a hair over a slot is forgiven"


@given(st.lists(st.floats(31.0, 3000.0), min_size=1, max_size=8).filter(lambda parts: sum(parts) >= 1020.0))
def test_rounding_takes_under_three_percent_of_a_job(parts_min: list[float]) -> None:
    """Of a job of 17 crew-hours or more: a half hour at most, whatever its phases are."""
    lost_min = sum(whole_slots(parts_min)) - sum(parts_min)
    assert -0.01 <= lost_min <= 30.0
    assert lost_min < 0.03 * sum(parts_min)


def test_estimate_board_and_plan_hold_the_same_hours(planned: Run) -> None:
    """For every job: what estimate says that the plan holds is what board and plan hold."""
    bookings = planned("plan", "show", "--json").data["bookings"]
    weeks = tuple(f"2027-W{n}" for n in range(14, 19))
    assert all(len(b["crews"]) == 1 for b in bookings), "no pairs here: each hour stands once on the board"
    sent: dict[str, set[str]] = {}
    for b in bookings:
        sent.setdefault(b["job"], set()).update(b["crews"])
    codes = [code for code, crews in sent.items() if len(crews) == 1]
    assert len(codes) >= 2, "some jobs are one crew's alone"
    for code in codes[:2]:
        held = _one(planned, code)["plan_holds"]
        booked = sum(b["crew_h"] for b in bookings if b["job"] == code)
        assert held["plan"] == 1 and held["crew_by_plan"]
        assert held["to_go_crew_h"] == pytest.approx(booked)
        assert _board_h(planned, code, weeks) == pytest.approx(booked)
        page = " ".join(planned("estimate", code).out.split())
        assert f"Plan 1 (published) holds {booked:g} crew-h" in page and "whole half hours" in page


def test_the_log_tells_the_hours_that_the_plan_holds(planned: Run) -> None:
    """`log add` says "of 2.5 h planned" where plan and estimate hold 2.5 h."""
    bookings = planned("plan", "show", "--json").data["bookings"]
    dig = next(b for b in bookings if b["job"] == "P-01" and b["phase"] == "dig")
    crew = dig["crews"][0]
    logged = planned("log", "add", "P-01", "dig", crew, 1, "--day", "2027-04-05", at="2027-04-05T18:00")
    assert f"1 h so far of {dig['crew_h']:g} h planned" in logged.out


def test_estimate_names_the_crew_that_the_plan_sends(planned: Run) -> None:
    """The plan's crew, not the first able one; without a plan the page says that a crew is assumed."""
    sent = {}
    for b in planned("plan", "show", "--json").data["bookings"]:
        sent.setdefault(b["job"], set()).add(b["crews"][0])
    other = next(code for code, crews in sent.items() if crews == {"Otter"})
    assert _one(planned, other)["crew"]["name"] == "Otter"
    assert "as plan 1 sends" in " ".join(planned("estimate", other).out.split())
    unplanned = " ".join(planned("estimate", "P-90").out.split())
    assert "if this crew does it" in unplanned and "A plan would hold" in unplanned
    assert _one(planned, other, "--crew", "Heron")["crew"]["name"] == "Heron"


def test_after_logged_hours_the_estimate_tells_what_is_left(planned: Run) -> None:
    """Done phases are gone, a begun one keeps its rest, and hours worked and to go stand apart."""
    bookings = planned("plan", "show", "--json").data["bookings"]
    mine = [b for b in bookings if b["job"] == "P-01"]
    crew = mine[0]["crews"][0]
    before = _one(planned, "P-01")
    at = "2027-04-05T18:00"
    planned("log", "add", "P-01", "dig", crew, 3, "--done", at=at)
    planned("log", "add", "P-01", "set filters", crew, 1, "--share", "50", at=at)
    after = _one(planned, "P-01", at=at)
    held = after["plan_holds"]
    assert held["worked_crew_h"] == 4.0
    assert held["whole_crew_h"] == pytest.approx(4.0 + held["to_go_crew_h"])
    assert held["phases"]["dig"] == {"crews": [crew], "worked_crew_h": 3.0, "to_go_crew_h": 0.0}
    assert held["to_go_crew_h"] < before["plan_holds"]["to_go_crew_h"] - 3
    assert after["left_crew_h"]["p80"] < before["left_crew_h"]["p80"]
    assert after["crew_h"] == before["crew_h"], "the whole job stays what it was"
    page = " ".join(planned("estimate", "P-01", at=at).out.split())
    assert "done, 3 h worked" in page and "what is left" in page and "4 h worked and" in page
    again = planned("replan", "--quick", at="2027-04-06T06:45")
    assert again.code == 0, again.err
    planned("plan", "publish", at="2027-04-06T06:45")
    booked = planned("plan", "show", "--json", at="2027-04-06T06:45").data["bookings"]
    fresh = sum(b["crew_h"] for b in booked if b["job"] == "P-01")
    assert held["to_go_crew_h"] == pytest.approx(fresh), "what is to go is what the new plan holds"


def test_days_say_what_they_leave_out(planned: Run) -> None:
    """An estimate's day, a promise's and a chance's differ, and each says why."""
    assert "weather" in planned("estimate", "P-01").out
