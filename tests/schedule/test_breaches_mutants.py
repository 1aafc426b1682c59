"""The judge judged: one good plan, and for each rule a plan that breaks it alone or first.

The good plan is made by hand. Each mutant must be caught by the rule that is named beside it.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import date, datetime, timedelta

import pytest

from planner.domain.firm.crews import Crew, Machine, MachineOut
from planner.domain.firm.jobs import RAN_OUT, Awaited, DayRange, Gate, GateKind, Job, Line, Overdue, Visiting
from planner.domain.firm.lost import LostKind, LostTime
from planner.domain.firm.phases import Phase, WorkKey
from planner.domain.season.breaches import breaches
from planner.domain.season.plan import Booking, MachineUse
from planner.domain.season.season import After, Mode, Season, Work
from tests.schedule.tiny import FREE, at, key, season, work

EXC1, EXC2 = MachineUse("excavator", 1), MachineUse("excavator", 2)
PUMP, STARTUP = WorkKey("E", Phase.FILL, 2), WorkKey("H", Phase.FILL, 2)
Plan = dict[WorkKey, Booking]
FIX = Booking(key("F"), ("B",), at(5, "07:00"), at(5, "11:00"), 4.0, begun=True)


def good() -> tuple[Season, Plan]:
    """P: dig, filters at 40 %, plumbing, fill; Q: dig; F: fixed; W: pinned; L: locate; M: order; C: cure.

    D: delivery; E, N: others; H: water that runs.
    """
    shelf = After(key("P"), share=0.4)
    cured = After(key("P", Phase.PLUMBING), lag_h=24.0)
    works = (
        work("P", 8.0, machines={"excavator": 1}, skills=frozenset({"excavator"}), crews=("A", "B")),
        work("P", 4.0, Phase.SET_FILTERS, crews=("A", "B"), after=(shelf,)),
        work(
            "P",
            3.0,
            Phase.PLUMBING,
            crews=("A", "B"),
            after=(After(key("P")), After(key("P", Phase.SET_FILTERS))),
        ),
        work("P", 2.0, Phase.FILL, crews=("A", "B"), after=(cured,)),
        work("Q", 4.0, machines={"excavator": 1}, crews=("A", "B"), opens=date(2027, 4, 7)),
        replace(work("F", 4.0, crews=("B",)), fixed=FIX),
        replace(work("W", 2.0, crews=("B",)), only_crew="B", only_start=at(8, "13:00")),
        work("L", 2.0, crews=("C",), opens=date(2027, 4, 7)),
        work("M", 2.0, Phase.ROCK, crews=("C",), opens=date(2027, 4, 8)),
        work("E", 2.0, Phase.FILL, crews=("C",)),
        replace(work("C", 1.0, Phase.FILL, crews=("C",)), cured=at(8, "11:00"), cured_why="sealant cures"),
        work("D", 2.0, Phase.LINER, crews=("C",)),
        work("D", 1.0, Phase.ROCK, crews=("C",)),
        Work(PUMP, (Mode(("C",), 120.0, {}),), (After(key("E", Phase.FILL)),), opens=date(2027, 4, 13)),
        Work(STARTUP, (Mode(("B",), 60.0, {}),), cured=at(9, "08:30"), cured_why="the water runs by itself"),
        work("N", 2.0, Phase.ROCK, crews=("C",), opens=date(2027, 4, 8)),
        work("N", 2.0, Phase.FILL, crews=("C",), opens=date(2027, 4, 14)),
    )
    crews = [
        Crew(
            "A",
            "a",
            skills=frozenset({"excavator"}),
            days_off=(DayRange(date(2027, 4, 12), date(2027, 4, 12)),),
        ),
        Crew("B", "b"),
        Crew("C", "c", skills=frozenset({"excavator"})),
    ]
    machine = Machine(
        "excavator",
        "mini excavator",
        units=2,
        move_h=2.0,
        out=(MachineOut(DayRange(date(2027, 4, 13), date(2027, 4, 13)), 1),),
    )
    jobs = [
        Job("P", "p", latitude_deg=41.0, longitude_deg=-74.0, region="north"),
        Job(
            "Q",
            "q",
            latitude_deg=41.25,
            longitude_deg=-74.0,
            blackouts=(DayRange(date(2027, 4, 9), date(2027, 4, 9)),),
        ),
        Job("F", "f", latitude_deg=41.0, longitude_deg=-74.0),
        Job("W", "w", latitude_deg=41.0, longitude_deg=-74.0),
        Job(
            "L",
            "l",
            latitude_deg=41.0,
            longitude_deg=-74.0,
            gates=(Gate(GateKind.LOCATE, date(2027, 4, 7)),),
            blackouts=(DayRange(date(2027, 4, 9), date(2027, 4, 12), RAN_OUT),),
        ),
        Job(
            "M",
            "m",
            latitude_deg=41.0,
            longitude_deg=-74.0,
            gates=(Awaited(GateKind.MATERIAL, date(2027, 4, 8), Phase.LINER, note="liner not ordered"),),
        ),
        Job(
            "E",
            "e",
            latitude_deg=41.0,
            longitude_deg=-74.0,
            lines=(Line("fill_gal", 900.0),),
            gates=(Overdue(GateKind.ELECTRICIAN, date(2027, 4, 13), Phase.FILL, was=date(2027, 4, 2)),),
        ),
        Job("C", "c", latitude_deg=41.0, longitude_deg=-74.0),
        Job("H", "h", latitude_deg=41.0, longitude_deg=-74.0),
        Job(
            "D",
            "d",
            latitude_deg=41.0,
            longitude_deg=-74.0,
            gates=(
                Overdue(GateKind.MATERIAL, date(2027, 4, 6), Phase.LINER, was=date(2027, 4, 2)),
                Gate(GateKind.MATERIAL, date(2027, 4, 1), Phase.ROCK),
            ),
        ),
        Job(
            "N",
            "n",
            latitude_deg=41.0,
            longitude_deg=-74.0,
            gates=(
                Gate(GateKind.CRANE, date(2027, 4, 8), Phase.ROCK),
                Visiting(GateKind.INSPECTOR, date(2027, 4, 14), Phase.FILL, was=date(2027, 4, 13)),
            ),
        ),
    ]
    lost = (
        LostTime(LostKind.RAIN, DayRange(date(2027, 4, 15), date(2027, 4, 15))),
        LostTime(LostKind.RAIN, DayRange(date(2027, 4, 14), date(2027, 4, 14)), "north"),
        LostTime(LostKind.DELIVERY, DayRange(date(2027, 4, 16), date(2027, 4, 16)), "Q"),
    )
    s = season(*works, crews=crews, machines=[machine], jobs=jobs, lost=lost)
    rows = [
        Booking(key("P"), ("A",), at(5, "07:00"), at(5, "15:30"), 8.0, (EXC1,)),
        Booking(key("P", Phase.SET_FILTERS), ("B",), at(5, "12:30"), at(6, "08:00"), 4.0),
        Booking(key("P", Phase.PLUMBING), ("A",), at(6, "08:00"), at(6, "11:00"), 3.0),
        Booking(key("P", Phase.FILL), ("A",), at(7, "11:30"), at(7, "13:30"), 2.0),
        Booking(key("Q"), ("B",), at(7, "07:00"), at(7, "11:00"), 4.0, (EXC1,)),
        FIX,
        Booking(key("W"), ("B",), at(8, "13:00"), at(8, "15:00"), 2.0, pinned=True),
        Booking(key("L"), ("C",), at(7, "07:00"), at(7, "09:00"), 2.0),
        Booking(key("M", Phase.ROCK), ("C",), at(8, "07:00"), at(8, "09:00"), 2.0),
        Booking(key("E", Phase.FILL), ("C",), at(6, "07:00"), at(6, "09:00"), 2.0),
        Booking(key("C", Phase.FILL), ("C",), at(8, "11:30"), at(8, "12:30"), 1.0),
        Booking(key("D", Phase.LINER), ("C",), at(6, "09:00"), at(6, "11:00"), 2.0),
        Booking(key("D", Phase.ROCK), ("C",), at(8, "09:00"), at(8, "10:00"), 1.0),
        Booking(STARTUP, ("B",), at(9, "08:30"), at(9, "09:30"), 1.0),
        Booking(PUMP, ("C",), at(13, "07:00"), at(13, "09:00"), 2.0),
        Booking(key("N", Phase.ROCK), ("C",), at(8, "13:00"), at(8, "15:00"), 2.0),
        Booking(key("N", Phase.FILL), ("C",), at(14, "07:00"), at(14, "09:00"), 2.0),
    ]
    return s, {b.key: b for b in rows}


def put(plan: Plan, what: WorkKey, **changes: object) -> None:
    plan[what] = replace(plan[what], **changes)  # type: ignore[arg-type]


def slot_earlier(plan: Plan, what: WorkKey) -> None:
    step = timedelta(minutes=30)
    put(plan, what, start=plan[what].start - step, end=plan[what].end - step)


def on(plan: Plan, what: WorkKey, day: int, begin: str, end: str, **changes: object) -> None:
    put(plan, what, start=at(day, begin), end=at(day, end), **changes)


def drop(plan: Plan) -> None:
    del plan[key("Q")]


def strange(plan: Plan) -> None:
    plan[key("X")] = Booking(key("X"), ("A",), at(8, "07:00"), at(8, "08:00"), 1.0)


P, FILTERS, PLUMB, FILL = (
    key("P"),
    key("P", Phase.SET_FILTERS),
    key("P", Phase.PLUMBING),
    key("P", Phase.FILL),
)
Q, F, W, L, M = key("Q"), key("F"), key("W"), key("L"), key("M", Phase.ROCK)

MUTANTS: list[tuple[str, str, Callable[[Plan], None]]] = [
    ("every work once", "a work is left out", drop),
    ("every work once", "a work that is none", strange),
    ("way of working", "a crew that has no mode", lambda p: put(p, Q, crews=("C",))),
    ("way of working", "the machine is forgotten", lambda p: put(p, Q, machines=())),
    ("way of working", "two units where one is needed", lambda p: put(p, Q, machines=(EXC1, EXC2))),
    ("way of working", "a helper too many", lambda p: put(p, FILL, crews=("A", "C"))),
    ("skills", "the lead may not run the excavator", lambda p: on(p, P, 2, "07:00", "15:30", crews=("B",))),
    ("amount of work", "half an hour short", lambda p: put(p, FILL, end=at(7, "13:00"))),
    ("amount of work", "half an hour too long", lambda p: put(p, FILL, end=at(7, "14:00"))),
    (
        "least piece",
        "half an hour at the day's end, the rest on the next",
        lambda p: put(p, FILL, start=at(8, "15:00"), end=at(9, "08:30")),
    ),
    ("working time", "before the shift", lambda p: on(p, Q, 8, "06:30", "10:30")),
    ("working time", "ends in the break", lambda p: put(p, Q, end=at(7, "11:30"))),
    ("working time", "on a Saturday", lambda p: on(p, FILL, 10, "07:00", "09:00")),
    ("working time", "on the crew's day off", lambda p: on(p, FILL, 12, "07:00", "09:00")),
    ("working time", "on a rain day everywhere", lambda p: on(p, FILL, 15, "07:00", "09:00")),
    ("working time", "on a rain day of the region", lambda p: on(p, FILL, 14, "07:00", "09:00")),
    ("working time", "on the customer's blackout", lambda p: on(p, Q, 9, "07:00", "11:00")),
    ("working time", "off the grid", lambda p: on(p, FILL, 8, "07:15", "09:15")),
    ("one place at a time", "two works at once", lambda p: on(p, FILL, 8, "13:00", "15:00", crews=("B",))),
    (
        "one place at a time",
        "a slot too early after a fixed work",
        lambda p: on(p, FILTERS, 5, "10:30", "15:00"),
    ),
    ("time to drive", "no time to reach the other site", lambda p: on(p, W, 7, "11:30", "13:30")),
    ("one job a machine", "one unit on two sites", lambda p: on(p, Q, 5, "11:30", "15:30")),
    (
        "machine in service",
        "the unit that is out",
        lambda p: on(p, Q, 13, "07:00", "11:00", machines=(EXC2,)),
    ),
    (
        "machine in service",
        "a unit that is not there",
        lambda p: put(p, Q, machines=(MachineUse("excavator", 3),)),
    ),
    ("phase order", "plumbing before the filters are set", lambda p: slot_earlier(p, PLUMB)),
    ("phase order", "filters before the first shelf is out", lambda p: on(p, FILTERS, 5, "10:00", "14:30")),
    ("phase order", "filters end before the dig", lambda p: on(p, FILTERS, 5, "11:00", "15:00")),
    ("cure and lag", "water before the sealant is cured", lambda p: on(p, FILL, 7, "09:00", "11:00")),
    (
        "cure and lag",
        "water before what was sealed yesterday is cured",
        lambda p: on(p, key("C", Phase.FILL), 8, "10:00", "11:00"),
    ),
    (
        "cure and lag",
        "the pump before water that was opened yesterday has run in",
        lambda p: on(p, STARTUP, 9, "07:30", "08:30"),
    ),
    ("gate", "before the gate opens", lambda p: on(p, Q, 6, "11:30", "15:30")),
    ("gate", "on the day of the late delivery", lambda p: on(p, Q, 16, "07:00", "11:00")),
    ("utility locate", "before it is clear", lambda p: on(p, L, 6, "07:00", "09:00")),
    ("utility locate", "after it ran out", lambda p: on(p, L, 12, "07:00", "09:00")),
    ("material", "rock before the liner is here", lambda p: on(p, M, 7, "13:30", "15:30")),
    (
        "material",
        "a liner that did not come on Friday is laid on Monday",
        lambda p: on(p, key("D", Phase.LINER), 5, "09:00", "11:00"),
    ),
    (
        "material",
        "a day that passed without a tick opens nothing",
        lambda p: on(p, key("D", Phase.ROCK), 5, "09:00", "10:00"),
    ),
    ("outside visit", "the pump before the electrician", lambda p: on(p, PUMP, 12, "07:00", "09:00")),
    (
        "outside visit",
        "stone before the crane",
        lambda p: on(p, key("N", Phase.ROCK), 7, "09:00", "11:30"),
    ),
    (
        "outside visit",
        "the trench covered on the inspector's day",
        lambda p: on(p, key("N", Phase.FILL), 13, "09:00", "11:30"),
    ),
    ("not in the past", "last Friday", lambda p: on(p, FILL, 2, "07:00", "09:00")),
    (
        "season end",
        "in May",
        lambda p: put(p, FILL, start=datetime(2027, 5, 3, 7), end=datetime(2027, 5, 3, 9)),
    ),
    ("fixed work stays", "fixed work moved", lambda p: on(p, F, 6, "11:30", "15:30")),
    ("fixed work stays", "fixed work given to another crew", lambda p: put(p, F, crews=("C",))),
    ("pinned crew", "pinned crew swapped", lambda p: put(p, W, crews=("A",))),
    ("pinned start", "pinned start shifted by a slot", lambda p: slot_earlier(p, W)),
]


def told() -> tuple[Season, Plan]:
    """P of Monday stays; Q's client was told Friday; R was told to nobody. It is Monday, 06:00."""
    rows = [
        Booking(key("P"), ("A",), at(5, "07:00"), at(5, "15:30"), 8.0),
        Booking(key("Q"), ("A",), at(9, "07:00"), at(9, "15:30"), 8.0),
        Booking(key("R"), ("A",), at(7, "07:00"), at(7, "15:30"), 8.0),
    ]
    published = {b.key: b for b in rows[:2]}
    s = season(
        work("P", 8.0),
        work("Q", 8.0),
        work("R", 8.0),
        published=published,
        frozen={key("P"): rows[0]},
        weights=replace(FREE, freeze_days=2, notice_days=2),
    )
    return s, {b.key: b for b in rows}


