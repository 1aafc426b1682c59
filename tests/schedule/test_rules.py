"""One tiny instance per rule, its optimum reasoned in a comment. Every plan also passes the judge.

`wait_day` prices the end of each job in days, so that the earliest plan is the cheapest one.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import date, datetime, time, timedelta

import pytest

from planner.domain.firm.crews import Crew, Machine, MachineOut
from planner.domain.firm.firm import Firm, Weights
from planner.domain.firm.jobs import DayRange, Gate, GateKind, Job
from planner.domain.firm.lost import LostKind, LostTime
from planner.domain.firm.phases import Phase, WorkKey
from planner.domain.season.plan import Booking, MachineUse, Plan, PlanState
from planner.domain.season.season import After, Mode, Season, Work
from planner.schedule.answers.explain import _Case
from planner.schedule.answers.repair import laid_again
from planner.schedule.door import enter
from planner.schedule.model.decode import pieces
from planner.schedule.model.effort import Effort
from planner.schedule.model.price import Pricer
from planner.schedule.model.shop import Shop
from planner.schedule.search.dispatch import best_dispatch
from planner.schedule.search.early import drawn_early
from planner.schedule.solve import solve
from tests.schedule.judge import good
from tests.schedule.seasons import season as seeded
from tests.schedule.tiny import FREE, at, key, season, work

EFFORT = Effort(steps=500, exact_work=5.0)
SOON = replace(FREE, wait_day=10.0)


def plan(s: Season) -> Plan:
    """The season's plan, judged and priced again by the domain."""
    found = solve(s, effort=EFFORT)
    good(s, found)
    return found


def booked(found: Plan, job: str, phase: Phase = Phase.DIG, part: int = 1) -> Booking:
    return next(b for b in found.bookings if b.key == key(job, phase, part))


def test_work_rolls_over_break_and_night() -> None:
    # 10 h from Monday 07:00: 8 h on Monday, 2 h on Tuesday, so it ends on Tuesday at 09:00.
    found = booked(plan(season(work("P", 10.0), weights=SOON)), "P")
    assert (found.start, found.end) == (at(5, "07:00"), at(6, "09:00"))


def test_work_is_rounded_up_to_slots() -> None:
    # 61 minutes take three half hours.
    assert booked(plan(season(work("P", 61 / 60), weights=SOON)), "P").end == at(5, "08:30")


def test_holiday_is_not_worked() -> None:
    # 10 h from Friday 2 July 2027: 8 h on Friday; Monday 5 July is observed for Independence Day (5 U.S.C.
    # 6103:
    # a Sunday holiday is kept on Monday), so the last 2 h fall on Tuesday 6 July.
    firm = Firm(country="US", weights=SOON)
    s = season(work("P", 10.0), firm=firm, now=datetime(2027, 7, 2, 6), last_day=date(2027, 7, 30))
    assert booked(plan(s), "P").end == datetime(2027, 7, 6, 9, 0)


def test_crew_day_off_is_passed_unworked() -> None:
    # 10 h: 8 h on Monday, Tuesday is off, the last 2 h on Wednesday.
    crew = Crew("A", "lead", days_off=(DayRange(date(2027, 4, 6), date(2027, 4, 6)),))
    assert booked(plan(season(work("P", 10.0), crews=[crew], weights=SOON)), "P").end == at(7, "09:00")


def test_two_jobs_share_a_crew_in_turn() -> None:
    # Two jobs of 8 h and one crew: one ends on Monday, the other on Tuesday; waiting 0 + 1 day at 10 USD.
    found = plan(season(work("P", 8.0), work("Q", 8.0), weights=SOON))
    assert found.state is PlanState.BEST
    assert found.cost.total_cents == 1000


def test_lateness_by_importance() -> None:
    # Both were promised for Monday and only one fits. Q weighs 2: Q first, P one day late at 250 USD.
    jobs = [
        Job("P", "p", promised=date(2027, 4, 5)),
        Job("Q", "q", promised=date(2027, 4, 5), importance=2.0),
    ]
    s = season(work("P", 8.0), work("Q", 8.0), jobs=jobs, weights=replace(FREE, late_day=250.0))
    found = plan(s)
    assert found.state is PlanState.BEST
    assert found.cost.cents["late"] == 25_000
    assert booked(found, "Q").end == at(5, "15:30")


