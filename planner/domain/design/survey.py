"""Two ways of measuring an irregular rim: widths at stations along a base line, and tapes from two stakes.

In: tape readings in feet. Out: an `Outline`, and the areas by the trapezoidal rule and by Simpson's rule,
the two rules of surveying handbooks for offsets at equal distances. And back again: how two people with
tapes, two pins and paint put a rim on the ground that was given by its length and width (`setting_out`).
"""

from __future__ import annotations

import math
from collections.abc import Collection, Sequence
from dataclasses import dataclass

from planner.domain.design.outline import MOST_FT, Outline, Point, closed, size
from planner.errors import BadInput

#: points drawn between two stations when the sides are curved
_BETWEEN = 8


def trapezoid_ft2(offsets_ft: Sequence[float], spacing_ft: float) -> float:
    """Area by the trapezoidal rule [ft2]: d x (half the first and last, plus all between).

    >>> trapezoid_ft2([0, 4, 6, 4, 0], 2)
    28.0
    """
    return spacing_ft * (sum(offsets_ft) - (offsets_ft[0] + offsets_ft[-1]) / 2.0)


def simpson_ft2(offsets_ft: Sequence[float], spacing_ft: float) -> float:
    """Area by Simpson's one-third rule [ft2]: d/3 x (ends + 4 x odd + 2 x even offsets).

    Needs an odd number of offsets (an even number of strips); BadInput otherwise.

    >>> round(simpson_ft2([0, 4, 6, 4, 0], 2), 4)
    29.3333
    """
    if len(offsets_ft) < 3 or len(offsets_ft) % 2 == 0:
        raise BadInput("widths", f"{len(offsets_ft)} widths", "Simpson's rule takes an odd number, 3 or more")
    ends = offsets_ft[0] + offsets_ft[-1]
    return spacing_ft / 3.0 * (ends + 4.0 * sum(offsets_ft[1:-1:2]) + 2.0 * sum(offsets_ft[2:-1:2]))


def from_stations(
    left_ft: Sequence[float], right_ft: Sequence[float], spacing_ft: float, *, curved: bool = False
) -> Outline:
    """Outline from offsets to the left and right of a base line, one pair per station [ft].

    curved: parabolas through each three stations, so that the area is Simpson's; straight sides give the
    trapezoidal rule's. Widths alone are laid half to each side by the caller.
    """
    size(spacing_ft, "spacing")
    if len(left_ft) != len(right_ft):
        counts = f"{len(left_ft)} left, {len(right_ft)} right"
        raise BadInput("stations", counts, "give as many offsets to the left as to the right")
    if len(left_ft) < 3:
        raise BadInput("stations", f"{len(left_ft)} stations", "measure at least 3, both ends included")
    for name, offsets in (("left", left_ft), ("right", right_ft)):
        for number, offset in enumerate(offsets, start=1):
            if not math.isfinite(offset) or not 0.0 <= offset <= MOST_FT:
                raise BadInput(f"{name} offset at station {number}", offset, f"give 0 to {MOST_FT:g} ft")
    if curved and len(left_ft) % 2 == 0:
        raise BadInput("stations", f"{len(left_ft)} stations", "curved sides need an odd number of stations")
    upper = _side(left_ft, spacing_ft, curved=curved)
    lower = [(x, -y) for x, y in _side(right_ft, spacing_ft, curved=curved)]
    if curved and (min(y for _, y in upper) < -1e-9 or max(y for _, y in lower) > 1e-9):
        raise BadInput("sides", "curved", "the widths change too fast for smooth sides; use straight sides")
    base = ((0.0, 0.0), (spacing_ft * (len(left_ft) - 1), 0.0))
    marks = [(i * spacing_ft, y) for i, y in enumerate(left_ft)]
    marks += [(i * spacing_ft, -y) for i, y in enumerate(right_ft)]
    words = f"{len(left_ft)} stations {spacing_ft:g} ft apart, {'curved' if curved else 'straight'} sides"
    return closed(lower + upper[::-1], words, base=base, marks=tuple(marks))


def _side(offsets: Sequence[float], spacing: float, *, curved: bool) -> list[Point]:
    if not curved:
        return [(i * spacing, float(y)) for i, y in enumerate(offsets)]
    points: list[Point] = []
    for i in range(0, len(offsets) - 2, 2):
        y0, y1, y2 = offsets[i : i + 3]
        for j in range(2 * _BETWEEN):
            t = j / _BETWEEN  # 0 to 2 over the pair of strips
            y = y0 * (t - 1) * (t - 2) / 2 - y1 * t * (t - 2) + y2 * t * (t - 1) / 2
            points.append(((i + t) * spacing, float(y)))
    return [*points, ((len(offsets) - 1) * spacing, float(offsets[-1]))]


def from_tapes(
    stakes_apart_ft: float, tapes_ft: Sequence[tuple[float, float]], other_side: Collection[int] = ()
) -> Outline:
    """Outline by two-point taping: the distances from stakes A and B to each point of the rim [ft].

    A stands at the origin, B to the right of it. Points lie beyond the line A-B unless their number (from 1)
    is in `other_side`. Tapes that cannot meet are refused with what is missing.
    """
    size(stakes_apart_ft, "stakes_apart")
    points = [
        _crossing(stakes_apart_ft, a, b, number, below=number in other_side)
        for number, (a, b) in enumerate(tapes_ft, start=1)
    ]
    if len(points) < 3:
        raise BadInput("tapes", f"{len(points)} points", "tape at least 3 points of the rim")
    strangers = sorted(n for n in other_side if not 1 <= n <= len(points))
    if strangers:
        raise BadInput("other_side", strangers, f"number the points from 1 to {len(points)}")
    base = ((0.0, 0.0), (stakes_apart_ft, 0.0))
    words = f"{len(points)} points taped from two stakes {stakes_apart_ft:g} ft apart"
    return closed(points, words, base=base, marks=tuple(points))


