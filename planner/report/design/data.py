"""Designs as plain values for JSON: US units, as the keys say; materials carry their unit beside them."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from planner.domain.design.hydraulics import C_PLASTIC, COLD_F, head_curve
from planner.domain.design.levels import Levels, levels_of
from planner.domain.quantities.cautions import cautions
from planner.domain.quantities.material import Material
from planner.domain.quantities.orders import LeadTimes
from planner.domain.quantities.takeoff import Change, Takeoff
from planner.domain.wording import taped
from planner.report.design.further import further_data


def takeoff_data(takeoff: Takeoff, units: str) -> dict[str, Any]:
    """The take-off as plain values, US units as the keys say; levels as a tape shows them, in `units`."""
    pump, water = takeoff.water.pumping, takeoff.water
    return {
        "design": takeoff.design.name,
        "soil": takeoff.soil.value,
        "access": takeoff.access.value,
        "area_ft2": takeoff.design.outline.area_ft2,
        "rim_ft": takeoff.design.outline.rim_ft,
        "levels": levels_data(levels_of(takeoff.design), units),
        "lines": [
            {"item": line.item, "quantity": line.quantity, "unit": line.unit} for line in takeoff.lines
        ],
        "dig_layer_bank_cy": list(takeoff.earth.layer_cy),
        "truckloads": takeoff.earth.loads,
        "shortage_loose_cy": takeoff.earth.balance.shortage_loose_cy,
        "liner_ft": [takeoff.sheet.pond.length_ft, takeoff.sheet.pond.width_ft],
        "liner_lb": takeoff.sheet.weight_lb,
        "net_gal": water.net_gal,
        "fill_h": water.filled.hours,
        "pump": pump_data(takeoff) if pump else None,
        "further": further_data(takeoff),
        "assumed": list(takeoff.layout.assumed),
        "cautions": [{"phase": c.phase.value, "text": c.text, "source": c.source} for c in cautions(takeoff)],
    }


def levels_data(levels: Levels, units: str) -> list[dict[str, Any]]:
    """Every level with both depths as a tape shows them, in the firm's units."""
    return [
        {
            "level": level.name,
            "below_rim": levels.below_rim(level, units),
            "below_water": levels.below_water(level, units),
            "unit": taped(0.0, units)[1],
        }
        for level in levels.rows
    ]


def pump_data(takeoff: Takeoff) -> dict[str, Any]:
    """The pump line as plain values."""
    pump = takeoff.water.pumping
    if pump is None:
        return {}
    common, cold = pump.line.frictions_ft(pump.duty_gpm / pump.lines)
    return {
        "spillway_gpm": pump.spillway_gpm,
        "turnover_gpm": pump.turnover_gpm,
        "duty_gpm": pump.duty_gpm,
        "lines": pump.lines,
        "nominal_in": pump.line.nominal_in,
        "velocity_ft_s": pump.velocity_ft_s,
        "head_ft": pump.head_ft,
        "friction": {
            "hazen_williams_ft": common,
            "c_factor": C_PLASTIC,
            "bore_in": pump.line.inside_in,
            "darcy_weisbach_ft": cold,
            "water_f": COLD_F,
            "average_bore_in": pump.line.average_in,
        },
        "curve_gpm_ft": [list(point) for point in head_curve(pump.line, pump.duty_gpm / pump.lines)],
        "meets_gpm_ft": list(pump.meets) if pump.meets else None,
    }


def materials_data(rows: Sequence[Material], units: str, leads: LeadTimes) -> list[dict[str, Any]]:
    """Materials as plain values, needed and ordered in the units beside them."""
    return [
        {
            "key": row.key,
            "words": row.words,
            "phase": row.phase.value,
            "needed": row.needed,
            "unit": row.unit,
            "order": row.order,
            "order_unit": row.order_unit,
            "order_size": row.order_size,
            "days_before": leads.spare_days(row.key),
            "cost_usd": row.cost_usd(units),
        }
        for row in rows
    ]


def changes_data(changes: Sequence[Change], facts: Sequence[Any]) -> dict[str, Any]:
    """A proposal's changes as plain values."""
    return {
        "items": [
            {
                "item": c.item,
                "before": c.before,
                "computed": c.computed,
                "after": c.after,
                "entered_stays": c.kept,
                "entered_in": list(c.within),
            }
            for c in changes
        ],
        "facts": [
            {"fact": f.name, "before": str(f.before), "design": str(f.design), "after": str(f.after)}
            for f in facts
        ],
    }
