"""Which pieces of work a job still has, who may do them, and what they wait for."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, datetime

import pytest

from planner.domain.firm.actuals import Log, progress
from planner.domain.firm.crews import Crew
from planner.domain.firm.firm import Firm
from planner.domain.firm.jobs import Access, Gate, GateKind, Job, Line, Need, Pin
from planner.domain.firm.needs import machines_for
from planner.domain.firm.phases import ORDER, Follows, Phase, WorkKey
from planner.domain.season.plan import Booking
from planner.domain.season.works import PhaseHours, Standing, _modes, day_ends, works_of
from planner.store.shipped.rules import phase_rules

RULES = phase_rules()
CREWS = (
    Crew("Heron", "Ada", skills=frozenset({"excavator", "stonework", "plumbing"})),
    Crew("Otter", "Bo", skills=frozenset({"plumbing"})),
)
LINES = (
    Line("dig_machine_cy", 20),
    Line("filter_boxes", 2),
    Line("liner_ft2", 500),
    Line("boulder_medium_ton", 6),
    Line("pipe_ft", 40),
    Line("fill_gal", 3000),
)
JOB = Job("P1", "Ames", lines=LINES)


def hours_of(phase: Phase, team: tuple[str, ...]) -> PhaseHours:
    each = 480.0 / len(team)
    return PhaseHours((each * 0.6, each * 0.4), 5.0) if phase is Phase.FILL else PhaseHours((each,))


def standing(*logs: Log) -> Standing:
    begun = {(log.job, log.phase): log.crew for log in logs}
    return Standing(RULES, CREWS, Firm(), progress(logs), begun)


def test_a_fresh_job_has_all_phases_and_the_fill_in_two_parts() -> None:
    works = works_of(JOB, standing(), hours_of)
    assert [(w.key.phase, w.key.part) for w in works] == [(p, 1) for p in ORDER] + [(Phase.FILL, 2)]
    fill_2 = works[-1]
    assert [(a.before.part, a.lag_h) for a in fill_2.after] == [(1, 5.0)]


def test_skills_decide_who_may_lead() -> None:
    works = {w.key.phase: w for w in works_of(JOB, standing(), hours_of) if w.key.part == 1}
    assert {m.crews for m in works[Phase.DIG].modes} == {("Heron",), ("Heron", "Otter")}
    assert {m.crews[0] for m in works[Phase.PLUMBING].modes} == {"Heron", "Otter"}


def test_filters_start_on_the_first_shelf_and_water_waits_for_the_cure() -> None:
    works = {w.key.phase: w for w in works_of(JOB, standing(), hours_of) if w.key.part == 1}
    first_shelf = works[Phase.SET_FILTERS].after[0]
    assert first_shelf.before == WorkKey("P1", Phase.DIG)
    assert 0 < first_shelf.share < 1
    assert [(a.before.phase, a.lag_h) for a in works[Phase.FILL].after] == [(Phase.PLUMBING, 24.0)]


def test_no_machine_access_means_no_excavator_and_no_driver() -> None:
    by_hand = replace(JOB, access=Access.HAND)
    assert machines_for(by_hand, RULES[Phase.DIG]) == {}
    works = {w.key.phase: w for w in works_of(by_hand, standing(), hours_of) if w.key.part == 1}
    assert ("Otter",) in {m.crews for m in works[Phase.DIG].modes}


def test_hands_alone_hold_no_machine() -> None:
    by_hand = (Line("dig_hand_cy", 20), Line("gravel_ton", 3))
    job = replace(JOB, lines=by_hand)
    assert machines_for(job, RULES[Phase.DIG]) == machines_for(job, RULES[Phase.ROCK]) == {}
    assert machines_for(JOB, RULES[Phase.DIG]) == machines_for(JOB, RULES[Phase.ROCK]) == {"excavator": 1}
    fall = replace(JOB, lines=(Line("waterfall_ton", 1),))
    assert machines_for(fall, RULES[Phase.ROCK]) == {"excavator": 1}


def test_a_jobs_own_need_wins() -> None:
    job = replace(JOB, needs={Phase.DIG: Need(machines={"excavator": 2})})
    assert machines_for(job, RULES[Phase.DIG]) == {"excavator": 2}


def test_a_missing_phase_hands_on_what_it_followed() -> None:
    no_rock = replace(JOB, lines=tuple(line for line in LINES if line.phase is not Phase.ROCK))
    works = {w.key.phase: w for w in works_of(no_rock, standing(), hours_of) if w.key.part == 1}
    assert {a.before.phase for a in works[Phase.PLUMBING].after} == {Phase.LINER}


def test_a_missing_phase_hands_on_its_cure_as_well() -> None:
    unplumbed = replace(JOB, lines=tuple(line for line in LINES if line.phase is not Phase.PLUMBING))
    works = {w.key.phase: w for w in works_of(unplumbed, standing(), hours_of) if w.key.part == 1}
    assert [(a.before.phase, a.lag_h) for a in works[Phase.FILL].after] == [(Phase.ROCK, 24.0)]


def test_progress_shortens_the_phase_and_keeps_its_crew() -> None:
    half = Log(date(2027, 4, 5), "Heron", "P1", Phase.DIG, 4.0, share_done=0.5)
    dig = works_of(JOB, standing(half), hours_of)[0]
    assert dig.only_crew == "Heron"
    assert [(m.crews, m.work_min) for m in dig.modes] == [(("Heron",), 240.0)]


def test_a_done_phase_is_gone_and_its_cure_still_holds() -> None:
    done = Log(date(2027, 4, 5), "Heron", "P1", Phase.PLUMBING, 4.0, done=True)
    works = {w.key.phase: w for w in works_of(JOB, standing(done), hours_of) if w.key.part == 1}
    assert Phase.PLUMBING not in works
    assert works[Phase.FILL].after == ()
    # sealed by 15:30 on the 5th, cured by 15:30 on the 6th: water on the 7th
    assert works[Phase.FILL].cured == datetime(2027, 4, 6, 15, 30)
    assert works[Phase.FILL].cured_why == "sealant and foam cure before water"


@pytest.mark.parametrize(
    ("sealed", "over"),
    [
        # 39.5 h after Saturday 15:30 is Monday 7:00, when the shift starts; on the first Monday 8:00:
        # clocks went forward on Sunday (15 U.S.C. 260a)
        (date(2027, 3, 13), datetime(2027, 3, 15, 8)),
        (date(2027, 3, 20), datetime(2027, 3, 22, 7)),
    ],
)
def test_a_cure_that_runs_counts_real_hours(sealed: date, over: datetime) -> None:
    fill = replace(RULES[Phase.FILL], follows=(Follows(Phase.PLUMBING, 1.0, 39.5),))
    done = standing(Log(sealed, "Heron", "P1", Phase.PLUMBING, 4.0, done=True))
    works = works_of(JOB, replace(done, rules={**RULES, Phase.FILL: fill}), hours_of)
    assert next(w for w in works if w.key.phase is Phase.FILL).cured == over


def booked(job: str, phase: Phase, begin: str, end: str) -> Booking:
    day = "2027-04-05T"
    start, stop = datetime.fromisoformat(day + begin), datetime.fromisoformat(day + end)
    return Booking(WorkKey(job, phase), ("Heron",), start, stop, 1.0)


@pytest.mark.parametrize(
    ("other", "end"),
    [
        # nothing else is known of that day: at the latest at its end
        (None, "15:30"),
        # 4 h of the next site, told for after it: the day's last 4 h were there, 11:30 to 15:30
        (Log(date(2027, 4, 5), "Heron", "P2", Phase.DIG, 4.0), "11:30"),
        # 5 h there: back over the meal break, to 10:00
        (Log(date(2027, 4, 5), "Heron", "P2", Phase.DIG, 5.0), "10:00"),
        # a site told for before it, or that nobody told, says nothing
        (Log(date(2027, 4, 5), "Heron", "P3", Phase.DIG, 3.0), "15:30"),
        (Log(date(2027, 4, 5), "Heron", "P4", Phase.DIG, 3.0), "15:30"),
        # a later phase of the job was done later, told or not
        (Log(date(2027, 4, 5), "Heron", "P1", Phase.FILL, 1.5), "14:00"),
        # another crew's hours, another day's
        (Log(date(2027, 4, 5), "Otter", "P2", Phase.DIG, 4.0), "15:30"),
        (Log(date(2027, 4, 6), "Heron", "P2", Phase.DIG, 4.0), "15:30"),
    ],
)
def test_a_phase_ended_before_what_its_crew_did_next(other: Log | None, end: str) -> None:
    done = Log(date(2027, 4, 5), "Heron", "P1", Phase.PLUMBING, 3.0, done=True)
    told = {
        b.key: b
        for b in (
            booked("P1", Phase.PLUMBING, "08:00", "11:00"),
            booked("P2", Phase.DIG, "11:30", "15:30"),
            booked("P3", Phase.DIG, "07:00", "08:00"),
        )
    }
    ends = day_ends([done, *([other] if other else [])], Firm(country=""), told)
    assert ends["P1", Phase.PLUMBING, date(2027, 4, 5)] == datetime.fromisoformat(f"2027-04-05T{end}")


@pytest.mark.parametrize(
    ("phase", "opens"), [(Phase.DIG, date(2027, 4, 12)), (Phase.LINER, date(2027, 4, 20))]
)
def test_gates_hold_their_phase_and_every_later_one(phase: Phase, opens: date) -> None:
    gates = (
        Gate(GateKind.LOCATE, date(2027, 4, 12)),
        Gate(GateKind.MATERIAL, date(2027, 4, 20), Phase.LINER),
    )
    works = {w.key.phase: w for w in works_of(replace(JOB, gates=gates), standing(), hours_of)}
    assert works[phase].opens == opens


def test_pins_are_kept() -> None:
    pin = Pin(Phase.PLUMBING, "Otter", datetime(2027, 4, 12, 7))
    works = {w.key.phase: w for w in works_of(replace(JOB, pins=(pin,)), standing(), hours_of)}
    assert (works[Phase.PLUMBING].only_crew, works[Phase.PLUMBING].only_start) == ("Otter", pin.start)
    assert {m.crews[0] for m in works[Phase.PLUMBING].modes} == {"Otter"}


def test_a_pin_holds_the_first_part_only() -> None:
    pin = Pin(Phase.FILL, None, datetime(2027, 4, 12, 7))
    fill = [w for w in works_of(replace(JOB, pins=(pin,)), standing(), hours_of) if w.key.phase is Phase.FILL]
    assert [w.only_start for w in fill] == [pin.start, None]


@pytest.mark.parametrize(
    ("share", "left"),
    [(0.25, {1: 0.5, 2: 1.0}), (0.5, {2: 1.0}), (0.75, {2: 0.5})],
)
def test_the_parts_of_a_phase_are_done_one_after_the_other(share: float, left: dict[int, float]) -> None:
    whole = {1: 480 * 0.6, 2: 480 * 0.4}
    # as many hours as planned for that share, so that the rest is neither stretched nor cut
    so_far = Log(date(2027, 4, 5), "Heron", "P1", Phase.FILL, 8.0 * share, share_done=share)
    fill = [w for w in works_of(JOB, standing(so_far), hours_of) if w.key.phase is Phase.FILL]
    assert {w.key.part: w.modes[0].work_min for w in fill} == {
        part: pytest.approx(whole[part] * rest) for part, rest in left.items()
    }


def filled(day: int, share: float | None, hours: float = 1.0, crew: str = "Heron") -> Log:
    return Log(date(2027, 4, day), crew, "P1", Phase.FILL, hours, share_done=share)


@pytest.mark.parametrize(
    ("logs", "over"),
    [
        # rinsed and opened on the 5th, at the latest at the day's end of 15:30: 5 h later the water has run
        ([filled(5, 0.5)], datetime(2027, 4, 5, 20, 30)),
        # a log of trimming on the 6th doesn't open the water again
        ([filled(5, 0.5), filled(6, 0.75)], datetime(2027, 4, 5, 20, 30)),
        ([filled(6, 0.75), filled(5, 0.5)], datetime(2027, 4, 5, 20, 30)),
        # opened on the 6th only: until then a quarter of the whole, half of rinsing, was done
        ([filled(5, 0.25), filled(6, 0.5)], datetime(2027, 4, 6, 20, 30)),
        # corrected on the 6th: it was not opened after all, and is on the 7th
        ([filled(5, 0.5), filled(6, 0.4), filled(7, 0.5)], datetime(2027, 4, 7, 20, 30)),
        # 4 h on the next site, told for after the rinsing, end at 15:30: it was opened by 11:30
        (
            [filled(5, 0.5), Log(date(2027, 4, 5), "Heron", "P2", Phase.DIG, 4.0)],
            datetime(2027, 4, 5, 16, 30),
        ),
    ],
)
def test_water_that_is_opened_runs_its_hours_before_the_startup(logs: list[Log], over: datetime) -> None:
    told = {
        b.key: b
        for b in (
            booked("P1", Phase.FILL, "07:00", "08:00"),
            booked("P2", Phase.DIG, "08:30", "15:30"),
            # the startup is told for another day: it is not what was worked on that day
            Booking(
                WorkKey("P1", Phase.FILL, 2), ("Heron",), *(datetime(2027, 4, 8, h) for h in (7, 9)), 2.0
            ),
        )
    }
    now = replace(standing(*logs), ended=day_ends(logs, Firm(), told))
    startup = works_of(JOB, now, hours_of)[-1]
    assert startup.key.part == 2
    assert (startup.after, startup.cured, startup.cured_why) == ((), over, "the water runs by itself")


def test_water_that_is_not_opened_yet_has_nothing_running() -> None:
    fill = [w for w in works_of(JOB, standing(filled(5, 0.4)), hours_of) if w.key.phase is Phase.FILL]
    assert [w.cured for w in fill] == [None, None]
    assert [(a.before.part, a.lag_h) for a in fill[1].after] == [(1, 5.0)]


def test_the_rest_of_a_slow_phase_is_stretched() -> None:
    # planned 8 h; half is done after 8 h: the rest of 4 h counts (1 - 0.5) + 8 / 8 = 1.5 times
    slow = Log(date(2027, 4, 5), "Heron", "P1", Phase.DIG, 8.0, share_done=0.5)
    dig = works_of(JOB, standing(slow), hours_of)[0]
    assert [m.work_min for m in dig.modes] == [360.0]


def test_a_share_that_is_out_already_holds_no_filters_back() -> None:
    # the default rule asks for 0.4 of the dig: at 0.6 nothing is missing, at 0.2 a quarter of the rest is
    def after(share: float) -> list[tuple[Phase, float]]:
        dug = Log(date(2027, 4, 5), "Heron", "P1", Phase.DIG, 4.0, share_done=share)
        works = {w.key.phase: w for w in works_of(JOB, standing(dug), hours_of)}
        return [(a.before.phase, pytest.approx(a.share)) for a in works[Phase.SET_FILTERS].after]  # type: ignore[misc]

    assert after(0.6) == []
    assert after(0.4) == []
    assert after(0.2) == [(Phase.DIG, 0.25)]


@pytest.mark.parametrize(
    ("lines", "phases"),
    [
        ((Line("liner_ft2", 500), Line("hose_gpm", 11)), [Phase.LINER]),
        ((Line("liner_ft2", 500), Line("dig_machine_cy", 0)), [Phase.LINER]),
        ((), []),
    ],
)
def test_a_quantity_of_nothing_and_a_hose_alone_are_no_work(
    lines: tuple[Line, ...], phases: list[Phase]
) -> None:
    works = works_of(replace(JOB, lines=lines), standing(), hours_of)
    assert [w.key.phase for w in works] == phases


def test_a_phase_of_nothing_hands_on_what_it_followed() -> None:
    none_set = tuple(replace(line, quantity=0) if line.phase is Phase.ROCK else line for line in LINES)
    works = {w.key.phase: w for w in works_of(replace(JOB, lines=none_set), standing(), hours_of)}
    assert {a.before.phase for a in works[Phase.PLUMBING].after} == {Phase.LINER}


def test_a_part_without_attended_minutes_has_no_mode() -> None:
    """Two crews may do it: the first has nothing to do in part 2, the second has no part 2 at all."""
    ways = [(("Heron",), PhaseHours((90.0, 0.0))), (("Otter",), PhaseHours((60.0,)))]
    assert [(m.crews, m.work_min) for m in _modes(ways, 1, 0.5, {})] == [
        (("Heron",), 45.0),
        (("Otter",), 30.0),
    ]
    assert list(_modes(ways, 2, 1.0, {})) == []


def test_the_electrician_holds_the_pump_and_not_the_water() -> None:
    gate = Gate(GateKind.ELECTRICIAN, date(2027, 6, 3))
    works = works_of(replace(JOB, gates=(gate,)), standing(), hours_of)
    opens = {(w.key.phase, w.key.part): w.opens for w in works}
    assert opens.pop((Phase.FILL, 2)) == date(2027, 6, 3)
    assert set(opens.values()) == {None}
    dry = replace(JOB, gates=(gate,), lines=(*LINES[:-1], Line("edge_ft", 40)))
    assert dry.held_by(gate, Phase.FILL), "where no water runs in, the fill has no second part"
