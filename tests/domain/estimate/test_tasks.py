"""Every task of every phase, reckoned by hand from the shipped rates."""

from __future__ import annotations

from dataclasses import replace

import pytest

from planner.domain.estimate.conditions import Conditions, new_hand_factor, overtime_factor
from planner.domain.estimate.earth_tasks import dig_tasks, machine_class
from planner.domain.estimate.labour import PhaseEstimate
from planner.domain.estimate.rates import Learned, LearnedKind, Spread
from planner.domain.estimate.rock_tasks import rock_tasks
from planner.domain.estimate.task import EXCAVATOR, POWER_BARROW, TRUCK, Tasks, Way
from planner.domain.firm.crews import Crew, Machine
from planner.domain.firm.jobs import ITEMS, Access, Job, Soil
from planner.domain.firm.phases import Phase
from tests.domain.estimate.ponds import BOOK, FIRM, MACHINES, NORTH, only, pond, told, with_rate

STEEP = Conditions(steep=True)
#: 50 ft there and back at 200 ft/min and 1 min: 1.5 min a trip, 9 trips of 3 ft3 a cubic yard.
BARROW_H_PER_CY = 9 * 1.5 / 60


def way(job: Job, *machines: str, crew: Crew = NORTH, conditions: Conditions | None = None) -> Way:
    return Way(job, crew, BOOK, {m: MACHINES[m] for m in machines}, conditions or Conditions())


def likely(found: Tasks) -> dict[str, float]:
    return {t.words: pytest.approx(t.labour_h[1]) for t in found.tasks}  # type: ignore[misc]


@pytest.mark.parametrize("item", [item for item in ITEMS.values() if item.rated], ids=lambda i: i.key)
def test_every_item_costs_hours_of_its_phase_and_of_no_other(item: object) -> None:
    key, phase = item.key, item.phase  # type: ignore[attr-defined]

    def lines(job: Job) -> dict[Phase, float]:
        return {p: sum(x.labour_h for x in e.lines) for p, e in told(job).phases.items()}

    without, more = lines(pond(**{key: 0.0})), lines(pond(**{key: 50.0}))
    assert more[phase] > without.get(phase, 0.0)
    assert {p: h for p, h in more.items() if p is not phase} == {
        p: h for p, h in without.items() if p is not phase
    }


def test_gravel_is_loaded_barrowed_spread_and_rinsed() -> None:
    """2.7 ton at 100 lb/ft3 are 2 loose cy."""
    assert likely(rock_tasks(way(only(gravel_ton=2.7)))) == {
        "shovel gravel into a barrow": 2.7 * 0.57,
        "barrow gravel": 2 * BARROW_H_PER_CY,
        "spread gravel dumped by barrow": 2.7 * 0.25,
        "hose gravel clean": 2.7 * 0.15,
    }


def test_a_steep_plank_takes_two_thirds_of_a_load() -> None:
    level = likely(rock_tasks(way(only(gravel_ton=2.7))))["barrow gravel"]
    assert level == 2 * BARROW_H_PER_CY
    steep = rock_tasks(way(only(gravel_ton=2.7), conditions=STEEP))
    assert likely(steep)["barrow gravel"] == 3 * BARROW_H_PER_CY
    spoil = dig_tasks(way(only(haul_off_cy=10), conditions=STEEP))
    assert likely(spoil)["barrow spoil to the truck"] == 15 * BARROW_H_PER_CY


def test_barrow_hands_scatter_as_published() -> None:
    """Gillette and Hill, 1908, ch. III (seen): 20 to 25 % either way about the average."""
    carried = next(t for t in rock_tasks(way(only(gravel_ton=2.7))).tasks if t.words == "barrow gravel")
    low, middle, high = carried.labour_h
    assert (low / middle, high / middle) == (pytest.approx(0.8), pytest.approx(1.25))


def test_waterfall_and_small_stone_go_by_barrow() -> None:
    """1.35 ton are 1 loose cy."""
    assert likely(rock_tasks(way(only(waterfall_ton=1.35)))) == {
        "barrow waterfall stone": BARROW_H_PER_CY,
        BOOK.row("waterfall.set").words: 1.35 * 4.0,
    }
    assert likely(rock_tasks(way(only(boulder_small_ton=1.35))))["barrow small stone"] == BARROW_H_PER_CY