def _crossing(apart: float, a: float, b: float, number: int, *, below: bool) -> Point:
    """Where the tapes from A and B meet; a tape short by up to an eighth of an inch counts as touching."""
    slack = 1.0 / 96.0
    field, shown = f"tapes of point {number}", f"{a:g} and {b:g} ft"
    if not (math.isfinite(a) and math.isfinite(b)) or min(a, b) < 0.0 or max(a, b) > MOST_FT:
        raise BadInput(field, shown, f"give two distances from 0 to {MOST_FT:g} ft")
    if a + b < apart - slack:
        gap = apart - a - b
        raise BadInput(field, shown, f"they cannot meet: {gap:.2f} ft short of the {apart:g} ft base line")
    if abs(a - b) > apart + slack:
        over = abs(a - b) - apart
        raise BadInput(field, shown, f"they cannot meet: they differ by {over:.2f} ft more than {apart:g} ft")
    x = (a * a - b * b + apart * apart) / (2.0 * apart)
    y = math.sqrt(max(0.0, a * a - x * x))
    return (x, -y if below else y)


# Back to the ground: how two people put a rim out with tapes, two pins and paint.

#: About so many stations along the base line.
_STATIONS = 9


@dataclass(frozen=True, slots=True)
class Pins:
    """An ellipse: each pin so far from the center along the long axis; the string from pin to pin [ft]."""

    from_center_ft: float
    string_ft: float


@dataclass(frozen=True, slots=True)
class Corners:
    """A rectangle: two sides and the diagonal, which is the same from both corners [ft].

    radius_ft: of its rounded corners, which lie inside those four; 0 when they are square.
    """

    length_ft: float
    width_ft: float
    diagonal_ft: float
    radius_ft: float = 0.0


@dataclass(frozen=True, slots=True)
class Offsets:
    """A free shape: (along the base line from its left end, to the near rim, to the far rim) [ft].

    The base line touches the rim at its lowest point as drawn and begins under its leftmost one.
    """

    rows: tuple[tuple[float, float, float], ...]


def setting_out(outline: Outline, grid_ft: float = 1.0) -> Pins | Corners | Offsets:
    """The numbers for this outline. grid_ft: stations lie at multiples of it, closer near both ends."""
    kind = outline.how.partition(" ")[0]
    if kind in ("ellipse", "rectangle"):
        (a, _, c), (long, wide) = _box(outline)
        if kind == "rectangle":
            # a rounded corner leaves (1 - pi/4) r2 of its square outside the rim
            outside_ft2 = max(0.0, long * wide - outline.area_ft2)
            radius = math.sqrt(outside_ft2 / (4.0 - math.pi)) if outside_ft2 > 0.01 else 0.0
            return Corners(long, wide, math.dist(a, c), radius)
        return Pins(math.sqrt(max(0.0, long**2 - wide**2)) / 2.0, long)
    return Offsets(tuple(_offsets(outline, grid_ft)))


def base_of(outline: Outline) -> tuple[Point, Point]:
    """The two points A and B from which tapes are read [ft]: stakes, pins, corners, ends of the base.

    An ellipse's two pins; the ends of a rectangle's long side; the ends of the base line of a free shape.
    """
    if len(outline.base) == 2:
        a, b = outline.base
        return a, b
    found = setting_out(outline)
    if isinstance(found, Offsets):
        left, foot, right, _ = outline.polygon().bounds
        return (left, foot), (right, foot)
    (p, q, r), (long, _) = _box(outline)
    if isinstance(found, Corners):
        return (p, q) if p[0] <= q[0] else (q, p)
    center = ((p[0] + r[0]) / 2.0, (p[1] + r[1]) / 2.0)
    ux, uy = (q[0] - p[0]) / long, (q[1] - p[1]) / long
    ends = [(center[0] + k * ux, center[1] + k * uy) for k in (-found.from_center_ft, found.from_center_ft)]
    return min(ends), max(ends)


def _box(outline: Outline) -> tuple[tuple[Point, Point, Point], tuple[float, float]]:
    """Three corners of the smallest box around the rim, the long side first, and its sides [ft]."""
    from shapely import Polygon, minimum_rotated_rectangle

    box = minimum_rotated_rectangle(outline.polygon())
    assert isinstance(box, Polygon)
    corners = [(float(x), float(y)) for x, y, *_ in box.exterior.coords]
    if math.dist(corners[0], corners[1]) < math.dist(corners[1], corners[2]):
        corners = corners[1:]
    a, b, c = corners[:3]
    return (a, b, c), (math.dist(a, b), math.dist(b, c))


def _offsets(outline: Outline, grid_ft: float) -> list[tuple[float, float, float]]:
    """A row a station; where the rim comes and goes more than once, a row for each part."""
    from shapely import LineString

    pond = outline.polygon()
    left, foot, right, top = pond.bounds
    wide = right - left
    step = grid_ft * max(1, round(wide / _STATIONS / grid_ft))
    even = {n * step for n in range(int(wide / step) + 1)}
    ends = (step / 4.0, step / 2.0, wide - step / 2.0, wide - step / 4.0, wide)
    even -= {n for n in even if n and any(abs(n - end) < step / 8.0 for end in ends)}
    stations = sorted({*even, *ends})
    rows = []
    for along in stations:
        x = min(max(left + along, left + 1e-6), right - 1e-6)
        cut = pond.intersection(LineString([(x, foot - 1.0), (x, top + 1.0)]))
        for part in getattr(cut, "geoms", [cut]):
            if not part.is_empty:
                _, near, _, far = part.bounds
                rows.append((along, near - foot, far - foot))
    return rows
