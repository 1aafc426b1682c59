"""Water: gallons net of stone, hours at the hose, the flow and head that the pump must give.

In: a design, its layers, the stone and the pipe route. Out: `Waterwork`. Required flow is the larger of the
spillway's rule and the turnover; a flow too large for one 4 in line is shared by equal lines side by side.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from planner.domain.design.design import Design, Filling
from planner.domain.design.hydraulics import (
    BORE_IN,
    FITTINGS,
    GPH_PER_GPM,
    VELOCITY_LIMIT_FT_S,
    PumpLine,
    fill_h,
    meeting_point,
    pipe_size_in,
    velocity_ft_s,
    weir_head_in,
)
from planner.domain.design.outline import in_and_mm
from planner.domain.design.shelves import Layer
from planner.errors import BadInput
from planner.units import GAL_PER_FT3


@dataclass(frozen=True, slots=True)
class Pumping:
    """The pump line at its duty. spillway_gpm, turnover_gpm: the two claims; duty_gpm: the larger.

    lines: equal lines side by side; line: one of them, which carries duty_gpm / lines. lip_in: depth of
    water over the lip [in], by Francis, an estimate for a rock lip. meets: where the given pump curve
    crosses the line (gpm, ft), None when none was given or it never does.
    """

    spillway_gpm: float
    turnover_gpm: float
    duty_gpm: float
    lines: int
    line: PumpLine
    velocity_ft_s: float
    head_ft: float
    lip_in: float
    connections: int
    meets: tuple[float, float] | None


@dataclass(frozen=True, slots=True)
class Filled:
    """A fill: mean flow [gpm], hours, and the hour of the day at which it ends (over 24: past midnight).

    slow_after_h: hours after which the well's yield holds the hose back; None when it never does.
    """

    mean_gpm: float
    hours: float
    end_h: float
    slow_after_h: float | None

    @property
    def past_midnight(self) -> bool:
        """True when it runs on after midnight."""
        return self.end_h > 24.0


@dataclass(frozen=True, slots=True)
class Waterwork:
    """Water of one design. net_gal: pond less stone, and stream; fill_gal: with the top-up allowance.

    gross_gal: pond without any stone.
    """

    surface_ft2: float
    gross_gal: float
    displaced_gal: float
    stream_gal: float
    fill_gal: float
    filled: Filled
    pumping: Pumping | None

    @property
    def net_gal(self) -> float:
        """Water in pond and stream when running [gal]."""
        return max(0.0, self.gross_gal - self.displaced_gal) + self.stream_gal


def waterwork(design: Design, layers: Sequence[Layer], displaced_ft3: float, pipe_ft: float) -> Waterwork:
    """Take the water off a design."""
    water_ft = design.water_line_in / 12.0
    if water_ft >= layers[-1].bottom_ft:
        fix = f"keep it above the floor, which lies {in_and_mm(layers[-1].bottom_ft * 12.0)} down"
        raise BadInput("water_line", in_and_mm(design.water_line_in), fix)
    gross_gal = sum(layer.volume_ft3(water_ft) for layer in layers) * GAL_PER_FT3
    stream = design.falls.stream if design.falls else None
    stream_ft3 = stream.length_ft * stream.width_ft * stream.depth_in / 12.0 if stream else 0.0
    displaced_gal = min(gross_gal, displaced_ft3 * GAL_PER_FT3)
    running_gal = gross_gal - displaced_gal + stream_ft3 * GAL_PER_FT3
    fill_gal = running_gal * (1.0 + design.filling.top_up)
    surface = next((layer for layer in layers if layer.bottom_ft > water_ft), layers[-1])
    return Waterwork(
        surface_ft2=float(surface.outline_at(water_ft).area),
        gross_gal=gross_gal,
        displaced_gal=displaced_gal,
        stream_gal=stream_ft3 * GAL_PER_FT3,
        fill_gal=fill_gal,
        filled=filling_time(fill_gal, design.filling),
        pumping=pumping(design, running_gal, pipe_ft),
    )


def filling_time(gallons: float, filling: Filling) -> Filled:
    """How `gallons` come through the hose.

    A well with storage gives the hose its full flow until the storage is empty, then its own yield.

    >>> round(filling_time(2250, Filling(hose_gpm=11, start_h=13)).end_h, 1)
    16.4
    """
    hose, well = filling.hose_gpm, filling.well_gpm
    if well <= 0.0 or well >= hose or gallons <= 0.0:
        hours, slow_after_h = fill_h(gallons, hose), None
    else:
        quick_min = min(filling.well_storage_gal / (hose - well), gallons / hose)
        slow_gal = gallons - quick_min * hose
        hours = quick_min / 60.0 + fill_h(slow_gal, well)
        slow_after_h = quick_min / 60.0 if slow_gal > 0.0 else None
    flow = gallons / hours / 60.0 if hours > 0.0 else hose
    return Filled(flow, hours, filling.start_h + hours, slow_after_h)


def pumping(design: Design, running_gal: float, pipe_ft: float) -> Pumping | None:
    """Size the pump line of a design; None when nothing asks for flow."""
    falls, plumbing = design.falls, design.plumbing
    spillway_gpm = falls.spillway_in * falls.gph_per_in / GPH_PER_GPM if falls else 0.0
    turnover_gpm = running_gal * plumbing.turnovers_h / GPH_PER_GPM
    duty_gpm = max(spillway_gpm, turnover_gpm)
    if duty_gpm <= 0.0:
        return None
    largest_in = plumbing.bore_in or BORE_IN[plumbing.size_in or max(BORE_IN)]
    most_gpm = VELOCITY_LIMIT_FT_S * largest_in**2 / 0.4085
    lines = 1 if plumbing.size_in else math.ceil(duty_gpm / most_gpm - 1e-9)
    each_gpm = duty_gpm / lines
    line = PumpLine(
        nominal_in=plumbing.size_in or pipe_size_in(each_gpm),
        length_ft=pipe_ft,
        fittings=plumbing.fittings,
        lift_ft=lift_ft(design),
        other_ft=plumbing.other_ft,
        at_gpm=each_gpm,
        bore_in=plumbing.bore_in,
        own_lengths_ft=plumbing.own_lengths_ft,
    )
    ends = sum(count * (FITTINGS[f][1] if f in FITTINGS else 2) for f, count in plumbing.fittings.items())
    return Pumping(
        spillway_gpm=spillway_gpm,
        turnover_gpm=turnover_gpm,
        duty_gpm=duty_gpm,
        lines=lines,
        line=line,
        velocity_ft_s=velocity_ft_s(each_gpm, line.inside_in),
        head_ft=line.head_ft(each_gpm),
        lip_in=weir_head_in(falls.spillway_in / 12.0, duty_gpm) if falls else 0.0,
        connections=lines * (ends + 2),
        meets=meeting_point(line, plumbing.pump_curve) if plumbing.pump_curve else None,
    )


def lift_ft(design: Design) -> float:
    """Static lift [ft]: as given, else the height of the falls above the water line, 0 without falls."""
    if design.plumbing.lift_ft is not None:
        return design.plumbing.lift_ft
    return design.falls.height_in / 12.0 if design.falls else 0.0
