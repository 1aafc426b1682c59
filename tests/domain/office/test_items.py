"""The office's list: due dates reckoned by hand on a calendar, keys that hold, ticks and snoozes."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, datetime, time, timedelta

import pytest

from planner.domain.firm.crews import Crew, Machine
from planner.domain.firm.firm import Firm
from planner.domain.firm.jobs import Gate, GateKind, Job, Line
from planner.domain.firm.phases import Phase, WorkKey
from planner.domain.firm.records import Hold, OfficeMark
from planner.domain.office.items import Desk, Kind, OfficeItem
from planner.domain.office.list import office_list, to_do
from planner.domain.office.people import cure_items
from planner.domain.season.plan import Booking, Cost, MachineUse, Plan, PlanState, Told
from planner.domain.season.season import After, Mode, Season, Work
from planner.domain.standing.locate_gates import with_locate_gate
from planner.domain.standing.locate_standing import (
    LocateState,
    locate_gate,
    locate_standing,
)
from planner.domain.standing.told import told_days
from planner.store.shipped.leads import lead_times
from planner.store.shipped.locates import locate_rule

TODAY = date(2027, 5, 3)  # a Monday; Memorial Day is Monday 31 May


def at(month: int, day: int, hour: float = 7) -> datetime:
    return datetime(2027, month, day) + timedelta(hours=hour)


def booking(phase: Phase, start: datetime, end: datetime, part: int = 1, **more: object) -> Booking:
    return Booking(WorkKey("P-1", phase, part), ("Heron",), start, end, 8.0, **more)  # type: ignore[arg-type]


def desk(
    *rows: Booking,
    job: Job | None = None,
    after: dict[WorkKey, After] | None = None,
    told: Told | None = None,
    **more: object,
) -> Desk:
    """told: what clients know, where a plan is published."""
    season = Season(
        firm=Firm(state="OH"),
        jobs={"P-1": job or Job("P-1", "Mrs Reed")},
        crews={"Heron": Crew("Heron", "Ada")},
        machines={
            "excavator": Machine("excavator", "mini excavator"),
            "skid": Machine("skid", "skid steer", rented=True),
        },
        works={
            b.key: Work(
                b.key,
                (Mode(b.crews, 480.0),),
                after=((after or {})[b.key],) if b.key in (after or {}) else (),
            )
            for b in rows
        },
        now=at(5, 3, 6),
        last_day=date(2027, 11, 19),
        published={} if told is None else {b.key: b for b in rows},
        told=told or {},
    )
    facts = {
        "season": season,
        "plan": Plan(rows, Cost(), PlanState.FEASIBLE, at(5, 3)),
        "rule": locate_rule("OH"),
        "leads": lead_times(),
        "now": datetime.combine(TODAY, time(7)),
        "marks": {},
    }
    return Desk(**(facts | more))  # type: ignore[arg-type]


def only(desk: Desk, kind: Kind) -> OfficeItem:
    (item,) = [i for i in office_list(desk) if i.kind is kind]
    return item


DIG = booking(Phase.DIG, at(6, 2), at(6, 3, 15.5))  # Wednesday after Memorial Day


def test_locate_is_asked_two_working_days_before() -> None:
    # Ohio, asked Thursday 27 May: Friday is day 1, three days off, Tuesday 1 June is day 2; dig on Wednesday.
    item = only(desk(DIG), Kind.LOCATE)
    assert item.due == date(2027, 5, 27)
    assert item.key == "locate:P-1"
    assert "one-call center" in item.words
    assert item.pressing == ""


def test_a_dig_that_comes_too_soon_is_pressing() -> None:
    item = only(desk(booking(Phase.DIG, at(5, 4), at(5, 4, 15.5))), Kind.LOCATE)
    assert item.due < TODAY
    assert item.pressing == "too late for Tue May 4: asked today it clears Wed May 5 23:59"


def ticked(key: str, when: datetime) -> dict[str, OfficeMark]:
    return {key: OfficeMark(key, "done", None, "office", when)}


def test_a_ticked_locate_is_asked_anew_when_the_dig_slips_past_its_window() -> None:
    # asked Monday 3 May: covers a start within 16 calendar days, up to Wednesday 19 May; dig on 2 June.
    marks = ticked("locate:P-1", at(5, 3, 9))
    item = only(desk(DIG, marks=marks), Kind.LOCATE)
    assert item.key == "relocate:P-1:2027-05-03"
    assert "covers a start up to Wed May 19" in item.words
    # asked in time, nothing is left to do
    in_time = ticked("locate:P-1", at(5, 26, 9))
    assert [i for i in office_list(desk(DIG, marks=in_time)) if i.kind is Kind.LOCATE] == []


def test_a_ticket_is_renewed_before_it_dies() -> None:
    # Alabama: dig starts Tue May 4 (day 1), day 20 is Tue 1 June (Memorial Day off), renewed by 27 May.
    long_dig = booking(Phase.DIG, at(5, 4), at(6, 4, 15.5))
    marks = ticked("locate:P-1", at(4, 29, 9))
    item = only(desk(long_dig, marks=marks, rule=locate_rule("AL")), Kind.RENEW)
    assert item.due == date(2027, 5, 27)
    assert "dies Tue Jun 1 23:59" in item.words


def test_orders_count_back_working_days_over_memorial_day() -> None:
    job = Job(
        "P-1",
        "Mrs Reed",
        lines=(Line("liner_ft2", 900), Line("underlayment_ft2", 900), Line("filter_boxes", 2)),
    )
    liner = booking(Phase.LINER, at(6, 9), at(6, 9, 15.5))
    item = only(desk(liner, job=job), Kind.ORDER)
    # thirteen working days before Wed 9 June: 8, 7, 4, 3, 2, 1 June, 28, 27, 26, 25, 24, 21, 20 May
    assert item.due == date(2027, 5, 20)
    assert "net, no design is kept: liner 900 ft2; underlayment 900 ft2" in item.words
    assert item.pressing == ""
    # delivered: no order is left
    met = replace(job, gates=(Gate(GateKind.MATERIAL, TODAY, Phase.LINER, met=True),))
    assert [i for i in office_list(desk(liner, job=met)) if i.kind is Kind.ORDER] == []


def test_an_order_past_its_lead_time_is_pressing() -> None:
    job = Job("P-1", "Mrs Reed", lines=(Line("liner_ft2", 900),))
    item = only(desk(booking(Phase.LINER, at(5, 7), at(5, 7, 15.5)), job=job), Kind.ORDER)
    assert "no longer left" in item.pressing


def test_outstanding_deposit_and_permit() -> None:
    gates = (
        Gate(GateKind.DEPOSIT, date(2027, 4, 30), note="half"),
        Gate(GateKind.PERMIT, date(2027, 5, 20), met=True),
    )
    items = office_list(desk(DIG, job=Job("P-1", "Mrs Reed", gates=gates)))
    assert [(i.kind, i.pressing) for i in items if i.kind in {Kind.DEPOSIT, Kind.PERMIT}] == [
        (Kind.DEPOSIT, "expected by now")
    ]


def test_a_rented_machine_is_booked_and_sent_back_once_a_stretch_of_use() -> None:
    skid = (MachineUse("skid", 1),)
    rows = (
        booking(Phase.DIG, at(6, 2), at(6, 3, 15.5), machines=skid),
        booking(Phase.ROCK, at(6, 7), at(6, 8, 15.5), machines=skid),
        booking(Phase.FILL, at(6, 21), at(6, 21, 15.5), machines=skid),
    )
    items = [i for i in office_list(desk(*rows)) if i.kind in {Kind.RENT, Kind.RETURN}]
    assert [(i.kind, i.due) for i in items] == [
        (Kind.RENT, date(2027, 5, 25)),  # five working days before 2 June, Memorial Day off
        (Kind.RETURN, date(2027, 6, 8)),
        (Kind.RENT, date(2027, 6, 11)),  # before 21 June, Juneteenth observed on Friday 18 June
        (Kind.RETURN, date(2027, 6, 21)),
    ]


def published_on(desk: Desk, when: datetime) -> Desk:
    return replace(desk, plan=replace(desk.plan, published_at=when))


def test_a_call_belongs_to_the_day_of_publishing_with_all_that_changed() -> None:
    told = {"P-1": (date(2027, 6, 1), date(2027, 6, 4))}
    moved = published_on(desk(DIG, told=told), at(5, 3, 15))
    item = only(moved, Kind.CALL)
    assert item.words.startswith("call Mrs Reed (P-1): we start Wed Jun 2 instead of Tue Jun 1; ")
    assert item.words.endswith("; water in Thu Jun 3 instead of Fri Jun 4")
    assert (item.key, item.due) == ("call:P-1:2027-06-02:2027-06-03", date(2027, 5, 3))
    assert to_do(office_list(moved), TODAY) and item in to_do(office_list(moved), TODAY)
    on_wednesday = published_on(desk(DIG, told=told, now=at(5, 5, 7)), at(5, 3, 15))
    assert only(on_wednesday, Kind.CALL).due == date(2027, 5, 3), (
        "the day of publishing, not the day of looking"
    )
    rows = (booking(Phase.DIG, at(6, 1), at(6, 4, 15.5)),)
    plan = Plan(rows, Cost(), PlanState.FEASIBLE, at(5, 3), published_at=at(5, 18))
    assert told_days(plan, {}, 14) == told
    marks = ticked(item.key, at(5, 10))
    assert told_days(plan, marks, 14)["P-1"] == (date(2027, 6, 2), date(2027, 6, 3))
    again = [
        i for i in office_list(desk(DIG, told=told_days(plan, marks, 14), marks=marks)) if i.kind is Kind.CALL
    ]
    assert again == []
    # ticks from before, with one day in their key, still count
    old = ticked("call:P-1:2027-06-02", at(5, 10)) | ticked("late:P-1:2027-06-03", at(5, 11))
    assert told_days(plan, old, 14)["P-1"] == (date(2027, 6, 2), date(2027, 6, 3))


def test_a_customer_is_called_when_his_first_day_is_near_and_was_not_told() -> None:
    # fourteen days before Wednesday 2 June is Wednesday 19 May; a plan of Monday 3 May tells nothing of June
    plan = Plan((DIG,), Cost(), PlanState.FEASIBLE, at(5, 3), published_at=at(5, 3))
    assert told_days(plan, {}, 14) == {}
    assert told_days(plan, {}, 30) == {"P-1": (date(2027, 6, 2), date(2027, 6, 3))}

    def calls(day: int) -> list[tuple[date, str]]:
        found = published_on(desk(DIG, told={}), at(5, 3, 15))
        found = replace(found, season=replace(found.season, now=at(5, day, 6)))
        return [(i.due, i.words) for i in office_list(found) if i.kind is Kind.CALL]

    assert calls(18) == []
    words = "call Mrs Reed (P-1): we start Wed Jun 2; water in Thu Jun 3"
    assert calls(19) == calls(21) == [(date(2027, 5, 19), words)]


def test_a_customer_who_was_not_told_hears_that_begun_work_ends_late() -> None:
    job = Job("P-1", "Mrs Reed", promised=date(2027, 6, 2))
    found = desk(DIG, job=job, told={})
    begun = replace(found.season, now=at(6, 2, 6), done=(booking(Phase.DIG, at(6, 1), at(6, 1, 15)),))
    item = only(replace(found, season=begun), Kind.CALL)
    assert item.words == "call Mrs Reed (P-1): water in Thu Jun 3, promised Wed Jun 2"


def test_a_missed_promise_is_told() -> None:
    job = Job("P-1", "Mrs Reed", promised=date(2027, 6, 2))
    told = {"P-1": (date(2027, 6, 2), date(2027, 6, 2))}
    item = only(desk(DIG, job=job, told=told), Kind.CALL)
    assert item.words == "call Mrs Reed (P-1): water in Thu Jun 3, promised Wed Jun 2"


def test_water_overnight_and_cure_over_the_weekend() -> None:
    plumbing = booking(Phase.PLUMBING, at(5, 6), at(5, 7, 12))  # ends Friday noon
    first = booking(Phase.FILL, at(5, 10), at(5, 10, 9))
    second = booking(Phase.FILL, at(5, 11), at(5, 11, 9), part=2)
    after = {
        first.key: After(plumbing.key, lag_h=24, why="sealant cures"),
        second.key: After(first.key, lag_h=9.0, why="the water runs by itself"),
    }
    items = {i.kind: i for i in office_list(desk(plumbing, first, second, after=after))}
    assert "from Mon May 10 9:00 to about Mon May 10 18:00" in items[Kind.OVERNIGHT].words
    assert items[Kind.CURE].due == date(2027, 5, 7)
    assert "ends Sat May 8 12:00, a day off (sealant cures)" in items[Kind.CURE].words
    sealed = replace(plumbing, start=datetime(2027, 3, 12, 8), end=datetime(2027, 3, 13, 12))
    filled = replace(first, start=datetime(2027, 3, 15, 8), end=datetime(2027, 3, 15, 12))
    over_the_change = next(cure_items(desk(sealed, filled, after={first.key: after[first.key]})))
    assert "ends Sun Mar 14 13:00" in over_the_change.words  # 24 h, one of them skipped by the clocks
    # a fill that ends within the shift is nobody's night
    after[second.key] = After(first.key, lag_h=3.0)
    kinds = {i.kind for i in office_list(desk(plumbing, first, second, after=after))}
    assert Kind.OVERNIGHT not in kinds


@pytest.mark.parametrize("ends", [at(5, 6, 12), at(5, 7, 12)])
def test_a_cure_is_told_when_it_ends_on_a_day_off_before_work_that_is_booked(ends: datetime) -> None:
    """24 hours after Thursday noon is Friday, a working day: nothing to tell; after Friday noon it is
    Saturday. Work that is in no plan has no day to go on at."""
    plumbing, fill = booking(Phase.PLUMBING, at(5, 6), ends), booking(Phase.FILL, at(5, 10), at(5, 10, 12))
    found = desk(plumbing, fill, after={fill.key: After(plumbing.key, lag_h=24, why="sealant cures")})
    told = list(cure_items(found))
    assert len(told) == (1 if ends.day == 7 else 0)
    unplanned = replace(found, plan=replace(found.plan, bookings=(plumbing,)))
    assert list(cure_items(unplanned)) == []


def test_holds_snoozes_and_what_is_due() -> None:
    hold = Hold("P-9", date(2027, 5, 7), finish=date(2027, 6, 30))
    snoozed = {"hold:P-9:2027-05-07": OfficeMark("hold:P-9:2027-05-07", "snoozed", date(2027, 5, 5))}
    items = office_list(desk(DIG, holds=[hold], marks=snoozed))
    assert {i.state for i in items if i.kind is Kind.HOLD} == {"snoozed"}
    assert to_do(items, date(2027, 5, 10)) == []
    later = desk(DIG, holds=[hold], marks=snoozed, now=at(5, 5))
    assert [i.kind for i in to_do(office_list(later), date(2027, 5, 10))] == [Kind.HOLD]


def test_done_work_asks_for_nothing() -> None:
    base = desk(DIG)
    idle = replace(base, season=replace(base.season, works={}))
    assert office_list(idle) == []


def test_a_job_that_differs_from_its_design_is_due_today() -> None:
    item = only(desk(parted={"P-1": "depth 30 in, design 24 in", "GONE": "x"}), Kind.DESIGN)
    assert (item.due, item.job, item.words) == (TODAY, "P-1", "depth 30 in, design 24 in")


def two_ticks(asked: datetime, cleared: datetime | None = None) -> dict[str, OfficeMark]:
    marks = ticked("locate:P-1", asked)
    return marks | (ticked(f"cleared:P-1:{asked.date()}", cleared) if cleared else {})


def test_asked_and_cleared_are_two_ticks_with_their_own_words() -> None:
    # Ohio, asked Wednesday 26 May: Thursday and Friday are the two working days; the dig is on 2 June.
    item = only(desk(DIG, marks=two_ticks(at(5, 26, 9))), Kind.CLEARED)
    assert (item.key, item.due) == ("cleared:P-1:2027-05-26", date(2027, 5, 28))
    assert "every owner's answer" in item.words and "clear Fri May 28 23:59" in item.words
    done = desk(DIG, marks=two_ticks(at(5, 26, 9), at(6, 1)))
    assert [i for i in office_list(done) if i.kind in {Kind.LOCATE, Kind.CLEARED, Kind.RENEW}] == []


def test_a_dig_that_slips_after_it_was_cleared_asks_again() -> None:
    # asked 6 April, cleared, the dig slips five weeks: Ohio's 16 calendar days end on 22 April.
    item = only(desk(DIG, marks=two_ticks(at(4, 6, 9), at(4, 9))), Kind.LOCATE)
    assert item.key == "relocate:P-1:2027-04-06"
    assert "covers a start up to Thu Apr 22" in item.words
    # the new request is not cleared by the old answers, nor by a gate that was met for it
    marks = two_ticks(at(4, 6, 9), at(4, 9)) | ticked("relocate:P-1:2027-04-06", at(5, 26, 9))
    met = Job("P-1", "Mrs Reed", gates=(Gate(GateKind.LOCATE, date(2027, 4, 9), met=True),))
    assert only(desk(DIG, job=met, marks=marks), Kind.CLEARED).key == "cleared:P-1:2027-05-26"


def test_a_ticket_whose_life_no_source_states_is_asked_about() -> None:
    # Pennsylvania states no life: asked Wednesday 26 May, digging from 2 June to 25 June.
    long_dig = booking(Phase.DIG, at(6, 2), at(6, 25, 15.5))
    marks = two_ticks(at(5, 26, 9), at(6, 1))
    item = only(desk(long_dig, marks=marks, rule=locate_rule("PA")), Kind.RENEW)
    assert "ask whether the ticket still holds" in item.words
    assert item.due == date(2027, 6, 10)  # not more than ten business days after the request: the last start
    # the center says that it holds: the same question comes again a fortnight later
    held = marks | ticked(item.key, at(6, 9))
    again = only(desk(long_dig, marks=held, rule=locate_rule("PA")), Kind.RENEW)
    assert (again.key, again.due) == ("holds:P-1:2027-06-09", date(2027, 6, 22))


def test_the_gate_and_the_clear_hour_are_one_figure() -> None:
    # asked Monday 31 May, a holiday: Tuesday and Wednesday are counted, digging is for Thursday 3 June,
    # although the office had entered the gate for Tuesday.
    file = desk(DIG, marks=ticked("locate:P-1", at(5, 31, 9))).locates
    job = Job("P-1", "Mrs Reed", gates=(Gate(GateKind.LOCATE, date(2027, 6, 1)),))
    gate = locate_gate(with_locate_gate(file, job))
    assert gate is not None and (gate.opens, gate.met) == (date(2027, 6, 3), False)
    standing = locate_standing(file, with_locate_gate(file, job), [DIG])
    assert (standing.state, standing.clear) == (LocateState.TOO_LATE, at(6, 2, 23) + timedelta(minutes=59))
    # a gate that opens later stays what it is, and so does a job without quantities: it opens no ground
    later = replace(job, gates=(Gate(GateKind.LOCATE, date(2027, 6, 9)),))
    assert with_locate_gate(file, later).release(Phase.DIG) == date(2027, 6, 9)
    assert with_locate_gate(desk(DIG).locates, job) is job


def test_digging_without_a_word_of_a_locate_is_grave() -> None:
    begun = locate_standing(desk(DIG).locates, Job("P-1", "Mrs Reed"), [DIG], begun=True)
    assert begun.grave and "stop until every owner has answered" in begun.words
    early = locate_standing(desk(DIG).locates, Job("P-1", "Mrs Reed"), [DIG])
    assert (early.grave, early.words) == (False, "no locate on file: ask by Thu May 27")


def test_nothing_is_ordered_for_a_phase_that_is_begun() -> None:
    """Liner laid in part: its roll is there. The liner of a phase that waits is ordered."""
    liner, lines = booking(Phase.LINER, at(6, 2), at(6, 3)), (Line("liner_ft2", 400.0),)
    job = Job("P-1", "Mrs Reed", lines=lines)
    waits = desk(liner, job=job)
    begun = replace(waits, season=replace(waits.season, done=(replace(liner, start=at(5, 1)),)))
    assert [i.key for i in office_list(waits) if i.kind is Kind.ORDER]
    assert [i.key for i in office_list(begun) if i.kind is Kind.ORDER] == []


def test_a_cure_before_the_second_part_of_a_phase_is_not_told_twice() -> None:
    plumbing = booking(Phase.PLUMBING, at(5, 6), at(5, 7, 12))
    parts = [booking(Phase.FILL, at(5, 10 + n), at(5, 10 + n, 12), part=n + 1) for n in range(2)]
    after = {b.key: After(plumbing.key, lag_h=24, why="sealant cures") for b in parts}
    assert len(list(cure_items(desk(plumbing, *parts, after=after)))) == 1


@pytest.mark.parametrize(("day", "told"), [(19, False), (20, True)])
def test_a_locate_that_may_be_asked_today_has_no_first_day(day: int, told: bool) -> None:
    """Ohio takes a notice at most 16 calendar days ahead: on Monday May 3 for a dig up to May 19."""
    item = only(desk(booking(Phase.DIG, at(5, day), at(5, day, 15.5))), Kind.LOCATE)
    assert ("; not before Tue May 4" in item.words) is told
    assert ("not before" in item.words) is told