def test_large_stone_goes_one_by_one() -> None:
    """10 stones of 168.7 lb, 50 ft: 120 ft/min and 2.5 min by machine; two with a dolly 100 ft/min, 3 min."""
    job = only(boulder_medium_ton=1687.0 / 2000.0)
    by_machine = likely(rock_tasks(way(job, EXCAVATOR)))["carry medium stone by machine"]
    assert by_machine == 10 * (100 / 120 + 2.5) / 60
    assert likely(rock_tasks(way(job)))["carry medium stone by dolly"] == 10 * (100 / 100 + 3.0) / 60 * 2


@pytest.mark.parametrize(("depth_in", "times"), [(60.0, 1.0), (60.5, 1.5)])
def test_deeper_than_five_feet_is_lifted_twice(depth_in: float, times: float) -> None:
    found = dig_tasks(way(replace(only(dig_hand_cy=10), depth_in=depth_in)))
    assert likely(found)["dig loam by hand"] == 10 * 1.54 * times


def test_classes_of_machines_by_mass() -> None:
    assert [machine_class(m) for m in (0.8, 1.0, 1.1, 2.0, 2.1, 4.0, 4.1, 6.0)] == list("11224466")


def test_a_machine_of_unknown_mass_digs_like_two_tonnes() -> None:
    def hours(mass_t: float) -> float:
        excavator = Machine(EXCAVATOR, "", mass_t=mass_t)
        return (
            dig_tasks(Way(only(dig_machine_cy=10), NORTH, BOOK, {EXCAVATOR: excavator})).tasks[0].labour_h[1]
        )

    # 1.6 ft3 x 0.9 x 120 cycles x 50/60 / 27 / 1.25 = 4.267 bank cy/h; nine tenths of the dig
    assert hours(0.0) == hours(2.0) == pytest.approx(9 / (1.6 * 0.9 * 120 * 50 / 60 / 27 / 1.25))
    assert hours(1.0) > hours(0.0)


def test_spoil_without_a_machine_is_shovelled_barrowed_and_trucked() -> None:
    assert likely(dig_tasks(way(only(haul_off_cy=10)))) == {
        "shovel loose spoil into a barrow, per loose cy": 6.7,
        "barrow spoil to the truck": 10 * BARROW_H_PER_CY,
        "truck to the tip": 2 * 0.75,
    }


def test_spoil_that_the_machine_did_not_dig_is_loaded_again_loose() -> None:
    """Bulk 9 bank cy are 11.25 loose: 8.75 of 20 are loaded again, at 5.333 loose cy/h; clay is no slower."""
    two = {EXCAVATOR: Machine(EXCAVATOR, "", mass_t=2.0)}
    found = dig_tasks(Way(only(dig_machine_cy=10, haul_off_cy=20), NORTH, BOOK, two))
    again = next(t for t in found.tasks if t.words == "load spoil by machine, operator")
    assert again.quantity == pytest.approx(8.75)
    assert again.labour_h[1] == pytest.approx(8.75 / (1.6 * 0.9 * 120 * 50 / 60 / 27))
    clay = replace(only(dig_machine_cy=10, haul_off_cy=20), soil=Soil.CLAY)
    lies = next(t for t in dig_tasks(Way(clay, NORTH, BOOK, two)).tasks if t.words == again.words)
    assert lies.labour_h[1] / lies.quantity == pytest.approx(1 / (1.6 * 0.82 * 120 * 50 / 60 / 27))


def test_digger_and_barrows_side_by_side() -> None:
    """Bulk 9 cy, 5 loose to the truck in 45 loads: 1.25 min to load, 1.5 away, two barrows: 1.375 min a load.

    The other 5 bank cy go to the side at 4.267 an hour. At the slow end the cycle is twice as long and the
    hands a quarter slower: 2.5 and 1.875 min, so the excavator governs.
    """
    two = {EXCAVATOR: Machine(EXCAVATOR, "", mass_t=2.0)}
    found = dig_tasks(Way(only(dig_machine_cy=10, haul_off_cy=5), NORTH, BOOK, two))
    assert found.machine_h[1] == pytest.approx(45 * 1.375 / 60 + 5 / 4.2666667)
    assert found.machine_h[2] == pytest.approx(45 * 2.5 / 60 + 2 * 5 / 4.2666667)


