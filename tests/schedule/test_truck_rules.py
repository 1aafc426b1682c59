"""Trucks in the season: what tows a machine to its site, on which day, and who drives. One tiny instance a
rule, its optimum reasoned in a comment."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import date

import pytest

from planner.domain.firm.crews import Crew, Machine, Person, Truck
from planner.domain.firm.jobs import DayRange
from planner.domain.firm.phases import Phase
from planner.domain.season.breaches import breaches
from planner.domain.season.cost import plan_cost
from planner.domain.season.plan import Booking, MachineUse, Plan, PlanState
from planner.domain.season.season import After, Season
from planner.domain.season.towing import tows
from planner.schedule.answers.clashes import find_clashes
from planner.schedule.answers.explain import reasons, reliefs
from planner.schedule.answers.repair import repair
from planner.schedule.model.effort import Effort
from planner.schedule.solve import solve
from tests.schedule.judge import good
from tests.schedule.seasons import season as seeded
from tests.schedule.test_rules import SOON, booked, plan
from tests.schedule.tiny import at, key, season, work

DIGGER = Machine("excavator", "mini excavator", units=2, towed_lb=9_800.0)
SKID = Machine("skid", "skid steer", towed_lb=6_500.0)
DUMP = Truck("dump", "dump truck", tows_lb=12_000.0)
PICKUP = Truck("pickup", "pickup", tows_lb=7_000.0)
EXC1, EXC2, SKID1 = MachineUse("excavator", 1), MachineUse("excavator", 2), MachineUse("skid", 1)


def days(first: int, last: int | None = None) -> DayRange:
    return DayRange(date(2027, 4, first), date(2027, 4, last or first))


def two(*trucks: Truck, crews: tuple[Crew, ...] = (Crew("A", "a"), Crew("B", "b"))) -> Season:
    """P by A and Q by B, four hours of digging each, with two excavators."""
    digs = [
        work(job, 4.0, crews=(crew,), machines={"excavator": 1}) for job, crew in (("P", "A"), ("Q", "B"))
    ]
    towing = {truck.key: truck for truck in trucks}
    return season(*digs, crews=crews, machines=[DIGGER, SKID], weights=SOON, trucks=towing)


def starts(s: Season) -> list[int]:
    return sorted(b.start.day for b in plan(s).bookings)


def test_a_firm_that_names_no_truck_plans_as_before() -> None:
    """The same bookings at the same price, whatever the machines weigh."""
    for seed in (1, 4):
        s = seeded(6, 2, 0.8, seed, shocks=True)
        light = {kind: replace(machine, towed_lb=0.0) for kind, machine in s.machines.items()}
        heavy = {kind: replace(machine, towed_lb=9_800.0) for kind, machine in s.machines.items()}
        plans = [
            solve(replace(s, machines=found), effort=Effort(steps=100, exact_jobs=0))
            for found in (light, heavy)
        ]
        assert plans[0].bookings == plans[1].bookings
        assert plans[0].cost == plans[1].cost


def test_one_truck_brings_one_machine_a_day() -> None:
    # Both crews could dig on Monday; one truck brings one excavator: the other job begins on Tuesday and
    # waits one day at 10 USD.
    s = two(DUMP)
    assert starts(s) == [5, 6]
    assert plan(s).cost.total_cents == 1000


def test_a_truck_that_brings_two_a_day_lets_both_begin() -> None:
    assert starts(two(replace(DUMP, tows_day=2))) == [5, 5]


def test_a_truck_in_the_shop_brings_nothing() -> None:
    # Two trucks, one in the shop on Monday and Tuesday: one job on Monday, the other on Tuesday.
    assert starts(two(DUMP, replace(DUMP, key="b", out=(days(5, 6),)))) == [5, 6]
    # Both in the shop on Monday: both jobs on Tuesday.
    gone = replace(DUMP, out=(days(5),))
    assert starts(two(gone, replace(gone, key="b"))) == [6, 6]


def test_a_light_truck_leaves_the_heavy_machine() -> None:
    # The pickup may not tow 9,800 lb: it is no help beside the dump truck.
    assert starts(two(DUMP, PICKUP)) == [5, 6]


def test_a_crew_s_own_truck_tows_for_it_alone() -> None:
    # A has its own; B needs the one that is kept for moves: both on Monday. Two of A's leave B with none.
    own = replace(DUMP, key="own", crew="A")
    assert starts(two(DUMP, own)) == [5, 5]
    (told,) = find_clashes(two(own, replace(own, key="b")))
    assert told.startswith(
        "client Q Q dig cannot begin: no truck can tow the mini excavator: 9,800 lb on its"
    )
    assert told.endswith("B has none")


def test_nobody_there_who_may_tow() -> None:
    # Ada alone may tow and is away on Monday: P's machine comes on Tuesday, Q's by an unnamed hand on Monday.
    ada = Person("Ada", frozenset({"excavator", "tow"}), away=(days(5),))
    crew = Crew("A", "Ada", size=2, people=(ada, Person("Ben", frozenset({"excavator"}))))
    s = two(replace(DUMP, tows_day=2), crews=(crew, Crew("B", "b")))
    found = plan(s)
    assert (booked(found, "P").start.day, booked(found, "Q").start.day) == (6, 5)
    told = {reason.job: reason.chain[0].text for reason in reasons(s, found)}
    assert "nobody with A may tow the mini excavator (Ada is away)" in told["P"]


def test_a_machine_that_stays_needs_no_truck_again() -> None:
    # P digs on Monday and sets rock on Tuesday with the same excavator, which stays on its site; Q's comes on
    # Tuesday by the one truck. Were the rock's counted, Q would wait until Wednesday.
    after = (
        After(
            key("P"),
        ),
    )
    s = season(
        work("P", 8.0, machines={"excavator": 1}),
        work("P", 8.0, Phase.ROCK, machines={"excavator": 1}, after=after),
        work("Q", 4.0, crews=("B",), machines={"excavator": 1}, opens=date(2027, 4, 6)),
        crews=["A", "B"],
        machines=[DIGGER],
        weights=SOON,
        trucks={"dump": DUMP},
    )
    found = plan(s)
    assert booked(found, "P", Phase.ROCK).start == at(6, "07:00")
    assert booked(found, "Q").start == at(6, "07:00")
    brought = tows(found.bookings, s.machines, s.trucks, s.crews)
    assert [(tow.day.day, tow.booking.job) for tow in brought] == [(5, "P"), (6, "Q")]
    assert all(tow.truck == DUMP and tow.of == "" for tow in brought)


def test_a_begun_phase_has_its_machine_there() -> None:
    # P was begun last week: its excavator stands there, so the truck brings Q's on Monday.
    s = two(DUMP)
    was = Booking(key("P"), ("A",), at(2, "07:00"), at(2, "15:30"), 8.0, begun=True)
    assert starts(replace(s, done=(was,))) == [5, 5]


def test_two_machines_for_one_work_take_two_tows() -> None:
    both = work("P", 4.0, machines={"excavator": 1, "skid": 1})
    s = season(both, machines=[DIGGER, SKID], weights=SOON, trucks={"dump": replace(DUMP, tows_day=2)})
    assert starts(s) == [5]
    # The skid steer goes behind the pickup, the excavator behind the dump truck.
    s = replace(s, trucks={"dump": DUMP, "pickup": PICKUP})
    assert starts(s) == [5]
    brought = tows(plan(s).bookings, s.machines, s.trucks, s.crews)
    assert {(tow.use.kind, tow.truck) for tow in brought} == {("excavator", DUMP), ("skid", PICKUP)}


def test_what_comes_by_itself_needs_no_truck() -> None:
    s = two(PICKUP)
    hauled = {**s.machines, "excavator": replace(DIGGER, towed_lb=0.0)}
    assert starts(replace(s, machines=hauled)) == [5, 5]


def test_no_truck_is_strong_enough() -> None:
    assert find_clashes(two(PICKUP)) == [
        "client P P dig, client Q Q dig: each cannot begin: no truck can tow the mini excavator: 9,800 lb on"
        " its trailer, pickup tows 7,000 lb"
    ]


def judged() -> tuple[Season, list[Booking]]:
    """P on Monday by A, Q on Tuesday by B, each with an excavator that the one truck brings."""
    s = two(DUMP)
    rows = [Booking(key("P"), ("A",), at(5, "07:00"), at(5, "11:00"), 4.0, (EXC1,))]
    rows.append(Booking(key("Q"), ("B",), at(6, "07:00"), at(6, "11:00"), 4.0, (EXC2,)))
    return s, rows


def monday(rows: list[Booking]) -> list[Booking]:
    return [rows[0], replace(rows[1], start=at(5, "07:00"), end=at(5, "11:00"))]


MUTANTS: list[tuple[str, str, Callable[[Season, list[Booking]], tuple[Season, list[Booking]]]]] = [
    ("truck", "two machines on the day of one tow", lambda s, rows: (s, monday(rows))),
    ("truck", "the truck in the shop", lambda s, rows: (_trucks(s, replace(DUMP, out=(days(6),))), rows)),
    ("truck", "a truck too light", lambda s, rows: (_trucks(s, PICKUP), rows)),
    ("truck", "another crew's truck", lambda s, rows: (_trucks(s, replace(DUMP, crew="A")), rows)),
    ("tower", "nobody who tows", lambda s, rows: (_nobody(s), rows)),
]


def _trucks(s: Season, *trucks: Truck) -> Season:
    return replace(s, trucks={truck.key: truck for truck in trucks})


def _nobody(s: Season) -> Season:
    ben = Crew("B", "Ben", size=1, people=(Person("Ben", frozenset({"excavator"})),))
    return replace(s, crews={**s.crews, "B": ben})


def test_the_judged_plan_is_good() -> None:
    s, rows = judged()
    assert breaches(s, rows) == []
    assert breaches(_trucks(s, replace(DUMP, tows_day=2)), monday(rows)) == []


@pytest.mark.parametrize(("rule", "what", "change"), MUTANTS, ids=[what for _, what, _ in MUTANTS])
def test_mutant_is_caught(
    rule: str, what: str, change: Callable[[Season, list[Booking]], tuple[Season, list[Booking]]]
) -> None:
    s, rows = change(*judged())
    assert {b.rule for b in breaches(s, rows)} == {rule}, what


def test_why_names_the_truck_that_is_elsewhere() -> None:
    s = two(DUMP)
    found = plan(s)
    told = {reason.job: reason.chain for reason in reasons(s, found)}
    late, soon = ("P", "Q") if booked(found, "P").start.day == 6 else ("Q", "P")
    assert told[late][0].text == (
        f"{late} dig waits for the dump truck, which brings the mini excavator to {soon} on Mon Apr 5"
    )
    assert told[late][0].behind == key(soon)
    assert reliefs(s, found)[0].text == (
        "one more truck that tows 12,000 lb brings 1 job forward 1 day in all"
    )


def test_repair_finds_another_truck_day() -> None:
    # The one truck goes into the shop on Tuesday, on which it was to bring Q's excavator: Wednesday instead.
    s, rows = judged()
    gone = replace(s, trucks={"dump": replace(DUMP, out=(days(6),))})
    found = repair(gone, Plan(tuple(rows), plan_cost(s, rows), PlanState.FEASIBLE, s.now))
    good(gone, found)
    assert (booked(found, "P").start, booked(found, "Q").start) == (at(5, "07:00"), at(7, "07:00"))
