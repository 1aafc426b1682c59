"""What a design asks for that cannot be had: told before anything is kept or ordered.

In: a take-off. Out: one `BadInput` a fault, with place, value and fix. A design that is kept already is still
shown: its faults stand where it is checked and taken off.
"""

from __future__ import annotations

from collections.abc import Iterator

from planner.domain.design.levels import levels_of
from planner.domain.design.living import PLANT_IN
from planner.domain.firm.jobs import Access
from planner.domain.quantities.energy import meetings
from planner.domain.quantities.life import place_of
from planner.domain.quantities.placing import BEARING_PSF, heaviest_lb, pressure_psf, way_of
from planner.domain.quantities.takeoff import Takeoff
from planner.errors import BadInput


def faults(takeoff: Takeoff) -> tuple[BadInput, ...]:
    """Every fault of the further work; empty when all of it can be had."""
    return (
        *_no_pump(takeoff),
        *_no_overflow(takeoff),
        *_too_heavy(takeoff),
        *_too_soft(takeoff),
        *_life(takeoff),
    )


def _too_heavy(t: Takeoff) -> Iterator[BadInput]:
    for boulder in t.design.boulders:
        way, placing = way_of(boulder, t.design, t.access), t.design.placing
        if way.by:
            continue
        if t.access is not Access.MACHINE:
            fix = "no machine reaches the hole: choose a stone that the dolly bears"
        elif placing is None or not placing.table:
            fix = "give [placing] table_ft_lb from the machine's plate, or choose a smaller stone"
        elif not boulder.radius_ft:
            fix = "give radius_ft, or at_ft and [placing] stand_ft, to hold it against the plate"
        else:
            most = heaviest_lb(t.design, t.access, boulder.radius_ft)
            fix = (
                f"nothing here sets more than {most:,.0f} lb there: a smaller stone, a nearer stand, a crane"
            )
        at = f" at {boulder.radius_ft:.1f} ft" if boulder.radius_ft else ""
        yield BadInput(boulder.name, f"{boulder.weight_lb:,.0f} lb{at}", fix, where="[[boulder]]")


def _life(t: Takeoff) -> Iterator[BadInput]:
    fish, load, bog = t.design.fish, t.load, t.bog
    if fish is not None and load is not None and fish.count:
        if load.inches > load.holds_in:
            told = f"{fish.count} of {fish.length_in:g} in make {load.inches:.0f} in"
            fix = (
                f"surface and gallons hold {load.holds_in:.0f} in: {int(load.holds_in / fish.length_in)} fish"
            )
            yield BadInput("count", told, f"{fix}, or a larger pond", where="[fish]")
        if not t.design.boxes and bog is None:
            fix = "fish need a filter: add a box or a [bog]"
            yield BadInput("count", fish.count, fix, where="[fish]")
        if bog is None and 0.0 < fish.box_media_ft2 < load.media_ft2:
            fix = f"their feed asks for {load.media_ft2:.0f} ft2: a larger box, a [bog], or fewer fish"
            yield BadInput("box_media_ft2", f"{fish.box_media_ft2:.0f} ft2", fix, where="[fish]")
    if bog is not None and bog.area_ft2 < max(bog.by_turnover_ft2, bog.by_feed_ft2) - 0.5:
        fix = f"turnover asks for {bog.by_turnover_ft2:.0f} ft2 and feed for {bog.by_feed_ft2:.0f} ft2"
        yield BadInput("area_ft2", f"{bog.area_ft2:g}", fix, where="[bog]")
    levels = levels_of(t.design)
    for plant in t.design.plants:
        if place_of(plant, levels) is None:
            least, most = PLANT_IN[plant.kind]
            fix = f"no shelf leaves {least:g} to {most:g} in of water over it: another kind, pot or shelf"
            yield BadInput(plant.name, plant.kind, fix, where="[[plant]]")


def _too_soft(t: Takeoff) -> Iterator[BadInput]:
    pad = t.design.footing
    if pad is None:
        return
    pressure, bears = pressure_psf(pad, t.rock.falls_ton), BEARING_PSF[t.soil]
    told = f"{pressure:,.0f} lb/ft2"
    if pad.on_fill:
        fix = "fill has no bearing value of a table: go down to firm ground, or ask a soils engineer"
        yield BadInput("on_fill", told, fix, where="[footing]")
    elif pressure > bears:
        area = pressure * pad.length_ft * pad.width_ft / bears
        fix = f"{t.soil.value} bears {bears:,.0f} by the code's table: {area:.1f} ft2 or more"
        yield BadInput("length_ft", told, fix, where="[footing]")


def _no_overflow(t: Takeoff) -> Iterator[BadInput]:
    found, storm = t.overflow, t.design.storm
    if found is not None and storm is not None and storm.way == "pipe" and not found.pipe_in:
        asked = f"{found.flow_cfs:.2f} cfs at {storm.fall:.1%} of fall"
        fix = f"a 12 in pipe carries {found.carries_cfs:.2f} cfs: give it more fall, or take a swale"
        yield BadInput("way", asked, fix, where="[storm]")


def _no_pump(t: Takeoff) -> Iterator[BadInput]:
    pumping, pumps = t.water.pumping, t.design.pumps
    if not pumps or t.pump is not None:
        return
    if pumping is None:
        yield BadInput("pump", len(pumps), "nothing asks for flow: leave the pumps out", where="[[pump]]")
        return
    each = pumping.duty_gpm / pumping.lines
    best = [(point[0], pump.name) for pump, point in meetings(pumping, pumps) if point is not None]
    most = (
        f"{max(best)[1]} gives most, {max(best)[0]:.1f} gpm" if best else "none reaches the head of the line"
    )
    fix = f"{most}: take a stronger pump, a wider line, or a narrower lip"
    asked = f"{each:.1f} gpm at {pumping.head_ft:.1f} ft"
    yield BadInput("curve", asked, fix, where="[[pump]]")
