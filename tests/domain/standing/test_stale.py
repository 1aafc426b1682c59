"""Which changes make a plan stale, and how they are named. The plan was made on Monday 5 April 2027."""

from __future__ import annotations

import json
from dataclasses import replace
from datetime import date, datetime

import pytest

from planner.domain.dates import span_words
from planner.domain.firm.crews import Crew, Machine, MachineOut, Person
from planner.domain.firm.firm import Firm
from planner.domain.firm.jobs import DayRange, Gate, GateKind, Job, Status
from planner.domain.firm.lost import LostKind, LostTime
from planner.domain.firm.phases import Phase, WorkKey
from planner.domain.firm.records import Change
from planner.domain.plain import to_plain
from planner.domain.season.plan import Booking, Cost, MachineUse, Plan, PlanState
from planner.domain.standing.roster import Roster
from planner.domain.standing.stale import as_known, moved_facts, stale_words

TODAY = date(2027, 4, 6)
BEFORE, ON, AFTER = date(2027, 4, 2), date(2027, 4, 5), date(2027, 4, 9)
JOB = Job("P", "Mrs Reed")
DIGGER = Machine("digger", "mini excavator", units=2)


def plan(*bookings: Booking) -> Plan:
    return Plan(bookings, Cost({}), PlanState.RULE, datetime(2027, 4, 5, 6))


def told(noun: str, key: str, before: object, after: object) -> list[str]:
    rows = [
        json.dumps({**to_plain(x), **({"rate_edition": None} if noun == "job" else {})})
        for x in (before, after)
    ]
    change = Change(1, 1, datetime(2027, 4, 6, 8), "office", noun, key, rows[0], rows[1])
    return [moved.words for moved in moved_facts([change], {"P"}, plan(), TODAY)]


def gated(kind: GateKind, day: date, *, met: bool = False) -> Job:
    return replace(JOB, gates=(Gate(kind, day, Phase.FILL, met),))


@pytest.mark.parametrize(
    ("kind", "day", "words"),
    [
        # on Monday the plan reckoned with a visit asked anew: the tick lets the pump start sooner
        (GateKind.ELECTRICIAN, BEFORE, ["P is changed (electrician ticked off)"]),
        (GateKind.DEPOSIT, BEFORE, ["P is changed (deposit ticked off)"]),
        # its day was still to come: it holds, ticked or not
        (GateKind.ELECTRICIAN, ON, []),
        (GateKind.DEPOSIT, AFTER, []),
        # of a delivery that had not come the plan reckoned with the next working day
        (GateKind.MATERIAL, BEFORE, ["P is changed (material arrival ticked off)"]),
        (GateKind.MATERIAL, ON, []),
        # no tick moves the customer's date or a locate's (its requests do)
        (GateKind.START, BEFORE, []),
        (GateKind.LOCATE, BEFORE, []),
    ],
)
def test_a_tick_counts_once_the_day_had_passed(kind: GateKind, day: date, words: list[str]) -> None:
    assert told("job", "P", gated(kind, day), gated(kind, day, met=True)) == words


def test_a_tick_taken_back_counts_too() -> None:
    ticked = gated(GateKind.PERMIT, BEFORE, met=True)
    assert told("job", "P", ticked, gated(GateKind.PERMIT, BEFORE)) == [
        "P is changed (permit no longer ticked off)"
    ]


def test_each_gate_is_named_by_what_became_of_it() -> None:
    was = gated(GateKind.DEPOSIT, AFTER)
    assert told("job", "P", was, gated(GateKind.DEPOSIT, ON)) == ["P is changed (deposit moved)"]
    assert told("job", "P", was, gated(GateKind.PERMIT, AFTER)) == [
        "P is changed (deposit taken away, permit added)"
    ]


def test_a_money_weight_is_named() -> None:
    firm = Firm()
    dearer = replace(firm, weights=replace(firm.weights, late_day=300.0))
    assert told("firm", "firm", firm, dearer) == ["the firm is changed (weight late_day)"]


def test_a_machine_that_is_rented_now_must_be_booked_first() -> None:
    rented = replace(DIGGER, rented=True)
    assert told("machine", "digger", DIGGER, rented) == ["machine digger is changed (own or rented)"]
    assert told("machine", "digger", DIGGER, replace(DIGGER, words="digger")) == []


def booked(job: str, first: int, last: int, *machines: MachineUse) -> Booking:
    start, end = (datetime(2027, 4, day, 7) for day in (first, last))
    return Booking(WorkKey(job, Phase.DIG), ("Red",), start, end, 8.0, machines)


@pytest.mark.parametrize(
    ("noun", "key", "value", "by"),
    [
        # P runs from Monday to Wednesday: it is Tuesday, so today; Q comes with the digger on Friday
        ("job", "P", JOB, "Tue Apr 6"),
        ("job", "Q", Job("Q", "Mrs Hale"), "Fri Apr 9"),
        ("machine", "digger", DIGGER, "Fri Apr 9"),
        ("job", "N", Job("N", "nobody's work yet"), None),
        (
            "lost",
            "1",
            LostTime(LostKind.RAIN, DayRange(date(2027, 4, 8), date(2027, 4, 9)), id=1),
            "Fri Apr 9",
        ),
        ("lost", "1", LostTime(LostKind.RAIN, DayRange(date(2027, 4, 8), date(2027, 4, 8)), id=1), None),
        ("lost", "1", LostTime(LostKind.CREW_OFF, DayRange(TODAY, TODAY), "Red", id=1), "Tue Apr 6"),
        ("lost", "1", LostTime(LostKind.CREW_OFF, DayRange(TODAY, TODAY), "Blue", id=1), None),
    ],
)
def test_the_next_work_that_a_change_touches_is_the_day_to_act_by(
    noun: str, key: str, value: object, by: str | None
) -> None:
    told = plan(booked("P", 5, 7), booked("Q", 9, 9, MachineUse("digger", 1)), booked("P", 2, 2))
    text = json.dumps({**to_plain(value), **({"rate_edition": None} if noun == "job" else {})})
    change = Change(1, 1, datetime(2027, 4, 6, 8), "office", noun, key, None, text)
    found = moved_facts([change], {"P", "Q"}, told, TODAY)
    if by is None and noun == "lost":
        assert not found, "it only forbids what nobody was to do"
        return
    (moved,) = found
    act = f"; act before the work of {by}" if by else ""
    assert stale_words(found) == f"stale: since it was made {moved.words}{act}"


