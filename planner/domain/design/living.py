"""What is to live in the pond, and what cleans its water: fish, filter, plants, ultraviolet; and the cold.

Plain values; each is None or empty until the file asks for it. Defaults that no published source gives are
said to be so beside the field.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date


@dataclass(frozen=True, slots=True)
class Fish:
    """Fish when they are grown: how many, how long [in]; feed_share: of their weight a day.

    feed_share 0.01 in warm water (default, to be calibrated). box_media_ft2: surface of the filter box's
    media by its label, 0 when nobody read it.
    """

    count: int
    length_in: float
    feed_share: float = 0.01
    box_media_ft2: float = 0.0


@dataclass(frozen=True, slots=True)
class Bog:
    """A gravel filter that plants grow in. area_ft2 0: as large as turnover and feed ask.

    deep_in: of gravel; stone_in: its middle size; contact_min: that the water stays in it (all three
    defaults, to be calibrated); flow_share: of the pump's duty that runs through it.
    """

    area_ft2: float = 0.0
    deep_in: float = 18.0
    stone_in: float = 0.375
    contact_min: float = 4.0
    flow_share: float = 1.0


#: kind of plant -> water over its crown (least, most) [in].
#: Source: Langston University Aquaculture, Pond Design (luresext.edu, read 2026): emergent plants up to 6 in,
#: floating-leaved lilies up to 12 in, lotus up to 30 in; submerged plants from memory.
PLANT_IN: dict[str, tuple[float, float]] = {
    "marginal": (0.0, 6.0),
    "lily": (4.0, 12.0),
    "lotus": (4.0, 30.0),
    "submerged": (6.0, 36.0),
}


@dataclass(frozen=True, slots=True)
class Plant:
    """One kind of water plant: its name, kind (key of `PLANT_IN`), count; pot_in: height of its basket."""

    name: str
    kind: str
    count: int
    pot_in: float = 0.0


@dataclass(frozen=True, slots=True)
class Uv:
    """Ultraviolet against green water. watts_1000_gal: 8 to 10 is common practice, no published source."""

    watts_1000_gal: float = 8.0


@dataclass(frozen=True, slots=True)
class Winter:
    """Frost at the place, as (month, day) of an ordinary year: the last of spring, the first of autumn.

    From the state climatologist or NOAA's freeze probabilities for the nearest gauge; closing, opening:
    visits that the client takes.
    """

    last: tuple[int, int]
    first: tuple[int, int]
    closing: bool = True
    opening: bool = True

    def frosty(self, day: date) -> bool:
        """Whether frost may come on `day`."""
        return not self.last < (day.month, day.day) < self.first

    def first_after(self, day: date) -> date:
        """The next first frost on or after `day`.

        >>> Winter((4, 25), (10, 20)).first_after(date(2027, 11, 2))
        datetime.date(2028, 10, 20)
        """
        frost = date(day.year, *self.first)
        return frost if frost >= day else date(day.year + 1, *self.first)

    @staticmethod
    def words(day: tuple[int, int]) -> str:
        """ "25 Apr"."""
        return f"{day[1]} {date(2001, *day):%b}"