def test_overnight_cure() -> None:
    # Plumbing ends on Monday at 09:00; 24 h of cure; the fill begins on Tuesday at 09:00.
    cured = After(key("P", Phase.PLUMBING), lag_h=24.0)
    s = season(work("P", 2.0, Phase.PLUMBING), work("P", 1.0, Phase.FILL, after=(cured,)), weights=SOON)
    assert booked(plan(s), "P", Phase.FILL).start >= at(6, "09:00")
    assert booked(plan(s), "P", Phase.FILL).end.date() == date(2027, 4, 6)


def test_what_was_sealed_yesterday_opens_at_its_hour() -> None:
    # P was sealed yesterday and is cured today at 10:30: its fill of 4 h begins then and ends at 15:00, over
    # the break of half an hour; Q's dig of 3 h goes first, 7:00 to 10:00. The other way round Q would end
    # tomorrow: a day of waiting at 10 USD.
    fill = replace(work("P", 4.0, Phase.FILL), cured=at(5, "10:30"), cured_why="sealant cures")
    found = plan(season(fill, work("Q", 3.0), weights=SOON))
    assert booked(found, "Q").start == at(5, "07:00")
    assert booked(found, "P", Phase.FILL).start >= at(5, "10:30")
    assert booked(found, "P", Phase.FILL).end.date() == date(2027, 4, 5)
    assert found.cost.total_cents == 0


def test_the_startup_waits_for_water_that_was_opened_yesterday() -> None:
    # P's hose was opened yesterday and has filled the pond today at 11:30: its startup of 3 h begins then and
    # ends at 14:30. Q's dig of 4 h fits before it, 7:00 to 11:00; begun first, the startup would have put Q's
    # end to tomorrow: a day of waiting at 10 USD.
    startup = replace(work("P", 3.0, Phase.FILL), key=WorkKey("P", Phase.FILL, 2))
    startup = replace(startup, cured=at(5, "11:30"), cured_why="the water runs by itself")
    found = plan(season(startup, work("Q", 4.0), weights=SOON))
    began = next(b.start for b in found.bookings if b.key == startup.key)
    assert at(5, "11:30") <= began
    assert booked(found, "Q").start == at(5, "07:00")
    assert found.cost.total_cents == 0


@pytest.mark.parametrize(
    ("saturday", "water"),
    [
        # Clocks go forward on 14 March 2027 (15 U.S.C. 260a: second Sunday of March): 24 h are over at 12:00.
        (date(2027, 3, 13), "12:00"),
        # They go back on 7 November 2027: the cure is over at 10:00; the plan may be stricter, never earlier.
        (date(2027, 11, 6), "11:30"),
        # No change: 24 h from 11:00 end in the break.
        (date(2027, 4, 10), "11:30"),
    ],
)
def test_a_cure_lasts_its_real_hours_over_a_change_of_clocks(saturday: date, water: str) -> None:
    # Every day is worked. The liner is done on Saturday at 11:00; its seam cures 24 h.
    cured = After(key("P", Phase.LINER), lag_h=24.0)
    s = season(
        work("P", 4.0, Phase.LINER),
        work("P", 1.0, Phase.FILL, after=(cured,)),
        firm=Firm(country="", weekdays=frozenset(range(7)), weights=SOON),
        now=datetime.combine(saturday, time(6)),
        last_day=saturday + timedelta(days=14),
    )
    begins = booked(plan(s), "P", Phase.FILL).start
    assert begins == datetime.combine(saturday + timedelta(days=1), time.fromisoformat(water))


def test_clocks_that_nobody_works_by_lengthen_no_cure() -> None:
    # Work ends on a weekday: 24 h later no clock has changed yet. 72 h from a Friday reach over the Sunday.
    def least(lag_h: float) -> int:
        after = After(key("P", Phase.LINER), lag_h=lag_h)
        works = work("P", 4.0, Phase.LINER), work("P", 1.0, Phase.FILL, after=(after,))
        s = season(*works, now=datetime(2027, 3, 1, 6), last_day=date(2027, 4, 30))
        return enter(s).problem.lags[0].least

    assert (least(24.0), least(72.0)) == (48, 146)


