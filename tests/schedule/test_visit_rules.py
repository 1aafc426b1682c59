"""Visits: one day, in the promised part of it, by a crew with the hands; tiny seasons reasoned in a comment,
mutants for the judge, and the fast rows held to the plain timetable.

The day is 07:00-11:00 and 11:30-15:30; the morning ends at 12:00.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import datetime

import pytest

from planner.domain.firm.crews import Crew
from planner.domain.firm.jobs import Job
from planner.domain.firm.phases import Phase, WorkKey
from planner.domain.firm.visits import DayPart, VisitKind
from planner.domain.season.breaches import breaches
from planner.domain.season.plan import Booking, Plan, PlanState
from planner.domain.season.season import Mode, Season, Work
from planner.errors import PlannerError
from planner.schedule.answers.clashes import find_clashes
from planner.schedule.model.effort import Effort
from planner.schedule.solve import solve
from tests.schedule.judge import good
from tests.schedule.seasons import season as seeded
from tests.schedule.seasons import with_visits
from tests.schedule.tiny import FREE, at, season, work

SOON = replace(FREE, wait_day=10.0)
V = WorkKey("V", Phase.VISIT)


def visit(hours: float, part: DayPart = DayPart.ANY, hands: int = 1, code: str = "V") -> tuple[Job, Work]:
    job = Job(
        code,
        "v",
        latitude_deg=41.0,
        longitude_deg=-74.0,
        visit=VisitKind.CALL_BACK,
        day_part=part,
        hands=hands,
    )
    return job, work(code, hours, Phase.VISIT, one_day=True)


def plan(s: Season) -> Plan:
    """Proven best, judged and priced again by the domain: search and CP-SAT obey the rule alike."""
    found = solve(s, effort=Effort(steps=300, exact_work=5.0))
    good(s, found)
    assert found.state is PlanState.BEST
    return found


def start_of(found: Plan, what: WorkKey) -> datetime:
    return next(b for b in found.bookings if b.key == what).start


def test_a_visit_does_not_flow_over_a_night() -> None:
    # The dig is pinned to Monday 07:00 and takes 4 h. A piece of 6 h would begin at 11:30 and end on Tuesday;
    # the visit waits for Tuesday 07:00 instead.
    job, mine = visit(6.0)
    pinned = replace(work("P", 4.0), only_start=at(5, "07:00"))
    assert start_of(plan(season(pinned, mine, jobs=[job], weights=SOON)), V) == at(6, "07:00")
    flowing = season(pinned, replace(mine, one_day=False), jobs=[job], weights=SOON)
    assert start_of(plan(flowing), V) == at(5, "11:30")


@pytest.mark.parametrize(
    ("part", "hours", "begins"),
    [
        (DayPart.ANY, 3.0, at(5, "09:30")),  # right after the dig of 2.5 h
        (DayPart.AFTERNOON, 3.0, at(5, "12:00")),  # noon begins the afternoon
        # 9:30 to noon has 2 h (break 11:00-11:30), so the morning's 3 h are Tuesday's
        (DayPart.MORNING, 3.0, at(6, "07:00")),
        (DayPart.MORNING, 2.0, at(5, "09:30")),
    ],
)
def test_the_promised_part_of_the_day_is_kept(part: DayPart, hours: float, begins: datetime) -> None:
    job, mine = visit(hours, part)
    pinned = replace(work("P", 2.5), only_start=at(5, "07:00"))
    assert start_of(plan(season(pinned, mine, jobs=[job], weights=SOON)), V) == begins


@pytest.mark.parametrize(("part", "words"), [(DayPart.ANY, "one day"), (DayPart.MORNING, "one morning")])
def test_a_visit_that_no_day_holds_is_told_in_trade_words(part: DayPart, words: str) -> None:
    job, mine = visit(8.5 if part is DayPart.ANY else 5.0, part)
    s = season(mine, jobs=[job], weights=SOON)
    assert any("V visit must lie" in line and words in line for line in find_clashes(s))
    with pytest.raises(PlannerError, match=words):
        solve(s, effort=Effort(steps=50))


def test_a_pin_outside_the_promised_part_is_told() -> None:
    job, mine = visit(2.0, DayPart.MORNING)
    s = season(replace(mine, only_start=at(6, "13:00")), jobs=[job], weights=SOON)
    assert any("promised for the morning" in line for line in find_clashes(s))


def _judged() -> tuple[Season, Booking]:
    job, mine = visit(3.0, DayPart.MORNING, hands=2)
    team = [Crew("A", "a", size=3), Crew("B", "b", size=1)]
    s = season(replace(mine, modes=(*mine.modes, Mode(("B",), 180.0))), jobs=[job], crews=team)
    return s, Booking(V, ("A",), at(5, "08:00"), at(5, "11:00"), 3.0)


@pytest.mark.parametrize(
    ("rule", "change"),
    [
        ("one day", lambda b: replace(b, start=at(5, "14:00"), end=at(6, "08:30"))),
        ("part of the day", lambda b: replace(b, start=at(5, "09:00"), end=at(5, "12:30"))),
        ("part of the day", lambda b: replace(b, start=at(5, "12:30"), end=at(5, "15:30"))),
        ("hands", lambda b: replace(b, crews=("B",))),
    ],
)
def test_the_judge_catches_each_mutant(rule: str, change: Callable[[Booking], Booking]) -> None:
    s, booked = _judged()
    assert breaches(s, [booked]) == []
    assert {b.rule for b in breaches(s, [change(booked)])} >= {rule}


def test_the_judge_catches_an_afternoon_visit_before_noon() -> None:
    job, mine = visit(3.0, DayPart.AFTERNOON)
    s = season(mine, jobs=[job])
    assert breaches(s, [Booking(V, ("A",), at(5, "12:00"), at(5, "15:00"), 3.0)]) == []
    early = Booking(V, ("A",), at(5, "11:30"), at(5, "14:30"), 3.0)
    assert [b.rule for b in breaches(s, [early])] == ["part of the day"]


def test_a_season_with_visits_breaks_no_rule_and_has_one_price() -> None:
    s = with_visits(seeded(6, 2, 0.8, 3, shocks=True))
    found = solve(s, effort=Effort(steps=300))
    good(s, found)
    mine = [b for b in found.bookings if b.phase is Phase.VISIT]
    assert len(mine) == 12 and all(b.start.date() == b.end.date() for b in mine)
