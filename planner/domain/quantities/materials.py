"""Materials: what to order, in the merchant's units, for which phase.

In: a take-off. Out: `Material` rows in the order of work; a phase's pull list is its rows. Waste shares are
defaults, to be calibrated; stock sizes come from the design. `orders` says how long before its phase each is
ordered, and what is to be ordered for a job without a design.
"""

from __future__ import annotations

import math
from dataclasses import replace

from planner.domain.design.design import STONE_CLASSES, Box
from planner.domain.design.hydraulics import fittings_words
from planner.domain.firm.phases import Phase
from planner.domain.quantities.further_materials import Asked, further_materials
from planner.domain.quantities.material import Material, Say, wasted
from planner.domain.quantities.placing import class_limit_in
from planner.domain.quantities.stone import bought_ton, gravel_ton
from planner.domain.quantities.takeoff import Takeoff
from planner.domain.wording import in_decimals, shown
from planner.units import US

#: falls and stream face that one can of stone foam backs [ft2]; tubes and cement likewise (defaults)
FOAM_FT2, JOINTS_PER_CEMENT, TAPE_ROLL_FT = 8.0, 20, 25.0


def materials(takeoff: Takeoff, units: str = US) -> tuple[Material, ...]:
    """Everything to order for a take-off; rows that come to nothing are left out. units: of the words."""

    def say(value: float, unit: str) -> str:
        if unit == "ft of head":
            return f"{in_decimals(value, 'ft', units)} of head"
        return shown(value, unit, units)

    makers = (_earth, _boxes, _sheets, _stone, _pipes)
    rows = [row for maker in makers for row in maker(takeoff, say)]
    rows += further_materials(_asked(takeoff, say))
    return tuple(sorted((row for row in rows if row.needed > 0.0), key=lambda row: row.phase.rank))


def _asked(t: Takeoff, say: Say) -> Asked:
    watts = t.design.uv.watts_1000_gal * t.water.net_gal / 1000.0 if t.design.uv else 0.0
    return Asked(t.amount, say, t.design, t.overflow, watts, t.design.prices)


def pull_list(rows: tuple[Material, ...], phase: Phase) -> tuple[Material, ...]:
    """What one phase takes from the yard or the merchant."""
    return tuple(row for row in rows if row.phase is phase)


def total_usd(rows: tuple[Material, ...], units: str = US) -> tuple[float, int]:
    """(sum of the priced rows [USD], number of rows without a price)."""
    costs = [row.cost_usd(units) for row in rows]
    return sum(cost for cost in costs if cost is not None), sum(cost is None for cost in costs)


def _up(value: float, step: float) -> float:
    return math.ceil(value / step - 1e-9) * step


def _row(
    t: Takeoff,
    key: str,
    words: str,
    phase: Phase,
    needed: tuple[float, str],
    order: tuple[float, str],
    order_size: str = "",
) -> Material:
    """A row at the design's price for `key`. needed, order: (amount, unit)."""
    return Material(key, words, phase, *needed, *order, order_size, t.design.prices.get(key))


def _earth(t: Takeoff, say: Say) -> list[Material]:
    loads, balance, truck = t.earth.loads, t.earth.balance, say(t.design.site.truck_cy, "cy")
    hauled, brought = balance.surplus_loose_cy, balance.shortage_loose_cy
    rows = (
        ("haul_load", "spoil to haul off, loose", hauled),
        ("clean_fill", "clean fill to bring, loose", brought),
    )
    return [
        _row(t, key, words, Phase.DIG, (cy, "cy"), (loads if cy > 0.0 else 0, "truckload"), truck)
        for key, words, cy in rows
    ]


def _boxes(t: Takeoff, say: Say) -> list[Material]:
    stone, phase = t.design.stone, Phase.SET_FILTERS
    boxes = (
        ("skimmer", "skimmer box", t.design.skimmer),
        ("waterfall_box", "waterfall box", t.design.top_box),
    )
    rows = [
        _row(t, key, words, phase, (1.0, "count"), (1.0, "box"), _box_size(box, say))
        for key, words, box in boxes
        if box is not None
    ]
    pads_ton = gravel_ton(t.earth.pads_ft3, 12.0, stone.gravel_lb_cy)
    pads = _by_weight(t, say, "pad_gravel", "crushed base under boxes", phase, pads_ton)
    return [*rows, pads]


def _box_size(box: Box, say: Say) -> str:
    sides = [say(side, "in").rpartition(" ") for side in (box.length_in, box.width_in, box.height_in)]
    return f"{' x '.join(amount for amount, _, _ in sides)} {sides[0][2]}"


def _by_weight(t: Takeoff, say: Say, key: str, words: str, phase: Phase, ton: float) -> Material:
    """Stone or gravel, with its waste, in the merchant's steps."""
    step = t.design.stone.step_ton
    order = (bought_ton(key, ton, step), "ton")
    return _row(t, key, words, phase, (ton, "ton"), order, f"sold by {say(step, 'ton')}")


