"""People by name in the season: who may run a machine, who is away, who is lent. One tiny instance a rule."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import date, datetime

import pytest

from planner.domain.firm.crews import NEW_HAND, Crew, Loan, Machine, Person
from planner.domain.firm.jobs import DayRange
from planner.domain.firm.people import hosted
from planner.domain.firm.phases import Phase
from planner.domain.season.breaches import breaches
from planner.domain.season.facts import next_moment
from planner.domain.season.plan import Booking, MachineUse, PlanState
from planner.domain.season.season import Season
from planner.schedule.answers.clashes import find_clashes
from planner.schedule.answers.explain import reasons
from planner.schedule.door import enter
from planner.schedule.model.effort import Effort
from planner.schedule.model.problem_json import from_json, to_json
from planner.schedule.solve import solve
from tests.schedule.judge import good
from tests.schedule.seasons import season as seeded
from tests.schedule.seasons import with_people
from tests.schedule.test_rules import SOON, booked, plan
from tests.schedule.tiny import at, key, season, work

RUNS = frozenset({"excavator"})
DIGGER = Machine("excavator", "mini excavator", units=2)


def days(first: int, last: int | None = None) -> DayRange:
    return DayRange(date(2027, 4, first), date(2027, 4, last or first))


def named(*people: Person, size: int = 3, name: str = "A", skills: frozenset[str] = RUNS) -> Crew:
    return Crew(name, people[0].name, size=size, skills=skills, people=people)


def dig(job: str, hours: float, crews: tuple[str, ...] = ("A",)) -> Season:
    return season(
        work(job, hours, crews=crews, machines={"excavator": 1}, skills=RUNS),
        crews=[Crew(c, "l", skills=RUNS) for c in crews],
        machines=[DIGGER],
        weights=SOON,
    )


def crewed(s: Season, *crews: Crew) -> Season:
    return replace(s, crews={**s.crews, **{c.name: c for c in hosted(crews)}})


def test_a_machine_rests_while_its_operator_is_away() -> None:
    # 12 h of digging from Monday; Ada alone may run the machine and is away on Tuesday: 8 h on Monday, the
    # last 4 h on Wednesday. Ben and Cay are no operators; a crew of three without Ada works 5 of 8 h by hand.
    s = crewed(dig("P", 12.0), named(Person("Ada", RUNS, away=(days(6),)), Person("Ben"), Person("Cay")))
    found = plan(s)
    assert (booked(found, "P").start, booked(found, "P").end) == (at(5, "07:00"), at(7, "11:00"))
    assert found.state is PlanState.BEST


def test_the_other_crew_digs_while_the_operator_is_away() -> None:
    # Ada is away all week; B names nobody and has the skill as a crew: B digs on Monday.
    s = crewed(dig("P", 8.0, ("A", "B")), named(Person("Ada", RUNS, away=(days(5, 9),)), Person("Ben")))
    assert booked(plan(s), "P").crews == ("B",)


def test_work_without_a_machine_goes_on() -> None:
    # The same absence, nothing to run: two of three hands do 5 of 8 h a day (whole half hours of the crew).
    s = season(
        work("P", 5.0), crews=[named(Person("Ada", RUNS, away=(days(5),)), Person("Ben"))], weights=SOON
    )
    assert booked(plan(s), "P").end == at(5, "12:30")


def test_a_crew_that_names_a_hand_keeps_its_skill() -> None:
    # Only Ben of three is named and he is no operator: one of the two others is, as the crew's skill says.
    assert booked(plan(crewed(dig("P", 8.0), named(Person("Ben")))), "P").end == at(5, "15:30")


def test_a_lent_operator_lets_another_crew_dig() -> None:
    # B has no operator. Ada is lent from A to B on Wednesday: B digs on that day, 8 h; A is off all month.
    ada = Person("Ada", RUNS, lent=(Loan(days(7), "B"),))
    off = replace(named(ada), days_off=(days(1, 30),))
    s = crewed(dig("P", 8.0, ("A", "B")), off, Crew("B", "Dot", people=(Person("Dot"),)))
    found = booked(plan(s), "P")
    assert (found.crews, found.start, found.end) == (("B",), at(7, "07:00"), at(7, "15:30"))


def test_a_new_hand_slows_his_crew() -> None:
    # Three hands of whom one counts half: 2.5 / 3 of the crew's pace.
    crew = named(Person("Ada"), Person("Ben"), Person("Cay", counts=NEW_HAND))
    assert crew.going_pace == pytest.approx(2.5 / 3)


def test_nobody_may_run_it_is_said() -> None:
    s = crewed(dig("P", 8.0), named(Person("Ada"), Person("Ben"), Person("Cay")))
    assert find_clashes(s) == [
        "client P P dig needs somebody who may run the mini excavator: nobody with A may, or is there"
    ]


def test_an_absence_that_ends_too_late_is_said() -> None:
    # The season ends on April 30 and so does Ada's leave but for that day: 12 h do not fit.
    s = crewed(dig("P", 12.0), named(Person("Ada", RUNS, away=(days(5, 29),)), Person("Ben")))
    (told,) = find_clashes(s)
    assert told.startswith("client P P dig needs people who are away (Ada Mon Apr 5 to Thu Apr 29)")


def test_why_names_the_operator() -> None:
    s = crewed(dig("P", 8.0), named(Person("Ada", RUNS, away=(days(5, 6),)), Person("Ben")))
    (reason,) = reasons(s, plan(s))
    assert "no operator: nobody with A may run the mini excavator (Ada is away)" in reason.chain[0].text


def judged() -> tuple[Season, Booking]:
    """A dig of 12 h over Ada's day off on Tuesday, as it must be."""
    s = crewed(dig("P", 12.0), named(Person("Ada", RUNS, away=(days(6),)), Person("Ben")))
    return s, Booking(key("P"), ("A",), at(5, "07:00"), at(7, "11:00"), 12.0, (MachineUse("excavator", 1),))


