"""What a caller relies on: never worse than the rules, progress, stopping without loss, refusals in trade
words.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

from planner.domain.firm.crews import Crew, Machine
from planner.domain.firm.jobs import DayRange, Job
from planner.domain.firm.phases import Phase
from planner.domain.season.breaches import breaches
from planner.domain.season.plan import Booking, PlanState
from planner.domain.season.season import After, Season
from planner.errors import NoPlanFits, NoPlanInTime, PlannerError
from planner.schedule.answers.clashes import find_clashes
from planner.schedule.answers.explain import reasons, reliefs
from planner.schedule.answers.repair import insert, repair
from planner.schedule.model.effort import Effort, Progress
from planner.schedule.solve import solve
from tests.schedule.seasons import season as seeded
from tests.schedule.seasons import told_days
from tests.schedule.tiny import FREE, at, key, season, work

QUICK = Effort(steps=2_500, exact_work=1.0)


@pytest.mark.parametrize("shocks", [False, True])
@pytest.mark.parametrize("size", [(12, 2, 0.85), (25, 3, 0.95)])
def test_never_worse_than_the_rules(size: tuple[int, int, float], shocks: bool) -> None:
    s = seeded(*size, seed=3, shocks=shocks)
    plan = solve(s, effort=QUICK)
    assert breaches(s, plan.bookings) == []
    assert plan.dispatch_cents is not None
    assert plan.cost.total_cents <= plan.dispatch_cents
    assert plan.state in {PlanState.FEASIBLE, PlanState.RULE, PlanState.BEST}


def test_same_seed_same_plan() -> None:
    s = seeded(12, 2, 0.95, seed=2, shocks=True)
    assert solve(s, effort=QUICK, seed=5) == solve(s, effort=QUICK, seed=5)


def test_progress_never_rises_and_ends_at_the_plan() -> None:
    s = seeded(12, 2, 0.95, seed=2, shocks=True)
    told: list[Progress] = []
    plan = solve(s, effort=QUICK, on_progress=told.append)
    costs = [p.best_cents for p in told]
    assert costs == sorted(costs, reverse=True)
    assert abs(costs[-1] - plan.cost.total_cents) <= 5
    assert told[-1].improvement >= 0


def test_stop_keeps_the_best_so_far() -> None:
    s = seeded(12, 2, 0.95, seed=2, shocks=True)
    plan = solve(s, effort=QUICK, stop=lambda: True)
    assert breaches(s, plan.bookings) == []
    assert "stopped" in plan.note


def test_ctrl_c_keeps_the_best_so_far() -> None:
    s = seeded(12, 2, 0.95, seed=2, shocks=True)
    calls = []

    def interrupt() -> bool:
        calls.append(1)
        if len(calls) == 3:
            raise KeyboardInterrupt
        return False

    plan = solve(s, effort=QUICK, stop=interrupt)
    assert breaches(s, plan.bookings) == []


def test_the_clock_ends_the_search_and_says_at_how_many_steps() -> None:
    s = seeded(12, 2, 0.95, seed=2, shocks=True)
    timed = solve(s, effort=Effort(seconds=0.5, bound=False, exact_jobs=0))
    assert timed.search is not None
    assert timed.search.steps > 0
    again = solve(s, effort=Effort(steps=timed.search.steps, bound=False, exact_jobs=0))
    assert again.bookings == timed.bookings


def test_more_steps_never_give_a_dearer_plan() -> None:
    s = seeded(12, 2, 0.95, seed=2, shocks=True)
    costs = [
        solve(s, effort=Effort(steps=n, bound=False, exact_jobs=0), seed=3).cost.total_cents
        for n in (0, 100, 700, 1_500, 4_000)
    ]
    assert costs == sorted(costs, reverse=True)
    assert costs[-1] < costs[0]


def test_no_steps_are_the_plain_rules_plan() -> None:
    plan = solve(seeded(12, 2, 0.95, seed=2, shocks=True), effort=Effort.for_seconds(0))
    assert plan.dispatch_cents is not None
    assert plan.cost.total_cents <= plan.dispatch_cents
    assert plan.state is PlanState.RULE


def test_nothing_to_decide_is_proven_best() -> None:
    stays = Booking(key("P"), ("A",), at(5, "07:00"), at(5, "09:00"), 2.0)
    plan = solve(season(replace(work("P", 2.0), fixed=stays)), effort=QUICK)
    assert (plan.bookings, plan.state) == ((stays,), PlanState.BEST)


# ---- refusals -------------------------------------------------------------------------------------------


def refused(s: Season) -> str:
    with pytest.raises(NoPlanFits) as caught:
        solve(s, effort=QUICK)
    assert tuple(find_clashes(s)) == caught.value.reasons
    return str(caught.value)


def test_skill_that_no_crew_has() -> None:
    text = refused(season(work("P", 2.0, Phase.ROCK, skills=frozenset({"stonework"}))))
    assert "P rock" in text
    assert "stonework" in text


def test_pin_to_a_crew_without_the_skill() -> None:
    crews = [Crew("A", "a"), Crew("B", "b", skills=frozenset({"stonework"}))]
    w = replace(work("P", 2.0, crews=("A", "B"), skills=frozenset({"stonework"})), only_crew="A")
    assert "pinned to A" in refused(season(w, crews=crews))


def test_more_machines_than_the_firm_has() -> None:
    w = work("P", 2.0, machines={"excavator": 2})
    said = "needs 2 mini excavators: the firm has 1"
    assert said in refused(season(w, machines=[Machine("excavator", "mini excavator")]))


def test_gate_after_the_season() -> None:
    text = refused(season(work("P", 2.0, opens=date(2027, 5, 3), opens_why="permit")))
    assert "Mon May 3" in text
    assert "permit" in text


def test_two_fixed_bookings_of_one_crew() -> None:
    one = Booking(key("P"), ("A",), at(5, "07:00"), at(5, "11:00"), 4.0)
    two = Booking(key("Q"), ("A",), at(5, "09:00"), at(5, "11:00"), 2.0)
    s = season(replace(work("P", 4.0), fixed=one), replace(work("Q", 2.0), fixed=two), work("R", 1.0))
    text = refused(s)
    assert "P dig" in text
    assert "Q dig" in text
    assert "R dig" not in text


def test_two_pinned_starts_of_the_only_crew() -> None:
    p = replace(work("P", 4.0), only_start=at(6, "07:00"))
    q = replace(work("Q", 4.0), only_start=at(6, "09:00"))
    text = refused(season(p, q, work("R", 2.0)))
    assert "P dig" in text
    assert "Q dig" in text
    assert "R dig" not in text


def test_pin_on_a_closed_day() -> None:
    assert "does not work" in refused(season(replace(work("P", 4.0), only_start=at(10, "07:00"))))


def test_pin_on_the_crews_day_off() -> None:
    crew = Crew("A", "a", days_off=(DayRange(date(2027, 4, 6), date(2027, 4, 6)),))
    assert "A is away" in refused(season(replace(work("P", 4.0), only_start=at(6, "07:00")), crews=[crew]))


def test_pin_before_its_gate_or_in_the_past() -> None:
    gated = replace(work("P", 4.0, opens=date(2027, 4, 9), opens_why="deposit"), only_start=at(6, "07:00"))
    assert "deposit" in refused(season(gated))
    assert "past" in refused(season(replace(work("P", 4.0), only_start=at(2, "07:00"))))


def test_pin_before_what_it_follows_can_be_ready() -> None:
    fill = replace(
        work("P", 1.0, Phase.FILL, after=(After(key("P"), lag_h=24.0),)), only_start=at(5, "13:00")
    )
    assert "P fill is pinned" in refused(season(work("P", 4.0), fill))


def test_job_longer_than_the_season() -> None:
    assert "does not end before" in refused(season(work("P", 40.0), last_day=date(2027, 4, 7)))


def test_too_much_work_for_the_season_is_no_plan() -> None:
    # 5 jobs of 8 h, one crew, three days: proven impossible by the whole model, which names the jobs it
    # needs.
    works = [work(f"J{i}", 8.0) for i in range(5)]
    with pytest.raises((NoPlanFits, NoPlanInTime)):
        solve(season(*works, last_day=date(2027, 4, 7)), effort=QUICK)


def test_shift_off_the_grid_is_refused() -> None:
    from planner.domain.firm.firm import Firm

    with pytest.raises(PlannerError, match="grid"):
        solve(season(work("P", 2.0), firm=Firm(country="", paid_h_day=8.2)), effort=QUICK)


# ---- after a change ------------------------------------------------------------------------------------


def test_repair_moves_only_what_must() -> None:
    # P on Monday, Q on Tuesday, R on Thursday, each 8 h. Tuesday is lost: Q goes to Wednesday, R stays.
    from planner.domain.firm.lost import LostKind, LostTime

    s = season(*(work(j, 8.0) for j in "PQR"))
    rows = [
        Booking(key(j), ("A",), at(d, "07:00"), at(d, "15:30"), 8.0)
        for j, d in (("P", 5), ("Q", 6), ("R", 8))
    ]
    rain = LostTime(LostKind.RAIN, DayRange(date(2027, 4, 6), date(2027, 4, 6)))
    plan = repair(replace(s, lost=(rain,)), rows)
    assert plan.state is PlanState.REPAIRED
    assert [b.start.day for b in plan.bookings] == [5, 7, 8]


def test_new_job_goes_into_the_gap() -> None:
    # Monday and Wednesday are taken; 8 h fit on Tuesday without moving anybody.
    jobs = [Job("P", "p", promised=date(2027, 4, 5)), Job("Q", "q", promised=date(2027, 4, 7))]
    s = season(*(work(j, 8.0) for j in "PQN"), jobs=jobs)
    rows = [Booking(key(j), ("A",), at(d, "07:00"), at(d, "15:30"), 8.0) for j, d in (("P", 5), ("Q", 7))]
    found = insert(s, rows, "N")
    assert (found.finish, found.shifted) == (at(6, "15:30"), ())


def test_new_job_shifts_one_that_has_room() -> None:
    # Monday: P, promised for Friday. In gaps N ends on Tuesday; with P moved to Tuesday N ends on Monday.
    jobs = [Job("P", "p", promised=date(2027, 4, 9))]
    s = season(work("P", 8.0), work("N", 8.0), jobs=jobs)
    found = insert(s, [Booking(key("P"), ("A",), at(5, "07:00"), at(5, "15:30"), 8.0)], "N")
    assert (found.finish, found.shifted) == (at(5, "15:30"), ("P",))


def test_new_job_does_not_shift_one_without_room() -> None:
    jobs = [Job("P", "p", promised=date(2027, 4, 5))]
    s = season(work("P", 8.0), work("N", 8.0), jobs=jobs)
    found = insert(s, [Booking(key("P"), ("A",), at(5, "07:00"), at(5, "15:30"), 8.0)], "N")
    assert (found.finish, found.shifted) == (at(6, "15:30"), ())


# ---- why ------------------------------------------------------------------------------------------------


def test_chain_goes_back_to_a_gate() -> None:
    # P waits for its permit until Wednesday; Q of the same crew follows P.
    p = work("P", 8.0, opens=date(2027, 4, 7), opens_why="permit")
    rows = [
        Booking(key("P"), ("A",), at(7, "07:00"), at(7, "15:30"), 8.0),
        Booking(key("Q"), ("A",), at(8, "07:00"), at(8, "15:30"), 8.0),
    ]
    s = season(
        p,
        work("Q", 8.0, opens=date(2027, 4, 7), opens_why="deposit"),
        jobs=[Job("Q", "q", promised=date(2027, 4, 12))],
    )
    found = {r.job: r for r in reasons(s, rows)}
    assert [h.kind for h in found["Q"].chain] == ["crew", "gate"]
    assert "permit" in found["Q"].cause.text
    assert found["Q"].spare_days == 2  # Friday and Monday
    assert found["P"].spare_days is None


def test_chain_names_machine_and_day_off() -> None:
    machine = Machine("excavator", "mini excavator")
    crew = Crew("A", "a", days_off=(DayRange(date(2027, 4, 5), date(2027, 4, 5)),))
    works = [work(j, 8.0, crews=(c,), machines={"excavator": 1}) for j, c in (("P", "A"), ("Q", "B"))]
    s = season(*works, crews=[crew, Crew("B", "b")], machines=[machine])
    from planner.domain.season.plan import MachineUse

    rows = [
        Booking(key("P"), ("A",), at(6, "07:00"), at(6, "15:30"), 8.0, (MachineUse("excavator", 1),)),
        Booking(key("Q"), ("B",), at(7, "07:00"), at(7, "15:30"), 8.0, (MachineUse("excavator", 1),)),
    ]
    found = {r.job: r for r in reasons(s, rows)}
    assert found["P"].cause.kind == "away"
    # Q could have dug on Monday, when the excavator stood idle: waiting was the plan's choice.
    assert [h.kind for h in found["Q"].chain] == ["choice"]


def test_second_excavator_is_worth_two_days() -> None:
    # Two digs of 16 h by two crews with one excavator: P Monday-Tuesday, Q Wednesday-Thursday. With one
    # more on
    # Monday and Tuesday Q ends on Tuesday, two working days earlier.
    machine = Machine("excavator", "mini excavator")
    works = [work(j, 16.0, crews=(c,), machines={"excavator": 1}) for j, c in (("P", "A"), ("Q", "B"))]
    s = season(*works, crews=["A", "B"], machines=[machine], weights=replace(FREE, wait_day=1.0))
    plan = solve(s, effort=QUICK)
    best = reliefs(s, plan)[0]
    assert (best.jobs, best.days) == (1, 2)
    assert "one more mini excavator from Mon Apr 5 to Tue Apr 6" in best.text


@pytest.mark.parametrize("days", [12, 40])
def test_price_counts_what_was_done(days: int) -> None:
    """In mid-season: bookings that ended are done, those under way are fixed, all were published."""
    from datetime import timedelta

    from planner.domain.season.cost import plan_cost

    s = seeded(12, 2, 0.85, 1)
    rows = solve(s, effort=replace(QUICK, steps=300)).bookings
    now = s.now + timedelta(days=days, hours=5)
    done = {b.key: b for b in rows if b.end <= now}
    going = {b.key: b for b in rows if b.start < now < b.end}
    works = {
        k: replace(w, after=tuple(a for a in w.after if a.before not in done), fixed=going.get(k))
        for k, w in s.works.items()
        if k not in done
    }
    later = replace(s, works=works, done=tuple(done.values()), now=now, published={b.key: b for b in rows})
    later = replace(later, told=told_days(rows))
    assert done
    told: list[Progress] = []
    plan = solve(later, effort=replace(QUICK, steps=600), on_progress=told.append)
    assert breaches(later, plan.bookings) == []
    assert plan.cost == plan_cost(later, plan.bookings)
    assert abs(told[-1].best_cents - plan.cost.total_cents) <= 5


def test_two_cores_give_the_same_plan_again_and_none_that_is_dearer() -> None:
    s = seeded(12, 2, 0.95, seed=2, shocks=True)
    one, two, again = (
        solve(s, effort=Effort(steps=600, cores=cores, bound=False, exact_jobs=0)) for cores in (1, 2, 2)
    )
    assert two.bookings == again.bookings
    assert breaches(s, two.bookings) == []
    assert two.cost.total_cents <= one.cost.total_cents