@pytest.mark.parametrize(
    ("days", "by"),
    [
        # Red is on P until Wednesday the 7th and on Q on Friday the 9th
        ((7, 8), "Wed Apr 7"),
        ((8, 10), "Fri Apr 9"),
        # nobody was to work on Thursday, nor from Saturday on: the day off moves nothing
        ((8, 8), None),
        ((10, 12), None),
    ],
)
def test_days_off_count_from_their_own_first_day(days: tuple[int, int], by: str | None) -> None:
    told = plan(booked("P", 5, 7), booked("Q", 9, 9, MachineUse("digger", 1)))
    off = DayRange(date(2027, 4, days[0]), date(2027, 4, days[1]))
    red = Crew("Red", "Ada", people=(Person("Ada"),))
    away = replace(red, people=(Person("Ada", away=(off,)),))
    out = replace(DIGGER, out=(MachineOut(off),))
    for noun, key, was, now in (
        ("crew", "Red", red, replace(red, days_off=(off,))),
        ("crew", "Red", red, away),
        ("machine", "digger", DIGGER, out),
    ):
        rows = [json.dumps(to_plain(x)) for x in (was, now)]
        change = Change(1, 1, datetime(2027, 4, 6, 8), "office", noun, key, *rows)
        found = moved_facts([change], {"P", "Q"}, told, TODAY)
        expected = by if noun == "crew" or by is None else "Fri Apr 9" if days[1] >= 9 else None
        assert all(span_words(off.first, off.last) in m.words for m in found)
        assert [f"{m.by:%a %b} {m.by.day}" for m in found if m.by] == ([expected] if expected else [])
        # taken back, it may let work come sooner
        back = replace(change, before=change.after, after=change.before)
        assert moved_facts([back], {"P", "Q"}, told, TODAY)


def test_rain_that_is_entered_the_day_after_counts() -> None:
    rain = json.dumps(to_plain(LostTime(LostKind.RAIN, DayRange(ON, ON), id=1)))
    change = Change(1, 1, datetime(2027, 4, 6, 8), "office", "lost", "1", None, rain)
    (moved,) = moved_facts([change], {"P"}, plan(booked("P", 5, 5)), TODAY)
    assert moved.by is None


@pytest.mark.parametrize(
    ("kind", "day", "counts"),
    [
        # P is dug from Wednesday the 7th: what opens by then holds nothing
        (GateKind.DEPOSIT, 6, False),
        (GateKind.PERMIT, 7, False),
        (GateKind.START, 7, False),
        (GateKind.DEPOSIT, 8, True),
        # a day that is past and not ticked off opens anew, later
        (GateKind.DEPOSIT, 5, True),
        # a locate and who comes from outside have standings of their own
        (GateKind.LOCATE, 6, True),
        (GateKind.INSPECTOR, 6, True),
    ],
)
def test_a_gate_that_opens_before_its_work_moves_nothing(kind: GateKind, day: int, counts: bool) -> None:
    told = plan(booked("P", 7, 9))
    rows = [
        json.dumps({**to_plain(x), "rate_edition": None})
        for x in (JOB, replace(JOB, gates=(Gate(kind, date(2027, 4, day)),)))
    ]
    for was, now, expected in ((*rows, counts), (*rows[::-1], True)):
        change = Change(1, 1, datetime(2027, 4, 6, 8), "office", "job", "P", was, now)
        assert bool(moved_facts([change], {"P"}, told, TODAY)) is expected


def test_a_job_that_is_sold_or_given_up_counts_and_an_inquiry_does_not() -> None:
    inquiry, sold, off = (replace(JOB, status=x) for x in (Status.INQUIRY, Status.SOLD, Status.CANCELLED))
    promised = replace(inquiry, promised=AFTER)
    assert told("job", "P", inquiry, promised) == []
    assert told("job", "P", sold, replace(promised, status=Status.SOLD)) == ["P is changed (promised date)"]
    assert len(told("job", "P", inquiry, sold)) == len(told("job", "P", sold, off)) == 1


def test_the_roster_is_put_back_as_the_plan_knew_it() -> None:
    """Added since: gone. Taken away since: there again. Changed: as it was."""
    kept, new, gone = (
        Machine("kept", "skid steer", units=2),
        Machine("new", "truck"),
        Machine("gone", "laser"),
    )
    now = Roster(Firm(), {}, {}, {"kept": replace(kept, units=1), "new": new})

    def change(n: int, was: Machine | None, to: Machine | None) -> Change:
        key = (was or to or kept).key
        before, after = (None if x is None else json.dumps(to_plain(x)) for x in (was, to))
        return Change(n, n, datetime(2027, 4, 6, 8), "office", "machine", key, before, after)

    changes = [change(1, kept, replace(kept, units=1)), change(2, None, new), change(3, gone, None)]
    assert as_known(now, changes).machines == {"kept": kept, "gone": gone}
