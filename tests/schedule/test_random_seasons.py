"""Laws on random small seasons: no plan breaks a rule, the price is the domain's to the cent, never worse
than the rules, the order kept is the order kept.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from planner.domain.firm.crews import Crew, Machine, MachineOut
from planner.domain.firm.firm import Firm, Weights
from planner.domain.firm.jobs import DayRange, Gate, GateKind, Job
from planner.domain.firm.lost import LostKind, LostTime
from planner.domain.firm.phases import Phase, WorkKey
from planner.domain.season.season import After, Mode, Season, Work
from planner.schedule.answers.engine import bookings_of
from planner.schedule.answers.repair import insert, repair
from planner.schedule.door import enter
from planner.schedule.model.effort import Effort
from planner.schedule.model.price import Pricer
from planner.schedule.model.shop import Shop
from planner.schedule.search.dispatch import RULES, dispatch
from planner.schedule.solve import solve
from tests.schedule.judge import good, lawful_cents
from tests.schedule.tiny import MONDAY, at

WEIGHTS = Weights(
    wait_day=5.0, hole_day=7.5, hole_rest=40.0, call=30.0, begun_rest=70.0, crumb=90.0, idle_hour=11.0
)
EFFORT = Effort(steps=400, exact_jobs=0, rounds=8)
DAYS = st.integers(0, 25).map(lambda n: MONDAY + timedelta(days=n))
HOURS = st.integers(1, 24).map(lambda n: n * 41.0)  # odd minutes on purpose: rounding up must agree


@st.composite
def spans(draw: st.DrawFn) -> DayRange:
    first = draw(DAYS)
    return DayRange(first, first + timedelta(days=draw(st.integers(0, 2))))


@st.composite
def seasons(draw: st.DrawFn) -> Season:
    names = ["A", "B", "C"][: draw(st.integers(1, 3))]
    crews = {n: Crew(n, n, days_off=tuple(draw(st.lists(spans(), max_size=1)))) for n in names}
    units = draw(st.integers(1, 2))
    out = (MachineOut(draw(spans()), 1),) if draw(st.booleans()) and units > 1 else ()
    machine = Machine("excavator", "excavator", units, out, 90.0, draw(st.sampled_from([0.0, 1.0, 1.5])))
    works: dict[WorkKey, Work] = {}
    jobs: dict[str, Job] = {}
    for number in range(draw(st.integers(1, 4))):
        code = f"J{number}"
        jobs[code] = Job(
            code,
            code,
            latitude_deg=41.0 + draw(st.integers(0, 4)) / 10,
            longitude_deg=-74.0,
            region=draw(st.sampled_from(["north", ""])),
            promised=draw(st.one_of(st.none(), DAYS)),
            blackouts=tuple(draw(st.lists(spans(), max_size=1))),
        )
        works.update(draw(works_of(code, names)))
        dig = works[WorkKey(code, Phase.DIG)]
        if dig.opens is not None and draw(st.booleans()):
            jobs[code] = replace(jobs[code], gates=(Gate(GateKind.HAULER, dig.opens),))
    lost = [LostTime(LostKind.RAIN, draw(spans()), draw(st.sampled_from(["", "north"])))]
    lost.append(LostTime(LostKind.DELIVERY, draw(spans()), "J0", phase=draw(st.sampled_from(["", "liner"]))))
    by_day = st.lists(st.integers(0, 900).map(float), min_size=1, max_size=20)
    late_usd = {"J0": tuple(sorted(draw(by_day)))} if draw(st.booleans()) else {}
    return Season(
        Firm(country="", depot_latitude_deg=41.0, depot_longitude_deg=-74.1, weights=WEIGHTS),
        jobs,
        crews,
        {"excavator": machine},
        works,
        at(5, "06:00") + timedelta(minutes=draw(st.integers(0, 700))),
        date(2027, 12, 30),
        tuple(lost),
        late_usd=late_usd,
    )


@st.composite
def works_of(draw: st.DrawFn, code: str, names: list[str]) -> dict[WorkKey, Work]:
    found: dict[WorkKey, Work] = {}
    before: WorkKey | None = None
    for phase in draw(
        st.sampled_from([(Phase.DIG, Phase.LINER), (Phase.DIG, Phase.SET_FILTERS, Phase.FILL)])
    ):
        key = WorkKey(code, phase)
        minutes = draw(HOURS)
        machines = {"excavator": 1} if phase is Phase.DIG and draw(st.booleans()) else {}
        modes = [Mode((n,), minutes * (1 + i / 7), machines) for i, n in enumerate(names)]
        if len(names) > 1 and draw(st.booleans()):
            modes.append(Mode((names[1], names[0]), minutes * 0.6, machines))
        after = ()
        if before is not None:
            share = 0.4 if phase is Phase.SET_FILTERS else 1.0
            after = (After(before, share, draw(st.sampled_from([0.0, 2.0, 24.0]))),)
        opens = draw(st.one_of(st.none(), DAYS))
        found[key] = Work(key, tuple(modes), after, opens=opens)
        before = key
    return found


@settings(max_examples=40, deadline=None, suppress_health_check=list(HealthCheck), derandomize=True)
@given(seasons())
def test_every_plan_obeys_and_is_priced_to_the_cent(season: Season) -> None:
    door = enter(season)
    shop = Shop(door.problem)
    pricer = Pricer(shop)
    cheapest = None
    for rule in RULES.values():
        table = dispatch(shop, rule)
        bill = pricer.bill(table)
        if bill.unplaced == 0:
            bookings = bookings_of(door, shop, table)
            # Each of fifteen terms is rounded once, so the engine's own sum may differ by 15 half cents.
            assert abs(bill.total - lawful_cents(season, bookings)) <= 7.5
            cheapest = min(bill.total, cheapest or bill.total)
    plan = solve(season, effort=EFFORT)
    good(season, plan)
    assert cheapest is None or plan.cost.total_cents <= cheapest + 7.5


@settings(max_examples=25, deadline=None, suppress_health_check=list(HealthCheck), derandomize=True)
@given(seasons(), spans())
def test_repair_obeys_after_a_lost_day(season: Season, lost: DayRange) -> None:
    plan = solve(season, effort=EFFORT)
    same = repair(season, plan)
    good(season, same)
    assert {b.key: b.start for b in same.bookings} == {b.key: b.start for b in plan.bookings}
    rained = replace(season, lost=(*season.lost, LostTime(LostKind.RAIN, lost)))
    good(rained, repair(rained, plan))


@settings(max_examples=20, deadline=None, suppress_health_check=list(HealthCheck), derandomize=True)
@given(seasons())
def test_a_new_job_hurts_no_promise(season: Season) -> None:
    others = {k: w for k, w in season.works.items() if k.job != "J0"}
    before = replace(season, works=others)
    plan = solve(before, effort=EFFORT) if others else None
    rows = plan.bookings if plan else ()
    found = insert(season, rows, "J0")
    good(season, found.plan)
    assert found.finish == max(b.end for b in found.plan.bookings if b.job == "J0")
    for job, known in season.jobs.items():
        ends = [b.end.date() for b in rows if b.job == job]
        if job != "J0" and ends and known.promised is not None:
            now = found.plan.finish(job)
            assert now is not None
            assert now <= max([known.promised, *ends])