def test_filters_start_when_the_first_shelf_is_out() -> None:
    # Dig 8 h by A; after 40 % (3.2 h, so seven slots, 10:30) B may set filters for 2 h, but may not end
    # before the
    # dig does at 15:30.
    shelf = After(key("P"), share=0.4)
    s = season(
        work("P", 8.0),
        work("P", 2.0, Phase.SET_FILTERS, crews=("B",), after=(shelf,)),
        crews=["A", "B"],
        weights=replace(SOON, open_day=1.0),
    )
    found = plan(s)
    filters = booked(found, "P", Phase.SET_FILTERS)
    assert filters.end == at(5, "15:30")
    assert found.finish("P") == date(2027, 4, 5)


def test_excavator_is_held_over_night() -> None:
    # Two digs of 10 h by two crews with one excavator: the second begins when the first has ended, on
    # Tuesday at
    # 09:00, and ends 10 h later, on Wednesday at 11:00.
    machine = Machine("excavator", "mini excavator")
    digs = [work(j, 10.0, crews=(c,), machines={"excavator": 1}) for j, c in (("P", "A"), ("Q", "B"))]
    found = plan(season(*digs, crews=["A", "B"], machines=[machine], weights=SOON))
    first, second = sorted(found.bookings, key=lambda b: b.start)
    assert first.end == at(6, "09:00")
    assert second.start >= first.end
    assert second.end == at(7, "11:00")


def test_moving_a_machine_takes_clock_time() -> None:
    # One hour to move it: the second dig of 2 h begins an hour after the first has ended at 09:00.
    machine = Machine("excavator", "mini excavator", move_h=1.0)
    digs = [work(j, 2.0, crews=(c,), machines={"excavator": 1}) for j, c in (("P", "A"), ("Q", "B"))]
    found = plan(season(*digs, crews=["A", "B"], machines=[machine], weights=SOON))
    first, second = sorted(found.bookings, key=lambda b: b.start)
    assert (second.start - first.end).total_seconds() >= 3600


def test_two_excavators_serve_two_crews() -> None:
    machine = Machine("excavator", "mini excavator", units=2)
    digs = [work(j, 8.0, crews=(c,), machines={"excavator": 1}) for j, c in (("P", "A"), ("Q", "B"))]
    found = plan(season(*digs, crews=["A", "B"], machines=[machine], weights=SOON))
    assert {b.end for b in found.bookings} == {at(5, "15:30")}
    assert {b.machines for b in found.bookings} == {
        (MachineUse("excavator", 1),),
        (MachineUse("excavator", 2),),
    }


def test_broken_excavator() -> None:
    # Out on Monday and Tuesday: the dig of 8 h is on Wednesday.
    out = (MachineOut(DayRange(date(2027, 4, 5), date(2027, 4, 6))),)
    machine = Machine("excavator", "mini excavator", out=out)
    s = season(work("P", 8.0, machines={"excavator": 1}), machines=[machine], weights=SOON)
    assert booked(plan(s), "P").start == at(7, "07:00")


def test_rain_closes_a_region() -> None:
    # Rain in the north on Monday: the northern job is on Tuesday, the southern one on Monday.
    jobs = [Job("N", "n", region="north"), Job("S", "s", region="south")]
    rain = (LostTime(LostKind.RAIN, DayRange(date(2027, 4, 5), date(2027, 4, 5)), "north"),)
    found = plan(season(work("N", 4.0), work("S", 4.0), jobs=jobs, lost=rain, weights=SOON))
    assert booked(found, "S").start.date() == date(2027, 4, 5)
    assert booked(found, "N").start.date() == date(2027, 4, 6)


def test_customer_blackout() -> None:
    # 10 h; the site is closed on Tuesday: 8 h on Monday, 2 h on Wednesday.
    job = Job("P", "p", blackouts=(DayRange(date(2027, 4, 6), date(2027, 4, 6)),))
    assert booked(plan(season(work("P", 10.0), jobs=[job], weights=SOON)), "P").end == at(7, "09:00")


def test_gate_and_late_delivery() -> None:
    # The gate opens on Wednesday, the delivery is late up to Thursday: Friday.
    late = (LostTime(LostKind.DELIVERY, DayRange(date(2027, 4, 7), date(2027, 4, 8)), "P"),)
    s = season(work("P", 2.0, opens=date(2027, 4, 7)), lost=late, weights=SOON)
    assert booked(plan(s), "P").start == at(9, "07:00")


