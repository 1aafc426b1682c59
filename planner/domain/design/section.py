"""A section through the hole: the profile along a straight line, and where it meets walls and shelves.

In: the layers and a direction. Out: a `Section`: distances along the line and depths below the rim [ft]. The
line runs through the widest spot of the deepest floor.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from planner.domain.design.outline import Point
from planner.domain.design.shelves import Layer, pieces

if TYPE_CHECKING:
    from shapely.geometry.base import BaseGeometry

#: points along the section, and levels cut through a battered wall
_POINTS, _LEVELS = 1600, 24


@dataclass(frozen=True, slots=True)
class Section:
    """start, end: of the line on the plan [ft]. profile: (distance, depth) along it.

    walls: per layer, the (from, to) spans of its outline along the line.
    """

    start: Point
    end: Point
    profile: tuple[tuple[float, float], ...]
    walls: tuple[tuple[tuple[float, float], ...], ...]

    @property
    def length_ft(self) -> float:
        """Length of the line [ft]."""
        return math.dist(self.start, self.end)


def cut_section(layers: Sequence[Layer], direction_deg: float, beyond_ft: float) -> Section:
    """Cut the hole along `direction_deg` through its deepest floor, the line reaching `beyond_ft` past it."""
    import numpy as np
    import shapely
    from shapely import LineString

    floor = pieces(layers[-1].bottom) or pieces(layers[-1].top)
    middle = shapely.maximum_inscribed_circle(floor[0]).coords[0]  # type: ignore[call-overload]
    c, s = math.cos(math.radians(direction_deg)), math.sin(math.radians(direction_deg))
    hull = np.asarray(layers[0].top.convex_hull.boundary.coords)
    along = (hull - np.asarray(middle[:2])) @ np.array([c, s])
    near, far = float(along.min()) - beyond_ft, float(along.max()) + beyond_ft
    start = (middle[0] + near * c, middle[1] + near * s)
    end = (middle[0] + far * c, middle[1] + far * s)
    where = np.linspace(0.0, far - near, _POINTS)
    xs, ys = start[0] + where * c, start[1] + where * s
    depth = np.zeros(_POINTS)
    for layer in layers:
        for level_ft, shape in _levels(layer):
            inside = shapely.contains_xy(shape, xs, ys)
            depth[inside] = np.maximum(depth[inside], level_ft)
    line = LineString([start, end])
    walls = tuple(_spans(line.intersection(layer.top), start) for layer in layers)
    profile = tuple((float(w), float(d)) for w, d in zip(where, depth, strict=True))
    return Section(start, end, profile, walls)


def _levels(layer: Layer) -> list[tuple[float, BaseGeometry]]:
    """Outlines through a layer with the depth that lies inside each."""
    if layer.step.batter == 0.0:
        return [(layer.bottom_ft, layer.top)]
    depths = [layer.top_ft + layer.height_ft * (i + 1) / _LEVELS for i in range(_LEVELS)]
    return [(depth, layer.outline_at(depth)) for depth in depths]


def _spans(cut: object, start: Point) -> tuple[tuple[float, float], ...]:
    """(from, to) of each straight piece of a cut, along the line."""
    found = []
    for part in getattr(cut, "geoms", [cut]):
        ends = [math.dist(start, point[:2]) for point in getattr(part, "coords", [])]
        if len(ends) > 1:
            found.append((min(ends), max(ends)))
    return tuple(sorted(found))
