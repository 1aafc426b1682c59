"""Scales of the drawing and how lengths are written on it: feet and inches, or meters.

A scale is paper per ground: 1/4 in to the foot, or 1:50. Coordinates on paper are hundredths of an inch.
"""

from __future__ import annotations

from dataclasses import dataclass

from planner.domain.design.levels import Level, Levels
from planner.domain.wording import figure, taped
from planner.units import M_PER_FT, METRIC

#: words, hundredths of an inch on paper per foot on the ground
US_SCALES = (
    ('1" = 1 ft', 100.0),
    ('3/4" = 1 ft', 75.0),
    ('1/2" = 1 ft', 50.0),
    ('3/8" = 1 ft', 37.5),
    ('1/4" = 1 ft', 25.0),
    ('3/16" = 1 ft', 18.75),
    ('1/8" = 1 ft', 12.5),
    ('3/32" = 1 ft', 9.375),
    ('1/16" = 1 ft', 6.25),
    ('1" = 30 ft', 100.0 / 30.0),
    ('1" = 60 ft', 100.0 / 60.0),
    ('1" = 200 ft', 0.5),
)
METRIC_SCALES = tuple(
    (f"1:{ratio}", 1200.0 / ratio) for ratio in (10, 20, 25, 50, 75, 100, 200, 500, 1000, 2500)
)


@dataclass(frozen=True, slots=True)
class Scale:
    """A chosen scale: its words and paper per foot [1/100 in]."""

    words: str
    per_ft: float


def fit(width_ft: float, height_ft: float, paper_width: float, paper_height: float, units: str) -> Scale:
    """The largest usual scale at which the ground fits the paper; the smallest there is when none does.

    >>> fit(27.0, 16.0, 700.0, 420.0, "us")
    Scale(words='1/4" = 1 ft', per_ft=25.0)
    """
    known = METRIC_SCALES if units == METRIC else US_SCALES
    for words, per_ft in known:
        if width_ft * per_ft <= paper_width and height_ft * per_ft <= paper_height:
            return Scale(words, per_ft)
    return Scale(*known[-1])


def length_words(ft: float, units: str) -> str:
    """A dimension as it stands on a drawing: 18'-6", or 5.64 m.

    >>> length_words(18.5, "us"), length_words(0.75, "us"), length_words(18.5, "metric")
    ('18\\'-6"', '9"', '5.64 m')
    """
    if units == METRIC:
        return f"{ft * M_PER_FT:.2f} m"
    if ft < 0.0:
        return f"-{length_words(-ft, units)}"
    half_inches = round(ft * 24.0)
    feet, inches = divmod(half_inches / 2.0, 12.0)
    whole, half = int(inches), " 1/2" if inches % 1.0 else ""
    return f'{whole}{half}"' if feet == 0 else f"{feet:.0f}'-{whole}{half}\""


def short_words(inches: float, units: str) -> str:
    """A depth or width on a drawing: 9" or 230 mm.

    >>> short_words(9.0, "us"), short_words(9.0, "metric")
    ('9"', '230 mm')
    """
    return tape_words(taped(inches, units)[0], units)


def tape_words(amount: float, units: str) -> str:
    """A tape's reading, in the firm's units already, as a drawing writes it."""
    return f"{amount:g} mm" if units == METRIC else f'{figure(amount, "in")}"'


def depth_words(levels: Levels, level: Level, units: str) -> str:
    """A level below the rim and below the water, as a drawing writes it: 9" / 6", or 250 / 170 mm."""
    rim, water = levels.below_rim(level, units), levels.below_water(level, units)
    if units == METRIC:
        return f"{rim:g} / {tape_words(water, units)}"
    return f"{tape_words(rim, units)} / {tape_words(water, units)}"
