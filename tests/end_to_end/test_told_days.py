"""The next days stay as told, nobody is visited sooner than they can be told: plans reasoned beside them."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime

import pytest

from planner.domain.firm.firm import Weights
from planner.domain.firm.jobs import DayRange, Job, Pin
from planner.domain.firm.lost import LostKind, LostTime
from planner.domain.firm.phases import Phase, WorkKey
from planner.domain.season.breaches import breaches
from planner.domain.season.plan import Booking
from planner.domain.season.told_days import days_ahead, to_stay, with_notice
from planner.schedule.answers.freeze import freeze
from tests.schedule.test_rules import booked, plan
from tests.schedule.tiny import FREE, at, key, season, work

DEAR = replace(FREE, wait_day=10.0, freeze_days=2, notice_days=2)


def day(job: str, of_april: int, crew: str = "A") -> Booking:
    return Booking(key(job), (crew,), at(of_april, "07:00"), at(of_april, "15:30"), 8.0)


def told(*rows: Booking) -> dict[WorkKey, Booking]:
    return {b.key: b for b in rows}


@pytest.mark.parametrize(
    ("now", "days", "wanted"),
    [
        (at(5, "06:00"), 2, 7),  # Monday before work: Monday and Tuesday
        (at(5, "16:00"), 2, 8),  # Monday after work: Tuesday and Wednesday
        (at(9, "06:00"), 2, 13),  # Friday: Friday and Monday
        (at(10, "12:00"), 2, 14),  # Saturday: Monday and Tuesday
        (at(5, "06:00"), 0, 5),
    ],
)
def test_days_ahead_are_whole_working_days(now: datetime, days: int, wanted: int) -> None:
    assert days_ahead(season(work("P", 8.0), now=now), days).day == wanted


def test_the_cheaper_order_does_not_touch_the_next_two_days() -> None:
    # Told: P, promised for the 30th, on Monday; Q, promised for Monday, on Wednesday: late by 2 days at 250.
    # Swapped, Q would be in time. Monday stays as told, so Q could come on Tuesday; but its client was told
    # Wednesday, and tomorrow is one day's warning.
    jobs = [Job(c, c, promised=at(d, "00:00").date()) for c, d in (("P", 30), ("Q", 5))]
    s = season(
        work("P", 8.0),
        work("Q", 8.0),
        jobs=jobs,
        weights=replace(DEAR, late_day=250.0, wait_day=0.0),
        published=told(day("P", 5), day("Q", 7)),
    )
    frozen = freeze(with_notice(s))
    assert set(frozen.frozen) == {key("P")}
    found = plan(frozen)
    assert (booked(found, "P").start, booked(found, "Q").start) == (at(5, "07:00"), at(7, "07:00"))
    # a firm without freeze and notice swaps them
    loose = replace(s.firm.weights, freeze_days=0, notice_days=0)
    swapped = plan(freeze(with_notice(replace(s, firm=replace(s.firm, weights=loose)))))
    assert booked(swapped, "Q").start == at(5, "07:00")


def test_what_became_impossible_moves_and_nothing_else() -> None:
    # Told: A does P on Monday, B does Q on Monday, A does R on Wednesday. Rain closes the north on Monday: P
    # has to move, to Tuesday, the next day that A is free. Q could be swapped for nothing and stays.
    jobs = [Job("P", "P", region="north"), Job("Q", "Q", region="south"), Job("R", "R", region="south")]
    rain = LostTime(LostKind.RAIN, DayRange(at(5, "00:00").date(), at(5, "00:00").date()), "north")
    works = [work(c, 8.0, crews=("A", "B")) for c in ("P", "Q", "R")]
    s = with_notice(
        season(
            *works,
            jobs=jobs,
            crews=("A", "B"),
            weights=DEAR,
            lost=(rain,),
            published=told(day("P", 5), day("Q", 5, "B"), day("R", 7)),
        )
    )
    assert set(to_stay(s)) == {key("P"), key("Q")}
    frozen = freeze(s)
    assert set(frozen.frozen) == {key("Q")}
    found = plan(frozen)
    assert (booked(found, "Q").start, booked(found, "Q").lead) == (at(5, "07:00"), "B")
    assert booked(found, "P").start == at(6, "07:00")
    assert not booked(found, "Q").begun
    assert breaches(frozen, found.bookings) == []


def test_a_new_job_comes_after_the_days_that_crews_know() -> None:
    # Monday, P told for Friday: R, sold this morning, could be done today and costs 10 USD a day of waiting.
    # Crews know Monday and Tuesday: Wednesday it is. P could come on Wednesday too, for 400 USD. Pinned work
    # is not held.
    dear = replace(DEAR, moved_near=400.0)
    s = with_notice(season(work("P", 8.0), work("R", 8.0), weights=dear, published=told(day("P", 9))))
    found = plan(s)
    assert booked(found, "R").start == at(7, "07:00")
    assert s.works[key("R")].opens_why == "crews are told 2 working days ahead"
    assert s.works[key("P")].opens_why == "its client is told 2 working days ahead"
    pinned = Job("R", "R", pins=(Pin(Phase.DIG, start=at(5, "07:00")),))
    own = with_notice(
        season(work("R", 8.0), work("P", 8.0), jobs=[pinned], weights=dear, published=told(day("P", 9)))
    )
    assert own.works[key("R")].opens is None


def test_before_anything_is_told_nothing_is_held() -> None:
    s = season(work("P", 8.0), weights=Weights())
    assert with_notice(s) is s
    assert freeze(s) is s
