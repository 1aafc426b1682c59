"""Materials of further work: from a job's amounts to rows in the merchant's units, with a design or without.

Seed is ordered at the middle of its published band; a job without a design is told for the usual grass. Waste
shares and pack sizes are defaults, to be calibrated, unless a line names a source.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field

from planner.domain.design.besides import SEED_LB_1000_FT2, Closing
from planner.domain.design.design import Design, Stone
from planner.domain.design.levels import levels_of
from planner.domain.firm.items import ITEMS
from planner.domain.quantities.life import place_of
from planner.domain.quantities.material import Material, Say
from planner.domain.quantities.stone import gravel_ton, merchant_ton
from planner.domain.quantities.stormwater import Overflow
from planner.units import FT3_PER_CY, LB_PER_TON

#: A sheet or mat laid lengthwise on the way in [ft]: panels of 4 x 8 ft, the size of the plywood standard
#: (PS 1; from memory).
MAT_FT = 8.0
#: Sod by the pallet [ft2], seed by the bag [lb], rubbish by the container [cy] (defaults: ask the merchant).
PALLET_FT2, BAG_LB, CONTAINER_CY = 450.0, 5.0, 10.0
#: Shares added: sod is cut to curves, topsoil settles, mulch packs (defaults, to be calibrated).
WASTE = {
    "sod": 0.05,
    "topsoil": 0.15,
    "mulch": 0.10,
    "lawn_seed": 0.10,
    "pipe": 0.05,
    "mat": 0.10,
    "dose": 0.10,
    "base": 0.10,
    "net": 0.25,
}
#: Smooth pipe and supply line are sold in lengths of [ft], erosion mat in [ft2] (defaults: ask the merchant).
#: The bog's sheet goes over its walls and edge by so much each side [ft] (default, to be calibrated).
BOG_EDGE_FT = 2.5
PIPE_FT, LINE_FT, MAT_FT2 = 10.0, 10.0, 10.0


@dataclass(frozen=True, slots=True)
class Asked:
    """What the rows are made from. amount: item -> how much of it; way: the way out of the design storm.

    uv_watts: of the ultraviolet, 0 when not known. design: None for a job that has only its own lines;
    prices: material key -> USD per ordered unit.
    """

    amount: Callable[[str], float]
    say: Say
    design: Design | None = None
    way: Overflow | None = None
    uv_watts: float = 0.0
    prices: Mapping[str, float] = field(default_factory=dict)

    def row(
        self,
        key: str,
        item: str,
        words: str,
        order: float,
        unit: str,
        size: str = "",
        needed: float | None = None,
    ) -> Material:
        """One row that `item` calls for; needed: net in the ordered unit, where the item's is another."""
        kind = ITEMS[item]
        need = (self.amount(item), kind.unit) if needed is None else (needed, unit)
        return Material(key, words, kind.phase, *need, float(order), unit, size, self.prices.get(key))


def further_materials(asked: Asked) -> list[Material]:
    """Every row that the further items call for; rows that come to nothing are left out."""
    found = [*_closing(asked), *_water(asked), *_stone(asked), *_life(asked), *_winter(asked)]
    return [row for row in found if row.needed > 0.0]


def seed_lb(area_ft2: float, grass: str) -> float:
    """Seed for a new lawn at the middle of its published band [lb].

    >>> seed_lb(1000.0, "tall fescue")
    7.0
    """
    return area_ft2 / 1000.0 * sum(SEED_LB_1000_FT2[grass]) / 2.0


def _up(value: float, step: float) -> float:
    return math.ceil(value / step - 1e-9) * step


def _more(key: str, value: float) -> float:
    return value * (1.0 + WASTE[key])


def _closing(a: Asked) -> list[Material]:
    amount, say = a.amount, a.say
    closing = (a.design.closing if a.design else None) or Closing()
    seed = seed_lb(amount("seed_ft2"), closing.grass)
    bag, pallet, container = (say(*x) for x in ((BAG_LB, "lb"), (PALLET_FT2, "ft2"), (CONTAINER_CY, "cy")))
    sod, loads = _more("sod", amount("sod_ft2")), _up(amount("rubbish_cy"), CONTAINER_CY) / CONTAINER_CY
    seeds = f"grass seed, {closing.grass}"
    bags = _up(_more("lawn_seed", seed), BAG_LB)
    return [
        a.row("mats", "mats_ft", "ground mats or plywood", _up(amount("mats_ft"), MAT_FT) / MAT_FT, "piece"),
        a.row("site_fence", "site_fence_ft", "temporary fence", amount("site_fence_ft"), "ft"),
        a.row("toilet", "toilets", "site toilet, rented", amount("toilets"), "unit"),
        a.row("topsoil", "topsoil_cy", "topsoil", _up(_more("topsoil", amount("topsoil_cy")), 0.5), "cy"),
        a.row("lawn_seed", "seed_ft2", seeds, bags, "lb", f"bags of {bag}", needed=seed),
        a.row("sod", "sod_ft2", "sod", _up(sod, 10.0), "ft2", f"pallets of {pallet}"),
        a.row("mulch", "mulch_cy", "mulch", _up(_more("mulch", amount("mulch_cy")), 0.5), "cy"),
        a.row("rubbish_load", "rubbish_cy", "rubbish to haul off", loads, "truckload", container),
    ]


