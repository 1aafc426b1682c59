"""Setting out: the rim with its base points at scale, and every number that two people with tapes need.

In: a take-off, the place on the paper. Out: SVG elements, and the same numbers as lines of words. No number
is ever left out: a table grows by columns, and what finds no room goes to a further sheet.
"""

from __future__ import annotations

import math

from planner.domain.design.outline import Outline, Point
from planner.domain.design.survey import Corners, Offsets, Pins, base_of, setting_out
from planner.domain.quantities.ground import rings
from planner.domain.quantities.takeoff import Takeoff
from planner.report.design import svg
from planner.report.design.plan_marks import marked_points
from planner.report.design.scale import Scale, fit, length_words, short_words
from planner.report.design.svg import Spot
from planner.units import M_PER_FT, METRIC

#: a row of the table, its three columns, on paper
_ROW, _COLUMNS = 13.5, (0.0, 50.0, 106.0)
_TABLE = 158.0

_STRETCH = "Stretch the line A to B, under the plan;"

Table = tuple[tuple[str, str, str], list[tuple[str, str, str]]]


def tape_words(outline: Outline, units: str) -> list[str]:
    """The numbers to set a rim out with, a line each."""
    found = setting_out(outline, grid_ft(units))
    if isinstance(found, Offsets):
        heads = ["Base line A to B under the plan, touching the rim;", "from A along it: near rim, far rim"]
        return heads + [
            f"{length_words(along, units)}: {length_words(near, units)}, {length_words(far, units)}"
            for along, near, far in found.rows
        ]
    return _drawn(found, units)


def grid_ft(units: str) -> float:
    """Stations lie at multiples of it: a foot, or half a meter."""
    return 0.5 / M_PER_FT if units == METRIC else 1.0


def _drawn(found: Pins | Corners, units: str) -> list[str]:
    """An ellipse by two pins and a string, a rectangle by its sides and diagonals."""
    if isinstance(found, Pins):
        return [
            f"Two pins on the long axis, {length_words(found.from_center_ft, units)} each side of center.",
            f"String from pin to pin {length_words(found.string_ft, units)} long; keep it tight, paint.",
        ]
    sides = f"{length_words(found.length_ft, units)} by {length_words(found.width_ft, units)}"
    round_ = (
        f" Corners rounded {length_words(found.radius_ft, units)} inside them." if found.radius_ft else ""
    )
    return [f"{sides}; both diagonals {length_words(found.diagonal_ft, units)}.{round_}"]


def points_table(outline: Outline, units: str) -> Table | None:
    """Heads and rows: measured points by two tapes, or stations of the base line; None where two lines do."""

    def s(feet: float) -> str:
        return length_words(feet, units)

    marks = marked_points(outline)
    if marks and outline.base:
        a, b = outline.base
        rows = [(f"{n}", s(math.dist(p, a)), s(math.dist(p, b))) for n, p in enumerate(marks, 1)]
        return ("point", "from A", "from B"), rows
    if marks:
        (left, foot), _ = base_of(outline)
        rows = [(f"{n}", s(x - left), s(y - foot)) for n, (x, y) in enumerate(marks, 1)]
        return ("point", "from A", "off line"), rows
    found = setting_out(outline, grid_ft(units))
    if isinstance(found, Offsets):
        return ("from A", "near rim", "far rim"), [(s(a), s(n), s(f)) for a, n, f in found.rows]
    return None


def ties(takeoff: Takeoff, units: str) -> list[str]:
    """Boxes and the house line's ends by two tapes from A and B, and the inner edge of each step."""
    outline, layout = takeoff.design.outline, takeoff.layout
    a, b = base_of(outline)
    spots: list[tuple[str, Point | None]] = [("skimmer, middle", layout.skimmer)]
    spots.append(("waterfall box, middle", layout.top_box))
    spots += [(f"house line, end {n}", end) for n, end in enumerate(takeoff.design.site.house, 1)]
    rows = [f"A to B: {length_words(math.dist(a, b), units)}"] if a != b else []
    for name, spot in spots:
        if spot is not None:
            rows.append(
                f"{name}: from A {length_words(math.dist(a, spot), units)}, "
                f"from B {length_words(math.dist(b, spot), units)}"
            )
    return rows + _insets(takeoff, units)


