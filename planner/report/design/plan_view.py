"""The plan: rim and shelves, boxes, pipe, falls, base line, dimensions, at scale.

In: a take-off, its section line, the place on the paper. Out: SVG elements. The ground's y runs up the page.
"""

from __future__ import annotations

import math

from planner.domain.design.design import Box
from planner.domain.design.outline import Point
from planner.domain.design.section import Section
from planner.domain.quantities.cautions import SET_BACK_FT
from planner.domain.quantities.ground import Ring, nearest_on_rim, rings, set_back, step_spots
from planner.domain.quantities.takeoff import Takeoff
from planner.domain.safety.lifting import stone_in
from planner.report.design import svg
from planner.report.design.plan_marks import arrow_head, arrow_spots, dimension, ground_bounds, marked_points
from planner.report.design.scale import Scale, fit, length_words
from planner.report.design.svg import Spot

#: room round the ground for dimensions, on paper
_DIMS = 44.0
#: half the word under the machine's stand, and a line of words beside it, on paper
_MACHINE_WIDE = 40.0


class PlanView:
    """The plan on its place of the paper: left, top, width, height."""

    def __init__(
        self, takeoff: Takeoff, cut: Section, place: tuple[float, float, float, float], units: str
    ) -> None:
        """Choose the scale; nothing is drawn yet."""
        self.takeoff, self.cut, self.units = takeoff, cut, units
        left, top, width, height = place
        self._left, self._top = left, top
        low_x, low_y, high_x, high_y = ground_bounds(takeoff, cut)
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
            *self._boulders(),
            *self._boxes(),
            *self._viewing(),
            *self._section_line(),
            *self._dimensions(),
            *self._house(),
            *self._north(),
        ]

    def _house(self) -> list[str]:
        """The line that stays, with the rim's nearest distance from each of its ends."""
        ends = self.takeoff.design.site.house
        if not ends:
            return []
        a, b = (self.at(end) for end in ends)
        rim = [nearest_on_rim(self.takeoff.layers, end) for end in ends]
        made = [svg.line(a, b, "house")]
        for (x, y), end, near in zip((a, b), ends, rim, strict=True):
            made.append(svg.circle((x, y), 3.0, "stake"))
            made.append(svg.line((x, y), self.at(near), "ext"))
            away = length_words(math.dist(end, near), self.units)
            middle = ((x + self.at(near)[0]) / 2.0, (y + self.at(near)[1]) / 2.0 - 3.0)
            made.append(svg.text(middle, away, "t s halo", anchor="middle"))
        spot = ((a[0] + b[0]) / 2.0, (a[1] + b[1]) / 2.0 - 6.0)
        return [*made, svg.text(spot, "house line", "t s halo", anchor="middle")]

    def _north(self) -> list[str]:
        """An arrow to the north in the sheet's upper corner, where the file says where north lies."""
        north_deg = self.takeoff.design.site.north_deg
        if north_deg is None:
            return []
        x, y = self._left + 26.0, self._top + 34.0
        ux, uy = math.cos(math.radians(north_deg)), -math.sin(math.radians(north_deg))
        tail, tip = (x - 16.0 * ux, y - 16.0 * uy), (x + 16.0 * ux, y + 16.0 * uy)
        letter = (x + 25.0 * ux, y + 25.0 * uy + 4.0)
        return [
            svg.line(tail, tip, "arrow"),
            *arrow_head(tail, tip),
            svg.text(letter, "N", "t b halo", anchor="middle"),
        ]

    def _on_paper(self, rings: list[Ring]) -> list[list[Spot]]:
        return [[self.at(point) for point in ring] for ring in rings]

    def _steps(self) -> list[str]:
        """Each step's ground tinted by depth, its outline, and its number in a ring."""
        layers, made, labels = self.takeoff.layers, [], []
        for number, layer in enumerate(layers):
            tint = f"d{min(number, 5)}" if number < len(layers) - 1 or number == 0 else "floor"
            made.append(svg.area(self._on_paper(rings(layer.top)), f"ground {tint}"))
            if layer.step.batter > 0.0:
                made.append(svg.area(self._on_paper(rings(layer.bottom)), "toe"))
            made.append(svg.area(self._on_paper(rings(layer.top)), "rim" if number == 0 else "edge"))
            labels += self._number(number)
        return made + labels

    def _number(self, number: int) -> list[str]:
        """The step's number where its ground is widest."""
        made = []
        for x, y in (self.at(spot) for spot in step_spots(self.takeoff.layers, number)):
            made.append(svg.circle((x, y), 8.5, "mark"))
            made.append(svg.text((x, y + 4), str(number + 1), "t b", anchor="middle"))
        return made

    def _set_back(self) -> list[str]:
        return [svg.area(self._on_paper(set_back(self.takeoff.layers, SET_BACK_FT)), "setback")]

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

    def _toward_rim(self, place: Point) -> float:
        """Direction from a box to the nearest point of the rim [degrees]."""
        x, y = nearest_on_rim(self.takeoff.layers, place)
        return math.degrees(math.atan2(y - place[1], x - place[0]))

    def _stream(self) -> list[str]:
        """The water's way from the top box to the rim, and the lip of the falls."""
        falls, top = self.takeoff.design.falls, self.takeoff.layout.top_box
        if falls is None or top is None:
            return []
        rim = nearest_on_rim(self.takeoff.layers, top)
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

    def _boulders(self) -> list[str]:
        """Each named boulder as a circle of its weight, with its name; a cross where the machine stands."""
        made: list[str] = []
        design = self.takeoff.design
        for boulder in design.boulders:
            if boulder.at is not None:
                x, y = self.at(boulder.at)
                size_in = stone_in(boulder.weight_lb, design.stone.density_lb_ft3)
                made.append(svg.circle((x, y), self.scale.per_ft * size_in / 24.0, "stone"))
                made.append(svg.text((x, y - 4.0), boulder.name, "t s halo", anchor="middle"))
        if design.placing is not None and design.placing.stand is not None:
            x, y = self.at(design.placing.stand)
            made += [
                svg.line((x - 6, y - 6), (x + 6, y + 6), "cut"),
                svg.line((x - 6, y + 6), (x + 6, y - 6), "cut"),
            ]
            made.append(svg.text((x, y + 17.0), "machine", "t s halo", anchor="middle"))
        return made

    def _box(self, box: Box, place: Point, words: str) -> list[str]:
        k = self.scale.per_ft / 12.0
        x, y = self.at(place)
        width, height = k * box.length_in, k * box.width_in
        turn = -self._toward_rim(place)
        clear = math.hypot(width, height) / 2.0 + 6.0
        away_x, away_y = self._away(place)
        below, aside = away_y > -0.7, x + 28.0 * max(0.0, away_x)
        rows = [words] if box.at is not None else [words, "(assumed)"]
        first = y + clear + 5.0 if below else y - clear - 11.0 * (len(rows) - 1)
        labels = [
            svg.text((aside, first + 11.0 * i), row, "t s halo", anchor="middle")
            for i, row in enumerate(rows)
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
        lines = f"{pump.lines} x " if pump.lines > 1 else ""
        words = f'{lines}{pump.line.nominal_in:g}" line, {length_words(layout.pipe_ft, self.units)}'
        return [svg.path(points, "pipe"), svg.text(self._pipe_spot(), words, "t s halo", anchor="middle")]

    def _pipe_spot(self) -> Spot:
        """Where the pump line's words stand: outside the middle of its route."""
        route = self.takeoff.layout.route
        x, y = self.at(route[len(route) // 2])
        center = self.takeoff.layers[0].top.centroid
        return (x, y + 18.0) if y >= self.at((center.x, center.y))[1] else (x, y - 14.0)

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
        tip, tail = arrow_spots(self.takeoff)
        a, b = self.at(tail), self.at(tip)
        spot = (a[0], a[1] + (12.0 if a[1] >= b[1] else -4.0))
        return [
            svg.line(a, b, "arrow"),
            *arrow_head(a, b),
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
        # the letter stands beside the line's end, clear of what stands before it
        for spot in (a, b):
            beside = (spot[0] + 9.0 * uy, spot[1] - 9.0 * ux + 4.0)
            made.append(svg.text(beside, "X", "t b halo", anchor="middle"))
        return made

    def _dimensions(self) -> list[str]:
        """The rim's overall length and width, below and to the left of everything."""
        left, low, right, high = self.takeoff.layers[0].top.bounds
        ground = ground_bounds(self.takeoff, self.cut)
        bottom, side = self.at((left, ground[1]))[1] + 18.0, self.at((ground[0], low))[0] - 18.0
        if self.takeoff.water.pumping is not None and len(self.takeoff.layout.route) >= 2:
            bottom = max(bottom, self._pipe_spot()[1] + 18.0)
        placing = self.takeoff.design.placing
        if placing is not None and placing.stand is not None:
            side = min(side, self.at(placing.stand)[0] - _MACHINE_WIDE)
        a, b = self.at((left, low)), self.at((right, high))
        across = length_words(right - left, self.units)
        along = length_words(high - low, self.units)
        return [
            *dimension((a[0], bottom), (b[0], bottom), across),
            *dimension((side, a[1]), (side, b[1]), along),
            svg.line((a[0], bottom + 4), (a[0], a[1]), "ext"),
            svg.line((b[0], bottom + 4), (b[0], a[1]), "ext"),
            svg.line((side - 4, a[1]), (a[0], a[1]), "ext"),
            svg.line((side - 4, b[1]), (a[0], b[1]), "ext"),
        ]
