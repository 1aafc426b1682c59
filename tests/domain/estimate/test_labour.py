"""Crew-hours of a job: worked by hand, against printed man-days, and their explanation."""

import re
from dataclasses import replace

import pytest

from planner.domain.design.read import read_design
from planner.domain.estimate.conditions import Conditions
from planner.domain.estimate.earth_tasks import dig_tasks
from planner.domain.estimate.factors import source_of
from planner.domain.estimate.labour import estimate, together, with_daily_setup
from planner.domain.estimate.rates import Learned, LearnedKind, Spread
from planner.domain.estimate.task import Way
from planner.domain.firm.crews import Crew, Machine
from planner.domain.firm.jobs import Access, Line, Need, Origin
from planner.domain.firm.phases import Phase
from planner.domain.quantities.takeoff import take_off
from planner.errors import BadInput
from tests.domain.design.test_read import DEMO
from tests.domain.estimate.ponds import BOOK, FIRM, MACHINES, NORTH, RULES, only, pond, told, with_rate


def test_hand_dig_worked_by_hand() -> None:
    """6 CY of loam by hand and 1.5 h of set-up: (1.5 + 6 x 1.54) / 3 people = 3.58 crew-h."""
    found = told(only(dig_hand_cy=6.0)).phases[Phase.DIG]
    assert found.labour_h == pytest.approx(1.5 + 6.0 * 1.54)
    assert found.crew_h == pytest.approx((1.5 + 6.0 * 1.54) / 3.0)
    assert found.machines == {}


def test_machine_dig_worked_by_hand() -> None:
    """2 ft3 x 0.90 x 3600/30 x 50/60 / 27 / 1.25 = 5.333 bank CY/h; 90 % of 20 CY, the rest by hand."""
    found = told(only(dig_machine_cy=20.0)).phases[Phase.DIG]
    machine_h = 18.0 / (2.0 * 0.9 * 120.0 * 50.0 / 60.0 / 27.0 / 1.25)
    labour_h = 1.5 + machine_h + 2.0 * 1.54
    waits_h = max(0.0, 3.0 * machine_h - labour_h)
    assert waits_h > 0
    assert found.labour_h == pytest.approx(labour_h + waits_h)
    assert found.crew_h == pytest.approx(machine_h)
    assert found.machines == {"excavator": 1}
    assert any("wait for the excavator" in line.words for line in found.lines)


def test_a_take_offs_hand_skin_is_trimmed_once() -> None:
    """The take-off leaves 6.33 cy for hands; the estimate digs by hand what the take-off says, no more."""
    lines = (
        Line("dig_machine_cy", 70.5, Origin.COMPUTED),
        Line("dig_hand_cy", 6.33, Origin.COMPUTED),
    )
    by_hand = [
        task.quantity
        for task in dig_tasks(Way(replace(pond(), lines=lines), NORTH, BOOK, MACHINES)).tasks
        if "hand" in task.words
    ]
    assert sum(by_hand) == pytest.approx(6.33)
    entered = tuple(replace(line, origin=Origin.ENTERED) for line in lines)
    by_hand = [
        task.quantity
        for task in dig_tasks(Way(replace(pond(), lines=entered), NORTH, BOOK, MACHINES)).tasks
        if "hand" in task.words
    ]
    assert sum(by_hand) == pytest.approx(6.33 + 70.5 * BOOK.value("dig.trim_share"))


