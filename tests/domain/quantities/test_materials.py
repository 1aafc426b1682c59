"""Materials, pull lists and cautions of a take-off."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from planner.domain.design.design import Berm, Box, Design, Falls, Site, Stream
from planner.domain.design.outline import ellipse, rectangle
from planner.domain.design.shelves import Step
from planner.domain.firm.jobs import Access
from planner.domain.firm.phases import ORDER, Phase
from planner.domain.quantities.cautions import cautions, clock
from planner.domain.quantities.material import WASTE
from planner.domain.quantities.materials import materials, pull_list, total_usd
from planner.domain.quantities.takeoff import take_off
from planner.domain.safety.lifting import Lift

WHOLE = Design(
    "whole",
    rectangle(20, 14),
    (Step(8, 12), Step(8, 18), Step(8)),
    falls=Falls((14, 10), 24, stream=Stream(8, 2.5, 4, 6), berm=Berm(12, 6, 30)),
    skimmer=Box(),
    top_box=Box(dug_in=6),
    prices={"gravel": 40.0, "liner": 1.0},
)


def by_key(design: Design, units: str = "us"):
    return {row.key: row for row in materials(take_off(design), units)}


def test_orders_hold_waste_and_stock_sizes():
    takeoff = take_off(WHOLE)
    rows = by_key(WHOLE)
    gravel = rows["gravel"]
    assert gravel.order == math.ceil(gravel.needed * (1 + WASTE["gravel"]) / 0.5) * 0.5
    assert (rows["liner"].order, rows["liner"].order_size) == (20 * 26, "1 of 20 ft x 26 ft")
    assert rows["pipe"].order % 25 == 0
    assert rows["pipe"].order >= rows["pipe"].needed * 1.05
    assert rows["haul_load"].order == takeoff.earth.loads
    assert "clean_fill" not in rows
    for row in rows.values():
        if row.unit == row.order_unit:
            assert row.order >= row.needed


def test_pull_lists_part_the_materials_by_phase():
    rows = materials(take_off(WHOLE))
    lists = [pull_list(rows, phase) for phase in ORDER]
    assert sum(len(part) for part in lists) == len(rows)
    assert {row.key for row in pull_list(rows, Phase.LINER)} == {
        "liner",
        "stream_liner",
        "underlayment",
        "seam_tape",
    }
    assert all(row.order > 0 for row in rows)


def test_prices_are_per_ordered_unit_and_gaps_are_counted():
    rows = materials(take_off(WHOLE))
    priced = {row.key: row for row in rows}
    total, without = total_usd(rows)
    assert total == pytest.approx(priced["gravel"].order * 40 + priced["liner"].order)
    assert without == len(rows) - 2


def test_a_mound_larger_than_the_hole_asks_for_fill():
    rows = by_key(replace(WHOLE, falls=Falls((24,), 24, berm=Berm(30, 14, 48))))
    assert rows["clean_fill"].order == math.ceil(rows["clean_fill"].needed / 10)
    assert "haul_load" not in rows


def said(design: Design, units: str = "us", **how) -> str:
    return "\n".join(c.text for c in cautions(take_off(design, **how), units))


def test_depth_triggers():
    """29 CFR 1926.651(c)(2): exit from 4 ft; .652(a)(1): protection from 5 ft; .652(b): engineer, 20 ft."""
    deep = {
        ft: said(Design("pit", ellipse(60, 60), (Step(12 * ft),))) for ft in (3.9, 4.0, 4.9, 5.0, 19.9, 20.0)
    }
    assert [("ladder" in text) for text in deep.values()] == [False, True, True, True, True, True]
    assert [("type C" in text) for text in deep.values()] == [False, False, False, True, True, True]
    assert [("engineer" in text) for text in deep.values()] == [False, False, False, False, False, True]
    # Table B-1, type C: 1 1/2 back for 1 down; a 5 ft cut goes back 7.5 ft
    assert "1.5 back for 1 down (7 ft 6 in here)" in deep[5.0]


def test_every_design_calls_for_locate_set_back_electrician_and_children():
    text = said(WHOLE)
    for words in ("utility locate", "2 ft back", "licensed electrician", "small children"):
        assert words in text
    assert "0.61 m back" in said(WHOLE, "metric")


def test_barrier_depths_are_those_passed():
    shallow = said(Design("bog", ellipse(10, 10), (Step(14),), water_line_in=3))
    assert "some towns begin at" not in shallow
    assert "12 in, 18 in, 24 in;" in said(Design("deep", ellipse(10, 10), (Step(30),), water_line_in=3))
    assert "250 ft2" in said(Design("wide", ellipse(30, 30), (Step(30),), water_line_in=3))


def test_stone_weights_follow_the_stated_reach():
    """NIOSH 94-110: ground, close 23.0 lb; far reach with twist 30 degrees 14.9 lb (poor grip)."""
    assert "23 lb for one person" in said(WHOLE)
    far = replace(WHOLE, reach=Lift(20, 4, 26, 30))
    assert "15 lb for one person" in said(far)
    assert "36 in across, about 2,333 lb: machine or dolly" in said(WHOLE)
    assert "no machine reaches" in said(replace(WHOLE, site=Site(access=Access.HAND)))


def test_clock():
    assert [clock(h) for h in (0, 13.25, 24, 25.5)] == ["00:00", "13:15", "00:00", "01:30"]