@pytest.mark.parametrize(("trucks", "min_a_load"), [(1, 101.25), (2, 56.25), (3, 56.25)])
def test_trucks_that_the_digger_loads_itself(trucks: int, min_a_load: float) -> None:
    """Three loads of 5 loose cy, 56.25 min to load at 5.333 loose cy/h, 45 to the tip and back.

    One truck: 101.25 min a load; two balance the excavator, a third only waits. The other 6 bank cy go aside.
    """
    fleet = {EXCAVATOR: Machine(EXCAVATOR, "", mass_t=2.0), TRUCK: Machine(TRUCK, "", units=trucks)}
    found = dig_tasks(Way(only(dig_machine_cy=20, haul_off_cy=15), NORTH, BOOK, fleet))
    assert found.machine_h[1] == pytest.approx(3 * min_a_load / 60 + 6 / 4.2666667)
    assert likely(found)["truck to the tip"] == pytest.approx(3 * 0.75)
    assert not any("barrow" in words for words in likely(found))


@pytest.mark.parametrize(
    ("units", "size", "carriers"), [(1, 3, 1), (2, 3, 2), (3, 3, 2), (3, 2, 1), (3, 1, 1)]
)
def test_power_barrows_need_a_unit_and_a_driver_each(units: int, size: int, carriers: int) -> None:
    fleet = {
        EXCAVATOR: Machine(EXCAVATOR, "", mass_t=2.0),
        POWER_BARROW: Machine(POWER_BARROW, "", units=units),
    }
    far = replace(only(dig_machine_cy=20, haul_off_cy=10), carry_ft=600.0)
    found = dig_tasks(Way(far, replace(NORTH, size=size), BOOK, fleet))
    assert f" {carriers} carriers (" in " ".join(found.machine_steps)


def test_water_parts_by_hand() -> None:
    """Before the hose: set-up 0.9 and rinsing 2,500 gal 1.25; after: 60 ft of edge 6 and the start 1.25."""
    fill = told(pond()).phases[Phase.FILL]
    assert fill.parts == (pytest.approx(2.15 / 9.4), pytest.approx(7.25 / 9.4))


def liner(job: Job, book: object = BOOK, firm: object = FIRM) -> PhaseEstimate:
    return told(job, book=book, firm=firm).phases[Phase.LINER]  # type: ignore[arg-type]


def test_a_firm_of_long_weeks_pays_for_them() -> None:
    """Kossoris, Hours of Work and Output, BLS, 1947 (secondary): 0.92 at 50 h; five days of 10 h."""
    usual, long = liner(pond()), liner(pond(), firm=replace(FIRM, paid_h_day=10.0))
    assert long.labour_h / usual.labour_h == pytest.approx(1 / 0.92)


def test_more_new_hands_than_the_crew_has_are_the_whole_crew() -> None:
    """At 85 % and 8 jobs a first job takes 0.85^-3 times as long: three of three, and seven of three."""
    for new in (3, 7):
        found = new_hand_factor(3, Conditions(new_hands=new), BOOK)
        assert found is not None
        assert found.value == pytest.approx(0.85**-3)


def test_no_week_halves_the_work_more_than_once() -> None:
    book = BOOK.with_rows([with_rate("overtime.60", 0.8).row("overtime.60")])
    steep = book.with_rows([with_rate("overtime.70", 0.6).row("overtime.70")])
    found = overtime_factor(112.0, steep)
    assert found is not None
    assert found.value == 2.0


def test_wet_ground_and_lessons_of_access_multiply_once() -> None:
    dry, wet = liner(pond()), liner(replace(pond(), wet=True))
    assert wet.labour_h / dry.labour_h == pytest.approx(1.10)
    narrow = Learned(LearnedKind.ACCESS, Access.NARROW.value, 0.2, 0.1, 3)
    taught = replace(BOOK, learned=(narrow,))
    assert liner(pond(), book=taught).labour_h == dry.labour_h
    through = pond(access=Access.NARROW)
    assert liner(through, book=taught).labour_h / liner(through).labour_h == pytest.approx(1.2214, abs=1e-4)


def test_a_learned_spread_scales_its_own_phase() -> None:
    taught = replace(BOOK, spread=Spread(0.15, {"liner": 0.5}, 3))
    assert liner(pond(), book=taught).hours.log_sd == pytest.approx(liner(pond()).hours.log_sd / 2)
    assert told(pond(), book=taught).phases[Phase.ROCK].hours == told(pond()).phases[Phase.ROCK].hours
