"""Water besides the pump line: storm, pipe and swale, dose, wet hole and sun against published figures."""

from __future__ import annotations

import math

import pytest

from planner.domain.design.besides import DECHLOR_LB, RUNOFF_C, Evaporation, GroundWater, Storm
from planner.domain.design.read import read_design
from planner.domain.quantities.faults import faults
from planner.domain.quantities.materials import materials
from planner.domain.quantities.stormwater import (
    BOTTOM_FT,
    MARGIN_FT,
    N_GRASS,
    SIDES,
    full_pipe_cfs,
    overflow,
    rational_cfs,
)
from planner.domain.quantities.takeoff import take_off
from planner.domain.quantities.watercare import dose_oz, evaporation_gal_day, pump_h_day
from planner.errors import BadInputs
from tests.domain.quantities.test_further import POND

WET = """
[site]
soil = "clay"
[ground_water]
days = 3
inflow_gpm = 5
[storm]
place = "Farrow (invented)"
intensity_in_h = 6.2
source = "NOAA Atlas 14"
runoff_ft2 = 2000
length_ft = 30
[town_water]
chlorine_mg_l = 2
drain_down_percent = 20
[evaporation]
pan_month_in = 8
auto_fill = "yes"
line_ft = 60
"""


def test_rational_method_as_a_textbook_has_it() -> None:
    """0.20 mi2, C 0.4, 2.87 in/h: 146.9 cfs (homeworksource.com 978245, textbook problem 7-3)."""
    assert rational_cfs(0.4, 2.87, 0.20 * 5280**2) == pytest.approx(146.94, abs=0.01)


def test_rational_method_is_a_volume_over_a_time() -> None:
    """In feet and seconds, without the acre: 1.008 of the usual factor 1, which manuals leave out."""
    exact = 0.35 * (6.0 / 12.0 / 3600.0) * 10_000.0
    assert rational_cfs(0.35, 6.0, 10_000.0) == pytest.approx(exact / 1.00833, rel=1e-4)


@pytest.mark.parametrize(
    ("ground", "band"),
    [("lawn, heavy, flat", (0.13, 0.17)), ("lawn, sandy, steep", (0.15, 0.20)), ("roof", (0.75, 0.95))],
)
def test_runoff_coefficients(ground: str, band: tuple[float, float]) -> None:
    """University of Illinois, TSM 352, Runoff coefficients (ASCE); roofs: ASCE's 0.75 to 0.95."""
    assert RUNOFF_C[ground] == band


def test_a_full_pipe_by_the_worked_example() -> None:
    """24 in concrete pipe, n 0.012, 0.3 %: 13.4 cfs (pe-calc.com, worked example after FHWA HDS-5)."""
    assert full_pipe_cfs(24.0, 0.003, 0.012) == pytest.approx(13.4, abs=0.05)


@pytest.mark.parametrize("size_in", [3, 4, 6, 8, 12])
def test_a_full_pipe_by_its_diameter_alone(size_in: float) -> None:
    """The closed form of handbooks, Q = 0.463 / n D^(8/3) S^(1/2) (from memory), Austin's n of 0.010."""
    assert full_pipe_cfs(size_in, 0.01) == pytest.approx(
        0.463 / 0.010 * (size_in / 12) ** (8 / 3) * 0.1, rel=2e-3
    )


def test_a_swale_carries_what_it_must_at_its_depth() -> None:
    """Manning with the depth put back in, in its velocity form."""
    storm = Storm("Farrow", 7.0, runoff_ft2=40_000, ground="lawn, heavy, steep", way="swale", fall=0.02)
    found = overflow(storm, 500.0)
    assert found is not None
    wet = found.deep_ft - MARGIN_FT
    area, around = wet * (BOTTOM_FT + SIDES * wet), BOTTOM_FT + 2 * wet * math.sqrt(1 + SIDES**2)
    speed = 1.486 / N_GRASS * (area / around) ** (2 / 3) * math.sqrt(0.02)
    assert speed * area == pytest.approx(found.flow_cfs, rel=1e-6)
    assert speed == pytest.approx(found.speed_ft_s, rel=1e-6)
    assert found.flow_cfs == pytest.approx((0.35 * 40_000 + 500) * 7.0 / 43_560)


