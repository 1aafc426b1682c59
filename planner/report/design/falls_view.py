"""The falls in section: box, stream, drops, lips, liner's path, base, foam, at one scale, with their levels.

In: a take-off that has falls, the place on the paper. Out: SVG elements.
"""

from __future__ import annotations

from planner.domain.design.levels import Level, levels_of
from planner.domain.design.section import FallsCut
from planner.domain.quantities.takeoff import Takeoff
from planner.report.design import svg
from planner.report.design.scale import Scale, depth_words, fit, length_words, short_words
from planner.report.design.svg import Spot

#: room for the levels on the left, for the words of the parts on the right, on paper
_SIDE, _RIGHT = 168.0, 192.0
#: ground shown under the rim [ft]
_UNDER_FT = 1.6


class FallsView:
    """The falls on their place of the paper: left, top, width, height."""

    def __init__(
        self, takeoff: Takeoff, cut: FallsCut, place: tuple[float, float, float, float], units: str
    ) -> None:
        """Choose the scale; nothing is drawn yet."""
        self.takeoff, self.cut, self.units = takeoff, cut, units
        self.design = takeoff.design
        assert self.design.falls is not None
        self.falls = self.design.falls
        left, top, width, height = place
        berm_ft = self.falls.berm.height_in / 12.0 if self.falls.berm else 0.0
        high = max([berm_ft, *(-level for _, level in (*cut.lips, *cut.water))])
        deep = max([_UNDER_FT, *(depth for _, depth in cut.liner), *(box[3] for box in (cut.box,) if box)])
        self.scale: Scale = fit(
            cut.length_ft, high + deep + 0.3, width - _SIDE - _RIGHT, height - 70.0, units
        )
        self._x, self._y = left + _SIDE, top + 50.0 + self.scale.per_ft * high
        self._low, self._top, self._right = deep + 0.3, top, left + width

    def at(self, along_ft: float, depth_ft: float) -> Spot:
        """A point of the cut on the paper."""
        return (self._x + self.scale.per_ft * along_ft, self._y + self.scale.per_ft * depth_ft)

    def draw(self) -> list[str]:
        """The whole section, back to front."""
        return [
            *self._ground(),
            *self._water(),
            *self._parts(),
            *self._liner(),
            *self._levels(),
            *self._drops(),
            *self._stream(),
            *self._words(),
        ]

    def _ground(self) -> list[str]:
        """Earth under the liner, the fill of the berm above the rim, and the pond's wall."""
        cut = self.cut
        bed = [spot for spot in cut.liner if spot[0] < cut.rim_ft]
        fill = [(0.0, 0.0), (0.0, min(0.0, cut.liner[0][1])), *bed, (cut.rim_ft, 0.0)]
        wall = [spot for spot in cut.pond if spot[1] <= self._low]
        under = [(0.0, 0.0), (cut.rim_ft, 0.0), *wall, (cut.length_ft, self._low), (0.0, self._low)]
        return [
            svg.path([self.at(*spot) for spot in fill], "fill", closed=True),
            svg.path([self.at(*spot) for spot in under], "earth", closed=True),
        ]

    def _water(self) -> list[str]:
        cut, level = self.cut, self.design.water_line_in / 12.0
        wall = [(x, min(y, self._low)) for x, y in cut.pond if y > level]
        pond = [(cut.rim_ft, level), *wall, (cut.length_ft, level)]
        return [
            svg.path([self.at(*spot) for spot in pond], "water", closed=True),
            svg.line(self.at(cut.rim_ft, level), self.at(cut.length_ft, level), "waterline"),
            svg.path([self.at(*spot) for spot in cut.water], "running"),
        ]

    def _parts(self) -> list[str]:
        made = []
        if self.cut.base:
            made.append(self._block(self.cut.base, "pad"))
        made += [self._block(stone, "stone", 0.06) for stone in self.cut.stones]
        if self.cut.box:
            made.append(self._block(self.cut.box, "box"))
        return made

    def _block(self, sides: tuple[float, float, float, float], class_: str, round_ft: float = 0.0) -> str:
        left, top, right, low = sides
        k = self.scale.per_ft
        return svg.rect(self.at(left, top), k * (right - left), k * (low - top), class_, round_=round_ft * k)

    def _liner(self) -> list[str]:
        """The pond's liner up the wall and back under the falls' own; foam at each lip."""
        cut, k = self.cut, self.scale.per_ft
        back = cut.rim_ft - self.design.sheet.overlap_in / 12.0
        shift = 3.0 / k
        pond = [
            (back, shift),
            (cut.rim_ft + shift, shift),
            *((x, y) for x, y in cut.pond[1:] if y < self._low),
        ]
        made = [
            svg.path([self.at(*spot) for spot in pond], "edge"),
            svg.path([self.at(*spot) for spot in cut.liner], "liner"),
        ]
        for along, depth in cut.foam:
            x, y = self.at(along, depth)
            made += [
                svg.line((x, y + 2.5), (x + 0.7 * k * self.falls.stone_in / 12.0, y + 2.5), "foam"),
                svg.line((x - 1.0, y + 2.5), (x - 1.0, y - k * 0.3), "foam"),
            ]
        return made

    def _levels(self) -> list[str]:
        """Each level on the left, with a line to its height."""
        levels = levels_of(self.design)
        named = [
            Level("rim", 0.0),
            levels.water_line,
            *levels.lips,
            *(level for level in (levels.lip, levels.berm_top, levels.box_seat) if level is not None),
        ]
        made, text_y = [], self._top + 28.0
        left = self._x - 8.0
        made.append(svg.text((left - 10.0, text_y), "from the rim / from the water", "t s", anchor="end"))
        for level in sorted(named, key=lambda one: one.below_rim_in):
            y = self.at(0.0, level.below_rim_in / 12.0)[1]
            text_y = max(text_y + 12.5, y + 4.0)
            end = self.at(self.cut.length_ft, 0.0)[0]
            made.append(svg.path([(left - 6.0, text_y - 4.0), (left + 6.0, y), (end, y)], "level"))
            words = f"{level.name}: {depth_words(levels, level, self.units)}"
            made.append(svg.text((left - 10.0, text_y), words, "t s", anchor="end"))
        return made

    def _drops(self) -> list[str]:
        """Each drop's height beside its fall."""
        made = []
        water = self.design.water_line_in / 12.0
        for n, ((face, level), drop_in) in enumerate(zip(self.cut.lips, self.falls.drops_in, strict=True)):
            under = self.cut.lips[n + 1][1] if n + 1 < len(self.cut.lips) else water
            x, y = self.at(face + 0.3, level)[0], self.at(0.0, (level + under) / 2.0)[1]
            ends = (self.at(0.0, level)[1], self.at(0.0, under)[1])
            made += [
                svg.line((x, ends[0]), (x, ends[1]), "dim"),
                *(svg.line((x - 3, end + 3), (x + 3, end - 3), "tick") for end in ends),
                svg.text((x + 5.0, y + 4.0), f"drop {short_words(drop_in, self.units)}", "t b halo"),
            ]
        return made

    def _stream(self) -> list[str]:
        """The stream's length and fall over it; two strokes where it is drawn shorter than it is."""
        if self.cut.stream is None or self.falls.stream is None:
            return []
        stream, (start, end) = self.falls.stream, self.cut.stream
        y = self._top + 42.0
        a, b = (self.at(start, 0.0)[0], y), (self.at(end, 0.0)[0], y)
        sides = (stream.length_ft, stream.width_ft)
        size = "stream " + " by ".join(length_words(side, self.units) for side in sides)
        falls = f"falls {short_words(stream.drop_in, self.units)}" if stream.drop_in else "level"
        made = [
            svg.line(a, b, "dim"),
            *(svg.line((x - 3, y + 3), (x + 3, y - 3), "tick") for x, _ in (a, b)),
            svg.text(((a[0] + b[0]) / 2.0, y - 4.0), f"{size}, {falls}", "t b halo", anchor="middle"),
        ]
        if self.cut.broken:
            x, mid = (a[0] + b[0]) / 2.0, self.at(0.0, self.cut.liner[1][1])[1]
            made += [svg.line((x + d - 4, mid + 12), (x + d + 4, mid - 18), "break") for d in (-3.0, 3.0)]
        return made

    def _words(self) -> list[str]:
        """What each part is, on the right, with a line to it."""
        cut, made = self.cut, []
        thick = self.falls.stone_in / 12.0
        top_face, top_level = cut.lips[0]
        lip = length_words(self.falls.spillway_in / 12.0, self.units)
        lap = length_words(self.design.sheet.overlap_in / 12.0, self.units)
        parts = [
            ((top_face, top_level + 0.1), f"lip stone, lip {lip} wide, level"),
            ((top_face - 0.3 * thick, top_level + 0.36), "foam behind and under each lip"),
            ((cut.rim_ft - thick, -0.02), "falls' liner, under all stone"),
            ((cut.rim_ft, 0.12), "pond's liner up and back under it"),
            (cut.liner[-1], f"falls' liner, {lap} past the water"),
        ]
        if cut.box:
            left, top, right, low = cut.box
            spot = self.at((left + right) / 2.0, (top + low) / 2.0)
            made.append(svg.text(spot, "box", "t s", anchor="middle"))
        if cut.base and self.design.footing:
            pad = self.design.footing
            size = " by ".join(length_words(side, self.units) for side in (pad.length_ft, pad.width_ft))
            thick_words = f"{short_words(pad.thick_in, self.units)} crushed stone, tamped"
            parts[-1:-1] = [(cut.base[2:], f"base {size},"), (cut.base[2:], thick_words)]
        y, x = self._top + 66.0, self._right - _RIGHT + 22.0
        for number_, (spot, words) in enumerate(parts):
            at = self.at(*spot)
            row = y + 22.0 * number_
            if not number_ or parts[number_ - 1][0] != spot:
                made.append(svg.path([(x - 4.0, row - 4.0), (x - 12.0, row - 4.0), at], "level"))
                made.append(svg.circle(at, 1.6, "stake"))
            made.append(svg.text((x, row), words, "t s halo"))
        return made
