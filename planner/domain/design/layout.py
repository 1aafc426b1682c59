"""Layout: where the boxes stand on the plan and how the pump line runs round the pond.

In: a design. Out: a `Layout`. Positions that were not measured are assumed at the two ends of the pond's
longest line, and said to be assumed; a route that was not drawn follows the rim, the shorter way round.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import TYPE_CHECKING

from planner.domain.design.design import Design
from planner.domain.design.outline import Outline, Point

if TYPE_CHECKING:
    from shapely.geometry.base import BaseGeometry

#: how far outside the rim a box and the line are drawn when nobody measured it [ft]; a stream goes farther
_OUTSIDE_FT = 2.5
#: Halvings of a piece of the way round the rim in which the point is found where the line leaves it.
_HALVINGS = 12


@dataclass(frozen=True, slots=True)
class Layout:
    """Box middles and the line's route on the plan [ft]; pipe_ft: to lay; assumed: what was not given."""

    skimmer: Point | None
    top_box: Point | None
    route: tuple[Point, ...]
    pipe_ft: float
    assumed: tuple[str, ...] = ()


def lay_out(design: Design) -> Layout:
    """Place what was measured, assume what was not."""
    assumed: list[str] = []
    start, end = _box_places(design, assumed)
    plumbing = design.plumbing
    route = plumbing.route or _round_the_rim(design.outline, start, end)
    if plumbing.route_ft is not None:
        pipe_ft = plumbing.route_ft
    elif plumbing.route:
        pipe_ft = _reach(route)
    elif plumbing.apart_ft is not None:
        pipe_ft = plumbing.apart_ft * math.pi / 2.0
        assumed.append("pipe length: a half circle over the distance between the boxes")
    else:
        pipe_ft = _reach(route)
        assumed.append("pipe route: round the rim, the shorter way")
    skimmer, top_box = start if design.skimmer else None, end if design.top_box else None
    return Layout(skimmer, top_box, tuple(route), pipe_ft, tuple(assumed))


def _box_places(design: Design, assumed: list[str]) -> tuple[Point, Point]:
    """Where the line starts (skimmer side) and ends (falls side); adds to `assumed` what was not measured."""
    skimmer = design.skimmer.at if design.skimmer else None
    top_box = design.top_box.at if design.top_box else None
    if design.skimmer and skimmer is None:
        assumed.append("skimmer position")
    if design.top_box and top_box is None:
        assumed.append("waterfall box position")
    stream = design.falls.stream if design.falls else None
    up_ft = max(_OUTSIDE_FT, stream.length_ft if stream else 0.0)
    if skimmer and top_box:
        return skimmer, top_box
    if skimmer:
        return skimmer, _opposite(design.outline, skimmer, up_ft)
    if top_box:
        return _opposite(design.outline, top_box, _OUTSIDE_FT), top_box
    return _ends(design.outline, up_ft)


def _ends(outline: Outline, up_ft: float) -> tuple[Point, Point]:
    """Two points outside the rim on the longest line across it: one just outside, one up the stream.

    The stream is at the end that is farther from the pond's middle, however the outline is turned or listed.
    """
    import numpy as np

    polygon = outline.polygon()
    hull = np.asarray(polygon.convex_hull.boundary.coords)[:-1, :2]
    apart = np.round(np.hypot(*(hull[:, None] - hull[None]).transpose(2, 0, 1)), 6)
    first, second = np.unravel_index(int(apart.argmax()), apart.shape)
    one, two = ((float(x), float(y)) for x, y in hull[[first, second]])
    middle = (polygon.centroid.x, polygon.centroid.y)
    if round(math.dist(two, middle), 6) > round(math.dist(one, middle), 6):
        one, two = two, one
    reach = math.dist(one, two)
    ux, uy = (two[0] - one[0]) / reach, (two[1] - one[1]) / reach
    return (
        (two[0] + _OUTSIDE_FT * ux, two[1] + _OUTSIDE_FT * uy),
        (one[0] - up_ft * ux, one[1] - up_ft * uy),
    )


def _opposite(outline: Outline, place: Point, out_ft: float) -> Point:
    """The point `out_ft` outside the rim that lies farthest from `place`."""
    x, y = max(outline.points, key=lambda p: round(math.dist(p, place), 6))
    reach = math.dist((x, y), place)
    return (x + out_ft * (x - place[0]) / reach, y + out_ft * (y - place[1]) / reach)


def _round_the_rim(outline: Outline, start: Point, end: Point) -> tuple[Point, ...]:
    from shapely import Point as Spot
    from shapely.ops import substring

    ring = outline.polygon().buffer(_OUTSIDE_FT, quad_segs=12).exterior
    a, b = ring.project(Spot(start)), ring.project(Spot(end))
    low, high = min(a, b), max(a, b)
    inner = list(substring(ring, low, high).coords)
    outer = list(substring(ring, high, ring.length).coords) + list(substring(ring, 0.0, low).coords)[1:]
    path = [(float(x), float(y)) for x, y, *_ in min((inner, outer), key=_reach)]
    if math.dist(path[0], start) > math.dist(path[-1], start):
        path = path[::-1]
    clear = outline.polygon().buffer(0.98 * _OUTSIDE_FT, quad_segs=12)
    path = _straightened(path, end, clear)
    path = _straightened(path[::-1], start, clear)[::-1]
    return (start, *path, end)


def _straightened(path: list[Point], end: Point, clear: BaseGeometry) -> list[Point]:
    """`path` up to the first point from which `end` can be reached straight without crossing `clear`.

    The point may lie between two corners of the path, so that where these happen to lie is nothing.
    """
    from shapely import LineString

    def sees(point: Point) -> bool:
        return not LineString([point, end]).intersects(clear)

    for number, point in enumerate(path):
        if not sees(point):
            continue
        if number == 0:
            return path[:1]
        hidden, seen = path[number - 1], point
        for _ in range(_HALVINGS):
            middle = ((hidden[0] + seen[0]) / 2.0, (hidden[1] + seen[1]) / 2.0)
            hidden, seen = (hidden, middle) if sees(middle) else (middle, seen)
        return [*path[:number], seen]
    return path


def _reach(path: Sequence[tuple[float, ...]]) -> float:
    return sum(math.dist(a, b) for a, b in pairwise(path))
