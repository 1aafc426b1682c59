"""How deep a pond goes, said one way: every level below the rim and below the water line.

In: a `Design`. Out: `Levels`, which sheet, drawing, section, design page and returned measures all read, so
that nobody digs by a number that another page does not show. Rounded as a tape shows.
"""

from __future__ import annotations

from dataclasses import dataclass

from planner.domain.design.design import Box, Design, Site
from planner.domain.wording import figure, taped


@dataclass(frozen=True, slots=True)
class Level:
    """One level: its name on every screen, and its depth below the rim [in], negative above it."""

    name: str
    below_rim_in: float


@dataclass(frozen=True, slots=True)
class Levels:
    """The levels of one design, and what is measured from them.

    shelves: top shelf first; seats: where the box stands, on its tamped base; pits: the bottom of its dig,
    below that base. None where the design has no such thing, or the box stands on the ground. lip: top of the
    falls; lips: every lip below that, from the top down; berm_top: of the tamped berm. trim_in: left by the
    machine for the shovel [in]; overlap_in: liner
    past the rim [in]; lap_in: of a seam [in]; gravel_in: on treads and floor [in].
    """

    water_line: Level
    shelves: tuple[Level, ...]
    floor: Level
    skimmer_seat: Level | None
    skimmer_pit: Level | None
    box_seat: Level | None
    box_pit: Level | None
    lip: Level | None
    lips: tuple[Level, ...]
    berm_top: Level | None
    trim_in: float
    overlap_in: float
    lap_in: float
    gravel_in: float

    @property
    def rows(self) -> tuple[Level, ...]:
        """Every level there is: rim, water line, shelves, floor, then boxes, lip and berm."""
        more = (
            self.skimmer_pit,
            self.skimmer_seat,
            self.box_pit,
            self.box_seat,
            self.lip,
            *self.lips,
            self.berm_top,
        )
        there = tuple(level for level in more if level is not None)
        return (Level("rim", 0.0), self.water_line, *self.shelves, self.floor, *there)

    @property
    def deepest_in(self) -> float:
        """Deepest cut below grade [in]: the floor, or the pit of a box."""
        pits = [pit.below_rim_in for pit in (self.skimmer_pit, self.box_pit) if pit is not None]
        return max([self.floor.below_rim_in, *pits])

    def below_rim(self, level: Level, units: str) -> float:
        """The level below the rim as a tape shows it, in the firm's units [in or mm]."""
        return taped(level.below_rim_in, units)[0]

    def below_water(self, level: Level, units: str) -> float:
        """The level below the water line [in or mm, as the firm]: the difference of two tape readings."""
        return self.below_rim(level, units) - self.below_rim(self.water_line, units)

    def deep_words(self, level: Level, units: str) -> str:
        """Its depth below the water line alone: "21 1/2 in"."""
        return _tape(self.below_water(level, units), units)

    def words(self, level: Level, units: str) -> str:
        """Both depths: "10 in below the rim, 7 in below the water line"."""
        rim = _beside(self.below_rim(level, units), "the rim", units)
        if level.name == self.water_line.name:
            return rim
        return f"{rim}, {_beside(self.below_water(level, units), 'the water line', units)}"

    def told(self, units: str) -> tuple[str, ...]:
        """Every level but the rim with its name and both depths."""
        return tuple(f"{level.name}: {self.words(level, units)}" for level in self.rows[1:])


#: What the machine leaves for the shovel where no design says it [in].
USUAL_TRIM_IN = Site().trim_in


def levels_of(design: Design) -> Levels:
    """The levels of a design; a wall that is cut in several steps has one foot.

    >>> from planner.domain.design.outline import ellipse
    >>> from planner.domain.design.shelves import Step
    >>> pond = levels_of(Design("invented", ellipse(18, 12), (Step(10, 12), Step(14)), water_line_in=3))
    >>> pond.told("us")
    ('water line: 3 in below the rim', 'shelf 1: 10 in below the rim, 7 in below the water line', \
'floor: 24 in below the rim, 21 in below the water line')
    """
    down_in, feet = 0.0, []
    for step in design.steps:
        down_in += step.down_in
        if step.shelf_in > 0.0 or step.viewing_shelf_in:
            feet.append(down_in)
    falls = design.falls
    berm = falls.berm if falls else None
    return Levels(
        water_line=Level("water line", design.water_line_in),
        shelves=tuple(Level(f"shelf {n}", foot_in) for n, foot_in in enumerate(feet, 1)),
        floor=Level("floor", design.depth_in),
        skimmer_seat=_seat("skimmer seat", design.skimmer),
        skimmer_pit=_pit("skimmer dig", design.skimmer),
        box_seat=_seat("waterfall box seat", design.top_box),
        box_pit=_pit("waterfall box dig", design.top_box),
        lip=Level("top of the falls", design.water_line_in - falls.height_in) if falls else None,
        lips=_lips(design),
        berm_top=Level("top of the berm", -berm.height_in) if berm else None,
        trim_in=design.site.trim_in,
        overlap_in=design.sheet.overlap_in,
        lap_in=design.sheet.lap_in,
        gravel_in=design.stone.gravel_in,
    )


def _lips(design: Design) -> tuple[Level, ...]:
    """The lips below the top of the falls: those of the further drops, and the first one after a stream."""
    falls = design.falls
    if falls is None:
        return ()
    heights_in = [sum(falls.drops_in[n:]) for n in range(len(falls.drops_in))]
    lips = [Level(f"lip {n}", design.water_line_in - high_in) for n, high_in in enumerate(heights_in, 1)]
    return tuple(lips if falls.stream and falls.stream.drop_in else lips[1:])


def _seat(name: str, box: Box | None) -> Level | None:
    return None if box is None else Level(name, max(0.0, box.dug_in))


def _pit(name: str, box: Box | None) -> Level | None:
    return Level(name, box.dug_in + box.pad_in) if box is not None and box.dug_in > 0.0 else None


def _beside(amount: float, what: str, units: str) -> str:
    """A tape's reading below, above or at a line."""
    if amount == 0:
        return f"at {what}"
    side = "below" if amount > 0 else "above"
    return f"{_tape(abs(amount), units)} {side} {what}"


def _tape(amount: float, units: str) -> str:
    name = taped(0.0, units)[1]
    return f"{figure(amount, name)} {name}"