def _sheets(t: Takeoff, say: Say) -> list[Material]:
    sheet, work, phase = t.design.sheet, t.sheet, Phase.LINER
    rows = []
    pieces = (
        ("liner", "liner, pond", work.pond, work.pond_cut),
        ("stream_liner", "liner, stream", work.stream, work.stream_cut),
    )
    for key, words, piece, cut in pieces:
        if piece is not None and cut is not None:
            size = f"{cut.panels} of {say(cut.roll_ft, 'ft')} x {say(cut.cut_ft, 'ft')}"
            rows.append(_row(t, key, words, phase, (piece.area_ft2, "ft2"), (cut.area_ft2, "ft2"), size))
    width = sheet.underlay_stock_ft
    length = _up(wasted("underlayment", work.underlay_ft2) / width, sheet.cut_ft)
    under = (work.underlay_ft2, "ft2"), (length * width, "ft2")
    size = f"{say(length, 'ft')} off a {say(width, 'ft')} roll"
    rows.append(_row(t, "underlayment", "underlayment", phase, *under, size))
    tape = (work.seams_ft, "ft"), (_up(wasted("seam_tape", work.seams_ft), TAPE_ROLL_FT), "ft")
    size = f"rolls of {say(TAPE_ROLL_FT, 'ft')}"
    return [*rows, _row(t, "seam_tape", "seam tape and primer", phase, *tape, size)]


def _class_words(t: Takeoff, say: Say, name: str, low: float, high: float) -> str:
    """The class as it is ordered: none over the size that can be set at the farthest wall."""
    limit = class_limit_in(t.design, t.access, name)
    words = f"boulders {say(low, 'in')} to {say(high, 'in')}"
    return words if limit is None else f"{words}, none over {say(math.floor(limit), 'in')}"


def _stone(t: Takeoff, say: Say) -> list[Material]:
    rock, phase = t.rock, Phase.ROCK
    amounts = [
        (f"boulder_{name}", _class_words(t, say, name, low, high), rock.class_ton[name])
        for name, (low, high, _) in STONE_CLASSES.items()
    ]
    amounts += [
        ("gravel", "gravel", rock.gravel_ton),
        ("waterfall_stone", "waterfall and stream stone", rock.falls_ton),
    ]
    rows = [_by_weight(t, say, key, words, phase, ton) for key, words, ton in amounts]
    falls = t.design.falls
    face = sum(falls.drops_in) / 12.0 * (falls.spillway_in / 12.0 + 2.0 * falls.cheek_ft) if falls else 0.0
    cans = float(math.ceil(face / FOAM_FT2))
    return [*rows, _row(t, "foam", "stone foam behind the falls", phase, (face, "ft2"), (cans, "can"))]


def _pump(t: Takeoff, duty: str) -> Material:
    """The pump: by its duty, or the one that was chosen from the user's table."""
    phase, found = Phase.PLUMBING, t.pump
    if found is None:
        return _row(t, "pump", f"pump, {duty}", phase, (1.0, "count"), (1.0, "pump"))
    row = _row(
        t,
        "pump",
        f"pump {found.pump.name}, {duty}",
        phase,
        (float(found.units), "count"),
        (float(found.units), "pump"),
    )
    return replace(row, price_usd=row.price_usd if row.price_usd is not None else found.price_usd)


def _pipes(t: Takeoff, say: Say) -> list[Material]:
    pump, phase = t.water.pumping, Phase.PLUMBING
    joints = float(len(t.design.boxes))
    sealant = _row(t, "sealant", "sealant for liner joints", phase, (joints, "count"), (joints, "tube"))
    if pump is None:
        return [sealant]
    duty = f"{say(round(pump.duty_gpm, 1), 'gpm')} at {say(pump.head_ft, 'ft of head')}"
    nominal = f"{pump.line.nominal_in:g} in"
    pipe_ft, coil = t.layout.pipe_ft * pump.lines, t.design.plumbing.coil_ft
    pipe = (pipe_ft, "ft"), (_up(wasted("pipe", pipe_ft), coil), "ft"), f"coils of {say(coil, 'ft')}"
    pieces = float(sum(pump.line.fittings.values()) * pump.lines)
    kinds = fittings_words(pump.line.fittings, pump.lines)
    fittings = (pieces, "count"), (pieces, "piece")
    cans = float(math.ceil(pump.connections / JOINTS_PER_CEMENT))
    cement = (float(pump.connections), "joint"), (cans, "can")
    return [
        _pump(t, duty),
        _row(t, "pipe", f"pump line, {nominal}", phase, *pipe),
        _row(t, "fittings", f"fittings, {nominal}: {kinds}", phase, *fittings),
        _row(t, "cement", "primer and solvent cement", phase, *cement),
        sealant,
    ]
