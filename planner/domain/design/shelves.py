"""Shelves: a stepped hole under an outline, layer by layer, by inward offsets of the real outline.

In: an outline and the steps from the rim down. Out: `Layer`s with exact areas and volumes. Step 1 starts at
the rim; each wall goes down plumb or battered, then a shelf runs in to the outline of the next step; the last
step ends on the floor. The one trick: an offset inward by `w` is the erosion by a disc of radius `w`, so two
offsets in a row equal one by their sum and nothing depends on how a step is split.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, cast

from planner.domain.design.earth import prismoid_ft3
from planner.domain.design.outline import Outline, Point, ft_and_m, in_and_mm, near
from planner.errors import BadInput

if TYPE_CHECKING:
    from shapely import LineString
    from shapely.geometry.base import BaseGeometry

#: arcs at hollow corners: segments per quarter turn
_ARC = 24
#: battered walls are summed over this many prismoids
_SLABS = 8
#: pieces smaller than this are rounding, not ground [ft2]
_CRUMB_FT2 = 0.02


@dataclass(frozen=True, slots=True)
class Step:
    """One step: a wall `down_in` high and the shelf at its foot [in].

    shelf_in: how far the shelf runs in, 0 for none; viewing_shelf_in: the same at the viewing side, None when
    it is the same all round; batter: inward run of the wall per unit of height, 0 is plumb. The last step has
    no shelf: its foot is the floor. stone_in: thickness of the stone course on the wall [in], 0 for none;
    course: "small", "medium", "large", or "mix" for the design's own mix.
    """

    down_in: float
    shelf_in: float = 0.0
    viewing_shelf_in: float | None = None
    batter: float = 0.0
    stone_in: float = 12.0
    course: str = "mix"


@dataclass(frozen=True, slots=True)
class Viewing:
    """The side people look from: its direction counter-clockwise from x [degrees] and how wide it reaches."""

    direction_deg: float
    spread_deg: float = 90.0


@dataclass(frozen=True, slots=True)
class Layer:
    """The ground taken out by one step. Depths below the rim [ft]; `top` and `bottom` are its outlines."""

    step: Step
    top: BaseGeometry
    bottom: BaseGeometry
    top_ft: float
    bottom_ft: float

    @property
    def height_ft(self) -> float:
        """Height of the wall [ft]."""
        return self.bottom_ft - self.top_ft

    def outline_at(self, depth_ft: float) -> BaseGeometry:
        """The outline at a depth within the layer."""
        if self.step.batter == 0.0 or depth_ft <= self.top_ft:
            return self.top
        return inward(self.top, self.step.batter * (depth_ft - self.top_ft))

    def volume_ft3(self, from_ft: float | None = None) -> float:
        """Volume below `from_ft` (the layer's top when None) [ft3]; battered walls by the prismoidal rule."""
        start = self.top_ft if from_ft is None else max(self.top_ft, from_ft)
        if start >= self.bottom_ft:
            return 0.0
        if self.step.batter == 0.0:
            return float(self.top.area) * (self.bottom_ft - start)
        slab = (self.bottom_ft - start) / _SLABS
        areas = [float(self.outline_at(start + i * slab / 2.0).area) for i in range(2 * _SLABS + 1)]
        return sum(prismoid_ft3(areas[i], areas[i + 1], areas[i + 2], slab) for i in range(0, 2 * _SLABS, 2))

    @property
    def wall_ft2(self) -> float:
        """Face of the wall, measured along its slope [ft2]."""
        middle = self.outline_at((self.top_ft + self.bottom_ft) / 2.0)
        return float(middle.length) * self.height_ft * self.slope_factor

    @property
    def slope_factor(self) -> float:
        """Length of the wall along its slope per unit of height."""
        return math.hypot(1.0, self.step.batter)


def inward(shape: BaseGeometry, width_ft: float) -> BaseGeometry:
    """`shape` moved in by `width_ft` all round; empty when nothing is left."""
    return shape.buffer(-width_ft, quad_segs=_ARC) if width_ft > 0.0 else shape


def inward_two(shape: BaseGeometry, width_ft: float, viewing_ft: float, viewing: Viewing) -> BaseGeometry:
    """`shape` moved in by `viewing_ft` at the viewing side and by `width_ft` elsewhere."""
    from shapely import Polygon

    center, reach = shape.centroid, 2.0 * math.hypot(*_extent(shape))
    half = math.radians(viewing.spread_deg) / 2.0
    middle = math.radians(viewing.direction_deg)
    arc = [middle - half + half * i / 8.0 for i in range(17)]
    tips = [(center.x + reach * math.cos(a), center.y + reach * math.sin(a)) for a in arc]
    seen = Polygon([(center.x, center.y), *tips])
    edge = shape.boundary
    for part, width in ((edge.difference(seen), width_ft), (edge.intersection(seen), viewing_ft)):
        if width > 0.0 and not part.is_empty:
            shape = shape.difference(part.buffer(width, quad_segs=_ARC))
    return shape


def _extent(shape: BaseGeometry) -> Point:
    left, low, right, high = shape.bounds
    return (right - left, high - low)


def pieces(shape: BaseGeometry) -> list[BaseGeometry]:
    """The separate grounds of `shape`, largest first, crumbs left out."""
    parts = list(getattr(shape, "geoms", [shape]))
    return sorted((p for p in parts if p.area > _CRUMB_FT2), key=lambda p: -float(p.area))


def layers(
    outline: Outline, steps: Sequence[Step], viewing: Viewing | None = None, basins: int = 1
) -> tuple[Layer, ...]:
    """The layers of a stepped hole, rim first.

    basins: how many separate floors the design asks for; an offset that leaves more is refused, and so is
    one that leaves nothing: the message says where and how much width there is.
    """
    check_steps(steps)
    found: list[Layer] = []
    shape: BaseGeometry = outline.polygon()
    depth_ft = 0.0
    for number, step in enumerate(steps, start=1):
        bottom_ft = depth_ft + step.down_in / 12.0
        run_ft = step.batter * step.down_in / 12.0
        bottom = _cut(shape, run_ft, run_ft, None, f"step {number} wall", basins)
        found.append(Layer(step, shape, bottom, depth_ft, bottom_ft))
        shelf_ft = step.shelf_in / 12.0
        seen_ft = shelf_ft if step.viewing_shelf_in is None else step.viewing_shelf_in / 12.0
        if number < len(steps):
            shape = _cut(bottom, shelf_ft, seen_ft, viewing, f"step {number} shelf", basins)
        depth_ft = bottom_ft
    return tuple(found)


def check_steps(steps: Sequence[Step]) -> None:
    """Refuse steps that no one could dig: none at all, negative or absurd measures."""
    if not steps:
        raise BadInput("steps", "none", "give at least one step down from the rim")
    for number, step in enumerate(steps, start=1):
        where = f"step {number}"
        _within(f"{where} down", step.down_in, 0.25, 240.0, "in")
        _within(f"{where} shelf", step.shelf_in, 0.0, 600.0, "in")
        if step.viewing_shelf_in is not None:
            _within(f"{where} viewing_ledge", step.viewing_shelf_in, 0.0, 600.0, "in")
        _within(f"{where} batter", step.batter, 0.0, 10.0, "run per unit of height")
        _within(f"{where} stone", step.stone_in, 0.0, 48.0, "in")
    if steps[-1].shelf_in or steps[-1].viewing_shelf_in:
        field, value = f"step {len(steps)} shelf", steps[-1].shelf_in
        raise BadInput(field, value, "the last step ends on the floor: leave its shelf out")


def _within(field: str, value: float, least: float, most: float, unit: str) -> None:
    if not math.isfinite(value) or not least <= value <= most:
        raise BadInput(field, value, f"give {least:g} to {most:g} {unit}")


def _cut(
    shape: BaseGeometry, width_ft: float, seen_ft: float, viewing: Viewing | None, field: str, basins: int
) -> BaseGeometry:
    """Move `shape` in, or say why it cannot be."""

    def moved(share: float) -> BaseGeometry:
        if viewing is None or seen_ft == width_ft:
            return inward(shape, width_ft * share)
        return inward_two(shape, width_ft * share, seen_ft * share, viewing)

    result = moved(1.0)
    left = pieces(result)
    if 1 <= len(left) <= basins:
        return result
    low, high = 0.0, 1.0
    for _ in range(30):
        share = (low + high) / 2.0
        low, high = (share, high) if 1 <= len(pieces(moved(share))) <= basins else (low, share)
    widest_in = 12.0 * low * max(width_ft, seen_ft)
    shown = in_and_mm(12.0 * max(width_ft, seen_ft))
    if not left and len(pieces(moved(high))) <= basins:
        raise BadInput(field, shown, _vanished(shape, widest_in))
    raise BadInput(field, shown, _split(pieces(moved(high)), 2.0 * low * width_ft, widest_in, basins))


def _vanished(shape: BaseGeometry, widest_in: float) -> str:
    import shapely

    spoke = cast("LineString", shapely.maximum_inscribed_circle(shape))  # type: ignore[call-overload]
    x, y = spoke.coords[0][:2]
    return (
        f"nothing is left inside it: the widest place, {near(x, y)}, is {ft_and_m(2 * spoke.length)} across; "
        f"keep it under {in_and_mm(widest_in)}"
    )


def _split(parts: list[BaseGeometry], neck_ft: float, widest_in: float, basins: int) -> str:
    from shapely.ops import nearest_points

    one, two = nearest_points(parts[0], parts[1])
    x, y = (one.x + two.x) / 2.0, (one.y + two.y) / 2.0
    asked = "" if basins == 1 else f", more than the {basins} asked for"
    return (
        f"it splits the pond into {len(parts)} basins{asked}: the neck {near(x, y)} is "
        f"{ft_and_m(neck_ft)} wide; keep it under {in_and_mm(widest_in)}, or say basins = {len(parts)}"
    )