TOLD: list[tuple[str, str, Callable[[Plan], None]]] = [
    ("next days stay", "Monday's job a day later", lambda p: on(p, P, 6, "07:00", "15:30")),
    ("notice", "the client of Friday tomorrow", lambda p: on(p, Q, 6, "07:00", "15:30")),
    ("notice", "the new job tomorrow", lambda p: on(p, key("R"), 6, "07:00", "15:30")),
]


@pytest.mark.parametrize(("rule", "what", "change"), TOLD, ids=[f"{r}: {w}" for r, w, _ in TOLD])
def test_what_was_told_is_judged(rule: str, what: str, change: Callable[[Plan], None]) -> None:
    s, plan = told()
    assert breaches(s, plan.values()) == []
    on(plan, Q, 8, "07:00", "15:30")  # Friday's client on Thursday: three working days between
    assert breaches(s, plan.values()) == []
    change(plan)
    assert {b.rule for b in breaches(s, plan.values())} == {rule}, what


@pytest.mark.parametrize(
    ("now", "day", "kept"),
    [
        (at(9, "06:00"), 13, True),  # Friday and Monday lie between
        (at(9, "06:00"), 12, False),  # Friday alone: no work on Saturday and Sunday
        (at(9, "16:00"), 13, False),  # Friday's paid time is over: Monday alone
        (at(9, "16:00"), 14, True),
    ],
)
def test_notice_counts_working_days_only(now: datetime, day: int, kept: bool) -> None:
    row = Booking(key("R"), ("A",), at(day, "07:00"), at(day, "15:30"), 8.0)
    told = Booking(key("Q"), ("A",), at(16, "07:00"), at(16, "15:30"), 8.0)
    weights = replace(FREE, freeze_days=2, notice_days=2)
    s = season(work("R", 8.0), work("Q", 8.0), published={told.key: told}, weights=weights, now=now)
    assert {b.rule for b in breaches(s, [row, told])} == (set() if kept else {"notice"})


