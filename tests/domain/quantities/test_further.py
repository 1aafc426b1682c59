"""Further work of a design: amounts and materials against published rates and open sums."""

from __future__ import annotations

import math

import pytest

from planner.domain.design.read import read_design
from planner.domain.firm.items import ITEMS
from planner.domain.firm.jobs import Job, Line
from planner.domain.firm.phases import Phase
from planner.domain.quantities.further import spread_cy
from planner.domain.quantities.further_materials import seed_lb
from planner.domain.quantities.materials import materials
from planner.domain.quantities.orders import CALLED_BY, job_materials
from planner.domain.quantities.takeoff import take_off
from planner.errors import BadInputs
from planner.store.shipped.rates import shipped_rate_book

POND = """
name = "Bare pond (invented)"
[outline]
shape = "ellipse"
length_ft = 14
width_ft = 10
[[step]]
down_in = 24
"""
CLOSING = """
[closing]
mats_ft = 60
fence_ft = 80
toilets = 1
lawn_seed_ft2 = 1000
lawn_sod_ft2 = 200
topsoil_in = 2
mulched_beds_ft2 = 120
mulch_in = 3
paving_ft2 = 400
rubbish_cy = 12
"""


def amounts(text: str) -> dict[str, float]:
    """Item -> amount of the further work that a design's text asks for."""
    lines = take_off(read_design(POND + text)).lines
    return {line.item: line.quantity for line in lines if ITEMS[line.item].further}


def rows(text: str) -> dict[str, tuple[float, str]]:
    """Material key -> what is ordered of it."""
    return {row.key: (row.order, row.order_unit) for row in materials(take_off(read_design(POND + text)))}


def test_a_design_that_asks_for_nothing_gets_nothing() -> None:
    assert amounts("") == {}


def test_every_further_item_that_takes_hours_has_its_row_and_all_else_has_none() -> None:
    book = shipped_rate_book()
    for item in ITEMS.values():
        if item.rate:
            assert book.row(item.rate).unit == item.unit, item.key
        if item.phase is Phase.FILL:
            assert item.part in (1, 2), item.key


@pytest.mark.parametrize(("deep_in", "covers_ft2"), [(1, 324), (2, 162), (3, 108), (4, 81)])
def test_a_yard_covers_what_the_merchants_say(deep_in: float, covers_ft2: float) -> None:
    """Mulch, compost and topsoil calculations, Berks County merchant's sheet (behmerwald.com, read 2026)."""
    assert spread_cy(covers_ft2, deep_in) == pytest.approx(1.0)


@pytest.mark.parametrize(
    ("grass", "low", "high"),
    [("kentucky bluegrass", 1, 3), ("perennial ryegrass", 4, 6), ("tall fescue", 6, 8)],
)
def test_seed_lies_in_the_published_band(grass: str, low: float, high: float) -> None:
    """Cornell University, Safe Sports Fields, Seeding rates, lb per 1,000 ft2 (read 2026)."""
    assert seed_lb(1000, grass) == (low + high) / 2


def test_closing_the_site_comes_to_what_a_pocket_calculator_says() -> None:
    found = amounts(CLOSING)
    assert found["topsoil_cy"] == pytest.approx((1000 + 200) * 2 / 12 / 27, abs=0.01)
    assert found["mulch_cy"] == pytest.approx(120 * 0.25 / 27, abs=0.01)
    assert (found["mats_ft"], found["site_fence_ft"], found["toilets"]) == (60, 80, 1)
    assert (found["loadings"], found["last_walks"], found["rubbish_cy"]) == (1, 1, 12)
    ordered = rows(CLOSING)
    assert ordered["mats"] == (math.ceil(60 / 8), "piece")
    assert ordered["topsoil"] == (9.0, "cy")  # 7.41 x 1.15 = 8.52, up to the half yard
    assert ordered["lawn_seed"] == (10.0, "lb")  # 7 lb x 1.1 = 7.7, up to bags of 5 lb
    assert ordered["sod"] == (210.0, "ft2")
    assert ordered["rubbish_load"] == (2.0, "truckload")


def test_a_job_without_a_design_orders_the_same_by_its_own_lines() -> None:
    lines = tuple(Line(item, amount) for item, amount in amounts(CLOSING).items())
    found = {
        row.key: (row.order, row.order_unit) for row in job_materials(Job("P", "Mrs Ash", lines=lines), None)
    }
    drawn = rows(CLOSING)
    assert found == {key: drawn[key] for key in found}
    assert set(found) == {key for key, item in CALLED_BY.items() if item in amounts(CLOSING)}


def test_what_cannot_be_is_told_by_place_value_and_fix() -> None:
    with pytest.raises(BadInputs) as caught:
        read_design(POND + '[closing]\nlawn_seed_ft2 = -3\ngrass = "moss"\nlast_walk = "maybe"\n')
    told = str(caught.value)
    assert "[closing]" in told and "lawn_seed_ft2" in told and "tall fescue" in told and "yes, no" in told