@pytest.mark.parametrize(
    ("rule", "change"),
    [
        ("operator", lambda b: replace(b, start=at(6, "07:00"), end=at(7, "15:30"))),
        ("operator", lambda b: replace(b, end=at(6, "11:00"))),
        ("amount of work", lambda b: replace(b, end=at(7, "09:00"))),
    ],
)
def test_the_checker_catches(rule: str, change: Callable[[Booking], Booking]) -> None:
    s, booking = judged()
    assert breaches(s, [booking]) == []
    found = {b.rule: b.text for b in breaches(s, [change(booking)])}
    assert rule in found
    if rule == "operator":
        assert "nobody with A is there who may run the excavator" in found[rule]


@pytest.mark.parametrize("seed", [1, 2])
def test_random_seasons_with_named_people_obey_the_judge(seed: int) -> None:
    s = with_people(seeded(3, 1 + seed % 3, 0.5, seed), seed)
    assert any(way.closed for task in enter(s).problem.tasks for way in task.ways)
    good(s, solve(s, effort=Effort(steps=200, exact_work=0.2)))


def test_a_firm_that_names_nobody_has_the_same_problem() -> None:
    # The rule leaves no trace: no way has closed days, so no axis and no row of the kernel is added.
    problem = enter(seeded(4, 2, 0.5, 3)).problem
    assert not any(way.closed for task in problem.tasks for way in task.ways)
    assert from_json(to_json(problem)) == problem


def test_begun_work_waits_for_its_operator() -> None:
    s = crewed(dig("P", 8.0), named(Person("Ada", RUNS, away=(days(5),)), Person("Ben")))
    assert next_moment(s, "A", "P", RUNS) == datetime(2027, 4, 6, 7, 0)
    assert next_moment(s, "A", "P", ()) == datetime(2027, 4, 5, 7, 0)


STONE = frozenset({"stonework"})


def rock(*people: Person, hours: float = 12.0, skills: frozenset[str] = STONE) -> Season:
    s = season(work("P", hours, Phase.ROCK, skills=STONE), weights=SOON)
    return crewed(s, named(*people, skills=skills))


def test_stone_rests_while_the_one_who_sets_it_is_away() -> None:
    # 12 h of rock from Monday; Ben alone is named for stonework and is away on Tuesday: 8 h on Monday, the
    # last 4 h on Wednesday, though two of three hands are there on Tuesday.
    s = rock(Person("Ada", RUNS), Person("Ben", STONE, away=(days(6),)), Person("Cay"))
    found = plan(s)
    assert booked(found, "P", Phase.ROCK).end == at(7, "11:00") and found.state is PlanState.BEST
    whole = booked(found, "P", Phase.ROCK)
    for change in (replace(whole, end=at(6, "11:00")), replace(whole, start=at(6, "07:00"))):
        told = {b.rule: b.text for b in breaches(s, [change])}
        assert "nobody with A is there who does stonework" in told["operator"]


def test_a_skill_that_nobody_is_named_for_is_the_crews() -> None:
    # The same absence, but stonework is the crew's word and no name's: on Tuesday two of three do 5 of 8 h.
    s = rock(Person("Ada", RUNS), Person("Ben", away=(days(6),)), Person("Cay"))
    assert booked(plan(s), "P", Phase.ROCK).end == at(6, "11:00")


def test_a_lent_hand_brings_his_skill() -> None:
    # Dan of B, named for stonework, is lent to A on Tuesday, when Ben is away: no day is lost.
    dan = Person("Dan", STONE, lent=(Loan(days(6), "A"),))
    s = rock(Person("Ada", RUNS), Person("Ben", STONE, away=(days(6),)), Person("Cay"))
    s = crewed(s, s.crews["A"], named(dan, name="B", skills=STONE, size=2))
    assert booked(plan(s), "P", Phase.ROCK).end == at(6, "11:00")


def test_why_and_no_plan_name_the_skill() -> None:
    s = rock(Person("Ada", RUNS), Person("Ben", STONE, away=(days(5, 6),)), hours=8.0)
    (reason,) = reasons(s, plan(s))
    assert "no stonework: nobody with A who does it is there (Ben is away)" in reason.chain[0].text
    gone = rock(Person("Ada", RUNS), Person("Ben", STONE, away=(days(5, 30),)))
    assert find_clashes(gone) == [
        "client P P rock needs somebody who does stonework: nobody with A does, or is there"
    ]
