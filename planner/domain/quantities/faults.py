"""What a design asks for that cannot be had: told before anything is kept or ordered.

In: a take-off. Out: one `BadInput` a fault, with place, value and fix. A design that is kept already is still
shown: its faults stand where it is checked and taken off.
"""

from __future__ import annotations

from collections.abc import Iterator

from planner.domain.firm.jobs import Access
from planner.domain.quantities.energy import meetings
from planner.domain.quantities.placing import BEARING_PSF, heaviest_lb, pressure_psf, way_of
from planner.domain.quantities.takeoff import Takeoff
from planner.errors import BadInput


def faults(takeoff: Takeoff) -> tuple[BadInput, ...]:
    """Every fault of the further work; empty when all of it can be had."""
    return (*_no_pump(takeoff), *_no_overflow(takeoff), *_too_heavy(takeoff), *_too_soft(takeoff))


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