def test_skill_decides_who_leads() -> None:
    # B alone has the skill although A would be quicker.
    dig = work("P", {"A": 2.0, "B": 4.0}, skills=frozenset({"excavator"}))
    crews = [Crew("A", "a"), Crew("B", "b", skills=frozenset({"excavator"}))]
    assert booked(plan(season(dig, crews=crews, weights=SOON)), "P").crews == ("B",)


def test_two_crews_together_only_when_both_are_there() -> None:
    # A and B together need 10 h; B is off on Tuesday: 8 h on Monday, 2 h on Wednesday. Alone A needs 30 h.
    dig = Work(key("P"), (Mode(("A",), 1800.0), Mode(("A", "B"), 600.0)))
    crews = [Crew("A", "a"), Crew("B", "b", days_off=(DayRange(date(2027, 4, 6), date(2027, 4, 6)),))]
    found = booked(plan(season(dig, crews=crews, weights=SOON)), "P")
    assert (found.crews, found.end) == (("A", "B"), at(7, "09:00"))


def test_driving_between_sites_takes_paid_time() -> None:
    # Sites 0.25 deg of latitude apart: 17.27 mi x 1.3 / 35 mph = 38.5 min, so two slots (haversine, 69.09
    # mi a
    # degree). P ends at 09:00, Q begins at 10:00 at the soonest, or the other way round.
    jobs = [
        Job("P", "p", latitude_deg=41.0, longitude_deg=-74.0),
        Job("Q", "q", latitude_deg=41.25, longitude_deg=-74.0),
    ]
    found = plan(season(work("P", 2.0), work("Q", 2.0), jobs=jobs, weights=SOON))
    first, second = sorted(found.bookings, key=lambda b: b.start)
    assert (first.end, second.start) == (at(5, "09:00"), at(5, "10:00"))


def test_no_drive_is_counted_over_night() -> None:
    # P fills Monday; Q begins on Tuesday at 07:00 although it is far away.
    jobs = [
        Job("P", "p", latitude_deg=41.0, longitude_deg=-74.0),
        Job("Q", "q", latitude_deg=42.0, longitude_deg=-74.0),
    ]
    s = season(work("P", 8.0), work("Q", 8.0, opens=date(2027, 4, 6)), jobs=jobs, weights=SOON)
    assert booked(plan(s), "Q").start == at(6, "07:00")


def test_pins_are_kept() -> None:
    # P is pinned to B on Wednesday at 11:30; Q is free.
    p = replace(work("P", 2.0, crews=("A", "B")), only_crew="B", only_start=at(7, "11:30"))
    found = plan(season(p, work("Q", 2.0), crews=["A", "B"], weights=SOON))
    assert booked(found, "P").start == at(7, "11:30")
    assert booked(found, "P").crews == ("B",)


def test_fixed_work_stays_and_is_worked_around() -> None:
    # P is fixed from Monday 07:00 to Tuesday 11:00; Q of 2 h follows on Tuesday at 11:30.
    stays = Booking(key("P"), ("A",), at(5, "07:00"), at(6, "11:00"), 12.0, begun=True)
    p = replace(work("P", 12.0), fixed=stays)
    found = plan(season(p, work("Q", 2.0), weights=SOON))
    assert booked(found, "P") == stays
    assert booked(found, "Q").start == at(6, "11:30")


def test_nothing_before_now() -> None:
    # Now is Monday 09:10: the next slot is 09:30.
    s = season(work("P", 1.0), now=at(5, "09:10"), weights=SOON)
    assert booked(plan(s), "P").start == at(5, "09:30")


def test_hand_over_is_paid_only_when_it_pays() -> None:
    # B digs in 8 h, A in 24 h; only A may plumb. By hand-over: 9 h, ends on Tuesday: 100 + 1 x 10. Without:
    # A alone
    # 25 h, ends on Thursday: 3 x 10. At 100 USD a hand-over A does both; at 5 USD B digs (15 USD in all).
    works = (
        work("P", {"A": 24.0, "B": 8.0}),
        work("P", 1.0, Phase.PLUMBING, after=(After(key("P")),)),
    )
    dear = plan(season(*works, crews=["A", "B"], weights=replace(SOON, crew_change=100.0)))
    cheap = plan(season(*works, crews=["A", "B"], weights=replace(SOON, crew_change=5.0)))
    assert (dear.cost.total_cents, cheap.cost.total_cents) == (3000, 1500)


