"""A past job at another size: each quantity grows by its own geometry.

`size` is how many times the water's surface is that of the past job, the depth staying: what is measured
round the rim grows with its square root, areas and volumes with the surface itself, and what a pond has once
(boxes, falls, a visit) stays. Similar figures: Euclid, Elements VI.19 (areas go as the square of the sides).
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from planner.domain.firm.items import ITEMS
from planner.domain.firm.jobs import Job, Line, Origin
from planner.errors import BadInput

#: Power of the surface with which an item grows, by its unit: lengths round the rim, areas, volumes, masses.
_BY_UNIT = {"ft": 0.5, "ft2": 1.0, "cy": 1.0, "gal": 1.0, "ton": 1.0, "oz": 1.0, "gpm": 0.0, "count": 0.0}
#: Items that go otherwise than their unit: stone on walls stands round the rim; the falls, the boxes' seats,
#: the tamped base and the named boulders are what they were; a truck, the way in and what lies round the
#: garden are the site's; fish and plants go with the water.
_OTHERWISE = {
    **dict.fromkeys(("boulder_small_ton", "boulder_medium_ton", "boulder_large_ton"), 0.5),
    "unload_stone_ton": 0.5,
    **dict.fromkeys(("waterfall_ton", "box_dig_cy", "footing_cy", "named_boulder_ton", "truck_cy"), 0.0),
    **dict.fromkeys(("mats_ft", "cable_trench_ft", "berm_cy", "sod_ft2", "seed_ft2", "paving_ft2"), 0.0),
    **dict.fromkeys(("topsoil_cy", "mulch_cy", "rubbish_cy"), 0.0),
    **dict.fromkeys(("fish", "plants"), 1.0),
}
#: Why, in a word for the page, by that power.
GROWS = {0.0: "stays", 0.5: "as the rim", 1.0: "as the surface"}
LEAST, MOST = 0.05, 20.0


@dataclass(frozen=True, slots=True)
class Scaled:
    """One quantity before and after, in the item's own unit, and how it grows: a word of `GROWS`."""

    item: str
    was: float
    now: float
    how: str


def power_of(item: str) -> float:
    """The power of the surface with which this item grows: 0, 0.5 or 1."""
    return _OTHERWISE.get(item, _BY_UNIT[ITEMS[item].unit])


def scaled_like(past: Job, code: str, client: str, size: float) -> Job:
    """A job with the quantities of a past one at `size` times its surface, on the same ground, without dates.

    Raises BadInput for a size that no pond has, or a past job without quantities.
    """
    if not LEAST <= size <= MOST:
        raise BadInput("--size", size, f"give {LEAST:g} to {MOST:g} times the past job's surface")
    if not past.lines:
        raise BadInput("--like", past.code, "this job has no quantities")
    return Job(
        code,
        client,
        access=past.access,
        soil=past.soil,
        carry_ft=past.carry_ft,
        depth_in=past.depth_in,
        shelves=past.shelves,
        waterfall=past.waterfall,
        occupied=past.occupied,
        wet=past.wet,
        needs=past.needs,
        lines=tuple(_scaled(line, size) for line in past.lines),
    )


def how_scaled(past: Job, made: Job) -> list[Scaled]:
    """What became of each quantity, in the order of work."""
    return [
        Scaled(item, past.amount(item), made.amount(item), GROWS[power_of(item)])
        for item in ITEMS
        if any(line.item == item for line in past.lines)
    ]


def _scaled(line: Line, size: float) -> Line:
    """Whole things stay whole, and one of them at least; what a design computed is an estimate now."""
    power = power_of(line.item)
    if power == 0.0:
        return replace(line, origin=Origin.ENTERED)
    amount = line.quantity * size**power
    if line.unit == "count":
        amount = float(max(1, round(amount)))
    return replace(line, quantity=amount, origin=Origin.ENTERED)
