"""Outlines: what a hose, a tape and marking paint measure, as corner points in feet.

In: one of four ways of measuring a pond's rim. Out: an `Outline`, whose points run counter-clockwise and do
not repeat the first. x runs to the right and y away from the reader, as on the drawing. Curved shapes become
240-gons pushed out by a hair so that their area is the curve's own.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from planner.errors import BadInput
from planner.units import M_PER_FT

if TYPE_CHECKING:
    from shapely import Polygon

Point = tuple[float, float]

SIDES = 240
LEAST_FT, MOST_FT = 1.0, 1000.0
#: a kidney is an oval of this power, bent by this share of its half width
KIDNEY_POWER, KIDNEY_BEND = 2.5, 0.75


@dataclass(frozen=True, slots=True)
class Outline:
    """A pond's rim. how: in words, for the drawing ("ellipse 20 x 14 ft").

    base: ends of the taped or paced base line, when there was one; marks: the measured points, drawn small.
    """

    points: tuple[Point, ...]
    how: str = ""
    base: tuple[Point, ...] = ()
    marks: tuple[Point, ...] = ()

    def polygon(self) -> Polygon:
        """The same as a shapely polygon."""
        from shapely import Polygon

        return Polygon(self.points)

    @property
    def area_ft2(self) -> float:
        """Area inside the rim [ft2]."""
        return float(self.polygon().area)

    @property
    def rim_ft(self) -> float:
        """Length of the rim [ft]."""
        return float(self.polygon().length)

    def turned(self, degrees: float) -> Outline:
        """The same outline turned counter-clockwise about the origin."""
        c, s = math.cos(math.radians(degrees)), math.sin(math.radians(degrees))

        def turn(points: tuple[Point, ...]) -> tuple[Point, ...]:
            return tuple((x * c - y * s, x * s + y * c) for x, y in points)

        return Outline(turn(self.points), self.how, turn(self.base), turn(self.marks))

    def scaled(self, k: float) -> Outline:
        """The same outline `k` times as large."""

        def scale(points: tuple[Point, ...]) -> tuple[Point, ...]:
            return tuple((x * k, y * k) for x, y in points)

        return Outline(scale(self.points), self.how, scale(self.base), scale(self.marks))


def size(value: float, field: str, least_ft: float = LEAST_FT, most_ft: float = MOST_FT) -> float:
    """`value` when it is a sane length [ft]; BadInput otherwise."""
    if not math.isfinite(value) or not least_ft <= value <= most_ft:
        raise BadInput(field, value, f"give a length from {least_ft:g} to {most_ft:g} ft")
    return value


def ellipse(length_ft: float, width_ft: float) -> Outline:
    """Ellipse by its longest length and width [ft].

    >>> round(ellipse(20, 14).area_ft2 / (math.pi * 10 * 7), 6)
    1.0
    """
    a, b = size(length_ft, "length") / 2.0, size(width_ft, "width") / 2.0
    points = [(a * math.cos(t), b * math.sin(t)) for t in _turns()]
    return closed(_grown(points), f"ellipse {length_ft:g} x {width_ft:g} ft")


def kidney(length_ft: float, width_ft: float) -> Outline:
    """Kidney inside `length_ft` by `width_ft`: a full oval bent along its middle line, one side hollow.

    The oval is |x/a|^n + |y/b|^n = 1; bending moves each point straight across, so the area stays the
    oval's, 4 a b G(1 + 1/n)^2 / G(1 + 2/n) with G the gamma function (checked in the tests).

    >>> round(kidney(20, 14).area_ft2 / (20 * 14), 3)
    0.772
    """
    a, width = size(length_ft, "length") / 2.0, size(width_ft, "width")
    raw = [(_powered(math.cos(t)), _powered(math.sin(t))) for t in _turns()]
    bent = [(x, y + KIDNEY_BEND * x * x) for x, y in raw]
    low, high = min(y for _, y in bent), max(y for _, y in bent)
    wide = max(x for x, _ in bent)
    k = width / (high - low)
    points = [(a * x / wide, k * (y - (low + high) / 2.0)) for x, y in bent]
    return closed(points, f"kidney {length_ft:g} x {width_ft:g} ft")


def _powered(part: float) -> float:
    return math.copysign(math.pow(abs(part), 2.0 / KIDNEY_POWER), part)


def rectangle(length_ft: float, width_ft: float, corner_radius_ft: float = 0.0) -> Outline:
    """Rectangle [ft], its corners rounded to `corner_radius_ft`.

    >>> round(rectangle(10, 8).area_ft2, 6)
    80.0
    """
    length, width = size(length_ft, "length"), size(width_ft, "width")
    radius = size(corner_radius_ft, "corner_radius", 0.0, min(length, width) / 2.0)
    words = f"rectangle {length_ft:g} x {width_ft:g} ft"
    if radius == 0.0:
        return closed([(0.0, 0.0), (length, 0.0), (length, width), (0.0, width)], words)
    return closed(_rounded(length, width, radius), f"{words}, corners {corner_radius_ft:g} ft")


def corners(points_ft: Sequence[Point]) -> Outline:
    """Outline through corner points in order, either way round [ft]."""
    if len(points_ft) < 3:
        raise BadInput("points", f"{len(points_ft)} points", "an outline needs at least 3 points")
    for x, y in points_ft:
        if not (math.isfinite(x) and math.isfinite(y)) or max(abs(x), abs(y)) > MOST_FT:
            raise BadInput("points", f"({x:g}, {y:g})", f"keep points within {MOST_FT:g} ft of the origin")
    return closed(list(points_ft), f"{len(points_ft)} corner points", marks=tuple(points_ft))


def _turns() -> list[float]:
    """Angles of the corners of a curved outline [rad]; its first side is square to the length."""
    return [2.0 * math.pi * (i + 0.5) / SIDES for i in range(SIDES)]


def _grown(points: list[Point]) -> list[Point]:
    """Push the corners out so that the polygon's area is that of the ellipse it is drawn on."""
    step = 2.0 * math.pi / SIDES
    k = math.sqrt(step / math.sin(step))
    return [(x * k, y * k) for x, y in points]


