"""The hole as plain points for whoever draws it: rings of outlines, widest places, the rim near a box.

In: layers. Out: points in feet; nobody outside the domain needs the geometry library.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from planner.domain.design.outline import Point
from planner.domain.design.shelves import Layer, pieces
from planner.domain.quantities.takeoff import Takeoff

if TYPE_CHECKING:
    from shapely.geometry.base import BaseGeometry

Ring = list[Point]


def rings(shape: BaseGeometry) -> list[Ring]:
    """Outer and inner rings of an outline, the first point not repeated."""
    parts = getattr(shape, "geoms", [shape])
    return [
        [(float(x), float(y)) for x, y, *_ in ring.coords[:-1]]
        for part in parts
        for ring in (part.exterior, *part.interiors)
    ]


def set_back(layers: Sequence[Layer], width_ft: float) -> list[Ring]:
    """The line `width_ft` outside the rim."""
    return rings(layers[0].top.buffer(width_ft))


def step_spots(layers: Sequence[Layer], number: int) -> list[Point]:
    """The middle of the widest place that a step (from 0) leaves to stand on, one for each large piece."""
    import shapely

    stand = layers[number].bottom
    if number + 1 < len(layers):
        stand = stand.difference(layers[number + 1].top)
    parts = pieces(stand)
    spots = []
    for part in parts[:2]:
        if part.area >= 0.2 * parts[0].area:
            x, y = shapely.maximum_inscribed_circle(part).coords[0][:2]  # type: ignore[call-overload]
            spots.append((float(x), float(y)))
    return spots


def nearest_on_rim(layers: Sequence[Layer], place: Point) -> Point:
    """The point of the rim nearest to `place`."""
    from shapely import Point as Spot
    from shapely.ops import nearest_points

    rim, _ = nearest_points(layers[0].top.boundary, Spot(place))
    return (float(rim.x), float(rim.y))


def sketch(takeoff: Takeoff, width: int) -> list[str]:
    """The plan in characters: the number of the step that one stands on, S and W for the boxes.

    A character counts as twice as high as wide.
    """
    import numpy as np
    import shapely

    places = [p for p in (takeoff.layout.skimmer, takeoff.layout.top_box) if p is not None]
    corners = [*takeoff.design.outline.points, *places]
    left, right = min(x for x, _ in corners), max(x for x, _ in corners)
    low, high = min(y for _, y in corners), max(y for _, y in corners)
    cell = max((right - left) / max(width, 20), (high - low) / 40.0)
    columns, rows = int((right - left) / cell) + 1, int((high - low) / (2 * cell)) + 1
    across = left + cell * (np.arange(columns) + 0.5)
    xs, ys = np.meshgrid(across, high - 2 * cell * (np.arange(rows) + 0.5))
    grid = np.full(xs.shape, " ")
    for step, layer in enumerate(takeoff.layers, start=1):
        grid[shapely.contains_xy(layer.top, xs, ys)] = str(step % 10)
    for place, sign in ((takeoff.layout.skimmer, "S"), (takeoff.layout.top_box, "W")):
        if place is not None:
            row = min(rows - 1, max(0, int((high - place[1]) / (2 * cell))))
            grid[row, min(columns - 1, max(0, int((place[0] - left) / cell)))] = sign
    drawn = ["".join(line).rstrip() for line in grid]
    while drawn and not drawn[-1]:
        drawn.pop()
    return drawn