def test_printed_man_days() -> None:
    """Navy Builder Advanced, NAVEDTRA 14045, p. 2-28 (seen).

    16,000 ft2 at 33 MH per 1,000 ft2 is 66 man-days, 70 with the delay factor; crew 12, availability 0.75,
    man-day equivalent 0.9375: 8.3, so 9 workdays.
    """
    book = with_rate("liner.place", 33.0 / 1000.0)
    # Nothing but the printed arithmetic: no set-up, no heavy sheet, no loss of size; the delay as one factor.
    tiny = [replace(book.row("liner.setup"), low=1e-9, likely=1e-9, high=1e-9)]
    tiny += [replace(book.row("liner.lb_ft2"), low=1e-6, likely=1e-6, high=1e-6)]
    tiny += [replace(book.row("occupied"), low=1.0, likely=70.0 / 66.0, high=2.0)]
    rules = {**RULES, Phase.LINER: replace(RULES[Phase.LINER], best_size=12)}
    twelve = Crew("Twelve", "", 12, pace=0.75)
    firm = replace(FIRM, paid_h_day=7.5, daily_setup_h=0.0)

    def labour_h(*, occupied: bool) -> float:
        job = replace(only(liner_ft2=16_000.0), occupied=occupied)
        return estimate(job, twelve, book.with_rows(tiny), firm, rules, {}).phases[Phase.LINER].labour_h

    assert labour_h(occupied=False) / 8.0 == pytest.approx(66.0)
    assert labour_h(occupied=True) / 8.0 == pytest.approx(70.0)
    job = replace(only(liner_ft2=16_000.0), occupied=True)
    days = estimate(job, twelve, book.with_rows(tiny), firm, rules, {}).crew_h / 7.5
    assert days == pytest.approx(8.3, abs=0.05)
    assert -(-days // 1) == 9


def test_lines_sum_to_the_total_to_the_minute() -> None:
    for job in (pond(), pond(access=Access.HAND), only(fill_gal=900.0), only(boulder_medium_ton=0.3)):
        for phase in told(job).phases.values():
            assert sum(line.crew_h for line in phase.lines) == pytest.approx(phase.crew_h)
            assert sum(phase.line_minutes()) == round(phase.crew_h * 60.0)
            for line, minutes in zip(phase.lines, phase.line_minutes(), strict=True):
                assert abs(minutes - line.crew_h * 60.0) < 1.0


def test_every_line_and_factor_names_a_row_with_a_source() -> None:
    learned = tuple(
        Learned(kind, target, 0.1, 0.05, 4)
        for kind, target in (
            (LearnedKind.PHASE, "dig"),
            (LearnedKind.CREW, "North"),
            (LearnedKind.SOIL, "loam"),
        )
    )
    book = replace(BOOK, learned=learned)
    facts = Conditions(temperature_f=97.0, hours_week=50.0, new_hands=1)
    found = estimate(replace(pond(access=Access.NARROW), wet=True), NORTH, book, FIRM, RULES, MACHINES, facts)
    for phase in found.phases.values():
        keys = {key for line in phase.lines for key in line.rows} | {k for f in phase.factors for k in f.rows}
        assert all(source_of(book, key) for key in keys)
        assert all(key in book.rows or key.startswith(("learned.", "heat.table")) for key in keys)
        assert all(line.rows or "wait" in line.words for line in phase.lines)


def test_printed_arithmetic_can_be_followed() -> None:
    """Each simple step "a u x b labour-h/u = c labour-h" multiplies out with the numbers as printed."""
    checked = 0
    for phase in told(pond()).phases.values():
        for line in phase.lines:
            for step in line.steps:
                found = re.fullmatch(r"([\d.]+) \S+ × ([\d.]+) labour-h/\S+ = ([\d.]+) labour-h", step)
                if found:
                    a, b, c = map(float, found.groups())
                    assert a * b == pytest.approx(c, rel=1e-3)
                    assert c == pytest.approx(line.labour_h, rel=1e-4)
                    checked += 1
    assert checked >= 12


def test_factors_multiply_once() -> None:
    quiet, busy = told(replace(pond(), occupied=False)), told(pond())
    for phase in quiet.phases:
        assert busy.phases[phase].crew_h / quiet.phases[phase].crew_h == pytest.approx(1.075)
    long_week = estimate(pond(), NORTH, BOOK, FIRM, RULES, MACHINES, Conditions(hours_week=60.0))
    assert long_week.crew_h / busy.crew_h == pytest.approx(1.0 / 0.84)


def test_lessons_multiply_where_they_belong() -> None:
    plain = told(pond())
    book = replace(
        BOOK,
        learned=(
            Learned(LearnedKind.PHASE, "rock", 0.2, 0.05, 9),
            Learned(LearnedKind.SOIL, "loam", -0.1, 0.05, 9),
            Learned(LearnedKind.CREW, "South", 0.3, 0.05, 9),
        ),
    )
    taught = told(pond(), book=book)
    ratio = {p: taught.phases[p].crew_h / plain.phases[p].crew_h for p in plain.phases}
    assert ratio[Phase.ROCK] == pytest.approx(1.2214, abs=1e-4)
    assert ratio[Phase.DIG] == pytest.approx(0.9048, abs=1e-4)
    assert ratio[Phase.LINER] == pytest.approx(1.0)


def test_stone_is_split_by_the_lifting_limits() -> None:
    """Small stone 6 to 12 in; 23 lb is 7.7 in across, 30.7 lb 8.5 in: 29 % one, 13 % two, rest machine."""
    words = [line.words for line in told(only(boulder_small_ton=3.0)).phases[Phase.ROCK].lines]
    assert any("one person" in w and "29%" in w for w in words)
    assert any("two persons" in w and "13%" in w for w in words)
    assert any("machine" in w and "58%" in w for w in words)
    by_hand = told(replace(only(boulder_large_ton=3.0), access=Access.HAND)).phases[Phase.ROCK]
    assert any("dolly" in line.words for line in by_hand.lines)
    assert by_hand.machines == {}


def test_the_job_may_do_without_the_machine() -> None:
    by_hand = replace(pond(), needs={Phase.DIG: Need(machines={}), Phase.ROCK: Need(machines={})})
    assert told(by_hand).crew_h > told(pond()).crew_h
    assert told(by_hand).phases[Phase.DIG].machines == {}


def test_power_barrow_when_the_job_asks_for_it() -> None:
    """Over 150 ft the power barrow takes fewer labour-hours than hand barrows with a third of its load."""
    far = replace(only(dig_machine_cy=10.0, haul_off_cy=12.0), carry_ft=150.0)
    asked = replace(far, needs={Phase.DIG: Need(machines={"excavator": 1, "power_barrow": 1})})
    machines = {**MACHINES, "power_barrow": Machine("power_barrow", "tracked barrow", bucket_ft3=10.0)}
    hand = estimate(far, NORTH, BOOK, FIRM, RULES, machines).phases[Phase.DIG]
    power = estimate(asked, NORTH, BOOK, FIRM, RULES, machines).phases[Phase.DIG]
    carried = [line.labour_h for line in hand.lines if line.words == "barrow spoil to the truck"]
    driven = [line.labour_h for line in power.lines if line.words == "power barrow spoil to the truck"]
    assert driven[0] < carried[0]
    assert power.machines == {"excavator": 1, "power_barrow": 1}


def test_the_carriers_govern_a_long_way_off() -> None:
    """By hand: 9 bank CY dug straight into one power barrow, 11.25 LCY in 10 ft3 loads, 200 ft away.

    3.333 min to load at 5.333 bank CY/h, 400 / 180 + 1.2 = 3.422 min away: 6.756 min x 30.375 loads = 3.42 h.
    """
    job = replace(only(dig_machine_cy=10.0, haul_off_cy=11.25), carry_ft=200.0)
    job = replace(job, needs={Phase.DIG: Need(machines={"excavator": 1, "power_barrow": 1})})
    one = {**MACHINES, "power_barrow": Machine("power_barrow", "tracked barrow", bucket_ft3=10.0)}
    found = estimate(job, NORTH, BOOK, FIRM, RULES, one).phases[Phase.DIG]
    assert found.crew_h == pytest.approx(30.375 * 6.7556 / 60.0, rel=1e-4)
    assert any("1 carriers (3 balance the excavator)" in step for line in found.lines for step in line.steps)
    four = {**one, "power_barrow": replace(one["power_barrow"], units=4)}
    assert estimate(job, NORTH, BOOK, FIRM, RULES, four).phases[Phase.DIG].crew_h < found.crew_h


def test_truck_trips_are_whole() -> None:
    """5 LCY a load, 0.75 h a trip: 10 CY two trips, 10.1 CY three."""
    trips = {}
    for volume in (10.0, 10.1):
        lines = told(only(haul_off_cy=volume)).phases[Phase.DIG].lines
        trips[volume] = next(line.labour_h for line in lines if line.words == "truck to the tip")
    assert trips == {10.0: pytest.approx(1.5), 10.1: pytest.approx(2.25)}


@pytest.mark.parametrize("truck_cy", [4.0, 10.0])
def test_a_designs_truck_hauls_in_the_estimate_too(truck_cy: float) -> None:
    """Trips of the estimate are the loads that the take-off, the order and the office tell."""
    design = read_design((DEMO / "ellipse_patio.toml").read_text())
    taken = take_off(replace(design, site=replace(design.site, truck_cy=truck_cy)))
    job = replace(pond(), lines=taken.lines)
    trips = next(t for t in dig_tasks(Way(job, NORTH, BOOK, MACHINES)).tasks if t.words == "truck to the tip")
    assert trips.quantity == taken.earth.loads > 1


def test_heavy_sheet_needs_people() -> None:
    """1,000 ft2 of 0.29 lb/ft2 is 290 lb: for two 145 lb each, 2.84 times 51 lb, so x 1.37 (power 0.3)."""
    two = replace(NORTH, size=2)
    lines = told(only(liner_ft2=1000.0), two).phases[Phase.LINER].lines
    placed = next(line for line in lines if line.words.startswith("unfold"))
    assert placed.labour_h == pytest.approx(1000 * 0.011 * (145.0 / 51.0) ** 0.3)


def test_fill_runs_by_itself_between_its_parts() -> None:
    """2,500 gal at 10 gpm: 250 min. Rinsing before, trimming and starting after; the shares sum to 1."""
    found = told(pond()).phases[Phase.FILL]
    assert found.unattended_h == pytest.approx(250 / 60)
    assert sum(found.parts) == pytest.approx(1.0)
    assert len(found.parts) == 2 and min(found.parts) > 0
    assert told(pond(hose_gpm=0.0)).phases[Phase.FILL].unattended_h == pytest.approx(2500 / 11 / 60)


def test_edge_without_water_is_one_part() -> None:
    found = told(only(edge_ft=40.0)).phases[Phase.FILL]
    assert found.parts == (1.0,) and found.unattended_h == 0.0


def test_only_phases_with_work() -> None:
    assert told(only(hose_gpm=10.0)).phases == {}
    assert told(only()).crew_h_at(80) == 0.0
    assert told(only()).planned(80) == {}
    assert set(told(only(pipe_ft=10.0)).phases) == {Phase.PLUMBING}


def test_percentiles_of_the_job() -> None:
    found = told(pond())
    values = [found.crew_h_at(p) for p in (10, 50, 80, 90)]
    assert values == sorted(values)
    assert found.crew_h < found.crew_h_at(50), "a right-skewed sum: its middle lies above the sum of middles"
    phases = sum(p.crew_h_at(80) for p in found.phases.values())
    assert found.crew_h_at(80) < phases
    planned = found.planned(80)
    assert sum(planned.values()) == pytest.approx(found.crew_h_at(80))
    assert all(planned[p] < found.phases[p].crew_h_at(80) for p in planned)


def test_a_common_factor_widens_the_job() -> None:
    calm = told(pond(), book=replace(BOOK, spread=Spread(job_log_sd=0.0)))
    rough = told(pond(), book=replace(BOOK, spread=Spread(job_log_sd=0.4)))
    assert rough.crew_h == pytest.approx(calm.crew_h)
    assert rough.crew_h_at(80) > calm.crew_h_at(80)


def test_crews_together() -> None:
    """3 people at 1.0 and 2 at 0.9: 5 people at 0.96; what is learned about a crew goes into the pace."""
    south = Crew("South", "Bo", 2, frozenset({"plumbing"}), pace=0.9)
    both = together([NORTH, south])
    assert (both.size, both.lead, both.skills) == (5, "Ann", NORTH.skills)
    assert both.pace == pytest.approx(0.96)
    taught = replace(BOOK, learned=(Learned(LearnedKind.CREW, "South", 0.6931471805599453, 0.1, 5),))
    assert together([NORTH, south], taught).pace == pytest.approx((3.0 + 0.9) / 5.0)
    assert together([NORTH]) is NORTH
    assert told(pond(), both).crew_h < told(pond()).crew_h


def test_impossible_crews_are_refused() -> None:
    for crew in (replace(NORTH, size=0), replace(NORTH, pace=0.0)):
        with pytest.raises(BadInput, match="crew North"):
            told(pond(), crew)


def test_daily_setup() -> None:
    assert with_daily_setup(14.5, FIRM, 2) == 16.0
    assert with_daily_setup(0.0, FIRM) == 0.0
    with pytest.raises(BadInput, match="daily set-up"):
        with_daily_setup(1.0, replace(FIRM, daily_setup_h=8.0))


def test_defaults_are_listed_until_somebody_measures() -> None:
    job = only(filter_boxes=2.0)
    assert set(told(job).defaults) == {"filters.box", "set_filters.setup"}
    assert "filters.box" not in told(job, book=with_rate("filters.box", 1.7)).defaults


def test_three_largest_contributions() -> None:
    drivers = told(pond()).drivers()
    hours = [line.crew_h for _, line in drivers]
    rest = [line.crew_h for p in told(pond()).phases.values() for line in p.lines]
    assert hours == sorted(rest, reverse=True)[:3]
