"""Setting out by tape: each number is held against geometry that the code does not use."""

from __future__ import annotations

import math

import pytest
from shapely import Point, Polygon

from planner.domain.design.outline import Outline, closed, ellipse, kidney, rectangle
from planner.domain.design.survey import Corners, Offsets, Pins, base_of, setting_out


@pytest.mark.parametrize(("length", "width", "turn"), [(18, 12, 0), (20, 14, 30), (15, 15, 0), (30, 8, -75)])
def test_the_string_round_two_pins_runs_along_the_rim(length: float, width: float, turn: float) -> None:
    # Apollonius, Conics III 52: the distances of a point of an ellipse from the foci sum to its long axis
    outline = ellipse(length, width).turned(turn)
    found = setting_out(outline)
    assert isinstance(found, Pins)
    angle = math.radians(turn)
    pins = [
        (side * found.from_center_ft * math.cos(angle), side * found.from_center_ft * math.sin(angle))
        for side in (-1, 1)
    ]
    for point in outline.points[::7]:
        assert sum(math.dist(point, pin) for pin in pins) == pytest.approx(found.string_ft, abs=0.02)


def test_a_rectangle_is_square_when_its_diagonal_measures() -> None:
    # 3-4-5 triangle
    found = setting_out(rectangle(16, 12).turned(20))
    assert isinstance(found, Corners)
    assert (found.length_ft, found.width_ft, found.diagonal_ft, found.radius_ft) == pytest.approx(
        (16, 12, 20, 0)
    )


def test_rounded_corners_are_told_by_their_radius() -> None:
    found = setting_out(rectangle(16, 8, 1.5).turned(-15))
    assert isinstance(found, Corners)
    assert (found.length_ft, found.width_ft) == pytest.approx((16, 8), abs=0.001)
    assert found.radius_ft == pytest.approx(1.5, abs=0.03)  # the rim is drawn by chords


@pytest.mark.parametrize(
    "outline", [ellipse(20, 14).turned(30), kidney(20, 14), rectangle(16, 12).turned(70)]
)
def test_the_base_is_as_long_as_its_numbers_say(outline: Outline) -> None:
    a, b = base_of(outline)
    found = setting_out(outline)
    if isinstance(found, Pins):
        apart = 2 * found.from_center_ft
    else:
        apart = found.length_ft if isinstance(found, Corners) else found.rows[-1][0]
    assert math.dist(a, b) == pytest.approx(apart, abs=0.02)


@pytest.mark.parametrize(
    "outline",
    [
        kidney(20, 14),
        kidney(16, 11).turned(180),
        closed([(0, 0), (12, 1), (15, 9), (6, 13), (-2, 7)], "5 corners"),
    ],
)
def test_offsets_from_the_base_line_give_the_rim_back(outline: Outline) -> None:
    found = setting_out(outline)
    assert isinstance(found, Offsets) and 9 <= len(found.rows) <= 18
    left, foot = min(x for x, _ in outline.points), min(y for _, y in outline.points)
    rim = Polygon(outline.points).exterior
    for along, near, far in found.rows:
        for offset in (near, far):
            assert rim.distance(Point(left + along, foot + offset)) < 0.01
    # the painted corners, joined by straight lines, hold nearly all of the pond (Simpson would hold more)
    ring = [(a, n) for a, n, _ in found.rows] + [(a, f) for a, _, f in reversed(found.rows)]
    assert Polygon(ring).area == pytest.approx(outline.area_ft2, rel=0.03)
