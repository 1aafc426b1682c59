"""Stone: tons by size class for walls, edge and falls, gravel by area and depth, and the water it pushes out.

In: a design and its layers. Out: `Rockwork`. Each wall carries one course: face area x thickness x (1 -
voids) x solid weight. Stone is bought in merchant's tons, rounded up. What displaces water is the solid
stone under the water line, never more than the ring that it stands in.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from planner.domain.design.design import STONE_CLASSES, Design, Stone
from planner.domain.design.shelves import Layer, inward
from planner.domain.quantities.material import wasted
from planner.units import FT3_PER_CY, LB_PER_TON


@dataclass(frozen=True, slots=True)
class Course:
    """One wall's stone: number from the rim, face [ft2], tons, solid volume under water [ft3]."""

    number: int
    face_ft2: float
    ton: float
    wet_solid_ft3: float
    shares: Mapping[str, float]


@dataclass(frozen=True, slots=True)
class Rockwork:
    """Stone of one design. class_ton: class -> tons, edge stone counted as small."""

    courses: tuple[Course, ...]
    class_ton: Mapping[str, float]
    edge_ton: float
    falls_ton: float
    gravel_ft2: float
    gravel_ton: float
    displaced_ft3: float


def placed_ton(face_ft2: float, thick_in: float, stone: Stone) -> float:
    """Tons of stone in a face [ton]: area x thickness x (1 - voids) x solid weight / 2,000.

    >>> round(placed_ton(27.0, 12.0, Stone(voids=0.40)), 2)
    1.34
    """
    return face_ft2 * thick_in / 12.0 * (1.0 - stone.voids) * stone.density_lb_ft3 / LB_PER_TON


def gravel_ton(area_ft2: float, depth_in: float, lb_cy: float) -> float:
    """Tons of gravel over an area.

    >>> gravel_ton(15 * 27, 12, 2700)
    20.25
    """
    return area_ft2 * depth_in / 12.0 / FT3_PER_CY * lb_cy / LB_PER_TON


def merchant_ton(ton: float, step_ton: float) -> float:
    """Tons as the merchant sells them: up to the next `step_ton`.

    >>> merchant_ton(3.04, 0.5), merchant_ton(3.0, 0.5)
    (3.5, 3.0)
    """
    return math.ceil(ton / step_ton - 1e-9) * step_ton


def bought_ton(key: str, ton: float, step_ton: float) -> float:
    """Tons of a row of materials as they come off the truck: with waste, as the merchant sells them."""
    return merchant_ton(wasted(key, ton), step_ton)


def unload_amounts(rock: Rockwork, stone: Stone, named_ton: float) -> dict[str, float]:
    """Item -> tons that the crew takes off the supplier's trucks for the rock phase."""
    rows = {f"boulder_{name}": ton for name, ton in rock.class_ton.items()}
    rows["waterfall_stone"] = rock.falls_ton
    return {
        "unload_stone_ton": named_ton
        + sum(bought_ton(key, ton, stone.step_ton) for key, ton in rows.items()),
        "unload_gravel_ton": bought_ton("gravel", rock.gravel_ton, stone.step_ton),
    }


def rockwork(design: Design, layers: Sequence[Layer]) -> Rockwork:
    """Take the stone off a design. Gravel lies on shelves, floor and flat walls: the plan area of the rim."""
    stone, water_ft = design.stone, design.water_line_in / 12.0
    courses = tuple(
        _course(number, layer, stone, water_ft)
        for number, layer in enumerate(layers, start=1)
        if layer.step.stone_in > 0.0
    )
    class_ton = dict.fromkeys(STONE_CLASSES, 0.0)
    for course in courses:
        for name, share in course.shares.items():
            class_ton[name] += course.ton * share
    edge_ton = placed_ton(design.outline.rim_ft * stone.edge_in / 12.0, stone.edge_thick_in, stone)
    class_ton["small"] += edge_ton
    stream = design.falls.stream if design.falls else None
    area_ft2 = float(layers[0].top.area)
    stream_ft2 = stream.length_ft * stream.width_ft if stream else 0.0
    pond_gravel = gravel_ton(area_ft2, stone.gravel_in, stone.gravel_lb_cy)
    solids_ft3 = sum(c.wet_solid_ft3 for c in courses) + pond_gravel * LB_PER_TON / stone.density_lb_ft3
    return Rockwork(
        courses=courses,
        class_ton=class_ton,
        edge_ton=edge_ton,
        falls_ton=falls_ton(design),
        gravel_ft2=area_ft2 + stream_ft2,
        gravel_ton=gravel_ton(area_ft2 + stream_ft2, stone.gravel_in, stone.gravel_lb_cy),
        displaced_ft3=solids_ft3,
    )


def falls_ton(design: Design) -> float:
    """Stone of the falls and the stream's banks [ton]; 0 without falls."""
    falls = design.falls
    if falls is None:
        return 0.0
    face_ft2 = sum(falls.drops_in) / 12.0 * (falls.spillway_in / 12.0 + 2.0 * falls.cheek_ft)
    ton = placed_ton(face_ft2, falls.stone_in, design.stone)
    if falls.stream:
        banks_ft2 = 2.0 * falls.stream.length_ft * design.stone.edge_in / 12.0
        ton += placed_ton(banks_ft2, design.stone.edge_thick_in, design.stone)
    return ton


def _course(number: int, layer: Layer, stone: Stone, water_ft: float) -> Course:
    thick_in = layer.step.stone_in
    ton = placed_ton(layer.wall_ft2, thick_in, stone)
    wet_top_ft = min(layer.bottom_ft, max(layer.top_ft, water_ft))
    wet_ft = layer.bottom_ft - wet_top_ft
    middle = layer.outline_at((wet_top_ft + layer.bottom_ft) / 2.0)
    ring_ft2 = float(middle.area) - float(inward(middle, thick_in / 12.0).area)
    face_ft2 = float(middle.length) * layer.slope_factor
    solid_ft3 = min(face_ft2 * thick_in / 12.0, ring_ft2) * wet_ft * (1.0 - stone.voids)
    shares = stone.mix if layer.step.course == "mix" else {layer.step.course: 1.0}
    return Course(number, layer.wall_ft2, ton, solid_ft3, shares)