def test_open_garden_is_priced() -> None:
    # The liner's stone comes on Friday. A dig of 2 h right away would leave the garden open for four days; on
    # Friday both fit: 0 open days.
    works = (work("P", 2.0), work("P", 2.0, Phase.ROCK, after=(After(key("P")),), opens=date(2027, 4, 9)))
    found = plan(season(*works, weights=replace(FREE, open_day=25.0)))
    assert found.cost.total_cents == 0
    assert booked(found, "P").start.date() == date(2027, 4, 9)


def test_no_leaving_for_another_job_when_coming_back_costs_more() -> None:
    # P has 4 h, a 24 h cure, 4 h. Q has 4 h. Doing Q in between saves Q one day (10) and costs a come-back
    # (200).
    cured = After(key("P"), lag_h=24.0)
    works = (work("P", 4.0), work("P", 4.0, Phase.FILL, after=(cured,)), work("Q", 4.0))
    dear = plan(season(*works, weights=replace(SOON, leave_and_return=200.0)))
    assert dear.cost.cents["leave and return"] == 0


def test_published_day_is_kept() -> None:
    # P was published for Wednesday with A. Starting on Monday would save 20 USD of waiting and cost 400.
    told = Booking(key("P"), ("A",), at(7, "07:00"), at(7, "09:00"), 2.0)
    s = season(work("P", 2.0), published={key("P"): told}, weights=replace(SOON, moved_near=400.0))
    assert booked(plan(s), "P").start.date() == date(2027, 4, 7)


def test_season_end_is_kept() -> None:
    # 24 h of work and three days: it just fits.
    s = season(work("P", 24.0), last_day=date(2027, 4, 7), weights=SOON)
    assert booked(plan(s), "P").end == at(7, "15:30")


def test_half_hour_grid_from_midnight() -> None:
    # A shift from 06:30 lies on the grid.
    firm = Firm(country="", shift_start=time(6, 30), weights=SOON)
    assert booked(plan(season(work("P", 1.0), firm=firm)), "P").start == at(5, "06:30")


@pytest.mark.parametrize("seed", [1, 7])
def test_same_seed_same_plan(seed: int) -> None:
    works = [work(f"J{i}", 3.0 + i, crews=("A", "B")) for i in range(6)]
    s = season(*works, crews=["A", "B"], weights=replace(SOON, travel_mile=2.5, site_day=60.0))
    assert solve(s, effort=EFFORT, seed=seed) == solve(s, effort=EFFORT, seed=seed)


def test_early_wins_ties() -> None:
    """Nothing holds P and nothing is cheaper later: it is done on Monday, not on its promise's last day. Of
    two jobs for one crew the first is done at once and the second right after it, whatever the seed."""
    jobs = [Job(j, j, promised=date(2027, 4, 30), latitude_deg=41.0, longitude_deg=-74.0) for j in "PQ"]
    weights = replace(FREE, late_day=250, site_day=60, open_day=25)
    for seed in range(1, 6):
        s = season(work("P", 8.0), work("Q", 8.0), jobs=jobs, weights=weights)
        plan = solve(s, effort=EFFORT, seed=seed)
        assert sorted(b.end for b in plan.bookings) == [at(5, "15:30"), at(6, "15:30")]


def test_early_never_costs_more_and_leaves_what_was_told() -> None:

    # Two idle weeks before P; it was told for the 20th, so it stays; untold Q comes to the first morning.
    late = {
        j: Booking(key(j), ("A",), at(d, "07:00"), at(d, "15:30"), 8.0) for j, d in (("P", 20), ("Q", 21))
    }
    s = season(work("P", 8.0), work("Q", 8.0), weights=Weights(), published={key("P"): late["P"]})
    door = enter(s)
    shop = Shop(door.problem)
    early = drawn_early(shop, Pricer(shop), laid_again(shop, door.placed(late.values())), pieces(shop))
    assert [door.moment(early.start[shop.number[k]]) for k in ("P|dig|1", "Q|dig|1")] == [
        at(20, "07:00"),
        at(5, "07:00"),
    ]
    for seed in range(3):
        s = seeded(8, 2, 0.7, seed=seed, shocks=True)
        shop = Shop(enter(s).problem)
        pricer, parts = Pricer(shop), pieces(shop)
        table, bill, _ = best_dispatch(shop, pricer)
        if bill.unplaced:
            continue
        early = drawn_early(shop, pricer, table, parts)
        assert pricer.bill(early).total <= bill.total + 1e-4
        for part in parts:
            assert max(early.end[t] for t in part) <= max(table.end[t] for t in part)


