"""Production, trips and fleets against printed examples."""

from math import prod

import pytest

from planner.domain.estimate.digging import (
    balanced_carriers,
    bank_cy_h,
    carry_h_per_cy,
    cycles_h,
    fleet_h,
    fleet_trips,
    lift_shares,
    production_h,
    trip_min,
)


def test_shovel_example() -> None:
    """docstoc.com/docs/160840662 (seen): 100 cycles/h, swing-depth 1.10, 3 LCY, fill 0.50, 50-min hour."""
    assert production_h(3.0, 0.50, 100.0, 50.0, 1.10) == pytest.approx(137.5, abs=1e-9)


def test_clamshell_example() -> None:
    """Construction equipment textbook extract, pt.scribd.com/document/253001489 (seen).

    Cycle 0.883 min, 33 ft3: printed 68 cycles, 83 LCY/h, then 62 LCY/h with a 45-min hour (62.25 truncated).
    """
    cycles = cycles_h(0.883 * 60.0)
    assert round(cycles) == 68
    full = production_h(33.0 / 27.0, 1.0, cycles)
    assert round(full) == 83
    assert int(production_h(33.0 / 27.0, 1.0, cycles, 45.0)) == 62


def test_chain_of_correction_factors() -> None:
    """slideplayer.com/slide/225686 (seen): seven factors, printed total 0.63; 300 LCY/h becomes 190."""
    factors = (0.92, 0.75, 0.8, 1.2, 1.0, 0.83, 1.15)
    assert prod(factors) == pytest.approx(0.63, abs=0.005)
    # The machine's ideal 300 LCY/h as one "cycle"; 0.83 enters as its minutes, the rest as the correction.
    corrected = production_h(300.0, 1.0, 1.0, 0.83 * 60.0, prod(factors) / 0.83)
    assert round(corrected, -1) == 190
    assert 3000 / corrected == pytest.approx(15.8, abs=0.05)


def test_hoe_in_hard_clay() -> None:
    """Peurifoy, Construction Planning, Equipment and Methods (from memory): 258 BCY/h, rechecked 257.6."""
    assert bank_cy_h(3.0 * 27.0, 0.85, 22.0, 50.0, 1.35) == pytest.approx(257.6, abs=0.1)


def test_haul_loads_round_up() -> None:
    """Estimating textbook, issuhub.com/view/index?id=4050 (seen): 1,000 BCY, swell 30 %, 7 CY: 186 loads."""
    assert fleet_trips(1000 * 1.30, 7.0) == 186


@pytest.mark.parametrize(("distance_ft", "minutes"), [(50.0, 11.25), (100.0, 15.75)])
def test_barrow_minutes_per_yard(distance_ft: float, minutes: float) -> None:
    """Gillette and Hill, Concrete Construction, 1908, ch. III (seen): 3 ft3, 200 ft/min, 0.75 min a trip."""
    assert carry_h_per_cy(distance_ft, 3.0, 200.0, 0.75) * 60.0 == pytest.approx(minutes)


def test_barrow_distance_term_agrees_with_the_printed_rule() -> None:
    """Same source: 1 cent (4 man-min) per 30 ft for 1.4 CY of aggregate; the speed gives 3.8 min."""
    more = carry_h_per_cy(80.0, 3.0, 200.0, 0.75) - carry_h_per_cy(50.0, 3.0, 200.0, 0.75)
    assert more * 60.0 * 1.4 == pytest.approx(4.0, rel=0.06)


def test_slower_side_of_a_fleet_governs() -> None:
    """By hand: 10 loads, 2 min to load, 5 away. Two carriers: 7/2 min a load; five: the loader's 2."""
    assert fleet_h(10, 2.0, 5.0, 2) == pytest.approx(10 * 3.5 / 60)
    assert fleet_h(10, 2.0, 5.0, 5) == pytest.approx(10 * 2.0 / 60)
    assert balanced_carriers(2.0, 5.0) == 4
    assert fleet_h(10, 2.0, 5.0, balanced_carriers(2.0, 5.0)) == pytest.approx(10 * 2.0 / 60)


def test_trip_and_shares_at_their_ends() -> None:
    assert trip_min(0.0, 200.0, 0.75) == 0.75
    assert lift_shares(6.0, 12.0, 3.0, 5.0) == (0.0, 0.0)
    assert lift_shares(6.0, 12.0, 13.0, 14.0) == (1.0, 0.0)
    one, two = lift_shares(6.0, 12.0, 9.0, 8.0)
    assert (one, two) == (0.5, 0.0)