def _stone(a: Asked) -> list[Material]:
    """Each named boulder by its weight, and the base under falls or edge."""
    stone = a.design.stone if a.design else Stone()
    base = gravel_ton(a.amount("footing_cy") * FT3_PER_CY, 12.0, stone.gravel_lb_cy)
    size = f"sold by {a.say(stone.step_ton, 'ton')}"
    order = merchant_ton(_more("base", base), stone.step_ton)
    rows = [a.row("footing_base", "footing_cy", "crushed base under falls", order, "ton", size, needed=base)]
    for boulder in a.design.boulders if a.design else ():
        ton = boulder.weight_lb / LB_PER_TON
        words = f"boulder {boulder.name}, {a.say(round(boulder.weight_lb), 'lb')}"
        rows.append(a.row("named_boulder", "named_boulder_ton", words, 1.0, "piece", needed=ton))
    tons = a.amount("named_boulder_ton")
    if not a.design:
        rows.append(a.row("named_boulder", "named_boulder_ton", "named boulders", tons, "ton"))
    return rows


def _winter(a: Asked) -> list[Material]:
    """What the first closing visit leaves at the pond."""
    net = _up(_more("net", a.amount("leaf_net_ft2")), MAT_FT2)
    return [
        a.row("leaf_net", "leaf_net_ft2", "leaf net with pegs", net, "ft2"),
        a.row("air_stone", "winter_closings", "air pump with stone", a.amount("winter_closings"), "unit"),
    ]


def _life(a: Asked) -> list[Material]:
    """Bog, ultraviolet, each kind of plant with its shelf, fish and the test kit."""
    amount, stone = a.amount, a.design.stone if a.design else Stone()
    side = math.sqrt(amount("bog_ft2"))
    sheet = (side + 2.0 * BOG_EDGE_FT) ** 2 if side else 0.0
    gravel = merchant_ton(_more("base", amount("bog_gravel_ton")), stone.step_ton)
    size = f"sold by {a.say(stone.step_ton, 'ton')}"
    drain = amount("bog_ft2") / 2.0  # a pipe every 2 ft (default, to be calibrated)
    lamp = f", {a.uv_watts:.0f} W or more" if a.uv_watts else ""
    rows = [
        a.row("bog_gravel", "bog_gravel_ton", "washed gravel of the bog", gravel, "ton", size),
        a.row("bog_liner", "bog_ft2", "liner of the bog", _up(sheet, MAT_FT2), "ft2", needed=sheet),
        a.row("bog_pipe", "bog_ft2", "underdrain of the bog", _up(drain, PIPE_FT), "ft", needed=drain),
        a.row("uv_unit", "uv_units", f"ultraviolet unit{lamp}", amount("uv_units"), "unit"),
        a.row("fish", "fish", "fish", amount("fish"), "count"),
        a.row("test_kit", "water_tests", "water test kit", 1.0 if amount("water_tests") else 0.0, "kit"),
    ]
    if not a.design:
        return [*rows, a.row("plants", "plants", "water plants", amount("plants"), "plant")]
    levels = levels_of(a.design)
    for plant in a.design.plants:
        spot, count = place_of(plant, levels), float(plant.count)
        words = f"{plant.name}, {spot[0]}" if spot else plant.name
        rows.append(a.row("plants", "plants", words, count, "plant", needed=count))
    return rows


def _water(a: Asked) -> list[Material]:
    """Rented pump, way out, dechlorinator, float valve. What only a design knows is left open without one."""
    amount, way, lengths = a.amount, a.way, f"lengths of {a.say(PIPE_FT, 'ft')}"
    sun, town = (a.design.evaporation, a.design.town_water) if a.design else (None, None)
    size = f", {way.pipe_in:g} in" if way and way.pipe_in else ""
    pipe = _up(_more("pipe", amount("overflow_ft")), PIPE_FT)
    mat = _up(_more("mat", amount("swale_ft") * way.top_ft), MAT_FT2) if way else 0.0
    dose = f"dechlorinator, {town.agent}" if town else "dechlorinator"
    jars = math.ceil(_more("dose", amount("dechlorinator_oz")) / 16.0 - 1e-9)
    line = sun.line_ft if sun and sun.auto_fill else 0.0
    days, valves = amount("dewater_days"), amount("auto_fills")
    return [
        a.row("dewatering_pump", "dewater_days", "dewatering pump and hose, rented", days, "day"),
        a.row("overflow_pipe", "overflow_ft", f"overflow pipe{size}, smooth", pipe, "ft", lengths),
        a.row("erosion_mat", "swale_ft", "erosion mat for the swale", mat, "ft2"),
        a.row("dechlorinator", "dechlorinator_oz", dose, jars, "lb"),
        a.row("float_valve", "auto_fills", "float valve with backflow preventer", valves, "unit"),
        a.row("fill_line", "auto_fills", "line to the float valve", _up(line, LINE_FT), "ft", needed=line),
    ]
