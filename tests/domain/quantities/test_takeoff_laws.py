"""Laws of the take-off over random ponds: more never needs less, splitting and turning change nothing."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st

from planner.domain.design.design import (
    Berm,
    Box,
    Design,
    Falls,
    Filling,
    Plumbing,
    Sheet,
    Site,
    Stone,
    Stream,
)
from planner.domain.design.outline import Outline, corners, ellipse, kidney, rectangle
from planner.domain.design.shelves import Step, Viewing, layers
from planner.domain.quantities.takeoff import Takeoff, take_off
from planner.domain.quantities.waterwork import filling_time
from planner.errors import BadInput

quick = settings(
    max_examples=30, deadline=None, derandomize=True, suppress_health_check=[HealthCheck.filter_too_much]
)
lengths = st.floats(10, 40)


@st.composite
def outlines(draw: st.DrawFn) -> Outline:
    kind = draw(st.sampled_from(["ellipse", "kidney", "rectangle", "star"]))
    length, width = draw(lengths), draw(lengths)
    if kind == "ellipse":
        return ellipse(length, width)
    if kind == "kidney":
        return kidney(length, width)
    if kind == "rectangle":
        return rectangle(length, width, draw(st.floats(0, 3)))
    reach = draw(st.lists(st.floats(6, 16), min_size=5, max_size=9))
    turn = 2 * math.pi / len(reach)
    return corners([(r * math.cos(i * turn), r * math.sin(i * turn)) for i, r in enumerate(reach)])


@st.composite
def steps(draw: st.DrawFn) -> tuple[Step, ...]:
    shelves = draw(st.lists(st.floats(6, 24), max_size=2))
    batter = draw(st.sampled_from([0.0, 0.0, 0.25, 1.0]))
    walls = [Step(draw(st.floats(6, 14)), shelf, batter=batter) for shelf in shelves]
    return (*walls, Step(draw(st.floats(6, 20)), batter=batter))


@st.composite
def designs(draw: st.DrawFn) -> Design:
    falls = Falls(
        (draw(st.floats(6, 24)),),
        draw(st.floats(12, 36)),
        stream=Stream(draw(st.floats(3, 12)), 2.0) if draw(st.booleans()) else None,
        berm=Berm(8, 5, 18),
    )
    return Design(
        "law",
        draw(outlines()),
        draw(steps()),
        falls=falls if draw(st.booleans()) else None,
        skimmer=Box() if draw(st.booleans()) else None,
        basins=99,
    )


def off(design: Design) -> Takeoff:
    try:
        return take_off(design)
    except BadInput:
        assume(False)
        raise


#: what the site gives rather than needs, or what a larger pond may carry in fewer, larger pieces
NOT_NEEDS = {"hose_gpm", "truck_cy"}


def amounts(takeoff: Takeoff) -> dict[str, float]:
    return {line.item: line.quantity for line in takeoff.lines if line.item not in NOT_NEEDS}


def no_less(small: Takeoff, large: Takeoff) -> None:
    less, more = amounts(small), amounts(large)
    for item, quantity in less.items():
        assert more.get(item, 0.0) >= quantity * (1 - 1e-4) - 0.02, item
    assert large.water.filled.hours >= small.water.filled.hours * (1 - 1e-4)
    assert large.sheet.weight_lb >= small.sheet.weight_lb * (1 - 1e-4)
    assert large.earth.loads >= small.earth.loads


@given(designs(), st.floats(0.5, 12))
@quick
def test_deeper_never_needs_less(design, more_in):
    last = design.steps[-1]
    deeper = replace(design, steps=(*design.steps[:-1], replace(last, down_in=last.down_in + more_in)))
    no_less(off(design), off(deeper))


@given(designs(), st.floats(1.01, 1.6))
@quick
def test_larger_never_needs_less(design, k):
    no_less(off(design), off(replace(design, outline=design.outline.scaled(k))))


@given(designs(), st.floats(0.15, 0.85), st.integers(0, 2))
@quick
def test_splitting_a_layer_changes_nothing(design, part, which):
    number = which % len(design.steps)
    step = design.steps[number]
    upper = replace(step, down_in=step.down_in * part, shelf_in=0.0)
    lower = replace(step, down_in=step.down_in * (1 - part))
    split = replace(design, steps=(*design.steps[:number], upper, lower, *design.steps[number + 1 :]))
    whole, halves = off(design), off(split)
    # battered walls are summed over prismoids; over a hollow outline the sheet follows the top of each layer
    loose = 1.5e-3 if step.batter else 1e-6
    sheet = 1e-2 if step.batter else 1e-6
    for item, quantity in amounts(whole).items():
        rel = sheet if item in {"liner_ft2", "underlayment_ft2", "seams_ft"} else loose
        assert amounts(halves)[item] == pytest.approx(quantity, rel=rel, abs=0.02), item


@given(designs(), st.floats(0, 360))
@quick
def test_turning_changes_nothing(design, degrees):
    turned = replace(design, outline=design.outline.turned(degrees))
    before, after = amounts(off(design)), amounts(off(turned))
    for item, quantity in before.items():
        assert after[item] == pytest.approx(quantity, rel=2e-4, abs=0.02), item


@given(outlines(), st.floats(0, 360))
@quick
def test_turning_the_pond_with_its_viewing_side_changes_nothing(outline, degrees):
    wide = (Step(8, 9, 18), Step(12))
    design = Design("seen", outline, wide, viewing=Viewing(30, 80), basins=99)
    turned = replace(design, outline=outline.turned(degrees), viewing=Viewing(30 + degrees, 80))
    assert amounts(off(turned)) == pytest.approx(amounts(off(design)), rel=5e-4, abs=0.02)


@given(outlines(), steps(), st.floats(0.5, 2.5))
@quick
def test_scale_multiplies_lengths_areas_and_volumes(outline, cut, k):
    """Scaled in every length, areas grow by k2, volumes (and tons, gallons) by k3."""
    stone, sheet, site = Stone(), Sheet(), Site()
    small = Design("k", outline, cut, basins=99)
    large = Design(
        "k",
        outline.scaled(k),
        tuple(
            replace(s, down_in=s.down_in * k, shelf_in=s.shelf_in * k, stone_in=s.stone_in * k) for s in cut
        ),
        water_line_in=small.water_line_in * k,
        basins=99,
        stone=replace(
            stone,
            gravel_in=stone.gravel_in * k,
            edge_in=stone.edge_in * k,
            edge_thick_in=stone.edge_thick_in * k,
        ),
        sheet=replace(sheet, overlap_in=sheet.overlap_in * k),
        site=replace(site, bucket_in=site.bucket_in * k, trim_in=site.trim_in * k),
    )
    try:
        one, two = take_off(small), take_off(large)
    except BadInput:
        assume(False)
        raise
    lengths_ft = [(t.design.outline.rim_ft, t.sheet.pond.length_ft) for t in (one, two)]
    areas_ft2 = [(t.sheet.pond.area_ft2, t.rock.gravel_ft2, t.water.surface_ft2) for t in (one, two)]
    volumes = [
        (t.earth.pond_cy, t.earth.hand_cy, t.water.net_gal, t.rock.gravel_ton, sum(t.rock.class_ton.values()))
        for t in (one, two)
    ]
    for power, (before, after) in enumerate((lengths_ft, areas_ft2, volumes), start=1):
        assert after == pytest.approx([k**power * x for x in before], rel=2e-3)


@given(
    st.floats(50, 20000), st.floats(2, 60), st.one_of(st.just(0.0), st.floats(0.01, 40)), st.floats(0, 3000)
)
@quick
def test_a_weaker_well_never_fills_quicker(gallons, hose, well, storage):
    town = filling_time(gallons, Filling(hose_gpm=hose))
    own = filling_time(gallons, Filling(hose_gpm=hose, well_gpm=well, well_storage_gal=storage))
    assert own.hours >= town.hours * (1 - 1e-9)
    assert own.mean_gpm * 60 * own.hours == pytest.approx(gallons)


@given(designs(), st.floats(1.05, 2))
@quick
def test_a_longer_line_never_needs_less_head(design, k):
    near = replace(design, plumbing=Plumbing(route_ft=20.0))
    far = replace(design, plumbing=Plumbing(route_ft=20.0 * k))
    one, two = off(near).water.pumping, off(far).water.pumping
    assert one is not None
    assert two is not None
    assert two.head_ft > one.head_ft
    assert layers(design.outline, design.steps, basins=99)[0].top_ft == 0.0
