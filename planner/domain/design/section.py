"""Sections: the hole along a straight line, and the falls along the water's way.

In: the layers and a direction, or a design. Out: a `Section`, the line through the widest spot of the deepest
floor, or a `FallsCut`: distances along it and depths below the rim [ft], negative above the rim.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from planner.domain.design.design import Design, Falls
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


#: A lip stone's thickness, and how far it hangs over its fall [ft] (defaults of the drawing).
LIP_FT, OVER_FT = 4.0 / 12.0, 2.0 / 12.0
#: Water between one fall's foot and the next one's back [ft]: nobody measures it, the stones decide.
_POOL_FT = 1.0
#: A stream is drawn so long and then broken off [ft]; ground and pond at the ends of the cut [ft].
_STREAM_FT, _BEHIND_FT, _POND_FT = 4.5, 0.5, 2.5
_BOX_LONG_FT = 2.0

Stone = tuple[float, float, float, float]


@dataclass(frozen=True, slots=True)
class FallsCut:
    """The falls from the box (0 and up) to the pond. liner: the path of the falls' own.

    lips: (along, depth), top first; water: the running water's surface; stones and box: left, top,
    right, bottom; foam: (along, depth) behind each lip; base: of the tamped stone, None without; stream: from
    and to of the stream as drawn, broken: shorter than it is; pond: its wall and first shelf.
    """

    length_ft: float
    rim_ft: float
    lips: tuple[tuple[float, float], ...]
    liner: tuple[tuple[float, float], ...]
    water: tuple[tuple[float, float], ...]
    stones: tuple[Stone, ...]
    foam: tuple[tuple[float, float], ...]
    box: Stone | None
    base: Stone | None
    stream: tuple[float, float] | None
    broken: bool
    pond: tuple[tuple[float, float], ...]


def cut_falls(design: Design) -> FallsCut | None:
    """Cut the falls along the water; None without falls. The rim lies under the face of the lowest drop."""
    falls = design.falls
    if falls is None:
        return None
    water_ft = design.water_line_in / 12.0
    count, thick = len(falls.drops_in), falls.stone_in / 12.0
    levels = [water_ft - sum(falls.drops_in[n:]) / 12.0 for n in range(count)]
    box_ft = _box_long_ft(design)
    start = _BEHIND_FT + box_ft
    run = min(falls.stream.length_ft, _STREAM_FT) if falls.stream else 0.0
    faces = [start + run + thick + n * (thick + _POOL_FT) for n in range(count)]
    lips = tuple(zip(faces, levels, strict=True))
    rim = faces[-1]
    top = water_ft - falls.height_in / 12.0
    return FallsCut(
        length_ft=rim + _POND_FT,
        rim_ft=rim,
        lips=lips,
        liner=_falls_liner(design, falls, lips, (start, top)),
        water=_falls_water(lips, (start, top), water_ft),
        stones=_falls_stones(lips, thick),
        foam=tuple((face - thick, level + LIP_FT) for face, level in lips),
        box=_box_cut(design, top, box_ft),
        base=_base_cut(design, rim),
        stream=(start, start + run) if run else None,
        broken=bool(falls.stream and falls.stream.length_ft > run),
        pond=_pond_cut(design, rim, rim + _POND_FT),
    )


def _box_long_ft(design: Design) -> float:
    return design.top_box.length_in / 12.0 if design.top_box else _BOX_LONG_FT


def _falls_liner(
    design: Design, falls: Falls, lips: tuple[tuple[float, float], ...], start: tuple[float, float]
) -> tuple[tuple[float, float], ...]:
    """Under stream and stones from the box's lip to below the water, shingled over the pond's liner."""
    thick = falls.stone_in / 12.0
    bed = falls.stream.depth_in / 12.0 if falls.stream else 0.0
    path = [start]
    if falls.stream:
        path += [(start[0], start[1] + bed), (lips[0][0] - thick - 0.1, lips[0][1] + max(bed, LIP_FT))]
    for n, (face, level) in enumerate(lips):
        back = face - thick
        foot = lips[n + 1][1] + LIP_FT if n + 1 < len(lips) else max(0.0, level + LIP_FT)
        path += [(back, level + LIP_FT), (back, foot)]
    rim = lips[-1][0]
    lap_ft = (design.water_line_in + design.sheet.overlap_in) / 12.0
    return (*path, *_along(_pond_cut(design, rim, rim + _POND_FT), lap_ft))


def _along(path: Sequence[tuple[float, float]], reach_ft: float) -> list[tuple[float, float]]:
    """The first `reach_ft` of a path."""
    made = [path[0]]
    for spot in path[1:]:
        far = math.dist(made[-1], spot)
        if far >= reach_ft > 0.0:
            share = reach_ft / far
            (x, y), (u, v) = made[-1], spot
            return [*made, (x + share * (u - x), y + share * (v - y))]
        made.append(spot)
        reach_ft -= far
    return made


def _falls_water(
    lips: tuple[tuple[float, float], ...], start: tuple[float, float], water_ft: float
) -> tuple[tuple[float, float], ...]:
    path = [start]
    for n, (face, level) in enumerate(lips):
        under = lips[n + 1][1] if n + 1 < len(lips) else water_ft
        path += [(face + OVER_FT, level), (face + OVER_FT, under)]
    return tuple(path)


def _falls_stones(lips: tuple[tuple[float, float], ...], thick: float) -> tuple[Stone, ...]:
    """The flat stone of each lip and the face stones under it, down to the next lip's bed or the rim."""
    stones: list[Stone] = []
    for n, (face, level) in enumerate(lips):
        foot = lips[n + 1][1] + LIP_FT if n + 1 < len(lips) else 0.0
        stones.append((face - thick, level, face + OVER_FT, level + LIP_FT))
        if foot > level + LIP_FT:
            stones.append((face - thick + 0.05, level + LIP_FT, face, foot))
    return tuple(stones)


def _box_cut(design: Design, top_ft: float, long_ft: float) -> Stone | None:
    """The box behind the falls: its lip at the top of the falls, its height below that."""
    if design.top_box is None:
        return None
    return (_BEHIND_FT, top_ft, _BEHIND_FT + long_ft, top_ft + design.top_box.height_in / 12.0)


def _base_cut(design: Design, rim_ft: float) -> Stone | None:
    footing = design.footing
    if footing is None:
        return None
    right = rim_ft - 0.25
    left = right - min(footing.width_ft, right)
    return (left, 0.0, right, footing.thick_in / 12.0)


def _pond_cut(design: Design, rim_ft: float, end_ft: float) -> tuple[tuple[float, float], ...]:
    """The pond's wall under the falls and its shelves, as far as the cut goes."""
    path, along, depth = [(rim_ft, 0.0)], rim_ft, 0.0
    for step in design.steps:
        along += step.batter * step.down_in / 12.0
        depth += step.down_in / 12.0
        path.append((min(along, end_ft), depth))
        along += step.shelf_in / 12.0
        if along >= end_ft:
            break
        path.append((along, depth))
    return (*path, (end_ft, path[-1][1]))
