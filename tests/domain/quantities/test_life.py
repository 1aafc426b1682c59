"""Life: what fish ask of filter and water, the bog by both claims, plants on their shelves."""

from __future__ import annotations

import math

import pytest

from planner.domain.design.levels import levels_of
from planner.domain.design.living import PLANT_IN, Bog, Fish, Plant
from planner.domain.design.read import read_design
from planner.domain.quantities.faults import faults
from planner.domain.quantities.life import (
    AMMONIA_OF_PROTEIN,
    GRAVEL_VOIDS,
    PROTEIN,
    bog_size,
    fish_lb,
    gravel_ft2_ft3,
    load,
    place_of,
)
from planner.domain.quantities.materials import materials
from planner.domain.quantities.takeoff import Takeoff, take_off

POND = """
name = "Fish pond (invented)"
[outline]
shape = "ellipse"
length_ft = 40
width_ft = 30
[[step]]
down_in = 9
ledge_in = 18
[[step]]
down_in = 10
ledge_in = 18
[[step]]
down_in = 20
[skimmer]
"""
LIFE = """
[fish]
count = 20
length_in = 14
[bog]
[uv]
[[plant]]
name = "iris"
kind = "marginal"
count = 12
[[plant]]
name = "white lily"
kind = "lily"
count = 3
pot_in = 6
"""


def taken(text: str) -> Takeoff:
    return take_off(read_design(POND + text))


def test_ammonia_from_feed_is_the_thirty_grams_of_the_trade() -> None:
    """Timmons and Ebeling's 0.092 of the protein, at 32 %: agentcalc.com's 30 g a kg of feed (2026)."""
    grams = 1000.0 * PROTEIN * AMMONIA_OF_PROTEIN
    assert grams == pytest.approx(30.0, rel=0.02)


def test_filter_surface_as_the_published_example_has_it() -> None:
    """5 kg a day at 0.6 g a m2: 250 m2 (agentcalc.com, 2026); here at 0.5 g: 300 m2."""
    weight_lb = load(Fish(1, 12.0), 1e6, 1e6).weight_lb
    share = 5.0 / 0.45359237 / weight_lb
    found = load(Fish(1, 12.0, feed_share=share), 1e6, 1e6)
    assert found.media_ft2 * 0.3048**2 * 0.5 / 0.6 == pytest.approx(250.0, rel=0.02)


def test_a_fish_weighs_with_the_cube_of_its_length() -> None:
    """Fulton's condition K = 100 W / L^3 (g, cm; from memory), which is 1.6 for a well-fed carp."""
    grams = fish_lb(14.0) * 453.59237
    assert 100.0 * grams / (14.0 * 2.54) ** 3 == pytest.approx(1.6)


def test_gravel_has_the_surface_of_its_spheres() -> None:
    """Counted again: so many spheres fill 60 % of a cubic foot, each with pi d2 of surface."""
    d = 0.375 / 12.0
    spheres = (1.0 - GRAVEL_VOIDS) / (math.pi / 6.0 * d**3)
    assert gravel_ft2_ft3(0.375) == pytest.approx(spheres * math.pi * d**2)


def test_a_bog_holds_the_flow_for_its_minutes() -> None:
    """60 gpm for 4 minutes are 240 gal, 32.1 ft3, in the 40 % that gravel leaves, 1.5 ft deep."""
    found = bog_size(Bog(), 60.0, None)
    assert found.by_turnover_ft2 == pytest.approx(60 * 4 / 7.48052 / 0.4 / 1.5, rel=1e-5)
    assert found.area_ft2 == math.ceil(found.by_turnover_ft2) and found.by_feed_ft2 == 0.0


def test_heavy_feed_makes_the_bog_larger_than_turnover_does() -> None:
    fish = load(Fish(400, 24.0, feed_share=0.03), 1e6, 1e6)
    found = bog_size(Bog(flow_share=0.05), 60.0, fish)
    assert found.by_feed_ft2 > found.by_turnover_ft2
    assert found.area_ft2 * 1.5 * gravel_ft2_ft3(0.375) >= fish.media_ft2


@pytest.mark.parametrize(("kind", "most_in"), [("marginal", 6), ("lily", 12), ("lotus", 30)])
def test_plants_stand_as_deep_as_the_university_says(kind: str, most_in: float) -> None:
    """Langston University Aquaculture, Pond Design: emergents to 6 in, lilies to 12, lotus to 30 (2026)."""
    assert PLANT_IN[kind][1] == most_in


def test_each_plant_stands_on_a_shelf_that_fits() -> None:
    levels = levels_of(read_design(POND))
    assert place_of(Plant("iris", "marginal", 1), levels) == ("shelf 1", 6.0)
    assert place_of(Plant("lily", "lily", 1, pot_in=6.0), levels) == ("shelf 2", 10.0)
    assert place_of(Plant("weed", "submerged", 1), levels) == ("floor", 36.0)
    assert place_of(Plant("tall", "marginal", 1, pot_in=7.5), levels) is None


def test_a_pond_with_life_comes_to_its_lines_and_orders() -> None:
    found = taken(LIFE)
    assert faults(found) == ()
    assert found.bog is not None and found.load is not None
    area = found.bog.area_ft2
    assert found.amount("bog_ft2") == area
    assert found.amount("bog_gravel_ton") == pytest.approx(area * 1.5 / 27 * 2700 / 2000)
    items = ("uv_units", "plants", "water_tests", "fish")
    assert [found.amount(item) for item in items] == [1, 15, 2, 20]
    words = {row.words: row.order for row in materials(found)}
    assert words["iris, shelf 1"] == 12 and words["white lily, shelf 2"] == 3 and words["fish"] == 20
    lamp = next(row.words for row in materials(found) if row.key == "uv_unit")
    assert lamp == f"ultraviolet unit, {8 * found.water.net_gal / 1000:.0f} W or more"


@pytest.mark.parametrize(
    ("change", "told"),
    [
        (("count = 20", "count = 200"), "[fish]: count = '200 of 14 in make 2800 in'"),
        (("[bog]", "[bog]\narea_ft2 = 20"), "[bog]: area_ft2 = '20': turnover asks for"),
        (("pot_in = 6", "pot_in = 34"), "[[plant]]: white lily = 'lily': no shelf leaves"),
        (("[bog]", ""), ""),
        (("length_in = 14\n[bog]", "length_in = 14\nbox_media_ft2 = 50"), "[fish]: box_media_ft2 = '50 ft2'"),
    ],
)
def test_what_cannot_live_is_told_in_one_line(change: tuple[str, str], told: str) -> None:
    found = [str(fault) for fault in faults(taken(LIFE.replace(*change)))]
    assert [told in line for line in found] == ([True] if told else [])


def test_fish_need_a_filter() -> None:
    bare = POND.replace("[skimmer]\n", "") + LIFE.replace("[bog]", "")
    (fault,) = faults(take_off(read_design(bare)))
    assert "fish need a filter" in str(fault)
