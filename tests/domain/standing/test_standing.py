"""How a plan stands against its promises, counted by hand; and what its page says of it."""

from __future__ import annotations

from dataclasses import fields, replace
from datetime import date, datetime

import pytest

from planner.domain.firm.crews import Crew
from planner.domain.firm.firm import Firm, Weights
from planner.domain.firm.jobs import Job, Status
from planner.domain.firm.phases import Phase, WorkKey
from planner.domain.firm.records import Moved
from planner.domain.season.cost import COUNTED
from planner.domain.season.plan import Booking, Cost, Plan, PlanState
from planner.domain.standing.in_force import hindered
from planner.domain.standing.roster import Roster
from planner.domain.standing.standing import plan_standing
from planner.report.season.plans import costs, quality

FIRM = Firm(country="")
JOBS = {
    "A": Job("A", "Ames", promised=date(2027, 4, 7)),
    "B": Job("B", "Bell", promised=date(2027, 4, 9)),
    "C": Job("C", "Cole"),
}
CREWS = {name: Crew(name, "") for name in ("Heron", "Otter")}
ROSTER = Roster(FIRM, JOBS, CREWS, {})


def booked(job: str, first: int, last: int, crew: str = "Heron", phase: Phase = Phase.DIG) -> Booking:
    return Booking(
        WorkKey(job, phase), (crew,), datetime(2027, 4, first, 7), datetime(2027, 4, last, 11), 4.0
    )


def plan(*rows: Booking, total: int = 900, rule: int | None = 1200, bound: int | None = 720) -> Plan:
    made = datetime(2027, 4, 5, 6)
    return Plan(rows, Cost({"late": total}), PlanState.FEASIBLE, made, dispatch_cents=rule, bound_cents=bound)


def test_days_late_kept_promises_and_removed_jobs() -> None:
    rows = (
        booked("B", 6, 9),
        booked("A", 5, 6),
        booked("A", 7, 9, "Otter", Phase.LINER),
        booked("C", 5, 8),
        booked("Gone", 5, 8),
    )
    stands = plan_standing(plan(*rows), ROSTER)
    assert [(j.code, j.spare_days, j.late) for j in stands.jobs] == [
        ("A", -2, True),
        ("C", None, False),
        ("B", 0, False),
    ]
    assert (stands.promised, stands.kept) == (2, 1)
    assert [j.code for j in stands.late] == ["A"]
    assert stands.jobs[0].crews == ("Heron", "Otter")


def test_how_good_a_plan_is_known_to_be() -> None:
    """900 is a quarter below the rule's 1,200, and a quarter above the bound of 720."""
    stands = plan_standing(plan(), ROSTER)
    assert stands.better_than_rule == pytest.approx(0.25)
    assert stands.gap == pytest.approx(0.25)
    assert quality(plan(), stands) == (
        "best found; 25% cheaper than sending the first free crew ($12); "
        "at most 25.0% above the cheapest possible plan"
    )


def test_a_gap_is_shown_only_when_it_is_proven() -> None:
    unproven = plan(rule=None, bound=None)
    assert plan_standing(plan(bound=0), ROSTER).gap is None
    stands = plan_standing(unproven, ROSTER)
    assert (stands.better_than_rule, stands.gap) == (None, None)
    assert quality(unproven, stands) == "best found; can't say how close this is to the cheapest plan"


def test_work_of_a_cancelled_job_is_off_and_not_hindered() -> None:
    """Its crew is gone too, yet nobody waits for it; the other job's work has no crew."""
    jobs = {"A": replace(JOBS["A"], status=Status.CANCELLED), "B": JOBS["B"]}
    found = hindered(Roster(FIRM, jobs, {}, {}), plan(booked("A", 6, 6), booked("B", 6, 6)))
    assert list(found) == ["B"] and "no crew" in found["B"]


def test_each_cost_says_how_it_is_reckoned() -> None:
    # by hand: 3 days late at 250, 2 h 30 min idle at 10.50; moves have each machine's own price
    firm = replace(FIRM, weights=replace(FIRM.weights, late_day=250.0, idle_hour=10.5, crumb=5.0))
    cents = {"late": 75_000, "machine moves": 6000, "idle crews": 2625, "crumbs": 500, "calls": 0}
    made = replace(plan(booked("A", 5, 6)), cost=Cost(cents), number=3)
    told = replace(made, cost=Cost({"late": 100_000, "crumbs": 500}), number=2)
    stands = plan_standing(made, ROSTER)
    assert costs(made, stands, firm, None) == [
        ("late", "$750", "3 days late at $250"),
        ("machine moves", "$60", "at each machine's price"),
        ("idle crews", "$26", "2.5 hours at $10.50"),
        ("crumbs", "$5", "1 piece at $5"),
        ("total", "$841", ""),
    ]
    beside = costs(made, stands, firm, told)
    assert beside[0] == ("late", "$750", "$1,000", "-$250", "3 days late at $250")
    assert beside[-1] == ("total", "$841", "$1,005", "-$164", "")
    # the firm's prices were changed since: nobody knows by which the plan was priced
    changed = replace(stands, moved=(Moved("firm", "firm", "the firm is changed (weight late_day)"),))
    assert {row[-1] for row in costs(made, changed, firm, None)} == {""}


def test_every_price_of_a_term_is_a_weight() -> None:
    weights = {name for name, _, _ in COUNTED.values()}
    days = {"moved_near", "moved_far", "near_days", "freeze_days", "notice_days", "tell_days"}
    assert weights | days == {f.name for f in fields(Weights)}
