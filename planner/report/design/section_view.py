"""The section: profile, water, stone courses, levels and lengths, at its own scale.

In: a take-off, its section, the place on the paper. Out: SVG elements. Heights and lengths have one scale.
"""

from __future__ import annotations

from planner.domain.design.levels import Level, levels_of
from planner.domain.design.section import Section
from planner.domain.quantities.takeoff import Takeoff
from planner.report.design import svg
from planner.report.design.scale import Scale, depth_words, fit, length_words
from planner.report.design.svg import Spot

#: room for level marks at both sides, on paper
_SIDE, _RIGHT = 128.0, 24.0


class SectionView:
    """The section on its place of the paper: left, top, width, height."""

    def __init__(
        self, takeoff: Takeoff, cut: Section, place: tuple[float, float, float, float], units: str
    ) -> None:
        """Choose the scale; nothing is drawn yet."""
        self.takeoff, self.cut, self.units = takeoff, cut, units
        self.levels = levels_of(takeoff.design)
        left, top, width, height = place
        deep_ft = takeoff.layers[-1].bottom_ft
        self.scale: Scale = fit(cut.length_ft, deep_ft, width - _SIDE - _RIGHT, height - 44.0, units)
        k = self.scale.per_ft
        self._x = left + (width + _SIDE - _RIGHT) / 2.0 - k * cut.length_ft / 2.0
        self._y = top + 26.0

    def at(self, along_ft: float, depth_ft: float) -> Spot:
        """A point of the section on the paper."""
        return (self._x + self.scale.per_ft * along_ft, self._y + self.scale.per_ft * depth_ft)

    def draw(self) -> list[str]:
        """The whole section, back to front."""
        return [
            *self._ground(),
            *self._water(),
            *self._stones(),
            *self._profile(),
            *self._levels(),
            *self._lengths(),
        ]

    def _points(self) -> list[Spot]:
        """The profile with its straight runs joined."""
        kept: list[tuple[float, float]] = []
        profile = self.cut.profile
        for i, (along, depth) in enumerate(profile):
            before = profile[i - 1][1] if i else None
            after = profile[i + 1][1] if i + 1 < len(profile) else None
            if depth == before == after:
                continue
            if before is not None and depth != before:  # upright walls where the profile jumps
                kept.append((along, before))
            kept.append((along, depth))
        return [self.at(*point) for point in kept]

    def _ground(self) -> list[str]:
        deep = self.takeoff.layers[-1].bottom_ft
        below = deep + 14.0 / self.scale.per_ft
        ends = [self.at(self.cut.length_ft, below), self.at(0.0, below)]
        return [svg.path([*self._points(), *ends], "earth", closed=True)]

    def _profile(self) -> list[str]:
        return [svg.path(self._points(), "liner")]

    def _water(self) -> list[str]:
        level = self.takeoff.design.water_line_in / 12.0
        made, run = [], []
        for along, depth in [*self.cut.profile, (self.cut.length_ft, 0.0)]:
            if depth > level:
                run.append((along, depth))
            elif run:
                corners = [(run[0][0], level), *run, (run[-1][0], level)]
                made.append(svg.path([self.at(*c) for c in corners], "water", closed=True))
                made.append(svg.line(self.at(run[0][0], level), self.at(run[-1][0], level), "waterline"))
                run = []
        return made

    def _stones(self) -> list[str]:
        """A course in front of each wall that the section meets."""
        made = []
        for layer, spans in zip(self.takeoff.layers, self.cut.walls, strict=True):
            thick = layer.step.stone_in / 12.0
            if thick <= 0.0:
                continue
            run = layer.step.batter * layer.height_ft / 2.0
            for start, end in spans:
                thick_here = min(thick, (end - start) / 2.0)
                for along in (start + run, end - run - thick_here):
                    made += self._stack(along, layer.top_ft, layer.bottom_ft, thick_here)
        return made

    def _stack(self, along: float, top_ft: float, bottom_ft: float, thick: float) -> list[str]:
        count = max(1, round((bottom_ft - top_ft) / max(thick, 0.1)))
        each = (bottom_ft - top_ft) / count
        k = self.scale.per_ft
        made = []
        for i in range(count):
            spot = self.at(along, top_ft + i * each)
            made.append(svg.rect(spot, k * thick, k * each, "stone", round_=0.3 * k * min(thick, each)))
        return made

    def _levels(self) -> list[str]:
        """Every level below the rim and below the water, on the left: rim, water, each shelf, floor."""
        levels = self.levels
        marks = [
            (level.below_rim_in / 12.0, f"{level.name}: {depth_words(levels, level, self.units)}")
            for level in (Level("rim", 0.0), levels.water_line, *levels.shelves, levels.floor)
        ]
        made = []
        text_y = self._y - 20.0
        left, right = self.at(0.0, 0.0)[0] - 6.0, self.at(self.cut.length_ft, 0.0)[0]
        made.append(svg.text((left - 8.0, text_y), "below rim / water", "t s", anchor="end"))
        for depth, words in sorted(marks):
            y = self.at(0.0, depth)[1]
            text_y = max(text_y + 12.0, y + 4.0)
            made.append(svg.path([(left - 4.0, text_y - 4.0), (left + 6.0, y), (right, y)], "level"))
            made.append(svg.text((left - 8.0, text_y), words, "t s", anchor="end"))
        return made

    def _lengths(self) -> list[str]:
        """The rim's length along the section, and the X at both ends."""
        made = []
        spans = self.cut.walls[0]
        if spans:
            a, b = self.at(spans[0][0], 0.0), self.at(spans[-1][1], 0.0)
            y = self._y - 12.0
            middle = ((a[0] + b[0]) / 2.0, y - 3.0)
            made += [
                svg.line((a[0], y), (b[0], y), "dim"),
                *(svg.line((x - 3, y + 3), (x + 3, y - 3), "tick") for x in (a[0], b[0])),
                svg.text(
                    middle, length_words(spans[-1][1] - spans[0][0], self.units), "t b halo", anchor="middle"
                ),
            ]
        for along, name in ((0.0, "X"), (self.cut.length_ft, "X")):
            x, y = self.at(along, 0.0)
            made.append(svg.text((x, y - 8.0), name, "t b", anchor="middle"))
        return made