def _rounded(length: float, width: float, radius: float) -> list[Point]:
    """A rectangle's points with quarter circles for corners, area right within 2 in 100,000."""
    per_corner = SIDES // 4
    step = math.pi / 2.0 / per_corner
    k = math.sqrt(step / math.sin(step)) * radius
    centers = [
        (length - radius, width - radius, 0.0),
        (radius, width - radius, 0.5 * math.pi),
        (radius, radius, math.pi),
        (length - radius, radius, 1.5 * math.pi),
    ]
    return [
        (x + k * math.cos(start + (i + 0.5) * step), y + k * math.sin(start + (i + 0.5) * step))
        for x, y, start in centers
        for i in range(per_corner)
    ]


def closed(
    points: list[Point], how: str, *, base: tuple[Point, ...] = (), marks: tuple[Point, ...] = ()
) -> Outline:
    """An outline from raw points: doubled points dropped, counter-clockwise.

    Raises BadInput when it crosses itself or encloses next to nothing.
    """
    kept = [p for i, p in enumerate(points) if math.dist(p, points[i - 1]) > 1e-6]
    if len(kept) < 3:
        raise BadInput("points", f"{len(kept)} different points", "an outline needs at least 3 of them")
    from shapely import Polygon
    from shapely.validation import explain_validity

    shape = Polygon(kept)
    if not shape.is_valid:
        x, y = explain_validity(shape).partition("[")[2].rstrip("]").split()[:2]
        shown = f"crosses itself {near(float(x), float(y))}"
        raise BadInput("outline", shown, "put the points in order round the rim")
    if shape.area < LEAST_FT**2:
        raise BadInput("outline", f"{shape.area:.2g} ft2", "enclose at least 1 ft2; check the units")
    ordered = kept if shape.exterior.is_ccw else kept[::-1]
    return Outline(tuple((float(x), float(y)) for x, y in ordered), how, base, marks)


def ft_and_m(ft: float) -> str:
    """A length for a message, in both systems: domain messages do not know the firm's units."""
    return f"{ft:.1f} ft ({ft * M_PER_FT:.2f} m)"


def in_and_mm(inches: float) -> str:
    """A short length for a message, in both systems, rounded down.

    >>> in_and_mm(12.04)
    '12.0 in (305 mm)'
    """
    return f"{math.floor(inches * 10.0) / 10.0:.1f} in ({math.floor(inches * 25.4)} mm)"


def near(x_ft: float, y_ft: float) -> str:
    """A place on the plan for a message, in both systems."""
    return f"near x {x_ft:.1f}, y {y_ft:.1f} ft ({x_ft * M_PER_FT:.2f}, {y_ft * M_PER_FT:.2f} m)"
