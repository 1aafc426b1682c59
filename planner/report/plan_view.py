"""The plan: rim and shelves, boxes, pipe, falls, base line, dimensions, at scale.

In: a take-off, its section line, the place on the paper. Out: SVG elements. The ground's y runs up the page.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import TYPE_CHECKING

from planner.domain.cautions import SET_BACK_FT
from planner.domain.design import Box
from planner.domain.outline import Outline, Point
from planner.domain.section import Section
from planner.domain.takeoff import Takeoff
from planner.report import svg
from planner.report.scale import Scale, fit, length_words
from planner.report.svg import Spot

if TYPE_CHECKING:
    from shapely.geometry.base import BaseGeometry

#: room round the ground for dimensions, on paper
_DIMS = 34.0


class PlanView:
    """The plan on its place of the paper: left, top, width, height."""

    def __init__(
        self, takeoff: Takeoff, cut: Section, place: tuple[float, float, float, float], units: str
    ) -> None:
        """Choose the scale; nothing is drawn yet."""
        self.takeoff, self.cut, self.units = takeoff, cut, units
        left, top, width, height = place
        low_x, low_y, high_x, high_y = _ground(takeoff, cut)
        self.scale: Scale = fit(high_x - low_x, high_y - low_y, width - 2 * _DIMS, height - 2 * _DIMS, units)
        k = self.scale.per_ft
        self._x = left + width / 2.0 - k * (low_x + high_x) / 2.0
        self._y = top + height / 2.0 + k * (low_y + high_y) / 2.0

    def at(self, point: Point) -> Spot:
        """A point of the ground on the paper."""
        return (self._x + self.scale.per_ft * point[0], self._y - self.scale.per_ft * point[1])

    def draw(self) -> list[str]:
        """The whole plan, back to front."""
        return [
            *self._berm(),
            *self._set_back(),
            *self._stream(),
            *self._steps(),
            *self._base_line(),
            *self._pipe(),
            *self._boxes(),
            *self._viewing(),
            *self._section_line(),
            *self._dimensions(),
        ]

    def _rings(self, shape: BaseGeometry) -> list[list[Spot]]:
        rings = []
        for part in getattr(shape, "geoms", [shape]):
            for ring in (part.exterior, *part.interiors):
                rings.append([self.at((x, y)) for x, y, *_ in ring.coords[:-1]])
        return rings

    def _steps(self) -> list[str]:
        """Each step's ground tinted by depth, its outline, and its number in a ring."""
        layers, made, labels = self.takeoff.layers, [], []
        for number, layer in enumerate(layers):
            tint = f"d{min(number, 5)}" if number < len(layers) - 1 or number == 0 else "floor"
            made.append(svg.area(self._rings(layer.top), f"ground {tint}"))
            if layer.step.batter > 0.0:
                made.append(svg.area(self._rings(layer.bottom), "toe"))
            made.append(svg.area(self._rings(layer.top), "rim" if number == 0 else "edge"))
            shown = layer.bottom
            if number + 1 < len(layers):
                shown = layer.bottom.difference(layers[number + 1].top)
            labels += self._number(shown, number + 1)
        return made + labels

    def _number(self, shape: BaseGeometry, number: int) -> list[str]:
        """The step's number at the widest place of its ground."""
        import shapely

        if shape.is_empty:
            return []
        parts = sorted(getattr(shape, "geoms", [shape]), key=lambda p: -float(p.area))
        made = []
        for part in parts[:2]:
            if part.area < 0.2 * parts[0].area:
                continue
            x, y = shapely.maximum_inscribed_circle(part).coords[0][:2]
            spot = self.at((x, y))
            made += [
                svg.circle(spot, 8.5, "mark"),
                svg.text((spot[0], spot[1] + 4), str(number), "t b", anchor="middle"),
            ]
        return made

    def _set_back(self) -> list[str]:
        ring = self.takeoff.layers[0].top.buffer(SET_BACK_FT)
        return [svg.area(self._rings(ring), "setback")]

    def _berm(self) -> list[str]:
        falls, middle = self.takeoff.design.falls, self.takeoff.layout.top_box
        if falls is None or falls.berm is None or middle is None:
            return []
        berm, turn = falls.berm, self._toward_rim(middle)
        k = self.scale.per_ft
        x, y = self.at(middle)
        # its length runs across the fall of the water
        width, height = k * berm.width_ft, k * berm.length_ft
        return [
            svg.rect((x - width / 2, y - height / 2), width, height, "berm", turn=-turn, round_=0.2 * width)
        ]

    def _rim_point(self, place: Point) -> Point:
        from shapely import Point as Place
        from shapely.ops import nearest_points

        rim, _ = nearest_points(self.takeoff.layers[0].top.boundary, Place(place))
        return (float(rim.x), float(rim.y))

    def _toward_rim(self, place: Point) -> float:
        """Direction from a box to the nearest point of the rim [degrees]."""
        x, y = self._rim_point(place)
        return math.degrees(math.atan2(y - place[1], x - place[0]))

    def _stream(self) -> list[str]:
        """The water's way from the top box to the rim, and the lip of the falls."""
        falls, top = self.takeoff.design.falls, self.takeoff.layout.top_box
        if falls is None or top is None:
            return []
        rim = self._rim_point(top)
        reach = math.dist(top, rim) or 1.0
        across = ((top[1] - rim[1]) / reach, (rim[0] - top[0]) / reach)
        half = (falls.stream.width_ft if falls.stream else falls.spillway_in / 12.0) / 2.0
        corners = [
            (p[0] + side * half * across[0], p[1] + side * half * across[1])
            for p, side in ((top, 1), (rim, 1), (rim, -1), (top, -1))
        ]
        lip = falls.spillway_in / 24.0
        ends = [(rim[0] + side * lip * across[0], rim[1] + side * lip * across[1]) for side in (1, -1)]
        return [
            svg.path([self.at(c) for c in corners], "stream", closed=True),
            svg.line(self.at(ends[0]), self.at(ends[1]), "lip"),
        ]

    def _boxes(self) -> list[str]:
        design, layout = self.takeoff.design, self.takeoff.layout
        made = []
        for box, place, words in (
            (design.skimmer, layout.skimmer, "skimmer"),
            (design.top_box, layout.top_box, "waterfall box"),
        ):
            if box is not None and place is not None:
                made += self._box(box, place, words)
        return made

    def _box(self, box: Box, place: Point, words: str) -> list[str]:
        k = self.scale.per_ft / 12.0
        x, y = self.at(place)
        width, height = k * box.length_in, k * box.width_in
        turn = -self._toward_rim(place)
        clear = math.hypot(width, height) / 2.0 + 6.0
        below = self._away(place)[1] > -0.7
        rows = [words] if box.at is not None else [words, "(assumed)"]
        first = y + clear + 5.0 if below else y - clear - 11.0 * (len(rows) - 1)
        labels = [
            svg.text((x, first + 11.0 * i), row, "t s halo", anchor="middle") for i, row in enumerate(rows)
        ]
        return [
            svg.rect((x - width / 2, y - height / 2), width, height, "box", turn=turn),
            *labels,
        ]

    def _pipe(self) -> list[str]:
        pump, layout = self.takeoff.water.pumping, self.takeoff.layout
        if pump is None or len(layout.route) < 2:
            return []
        points = [self.at(p) for p in layout.route]
        middle = points[len(points) // 2]
        middle_ft = self.takeoff.layers[0].top.centroid
        centre = self.at((middle_ft.x, middle_ft.y))
        outward = 1.0 if middle[1] >= centre[1] else -1.0
        lines = f"{pump.lines} x " if pump.lines > 1 else ""
        words = f'{lines}{pump.line.nominal_in:g}" line, {length_words(layout.pipe_ft, self.units)}'
        spot = (middle[0], middle[1] + outward * 14.0 + (4.0 if outward > 0 else 0.0))
        return [svg.path(points, "pipe"), svg.text(spot, words, "t s halo", anchor="middle")]

    def _base_line(self) -> list[str]:
        """Stakes, base line and measured points, for setting out."""
        outline = self.takeoff.design.outline
        made = []
        if len(outline.base) == 2:
            a, b = (self.at(p) for p in outline.base)
            made.append(svg.line(a, b, "base"))
            for spot, name in ((a, "A"), (b, "B")):
                made += [
                    svg.circle(spot, 3.0, "stake"),
                    svg.text((spot[0] - 4, spot[1] - 6), name, "t b halo"),
                ]
        marks = marked_points(outline)
        for number, place in enumerate(marks if len(marks) <= 60 else (), start=1):
            spot, (away_x, away_y) = self.at(place), self._away(place)
            made.append(svg.circle(spot, 2.0, "mark"))
            if len(marks) <= 20:
                at = (spot[0] + 9.0 * away_x, spot[1] + 9.0 * away_y + 4.0)
                made.append(svg.text(at, str(number), "t s halo", anchor="middle"))
        return made

    def _away(self, place: Point) -> Spot:
        """Unit direction on the paper from the pond's middle to a place."""
        middle = self.takeoff.layers[0].top.centroid
        dx, dy = place[0] - middle.x, middle.y - place[1]
        reach = math.hypot(dx, dy) or 1.0
        return (dx / reach, dy / reach)

    def _viewing(self) -> list[str]:
        if self.takeoff.design.viewing is None:
            return []
        tip, tail = _arrow(self.takeoff)
        a, b = self.at(tail), self.at(tip)
        spot = (a[0], a[1] + (12.0 if a[1] >= b[1] else -4.0))
        return [
            svg.line(a, b, "arrow"),
            *_head(a, b),
            svg.text(spot, "viewing side", "t s halo", anchor="middle"),
        ]

    def _section_line(self) -> list[str]:
        a, b = self.at(self.cut.start), self.at(self.cut.end)
        reach = math.dist(a, b) or 1.0
        ux, uy = (b[0] - a[0]) / reach, (b[1] - a[1]) / reach
        made = [
            svg.line(a, (a[0] + 14 * ux, a[1] + 14 * uy), "cut"),
            svg.line(b, (b[0] - 14 * ux, b[1] - 14 * uy), "cut"),
            svg.line(a, b, "cutthin"),
        ]
        for spot, sign, name in ((a, -1, "X"), (b, 1, "X")):
            made.append(
                svg.text(
                    (spot[0] + sign * 10 * ux, spot[1] + sign * 10 * uy + 4),
                    name,
                    "t b halo",
                    anchor="middle",
                )
            )
        return made

    def _dimensions(self) -> list[str]:
        """The rim's overall length and width, below and to the left of everything."""
        left, low, right, high = self.takeoff.layers[0].top.bounds
        ground = _ground(self.takeoff, self.cut)
        bottom, side = self.at((left, ground[1]))[1] + 18.0, self.at((ground[0], low))[0] - 18.0
        a, b = self.at((left, low)), self.at((right, high))
        across = length_words(right - left, self.units)
        along = length_words(high - low, self.units)
        return [
            *_dimension((a[0], bottom), (b[0], bottom), across),
            *_dimension((side, a[1]), (side, b[1]), along),
            svg.line((a[0], bottom + 4), (a[0], a[1]), "ext"),
            svg.line((b[0], bottom + 4), (b[0], a[1]), "ext"),
            svg.line((side - 4, a[1]), (a[0], a[1]), "ext"),
            svg.line((side - 4, b[1]), (a[0], b[1]), "ext"),
        ]


def marked_points(outline: Outline) -> list[Point]:
    """The measured points, each once, in the order of measuring."""
    return list(dict.fromkeys(outline.marks))


def _arrow(takeoff: Takeoff) -> tuple[Point, Point]:
    """Tip and tail of the arrow at the viewing side [ft]."""
    viewing, shape = takeoff.design.viewing, takeoff.layers[0].top
    angle = math.radians(viewing.direction_deg if viewing else 0.0)
    x, y = math.cos(angle), math.sin(angle)
    centre, hull = shape.centroid, shape.convex_hull.boundary.coords
    reach = max((px - centre.x) * x + (py - centre.y) * y for px, py, *_ in hull)
    tip, tail = reach, reach + 1.6
    return (centre.x + tip * x, centre.y + tip * y), (centre.x + tail * x, centre.y + tail * y)


def _ground(takeoff: Takeoff, cut: Section) -> tuple[float, float, float, float]:
    """What must fit on the plan: rim with set-back, boxes, pipe, base line, section line [ft]."""
    left, low, right, high = takeoff.layers[0].top.buffer(SET_BACK_FT).bounds
    places: list[Point] = [*takeoff.layout.route, *takeoff.design.outline.base, cut.start, cut.end]
    reach = 2.0
    falls = takeoff.design.falls
    if takeoff.design.viewing is not None:
        x, y = _arrow(takeoff)[1]
        places += [(x - 1.0, y - 1.0), (x + 1.0, y + 1.0)]
    for place in (takeoff.layout.skimmer, takeoff.layout.top_box):
        if place is not None:
            places += [(place[0] + dx, place[1] + dy) for dx in (-reach, reach) for dy in (-reach, reach)]
    if falls and falls.berm and takeoff.layout.top_box:
        half = max(falls.berm.length_ft, falls.berm.width_ft) / 2.0
        x, y = takeoff.layout.top_box
        places += [(x - half, y - half), (x + half, y + half)]
    xs, ys = [x for x, _ in places], [y for _, y in places]
    return (min([left, *xs]), min([low, *ys]), max([right, *xs]), max([high, *ys]))


def _dimension(a: Spot, b: Spot, words: str) -> list[str]:
    """A dimension line with slashes at its ends and its words in the middle."""
    middle = ((a[0] + b[0]) / 2.0, (a[1] + b[1]) / 2.0)
    upright = abs(a[0] - b[0]) < abs(a[1] - b[1])
    spot = (middle[0] - 4.0, middle[1]) if upright else (middle[0], middle[1] - 4.0)
    ticks = [svg.line((x - 3, y + 3), (x + 3, y - 3), "tick") for x, y in (a, b)]
    return [
        svg.line(a, b, "dim"),
        *ticks,
        svg.text(spot, words, "t b halo", anchor="middle", turn=-90.0 if upright else 0.0),
    ]


def _head(tail: Spot, tip: Spot) -> Sequence[str]:
    """An arrow's head at `tip`."""
    angle = math.atan2(tip[1] - tail[1], tip[0] - tail[0])
    wings = [(tip[0] - 8 * math.cos(angle + d), tip[1] - 8 * math.sin(angle + d)) for d in (0.4, -0.4)]
    return [svg.path([wings[0], tip, wings[1]], "arrowhead", closed=True)]