def test_no_hole_lies_open_over_a_weekend_for_a_few_dollars() -> None:
    # Thursday 8 April, one crew, three days of work: P digs and lines, Q sets rock. P first: lined on Friday,
    # Q on Monday, waiting 1 + 4 days at 10 USD. Q first: waiting 0 + 4 days, but P's hole lies open from
    # Friday to Monday, over a weekend at 80 USD. So P first, for 50 USD; without that price Q first, for 40.
    works = (
        work("P", 8.0),
        work("P", 8.0, Phase.LINER, after=(After(key("P")),)),
        work("Q", 8.0, Phase.ROCK),
    )
    for rest, first, cents in ((80.0, "P", 5000), (0.0, "Q", 4000)):
        found = plan(season(*works, weights=replace(FREE, wait_day=10.0, hole_rest=rest), now=at(8, "06:00")))
        assert min(found.bookings, key=lambda b: b.start).job == first
        assert found.cost.total_cents == cents


def test_a_call_keeps_a_far_day_as_it_was_told() -> None:
    # P was told for Wednesday 21 April, Q is new, one crew. Both on Monday and Tuesday: one day of waiting at
    # 10 USD and 40 for the far move. P left alone: 16 days of waiting. With a call of 120 the move comes to
    # 170 in all, and P stays for 160.
    told = {key("P"): Booking(key("P"), ("A",), at(21, "07:00"), at(21, "15:30"), 8.0)}
    for call, days, cents in ((0.0, {5, 6}, 5000), (120.0, {21}, 16000)):
        dear = replace(FREE, wait_day=10.0, moved_near=400.0, moved_far=40.0, call=call)
        s = season(work("P", 8.0), work("Q", 8.0), weights=dear, published=told)
        found = plan(replace(s, told={"P": (date(2027, 4, 21), date(2027, 4, 21))}))
        assert booked(found, "P").start.day in days
        assert found.cost.total_cents == cents
        # a client who was not told his day yet needs no call, whatever it costs
        assert plan(s).cost.total_cents == 5000


def test_rock_begins_on_the_day_of_the_crane() -> None:
    # Monday 5 April, one crew; P 16 hours of rock, its crane on Wednesday the 7th, Q 8 hours that open on
    # that day too. Waiting costs 10 USD a day. Q first: Q waits 2 days, P until Friday, 4: 60, and the crane
    # comes for nothing. P first: 3 + 4 days, 70. So P first as soon as a lost crane costs more than 10.
    crane = Gate(GateKind.CRANE, date(2027, 4, 7), Phase.ROCK)
    works = (work("P", 16.0, Phase.ROCK, opens=crane.opens), work("Q", 8.0, opens=crane.opens))
    jobs = [Job("P", "client P", latitude_deg=41.0, longitude_deg=-74.0, gates=(crane,))]
    for price, day, cents in ((300.0, 7, 7000), (4.0, 8, 6400), (0.0, 8, 6000)):
        dear = replace(FREE, wait_day=10.0, appointment=price)
        found = plan(season(*works, jobs=jobs, weights=dear))
        assert booked(found, "P", Phase.ROCK).start.day == day
        assert found.cost.total_cents == cents
        assert found.cost.cents["appointments"] == (price * 100 if day > 7 else 0)
    # The crane was there: nothing is left to keep to.
    gone = [replace(jobs[0], gates=(replace(crane, met=True),))]
    assert plan(season(*works, jobs=gone, weights=replace(FREE, wait_day=10.0))).cost.total_cents == 6000


def test_no_work_lies_begun_over_a_weekend_for_a_few_dollars() -> None:
    # Thursday 8 April, one crew; P 12 hours, Q 8, of rock. Q first: it ends on Thursday and P on Monday,
    # waiting 0 + 4 days at 10 USD, but P lies begun over the weekend. P first ends on Friday; Q, kept until
    # Monday, lies over no weekend: 1 + 4 days. So P first for 50 USD, and Q first for 40 where begun work is
    # free.
    works = (work("P", 12.0, Phase.ROCK), work("Q", 8.0, Phase.ROCK))
    for rest, first, cents in ((80.0, "P", 5000), (0.0, "Q", 4000)):
        dear = replace(FREE, wait_day=10.0, begun_rest=rest)
        found = plan(season(*works, weights=dear, now=at(8, "06:00")))
        assert min(found.bookings, key=lambda b: b.start).job == first
        assert found.cost.total_cents == cents
        assert found.cost.cents["begun over days off"] == 0