@pytest.mark.parametrize(
    ("kind", "target", "first", "last", "kept"),
    [
        (LostKind.MACHINE_DOWN, "excavator", 6, 6, False),
        (LostKind.MACHINE_DOWN, "excavator", 5, 7, False),
        (LostKind.MACHINE_DOWN, "excavator", 7, 9, True),  # from the day after
        (LostKind.MACHINE_DOWN, "excavator", 5, 5, True),  # up to the day before
        (LostKind.MACHINE_DOWN, "skid", 6, 6, True),  # another machine
    ],
)
def test_a_machine_is_out_of_service_while_it_is_down(
    kind: LostKind, target: str, first: int, last: int, kept: bool
) -> None:
    row = Booking(key("R"), ("A",), at(6, "07:00"), at(6, "15:30"), 8.0, (MachineUse("excavator", 1),))
    down = LostTime(kind, DayRange(date(2027, 4, first), date(2027, 4, last)), target, 1)
    machines = [Machine("excavator", "mini excavator"), Machine("skid", "skid steer")]
    s = season(work("R", 8.0, machines={"excavator": 1}), machines=machines, lost=(down,))
    assert {b.rule for b in breaches(s, [row])} == (set() if kept else {"machine in service"})


def test_the_good_plan_is_good() -> None:
    s, plan = good()
    assert breaches(s, plan.values()) == []


