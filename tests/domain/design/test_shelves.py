"""Stepped holes against closed forms, a printed example, and an integration that shares no geometry code."""

from __future__ import annotations

import math

import numpy as np
import pytest

from planner.domain.design.earth import (
    bank_for_compacted_cy,
    berm_ft3,
    cy,
    loose_cy,
    prismoid_ft3,
    truckloads,
)
from planner.domain.design.outline import corners, ellipse, rectangle
from planner.domain.design.shelves import Step, Viewing, inward, layers, pieces
from planner.domain.firm.jobs import Soil
from planner.errors import BadInput


def volume_ft3(outline, steps, **how) -> float:
    return sum(layer.volume_ft3() for layer in layers(outline, steps, **how))


def test_rectangular_pond_with_sloped_sides():
    """University of Regina, mathcentral QQ.09.07 tom4 (seen): 100 x 70 x 12 ft, 2:1: 44,256 ft3."""
    hole = layers(rectangle(100, 70), [Step(144, batter=2)])[0]
    assert hole.volume_ft3() == pytest.approx(44256, rel=1e-12)
    assert round(cy(hole.volume_ft3()), 1) == 1639.1
    assert float(hole.bottom.area) == pytest.approx(52 * 22)


def test_average_end_area_is_ten_percent_too_much_there():
    """The same page's figures by averaging the end areas: 1,809.8 CY (own arithmetic)."""
    assert cy((7000 + 1144) / 2 * 12) == pytest.approx(1809.8, abs=0.05)


def test_excavated_pond_of_the_handbook():
    """USDA NRCS AH 590 (1997), excavated ponds, from memory: (15,136 + 34,816 + 4,000) / 6 x 12 / 27."""
    assert cy(prismoid_ft3(88 * 172, 64 * 136, 4000, 12)) == pytest.approx(3996.4, abs=0.1)


def test_stepped_prism_in_closed_form():
    """20 x 14 ft; 8 in steps; shelves 12 and 18 in: 20x14, 18x12, 15x9 by 2/3 ft."""
    hole = layers(rectangle(20, 14), [Step(8, 12), Step(8, 18), Step(8)])
    assert [layer.volume_ft3() for layer in hole] == pytest.approx([280 * 2 / 3, 216 * 2 / 3, 135 * 2 / 3])
    assert [layer.wall_ft2 for layer in hole] == pytest.approx([68 * 2 / 3, 60 * 2 / 3, 48 * 2 / 3])


def test_stepped_cylinder_and_cone_in_closed_form():
    circle = ellipse(16, 16)
    assert volume_ft3(circle, [Step(12, 24), Step(12)]) == pytest.approx(math.pi * (64 + 36), rel=2e-4)
    # frustum: pi h / 3 (R2 + R r + r2), and its wall pi (R + r) x slope length
    hole = layers(circle, [Step(36, batter=1)])[0]
    assert hole.volume_ft3() == pytest.approx(math.pi * 3 / 3 * (64 + 40 + 25), rel=2e-4)
    assert hole.wall_ft2 == pytest.approx(math.pi * 13 * math.hypot(3, 3), rel=2e-4)


def test_volume_below_a_water_line():
    hole = layers(rectangle(10, 10), [Step(12), Step(12)])
    assert sum(layer.volume_ft3(0.25) for layer in hole) == pytest.approx(175)
    sloped = layers(rectangle(10, 10), [Step(24, batter=1)])[0]
    assert sloped.volume_ft3(1.0) == pytest.approx(prismoid_ft3(64, 49, 36, 1))


def ring(rng: np.random.Generator) -> list[tuple[float, float]]:
    """A random simple polygon, star-shaped and often hollow."""
    n = int(rng.integers(5, 14))
    angles = np.sort(rng.uniform(0, 2 * math.pi, n))
    gaps = np.diff(np.append(angles, angles[0] + 2 * math.pi))
    if gaps.max() > 2.8:
        return ring(rng)
    reach = rng.uniform(5, 12, n)
    return [(float(r * math.cos(a)), float(r * math.sin(a))) for r, a in zip(reach, angles, strict=True)]


def grid_volume_ft3(points, steps, cells: int = 1400) -> float:
    """Sum the depth over a fine grid. Depth depends only on the distance to the rim: no offsets are cut."""
    p = np.asarray(points)
    q = np.roll(p, -1, axis=0)
    low, high = p.min(axis=0), p.max(axis=0)
    h = (high - low) / cells
    x, y = (low[i] + h[i] * (np.arange(cells) + 0.5) for i in (0, 1))
    total = 0.0
    for row in y:
        inside = np.zeros(cells, dtype=bool)
        near = np.full(cells, np.inf)
        for (x1, y1), (x2, y2) in zip(p, q, strict=True):
            if (y1 > row) != (y2 > row):
                inside ^= x < (x2 - x1) * (row - y1) / (y2 - y1) + x1
            along = ((x - x1) * (x2 - x1) + (row - y1) * (y2 - y1)) / ((x2 - x1) ** 2 + (y2 - y1) ** 2)
            t = np.clip(along, 0, 1)
            near = np.minimum(near, np.hypot(x - x1 - t * (x2 - x1), row - y1 - t * (y2 - y1)))
        total += float(np.sum(depth_ft(near[inside], steps)))
    return total * float(h[0] * h[1])


