"""What a design asks for that cannot be had: told before anything is kept or ordered.

In: a take-off. Out: one `BadInput` a fault, with place, value and fix. A design that is kept already is still
shown: its faults stand where it is checked and taken off.
"""

from __future__ import annotations

from collections.abc import Iterator

from planner.domain.quantities.energy import meetings
from planner.domain.quantities.takeoff import Takeoff
from planner.errors import BadInput


def faults(takeoff: Takeoff) -> tuple[BadInput, ...]:
    """Every fault of the further work; empty when all of it can be had."""
    return (*_no_pump(takeoff), *_no_overflow(takeoff))


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