@pytest.mark.parametrize(("rule", "what", "change"), MUTANTS, ids=[f"{r}: {w}" for r, w, _ in MUTANTS])
def test_mutant_is_caught_by_its_rule(rule: str, what: str, change: Callable[[Plan], None]) -> None:
    s, plan = good()
    change(plan)
    assert rule in {b.rule for b in breaches(s, plan.values())}, what


def test_machine_needs_its_moving_time() -> None:
    """The same unit from P (free at 15:30) to Q an hour later; moving takes two."""
    s, plan = good()
    q = replace(s.works[Q], opens=None)
    s = replace(s, works={**s.works, Q: q})
    p = replace(s.works[P], modes=(Mode(("A",), 240.0, {"excavator": 1}),))
    s = replace(s, works={**s.works, P: p})
    on(plan, P, 5, "07:00", "11:00")
    on(plan, Q, 6, "09:00", "13:30")
    assert {b.rule for b in breaches(s, plan.values())} == set()
    on(plan, Q, 5, "12:00", "15:30")
    plan[Q] = replace(plan[Q], end=at(6, "07:30"))
    assert "time to move" in {b.rule for b in breaches(s, plan.values())}


def test_a_booking_twice_is_caught() -> None:
    s, plan = good()
    assert "every work once" in {b.rule for b in breaches(s, [*plan.values(), plan[Q]])}