def test_a_half_hour_goes_beside_other_work_on_its_site() -> None:
    # One crew. P: 4 hours of rock on Monday, plumbing of half an hour 24 hours later, and 2 hours of fill at
    # any time; Q's 6 hours open on Tuesday. With the fill on Monday both end on Tuesday, waiting 1 + 1 days
    # at 10 USD, and the plumbing is a crumb. With the fill beside the plumbing Tuesday would need 8.5 hours,
    # so one of them ends on Wednesday: 1 + 2 days and no crumb (Q after both). At 5 USD the crumb is paid, at
    # 50 not.
    works = (
        work("P", 4.0, Phase.ROCK),
        work("P", 0.5, Phase.PLUMBING, after=(After(key("P", Phase.ROCK), lag_h=24.0),)),
        work("P", 2.0, Phase.FILL),
        work("Q", 6.0, opens=date(2027, 4, 6)),
    )
    for price, cents, crumbs in ((5.0, 2500, 1), (50.0, 3000, 0)):
        found = plan(season(*works, weights=replace(FREE, wait_day=10.0, crumb=price)))
        assert found.cost.total_cents == cents
        assert found.cost.cents["crumbs"] == crumbs * round(price * 100)


def three() -> Crew:
    return Crew("A", "lead A", size=3)


def test_a_crew_works_a_full_week_rather_than_two_half_empty_ones() -> None:
    # Thursday 8 April, one crew of three, two days of work; Q was told for Monday 12. P on Thursday and Q on
    # Monday leave 8 + 32 hours idle; both next week 40 - 16 = 24 hours, times three hands; both this week
    # none, but Q moves, for 40 USD. At 0.20 USD an hour and hand next week is cheapest (14.40), at 1 USD this
    # one (40).
    told = {key("Q"): Booking(key("Q"), ("A",), at(12, "07:00"), at(12, "15:30"), 8.0)}
    for price, cents in ((0.2, 1440), (1.0, 4000)):
        dear = replace(FREE, moved_near=40.0, moved_far=40.0, idle_hour=price)
        works = (work("P", 8.0), work("Q", 8.0))
        found = plan(season(*works, weights=dear, published=told, now=at(8, "06:00"), crews=[three()]))
        assert found.cost.total_cents == cents


def test_nothing_is_begun_for_half_an_hour_unless_that_ends_it() -> None:
    # One crew. P, 7.5 hours, is promised for Monday and so comes first, until 15:00; half an hour is left.
    # Q's 4 hours are not begun in it: Tuesday at 07:00. Q's half hour is begun, which ends it; and so is what
    # the office pinned there.
    jobs = (Job("P", "P", latitude_deg=41.0, longitude_deg=-74.0, promised=date(2027, 4, 5)),)
    monday, tuesday = at(5, "15:00"), at(6, "07:00")
    for hours, pinned, start in ((4.0, None, tuesday), (0.5, None, monday), (4.0, monday, monday)):
        q = replace(work("Q", hours), only_start=pinned)
        s = season(work("P", 7.5), q, weights=replace(SOON, late_day=250.0), jobs=jobs)
        assert booked(plan(s), "Q").start == start


def test_why_tells_what_was_left_of_the_day() -> None:
    # P is rock of 3.5 hours until 10:30 on Thursday, and its plumbing follows after 4.5 hours: from 15:00 on.
    # That is half an hour of Thursday, so the plumbing begins on Friday.
    after = (After(key("P", Phase.ROCK), lag_h=4.5),)
    s = season(work("P", 3.5, Phase.ROCK), work("P", 2.0, Phase.PLUMBING, after=after), now=at(8, "06:00"))
    found = plan(s)
    assert booked(found, "P", Phase.PLUMBING).start == at(9, "07:00")
    hold = _Case(s, found.bookings).hold(key("P", Phase.PLUMBING))
    assert "not begun for the last 30 min of Thu Apr 8" in hold.text
    assert hold.behind == key("P", Phase.ROCK)