def test_the_smallest_pipe_that_carries_the_storm() -> None:
    sizes = []
    for ground_ft2 in (2_000, 8_000, 30_000, 60_000):
        found = overflow(Storm("Farrow", 6.2, runoff_ft2=ground_ft2), 110.0)
        assert found is not None and found.carries_cfs >= found.flow_cfs
        sizes.append(found.pipe_in)
    assert sizes == sorted(sizes) and sizes[0] < sizes[-1]


@pytest.mark.parametrize(
    ("agent", "mg_per_mg"),
    [
        ("sodium thiosulfate", 1.9),
        ("sodium bisulfite", 1.61),
        ("sodium sulfite", 1.96),
        ("ascorbic acid", 2.5),
    ],
)
def test_the_dose_by_weight_of_chlorine(agent: str, mg_per_mg: float) -> None:
    """The same guide's table 7-2, mg per mg of chlorine; 100,000 gal at 1 mg/L hold 0.834 lb."""
    assert DECHLOR_LB[agent] == pytest.approx(mg_per_mg * 0.8345, abs=0.012)
    assert dose_oz(1_399, 2.0, agent) == pytest.approx(1_399 * 3.785 * 2.0 * mg_per_mg / 28_350, rel=0.01)


def test_the_sun_takes_inches_of_the_surface() -> None:
    """One inch over one square foot is 0.623 gal; 0.70 of the pan (NOAA NWS 33, 1982, from memory)."""
    lost = evaporation_gal_day(Evaporation(8.0), 110.0)
    assert lost == pytest.approx(110 * 0.623377 * 8 * 0.70 / 30.4375, rel=1e-5)


def test_a_pump_runs_as_long_as_the_hole_fills() -> None:
    hole = GroundWater(days=3, inflow_gpm=5.0, pump_gpm=30.0)
    assert pump_h_day(hole) * 60 * 30.0 == pytest.approx(24 * 60 * 5.0)


def test_a_wet_clay_site_comes_to_its_lines_and_orders() -> None:
    taken = take_off(read_design(POND + WET))
    fill = taken.amount("fill_gal")
    assert [taken.amount(i) for i in ("sumps", "dewater_days", "overflow_ft", "auto_fills")] == [1, 3, 30, 1]
    assert taken.amount("drain_gal") == pytest.approx(0.2 * fill)
    assert taken.amount("dosed_gal") == pytest.approx(1.2 * fill)
    assert taken.amount("dechlorinator_oz") == pytest.approx(1.2 * fill * 3.785 * 2 * 1.9 / 28_350, rel=0.01)
    assert taken.overflow is not None and taken.overflow.pipe_in == 3.0
    ordered = {row.key: (row.words, row.order, row.order_unit) for row in materials(taken)}
    assert ordered["overflow_pipe"] == ("overflow pipe, 3 in, smooth", 40.0, "ft")
    assert ordered["dewatering_pump"][1:] == (3.0, "day")
    assert ordered["dechlorinator"] == ("dechlorinator, sodium thiosulfate", 1.0, "lb")
    assert ordered["fill_line"][1:] == (60.0, "ft")


def test_bad_water_is_told_in_one_line_each() -> None:
    bad = WET.replace('place = "Farrow (invented)"\n', "").replace("inflow_gpm = 5", "inflow_gpm = 50")
    with pytest.raises(BadInputs) as caught:
        read_design(POND + bad.replace("chlorine_mg_l = 2\n", ""))
    lines = str(caught.value).splitlines()
    assert len(lines) == 3
    assert any("[storm]: place" in line and "belongs to a place" in line for line in lines)
    assert any("[ground_water]: pump" in line and "50 gpm into the hole" in line for line in lines)
    assert any("[town_water]: chlorine_mg_l" in line for line in lines)


def test_a_storm_that_no_pipe_carries_is_refused() -> None:
    taken = take_off(read_design(POND + WET.replace("runoff_ft2 = 2000", "runoff_ft2 = 400000")))
    (fault,) = faults(taken)
    assert "[storm]: way" in str(fault) and "swale" in str(fault)