def depth_ft(distance: np.ndarray, steps) -> np.ndarray:
    depth, reached = np.zeros_like(distance), 0.0
    for step in steps:
        down = step.down_in / 12
        run = step.batter * down
        depth += down * (np.clip((distance - reached) / run, 0, 1) if run else distance > reached)
        reached += run + step.shelf_in / 12
    return depth


@pytest.mark.parametrize("seed", range(8))
def test_random_polygons_against_a_fine_grid(seed):
    rng = np.random.default_rng(seed)
    points = ring(rng)
    steps = [Step(8, float(rng.uniform(4, 20)), batter=float(rng.choice([0, 0.3, 1]))), Step(10, 9), Step(14)]
    outline = corners(points)
    ours = volume_ft3(outline, steps, basins=99)
    assert ours == pytest.approx(grid_volume_ft3(outline.points, steps), rel=1e-3)


def test_wider_shelf_on_the_viewing_side_only():
    square = rectangle(20, 20)
    hole = layers(square, [Step(8, 12, 36), Step(8)], Viewing(270, 90))
    left, low, right, high = hole[1].top.bounds
    assert (left, low, right, high) == pytest.approx((1, 3, 19, 19))
    assert float(hole[1].top.area) < 18 * 18 - 2 * 17.9
    narrower = layers(square, [Step(8, 36, 12), Step(8)], Viewing(90, 90))[1].top
    assert narrower.bounds == pytest.approx((3, 3, 17, 19))


DUMBBELL = corners(
    [(0, 0), (8, 0), (8, 3), (14, 3), (14, 0), (22, 0), (22, 8), (14, 8), (14, 5), (8, 5), (8, 8), (0, 8)]
)


def test_a_pond_that_splits_is_refused_with_the_neck():
    with pytest.raises(BadInput) as refusal:
        layers(DUMBBELL, [Step(8, 14), Step(8)])
    said = str(refusal.value)
    assert "step 1 shelf" in said
    assert "splits the pond into 2 basins" in said
    assert "near x 11.0, y 4.0 ft" in said
    assert "2.0 ft (0.61 m) wide" in said
    assert "12.0 in" in said or "11.9 in" in said
    assert "\n" not in said


def test_two_basins_are_legal_when_asked_for():
    hole = layers(DUMBBELL, [Step(8, 14), Step(8)], basins=2)
    assert len(pieces(hole[1].top)) == 2
    grid_ft3 = grid_volume_ft3(DUMBBELL.points, [Step(8, 14), Step(8)])
    assert sum(layer.volume_ft3() for layer in hole) == pytest.approx(grid_ft3, rel=1e-3)


def test_shelves_that_swallow_the_pond_say_how_much_width_there_is():
    with pytest.raises(BadInput) as refusal:
        layers(ellipse(20, 14), [Step(8, 18), Step(8, 80), Step(8)])
    said = str(refusal.value)
    assert "step 2 shelf" in said
    assert "nothing is left" in said
    assert "11.0 ft" in said
    assert "under 6" in said  # 65 or 66 in, half the width that is left


@pytest.mark.parametrize(
    "steps",
    [
        [],
        [Step(-8)],
        [Step(0)],
        [Step(math.nan)],
        [Step(8, -3), Step(8)],
        [Step(8, 12)],
        [Step(8, math.inf), Step(8)],
        [Step(9000)],
        [Step(8, batter=-1)],
        [Step(8, stone_in=-1)],
    ],
)
def test_absurd_steps_are_refused(steps):
    with pytest.raises(BadInput):
        layers(ellipse(20, 14), steps)


def test_walls_that_meet_are_refused():
    with pytest.raises(BadInput, match="step 1 wall"):
        layers(ellipse(10, 10), [Step(60, batter=1.5)])


def test_bank_loose_and_compacted():
    """Estimating textbook (issuhub 4050, seen): 1,000 BCY, 30 % swell, 7 CY trucks: 1,300 LCY, 186 loads."""
    assert truckloads(1000 * 1.30, 7) == 186
    assert truckloads(14.0, 7) == 2
    assert truckloads(0.0, 7) == 0
    # the same page: 500 CCY of sand and gravel at 0.95 take 526 BCY
    assert round(bank_for_compacted_cy(500, Soil.SAND)) == 526
    # Navy Engineering Aid Table 10-1 (secondary copy): 100 CY of sand in place are 111 loose
    assert loose_cy(100, Soil.SAND) == pytest.approx(111)
    # FM 5-434 Table 1-1 (memory): clay 1.43
    assert loose_cy(100, Soil.CLAY) == pytest.approx(143)


def test_berm_by_the_prismoidal_rule():
    """A ridge without a top is a prism with two half pyramids; a block is a block."""
    assert berm_ft3(12, 6, 2, 6) == pytest.approx(144)
    # ridge 12 x 6, no top: (12 - 6) x 6 x 2 / 2 + pyramid 6 x 6 x 2 / 3
    assert berm_ft3(12, 6, 2, 0) == pytest.approx(36 + 24)


def test_dam_of_the_textbook():
    """mathcentral QQ.09.07 jd1 (seen): bottom 100, top 14, height 15, length 300 ft: 256,500 ft3."""
    assert prismoid_ft3(100 * 300, 57 * 300, 14 * 300, 15) == pytest.approx(256500)
    assert cy(256500) == 9500


def test_offsets_add_up():
    shape = DUMBBELL.polygon()
    assert inward(inward(shape, 0.4), 0.5).area == pytest.approx(inward(shape, 0.9).area, rel=1e-4)
