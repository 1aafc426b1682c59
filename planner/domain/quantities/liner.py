"""Liner: one rectangle that covers a stepped hole, cut from stock widths so as to waste least.

In: the layers, the overlap, the stock widths. Out: a cut: rectangle, roll width, panels, seams, weight. Over
a section the sheet needs the straight length, plus for every wall it meets what the wall adds (all of its
height when plumb), plus the overlap at both ends. On a round or square pond that is the hobby rule "length +
2 x depth + 2 x overlap" (koimag.co.uk, how much liner: 10 x 8 x 6 ft with 6 in overlap is 23 x 21 ft);
across two basins the section goes down and up twice, and the sheet is longer.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from planner.domain.design.shelves import Layer

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray
    from shapely.geometry.base import BaseGeometry

#: parallel sections looked at in each direction
_SECTIONS = 61
#: battered walls under a hollow outline are followed in this many slabs
_SLABS = 16


@dataclass(frozen=True, slots=True)
class Spread:
    """The rectangle that covers the hole: length and width [ft], its length's direction [degrees]."""

    length_ft: float
    width_ft: float
    direction_deg: float

    @property
    def area_ft2(self) -> float:
        """Area of the rectangle [ft2]."""
        return self.length_ft * self.width_ft


@dataclass(frozen=True, slots=True)
class Cut:
    """What to take off the roll: `panels` pieces `cut_ft` long of a roll `roll_ft` wide, joined by seams."""

    roll_ft: float
    cut_ft: float
    panels: int
    seams_ft: float

    @property
    def area_ft2(self) -> float:
        """Bought area [ft2]."""
        return self.roll_ft * self.cut_ft * self.panels


@dataclass(frozen=True, slots=True)
class _Wall:
    """A layer's wall as arrays: what it adds at each crossing [ft], its rings, and whether it is convex."""

    extra_ft: float
    rings: tuple[NDArray[np.float64], ...]
    convex: bool


def spread(layers: Sequence[Layer], overlap_ft: float) -> Spread:
    """The smallest rectangle over the hole, tried along every side of the outline's hull.

    >>> from planner.domain.design.outline import rectangle
    >>> from planner.domain.design.shelves import Step, layers
    >>> sheet = spread(layers(rectangle(10, 8), [Step(72)]), 0.5)
    >>> round(sheet.length_ft, 6), round(sheet.width_ft, 6)
    (23.0, 21.0)
    """
    import numpy as np

    hull = np.asarray(layers[0].top.convex_hull.boundary.coords)
    always, edges = _crossings([wall for layer in layers for wall in _walls(layer)])
    sides = np.diff(hull, axis=0)
    angles = np.unique(np.round(np.arctan2(sides[:, 1], sides[:, 0]) % (math.pi / 2.0), 6))
    found = []
    for angle in (float(a) for a in angles):
        along = always + _developed_ft(hull, edges, angle) + 2.0 * overlap_ft
        across = always + _developed_ft(hull, edges, angle + math.pi / 2.0) + 2.0 * overlap_ft
        turned = math.degrees(angle) + (90.0 if along < across else 0.0)
        found.append(Spread(max(along, across), min(along, across), turned))
    return min(found, key=lambda sheet: round(sheet.area_ft2, 6))


def _walls(layer: Layer) -> Iterator[_Wall]:
    """The layer's wall; a battered one under a hollow outline in slabs, as its outline changes on the way."""
    whole = _wall(layer.top, layer.height_ft * (layer.slope_factor - layer.step.batter))
    if whole.convex or layer.step.batter == 0.0:
        yield whole
        return
    for slab in range(_SLABS):
        middle_ft = layer.top_ft + layer.height_ft * (slab + 0.5) / _SLABS
        yield _wall(layer.outline_at(middle_ft), whole.extra_ft / _SLABS)


def _wall(outline: BaseGeometry, extra_ft: float) -> _Wall:
    import numpy as np

    parts = list(getattr(outline, "geoms", [outline]))
    rings = tuple(np.asarray(ring.coords) for p in parts for ring in (p.exterior, *p.interiors))
    convex = len(rings) == 1 and float(outline.area) > (1.0 - 1e-9) * float(outline.convex_hull.area)
    return _Wall(extra_ft, rings, convex)


def _crossings(walls: Sequence[_Wall]) -> tuple[float, NDArray[np.float64]]:
    """What the walls add: by every section the same [ft], and by edge, a row (x, y, x, y, added ft) each.

    A convex wall is crossed twice, a hollow or split one as often as the section meets its edges.
    """
    import numpy as np

    always = sum(2.0 * wall.extra_ft for wall in walls if wall.convex)
    rows = [
        np.column_stack((ring[:-1, :2], ring[1:, :2], np.full(len(ring) - 1, wall.extra_ft)))
        for wall in walls
        if not wall.convex
        for ring in wall.rings
    ]
    return always, np.concatenate(rows) if rows else np.zeros((0, 5))


def _developed_ft(hull: NDArray[np.float64], edges: NDArray[np.float64], angle: float) -> float:
    """Sheet length over the hole in direction `angle` [rad], without overlap and convex walls [ft].

    The rim's full extent that way, plus the most that the edges add over any parallel section.
    """
    import numpy as np

    c, s = math.cos(angle), math.sin(angle)
    along, aside = hull @ np.array([c, s]), np.array([-s, c])
    if not len(edges):
        return float(along.max() - along.min())
    across = hull @ aside
    low, high = float(across.min()), float(across.max())
    lines = low + (high - low) * (np.arange(_SECTIONS) + 0.5) / _SECTIONS
    ends = np.sort(np.column_stack((edges[:, :2] @ aside, edges[:, 2:4] @ aside)), axis=1)
    # an edge adds from the first section at or past its near end up to the one before its far end
    begins, stops = (np.searchsorted(lines, ends[:, n]) for n in (0, 1))
    steps = [np.bincount(at, edges[:, 4], _SECTIONS + 1) for at in (begins, stops)]
    met = np.cumsum(steps[0] - steps[1])[:_SECTIONS]
    return float(along.max() - along.min() + met.max())


def cut_from_stock(
    length_ft: float, width_ft: float, stock_ft: Sequence[float], lap_ft: float, whole_ft: float = 1.0
) -> Cut:
    """Cut a rectangle from the stock widths, either way round: no seam if that is possible, then least area.

    The cut length is rounded up to `whole_ft`.

    >>> cut_from_stock(23, 21, [10, 15, 20, 25], 0.5)
    Cut(roll_ft=25, cut_ft=21.0, panels=1, seams_ft=0.0)
    """
    found: list[Cut] = []
    for along, across in ((length_ft, width_ft), (width_ft, length_ft)):
        cut = math.ceil(along / whole_ft - 1e-6) * whole_ft
        for roll in sorted(stock_ft):
            panels = 1 if across <= roll + 1e-6 else math.ceil((across - lap_ft) / (roll - lap_ft) - 1e-6)
            found.append(Cut(roll, cut, panels, float((panels - 1) * along)))
    return min(found, key=lambda c: (c.panels > 1, c.area_ft2, c.panels, c.roll_ft))