def _insets(takeoff: Takeoff, units: str) -> list[str]:
    """How far each wall's top lies inside the rim, measured square to it; the viewing side's where wider."""
    rows, inset, viewing = [], 0.0, 0.0
    for number_, (step, below) in enumerate(
        zip(takeoff.design.steps, takeoff.design.steps[1:], strict=False), start=2
    ):
        run = step.batter * step.down_in
        inset += run + step.shelf_in
        viewing += run + (step.shelf_in if step.viewing_shelf_in is None else step.viewing_shelf_in)
        wide = f" ({short_words(viewing, units)} at the viewing side)" if abs(viewing - inset) > 0.1 else ""
        if below.down_in:
            rows.append(f"step {number_} begins {short_words(inset, units)} inside the rim{wide}")
    return rows


class SettingView:
    """Setting out on its place of the paper: left, top, width, height."""

    def __init__(self, takeoff: Takeoff, place: tuple[float, float, float, float], units: str) -> None:
        """Choose the scale; nothing is drawn yet."""
        self.takeoff, self.units, self.place = takeoff, units, place
        self.outline = takeoff.design.outline
        self.table = points_table(self.outline, units)
        left, top, width, height = place
        self.left_over: list[tuple[str, str, str]] = []
        count = math.ceil(len(self.table[1]) / max(4, int((height - 150.0) / _ROW))) if self.table else 0
        self._table_wide = max(270.0, min(_TABLE * count, 0.62 * width))
        room = width - self._table_wide - 70.0
        spots = self._spots()
        xs, ys = [x for x, _ in spots], [y for _, y in spots]
        low_x, high_x, low_y, high_y = min(xs), max(xs), min(ys), max(ys)
        self.scale: Scale = fit(high_x - low_x, high_y - low_y, room, height - 60.0, units)
        k = self.scale.per_ft
        self._x = left + 30.0 + room / 2.0 - k * (low_x + high_x) / 2.0
        self._y = top + height / 2.0 + k * (low_y + high_y) / 2.0

    def _spots(self) -> list[Point]:
        """What the sketch must hold: rim, base, boxes, house line."""
        layout = self.takeoff.layout
        more = [spot for spot in (layout.skimmer, layout.top_box) if spot is not None]
        return [*self.outline.points, *base_of(self.outline), *more, *self.takeoff.design.site.house]

    def at(self, point: Point) -> Spot:
        """A point of the ground on the paper."""
        return (self._x + self.scale.per_ft * point[0], self._y - self.scale.per_ft * point[1])

    def draw(self) -> list[str]:
        """Sketch, table and ties."""
        return [*self._sketch(), *self._base(), *self._numbers()]

    def _sketch(self) -> list[str]:
        rim = [[self.at(point) for point in ring] for ring in rings(self.takeoff.layers[0].top)]
        made = [svg.area(rim, "rim")]
        for name, spot in (("S", self.takeoff.layout.skimmer), ("W", self.takeoff.layout.top_box)):
            if spot is not None:
                x, y = self.at(spot)
                made += [
                    svg.circle((x, y), 7.5, "mark"),
                    svg.text((x, y + 4.0), name, "t s b", anchor="middle"),
                ]
        house = self.takeoff.design.site.house
        if house:
            made.append(svg.line(self.at(house[0]), self.at(house[1]), "house"))
            for number_, end in enumerate(house, 1):
                x, y = self.at(end)
                made += [
                    svg.circle((x, y), 3.0, "stake"),
                    svg.text((x + 5, y - 6), f"H{number_}", "t s halo"),
                ]
        return made

    def _base(self) -> list[str]:
        """A and B with the line between them, and what is measured from them."""
        found, marks = setting_out(self.outline, grid_ft(self.units)), marked_points(self.outline)
        ends = base_of(self.outline)
        a, b = (self.at(end) for end in ends)
        made = [svg.line(a, b, "base"), svg.circle(a, 3.0, "stake"), svg.circle(b, 3.0, "stake")]
        for spot, name, dx in ((a, "A", -8.0), (b, "B", 8.0)):
            made.append(svg.text((spot[0] + dx, spot[1] + 14.0), name, "t b halo", anchor="middle"))
        if marks:
            return made + self._marks(marks)
        if isinstance(found, Corners):
            ring = [self.at(point) for point in self.outline.points]
            made += (
                [svg.line(ring[0], ring[2], "base"), svg.line(ring[1], ring[3], "base")]
                if len(ring) == 4
                else []
            )
        if isinstance(found, Pins):
            middle = self.outline.polygon().centroid
            x, y = self.at((middle.x, middle.y))
            made += [
                svg.circle((x, y), 2.0, "mark"),
                svg.text((x, y - 6.0), "center", "t s halo", anchor="middle"),
            ]
            top = self.at(max(self.outline.points, key=lambda p: p[1]))
            made.append(svg.path([a, top, b], "dim"))
            made.append(svg.text((top[0], top[1] - 6.0), "string", "t s halo", anchor="middle"))
        if isinstance(found, Offsets):
            left, foot = ends[0]
            for along, near, far in found.rows:
                x = left + along
                made.append(svg.line(self.at((x, foot)), self.at((x, foot + far)), "ext"))
                made += [svg.circle(self.at((x, foot + y)), 2.0, "mark") for y in (near, far)]
        return made

    def _marks(self, marks: list[Point]) -> list[str]:
        """The measured points, numbered while their numbers can be told apart."""
        middle = self.outline.polygon().centroid
        made = []
        for number_, place in enumerate(marks, start=1):
            x, y = self.at(place)
            reach = math.dist(place, (middle.x, middle.y)) or 1.0
            away = ((place[0] - middle.x) / reach, (middle.y - place[1]) / reach)
            made.append(svg.circle((x, y), 2.0, "mark"))
            if len(marks) <= 24 or number_ % 5 == 0 or number_ == 1:
                spot = (x + 10.0 * away[0], y + 10.0 * away[1] + 4.0)
                made.append(svg.text(spot, str(number_), "t s halo", anchor="middle"))
        return made

    def _numbers(self) -> list[str]:
        """Words, table and ties on the right of the sketch."""
        left, top, width, _ = self.place
        x, y = left + width - self._table_wide, top + 6.0
        found = setting_out(self.outline, grid_ft(self.units))
        lines = [] if self.table or isinstance(found, Offsets) else _drawn(found, self.units)
        lines = [*lines, *self._told(), *ties(self.takeoff, self.units)]
        wide = int(self._table_wide / 5.2)
        made = []
        for line in lines:
            for row in svg.wrapped(line, wide):
                y += _ROW
                made.append(svg.text((x, y), row, "t s"))
        return made + (self._rows_of((x, y + 22.0)) if self.table else [])

    def _told(self) -> list[str]:
        """How the table is to be read."""
        if self.table is None:
            return []
        if self.table[0][0] == "from A":
            return [f"{_STRETCH} at each station measure square from it to the near and the far rim."]
        if self.table[0][2] == "off line":
            return [f"{_STRETCH} go along it from A, then square off it to the point."]
        return ["Pull two tapes, from A and from B; where both readings meet is the point."]

    def _rows_of(self, at: Spot) -> list[str]:
        """The table in columns; what finds no room here waits in `left_over` for a sheet of its own."""
        assert self.table is not None
        heads, rows = self.table
        room = (self.place[0] + self.place[2] - at[0], self.place[1] + self.place[3] - at[1])
        here, self.left_over = fitting(rows, room)
        return table_columns((heads, here), at, room)


def fitting(
    rows: list[tuple[str, str, str]], room: Spot
) -> tuple[list[tuple[str, str, str]], list[tuple[str, str, str]]]:
    """Rows for which there is room, and those for which there is none."""
    most = max(1, int(room[0] / _TABLE)) * max(1, int((room[1] - 6.0) / _ROW))
    return rows[:most], rows[most:]


def table_columns(table: Table, at: Spot, room: Spot) -> list[str]:
    """A table in as many columns as it takes."""
    (heads, rows), (x, y) = table, at
    each = max(1, int((room[1] - 6.0) / _ROW))
    made = []
    for n, row in enumerate(rows):
        left, level = x + _TABLE * (n // each), y + _ROW * (n % each + 1)
        if n % each == 0:
            made += [svg.text((left + dx, y), h, "t s b") for dx, h in zip(_COLUMNS, heads, strict=True)]
        made += [svg.text((left + dx, level), c, "t s") for dx, c in zip(_COLUMNS, row, strict=True)]
    return made
