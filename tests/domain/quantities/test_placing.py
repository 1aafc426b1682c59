"""Stones against hands, dolly and the machine's plate; the pad under the falls against the code's table."""

from __future__ import annotations

import math

import pytest

from planner.domain.design.besides import Boulder, Footing, Placing, block_lb
from planner.domain.design.read import read_design
from planner.domain.firm.jobs import Access, Soil
from planner.domain.firm.phases import Phase
from planner.domain.quantities.cautions import cautions
from planner.domain.quantities.faults import faults
from planner.domain.quantities.materials import materials
from planner.domain.quantities.placing import BEARING_PSF, capacity_lb, class_limit_in, pressure_psf, way_of
from planner.domain.quantities.takeoff import take_off
from planner.errors import BadInputs
from tests.domain.quantities.test_further import POND

STONE = """
[waterfall]
drops_in = [14, 10]
lip_in = 24
[placing]
table_ft_lb = [[8, 2400], [12, 1700], [16, 1000]]
basis = "tipping"
stand_ft = [-14, 0]
wall_reach_ft = 16
[[boulder]]
name = "old man"
sides_in = [36, 24, 18]
at_ft = [-4, 0]
[[boulder]]
name = "seat"
weight_lb = 580
at_ft = [10, 0]
[footing]
length_ft = 5
width_ft = 4
"""


@pytest.mark.parametrize(("basis", "share"), [("tipping", 0.75), ("hydraulic", 0.87), ("rated", 1.0)])
def test_what_of_a_plate_may_be_lifted(basis: str, share: float) -> None:
    """ISO 10567:2007 as makers' manuals quote it: the lesser of 75 % of tipping and 87 % of hydraulic."""
    placing = Placing(table=((10.0, 2000.0),), basis=basis, rigging_lb=0.0)
    assert capacity_lb(placing, 10.0) == pytest.approx(2000.0 * share)


def test_between_two_radii_the_outer_figure_counts_and_beyond_the_plate_nothing() -> None:
    placing = Placing(table=((8.0, 2400.0), (12.0, 1700.0)), rigging_lb=60.0)
    assert [capacity_lb(placing, r) for r in (8.0, 8.1, 12.0, 12.1)] == [2340.0, 1640.0, 1640.0, 0.0]


@pytest.mark.parametrize(
    ("soil", "psf"), [(Soil.SAND, 2000), (Soil.CLAY, 1500), (Soil.LOAM, 1500), (Soil.ROCK, 4000)]
)
def test_ground_bears_what_the_building_code_presumes(soil: Soil, psf: float) -> None:
    """International Building Code 2012, table 1806.2: sand (SW, SP, SM), clay and silt, foliated rock."""
    assert BEARING_PSF[soil] == psf


def test_no_soil_but_rock_is_trusted_beyond_the_federal_figure_for_very_dense_ground() -> None:
    """24 CFR 3285.202, table: 2,000 psf for gravel and dense sand; (e): 1,500 psf where nobody tested."""
    assert all(psf <= 2000 for soil, psf in BEARING_PSF.items() if soil is not Soil.ROCK)
    assert min(BEARING_PSF.values()) == 1500


def test_pressure_is_weight_over_area() -> None:
    """2.25 ton of falls and 500 lb besides on 5 x 4 ft: 5,000 lb on 20 ft2."""
    assert pressure_psf(Footing(5.0, 4.0, extra_lb=500.0), 2.25) == pytest.approx(250.0)


def test_a_block_lies_between_an_ellipsoid_and_its_box() -> None:
    """The Corps' sphere is pi/6 of its cube (WES, Streambank Stabilization Handbook, app. A, eq. A.1)."""
    box = 36 * 24 * 18 / 1728 * 165
    assert math.pi / 6 * box < block_lb((36.0, 24.0, 18.0), 165.0) < box


def test_each_named_boulder_has_its_way_and_is_ordered_by_name() -> None:
    taken = take_off(read_design(POND + STONE))
    assert faults(taken) == ()
    ways = {
        way.boulder.name: way
        for way in (way_of(b, taken.design, taken.access) for b in taken.design.boulders)
    }
    assert ways["old man"].by == "machine" and ways["seat"].by == "dolly"
    assert ways["old man"].boulder.radius_ft == pytest.approx(10.0)
    assert ways["old man"].machine_lb == pytest.approx(1700 * 0.75 - 60)
    by_sides = 0.75 * 36 * 24 * 18 / 1728 * 165
    assert taken.amount("named_boulder_ton") == pytest.approx((by_sides + 580) / 2000)
    assert taken.amount("footing_cy") == pytest.approx(5 * 4 * 0.5 / 27)
    words = [row.words for row in materials(taken) if row.key == "named_boulder"]
    assert words == ["boulder old man, 1,114 lb", "boulder seat, 580 lb"]


def test_a_class_too_heavy_for_the_farthest_wall_is_told_in_its_order() -> None:
    """At 16 ft the plate leaves 690 lb: a round stone of 24 in weighs 691 lb (the Corps' eq. A.1)."""
    taken = take_off(read_design(POND + STONE))
    limit = class_limit_in(taken.design, taken.access, "large")
    assert limit == pytest.approx(24.0, abs=0.02)
    assert class_limit_in(taken.design, taken.access, "small") is None
    large = next(row for row in materials(taken) if row.key == "boulder_large")
    assert large.words == "boulders 18 in to 36 in, none over 23 in"
    told = [row.text for row in cautions(taken) if row.phase is Phase.ROCK]
    assert any("order none larger" in text for text in told)


@pytest.mark.parametrize(
    ("change", "access", "told"),
    [
        (("weight_lb = 580", "weight_lb = 980"), Access.MACHINE, "nothing here sets more than 600 lb"),
        (
            ("table_ft_lb = [[8, 2400], [12, 1700], [16, 1000]]\n", ""),
            Access.MACHINE,
            "from the machine's plate",
        ),
        (("at_ft = [-4, 0]\n", ""), Access.MACHINE, "give radius_ft"),
        (("", ""), Access.NARROW, "no machine reaches the hole"),
    ],
)
def test_a_boulder_that_nothing_can_place_is_refused(
    change: tuple[str, str], access: Access, told: str
) -> None:
    found = faults(take_off(read_design(POND + STONE.replace(*change)), access=access))
    assert [f for f in found if f.where == "[[boulder]]" and told in str(f)]


def test_a_pad_too_small_and_a_pad_on_fill_are_refused() -> None:
    small = STONE.replace("length_ft = 5\nwidth_ft = 4", "length_ft = 0.5\nwidth_ft = 0.5")
    (fault,) = faults(take_off(read_design(POND + small), Soil.CLAY))
    assert "clay bears 1,500" in str(fault)
    (fault,) = faults(take_off(read_design(POND + STONE + 'on_fill = "yes"\n')))
    assert "soils engineer" in str(fault)


def test_a_plate_that_rises_and_a_boulder_without_a_weight_are_refused() -> None:
    bad = STONE.replace("[12, 1700]", "[12, 2700]").replace("weight_lb = 580\n", "")
    with pytest.raises(BadInputs) as caught:
        read_design(POND + bad)
    assert "lifts less farther out" in str(caught.value) and "sides_in" in str(caught.value)


def test_hands_come_first() -> None:
    """NIOSH 94-110: some 23 lb for one person, 31 lb for two, at the usual reach of a design."""
    design = read_design(POND)
    assert way_of(Boulder("cobble", 30.0), design, Access.HAND).by == "hands"
    assert way_of(Boulder("stone", 300.0), design, Access.HAND).by == "dolly"
