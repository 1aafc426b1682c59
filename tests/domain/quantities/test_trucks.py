"""Truckloads against the federal bridge formula's printed values and weights of loose soil and stone."""

from __future__ import annotations

import pytest

from planner.domain.firm.phases import Phase
from planner.domain.quantities.material import Material
from planner.domain.quantities.trucks import LOOSE_LB_CY, Truck, bridge_gross_lb, freight, weighed


def row(key: str, order: float, unit: str, needed: float | None = None) -> Material:
    return Material(key, key, Phase.ROCK, order if needed is None else needed, "cy", order, unit)


@pytest.mark.parametrize(
    ("outer_ft", "axles", "lb"),
    # FHWA, Bridge Formula Weights (FHWA-HOP-19-028, 2019), from memory.
    [(51, 5, 80_000), (35, 4, 65_500), (20, 3, 51_000), (10, 2, 40_000), (36, 5, 70_500)],
)
def test_the_bridge_formula_gives_the_printed_weights(outer_ft: float, axles: int, lb: float) -> None:
    assert bridge_gross_lb(outer_ft, axles) == lb


def test_the_default_truck_is_what_the_formula_leaves_over_its_own_weight() -> None:
    assert Truck().ton * 2000 == bridge_gross_lb(20, 3) - 26_000


def test_wet_soil_is_too_heavy_before_the_box_is_full_and_mulch_is_not() -> None:
    """10 cy of wet earth at 2,580 lb/cy (Peurifoy, earth properties, from memory) are 12.9 tons."""
    ton, cy = weighed(row("topsoil", 10, "cy"), 10)
    assert (ton, cy) == (pytest.approx(12.9), 10)
    assert Truck().loads(ton, cy) == 2
    ton, cy = weighed(row("mulch", 15, "cy"), 15)
    assert ton == pytest.approx(6.0) and Truck().loads(ton, cy) == 2


def test_stone_weighs_by_the_cubic_yard_what_its_solid_and_voids_make() -> None:
    """165 lb/ft3 at 40 % voids: 165 x 27 x 0.6 = 2,673 lb, 1.34 tons a cubic yard."""
    assert LOOSE_LB_CY["stone"] / 2000 == pytest.approx(1.3365)
    # a home page of figures for riprap: 15 cy of gravel at 2,700 lb/cy are 20.25 tons (sciencing.com, seen)
    ton, _ = weighed(row("gravel", 15, "cy"), 15)
    assert ton == pytest.approx(20.25)


def test_loads_of_a_printed_example() -> None:
    """An estimating textbook (issuhub 4050, p. 80; seen): 1,300 loose cy in trucks of 7 cy are 186 loads."""
    assert Truck(ton=60, cy=7).loads(0, 1300) == 186


def test_kinds_ride_apart_and_parcels_are_one_load() -> None:
    rows = [(row("boulder_small", 7, "ton"), 7.0), (row("boulder_medium", 6, "ton"), 6.0)]
    assert freight(rows, Truck()).loads == 2, "13 tons of stone"
    rows += [(row("gravel", 1, "ton"), 1.0), (row("pump", 1, "pump"), 1.0), (row("liner", 500, "ft2"), 500.0)]
    load = freight(rows, Truck())
    assert load.loads == 2 + 1 + 1
    assert load.ton == pytest.approx(14.0)
    spoil = freight([(row("haul_load", 2, "truckload", needed=14.0), 2.0)], Truck())
    assert (spoil.cy, spoil.loads, spoil.parcels) == (14.0, 2, False)
    assert load.parcels and load.kinds_ton == pytest.approx({"stone": 13.0, "gravel": 1.0})
