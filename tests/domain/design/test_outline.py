"""Outlines against closed forms, printed station examples and independent geometry."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.integrate import quad, simpson, trapezoid
from scipy.optimize import minimize_scalar
from scipy.special import gamma

from planner.domain.design.outline import KIDNEY_BEND, KIDNEY_POWER, corners, ellipse, kidney, rectangle
from planner.domain.design.survey import from_stations, from_tapes, simpson_ft2, trapezoid_ft2
from planner.errors import BadInput


def test_circle_and_ellipse_in_closed_form():
    assert ellipse(16, 16).area_ft2 == pytest.approx(math.pi * 64, rel=1e-9)
    assert ellipse(24, 14).area_ft2 == pytest.approx(math.pi * 12 * 7, rel=1e-9)
    assert ellipse(16, 16).rim_ft == pytest.approx(math.pi * 16, rel=1e-4)


def test_ellipse_rim_against_the_arc_length_integral():
    def speed(t: float) -> float:
        return math.hypot(12 * math.sin(t), 7 * math.cos(t))

    assert ellipse(24, 14).rim_ft == pytest.approx(quad(speed, 0, 2 * math.pi)[0], rel=2e-4)


def test_rectangle_with_round_corners():
    """l w - (4 - pi) r2 and 2 (l + w) - (8 - 2 pi) r."""
    shape = rectangle(20, 12, 3)
    assert shape.area_ft2 == pytest.approx(240 - (4 - math.pi) * 9, rel=2e-5)
    assert shape.rim_ft == pytest.approx(64 - (8 - 2 * math.pi) * 3, rel=1e-4)
    assert rectangle(10, 8).rim_ft == pytest.approx(36)


def test_kidney_fits_its_length_and_width_and_is_hollow():
    shape = kidney(26, 16)
    left, low, right, high = shape.polygon().bounds
    assert (right - left, high - low) == (pytest.approx(26, rel=1e-3), pytest.approx(16, rel=1e-3))
    assert shape.polygon().convex_hull.area > 1.02 * shape.area_ft2
    # the oval's area in closed form (superellipse), with the half width that the bent shape gives it
    n, bend = KIDNEY_POWER, KIDNEY_BEND
    top = -minimize_scalar(
        lambda x: -((1 - x**n) ** (1 / n) + bend * x * x), bounds=(0, 1), method="bounded"
    ).fun
    b = 16 / (1 + top)
    assert shape.area_ft2 == pytest.approx(4 * 13 * b * gamma(1 + 1 / n) ** 2 / gamma(1 + 2 / n), rel=1e-3)


def test_corner_points_either_way_round_and_doubled():
    square = corners([(0, 0), (10, 0), (10, 10), (0, 10)])
    assert corners([(0, 10), (10, 10), (10, 0), (0, 0)]).area_ft2 == square.area_ft2 == 100
    doubled = corners([(0, 0), (10, 0), (10, 0), (10, 10), (0, 10), (0, 0)])
    assert len(doubled.points) == 4


def test_printed_station_example():
    """Lecture notes "Area by offsets from a straight line" (scribd.com 677840629, seen): 13 offsets, 3.5 m.

    Printed 211.4 m2 by the trapezoidal and 211.17 m2 by Simpson's rule (0.8 is misprinted 0.3 in its line).
    """
    offsets = [0.8, 3.6, 4.7, 5.3, 3.9, 2.7, 4.6, 5.5, 4.9, 7.6, 8.8, 5.4, 6.0]
    assert trapezoid_ft2(offsets, 3.5) == pytest.approx(211.4, abs=0.005)
    assert simpson_ft2(offsets, 3.5) == pytest.approx(211.17, abs=0.005)


def test_station_rules_against_scipy():
    offsets = np.random.default_rng(3).uniform(2, 9, 15)
    assert trapezoid_ft2(list(offsets), 2.5) == pytest.approx(trapezoid(offsets, dx=2.5))
    assert simpson_ft2(list(offsets), 2.5) == pytest.approx(simpson(offsets, dx=2.5))


def test_station_rules_against_the_drawn_outline():
    left, right = [0, 4, 5.5, 5, 6, 4, 0], [0, 3, 3.5, 5, 4, 3, 0]
    widths = [a + b for a, b in zip(left, right, strict=True)]
    straight = from_stations(left, right, 3)
    assert straight.area_ft2 == pytest.approx(trapezoid_ft2(widths, 3), rel=1e-12)
    curved = from_stations(left, right, 3, curved=True)
    assert curved.area_ft2 == pytest.approx(simpson_ft2(widths, 3), rel=3e-3)  # chords of the parabolas


def test_taping_round_trip():
    true = corners([(1, 2), (4, -1.5), (9, -2), (14, 3), (11, 8), (5, 9)])
    apart = 12.0
    tapes = [(math.dist(p, (0, 0)), math.dist(p, (apart, 0))) for p in true.points]
    below = [n for n, (_, y) in enumerate(true.points, start=1) if y < 0]
    again = from_tapes(apart, tapes, below)
    assert np.allclose(again.points, true.points, atol=1e-9)
    assert again.area_ft2 == pytest.approx(true.area_ft2)


def test_three_four_five_triangle_taped():
    """Stakes 5 ft apart, tapes 3 and 4 ft meet at a right angle 2.4 ft off the line."""
    shape = from_tapes(5, [(3, 4), (0, 5), (5, 0)])
    assert (1.8, 2.4) in [(round(x, 9), round(y, 9)) for x, y in shape.points]
    assert shape.area_ft2 == pytest.approx(6.0)


@pytest.mark.parametrize(
    ("make", "says"),
    [
        (lambda: corners([(0, 0), (10, 10), (10, 0), (0, 10)]), "crosses itself near x 5.0, y 5.0"),
        (lambda: corners([(0, 0), (10, 0)]), "at least 3"),
        (lambda: corners([(0, 0), (0, 0), (0, 0), (1, 1)]), "at least 3"),
        (lambda: corners([(0, 0), (5, 0), (10, 0)]), "outline"),
        (lambda: corners([(0, 0), (5, 0), (math.nan, 3)]), "within"),
        (lambda: corners([(0, 0), (5e9, 0), (2, 3)]), "within"),
        (lambda: ellipse(-20, 10), "length from"),
        (lambda: ellipse(20, 0), "length from"),
        (lambda: ellipse(math.inf, 10), "length from"),
        (lambda: rectangle(20, 10, 6), "corner_radius"),
        (lambda: kidney(20, 5000), "width"),
        (lambda: from_tapes(20, [(5, 6), (10, 12), (14, 15)]), "cannot meet: 9.00 ft short"),
        (lambda: from_tapes(4, [(5, 6), (30, 12), (14, 15)]), "cannot meet: they differ by 14.00 ft"),
        (lambda: from_tapes(4, [(5, 6), (-3, 4), (4, 5)]), "two distances"),
        (lambda: from_tapes(10, [(8, 8), (7, 9), (9, 7)], [4]), "other_side"),
        (lambda: from_stations([0, 3], [0, 3], 3), "at least 3"),
        (lambda: from_stations([0, -3, 0], [0, 3, 0], 3), "left offset at station 2"),
        (lambda: from_stations([0, 3, 0], [0, 3], 3), "as many offsets"),
        (lambda: from_stations([0, 3, 3, 0], [0, 3, 3, 0], 3, curved=True), "odd number"),
        (lambda: from_stations([0, 1, 20], [0, 1, 20], 3, curved=True), "straight sides"),
        (lambda: simpson_ft2([1, 2, 3, 4], 1), "odd number"),
    ],
)
def test_bad_outlines_say_what_and_where(make, says):
    with pytest.raises(BadInput) as refusal:
        make()
    assert says in str(refusal.value)
    assert "\n" not in str(refusal.value)
