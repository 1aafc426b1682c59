"""Further work in words and as plain values: how its figures came about, each with its arithmetic or source.

In: a take-off and the firm's units. Out: sentences for check, drawing and page; values for JSON.
"""

from __future__ import annotations

from typing import Any

from planner.domain.design.levels import levels_of
from planner.domain.firm.items import ITEMS
from planner.domain.quantities.energy import BRANCH_DROP, ENOUGH, WHOLE_DROP, Circuit, circuit, meetings
from planner.domain.quantities.life import place_of
from planner.domain.quantities.placing import BEARING_PSF, Way, class_limit_in, pressure_psf, way_of
from planner.domain.quantities.stormwater import GRASS_FT_S
from planner.domain.quantities.takeoff import Takeoff
from planner.domain.quantities.watercare import evaporation_gal_day, pump_h_day
from planner.domain.wording import in_decimals, in_figures


def further_notes(takeoff: Takeoff, units: str) -> list[str]:
    """How the figures of the further work came about."""
    return [
        *power_notes(takeoff, units),
        *_water(takeoff, units),
        *_stone(takeoff, units),
        *_life(takeoff, units),
        *_winter(takeoff),
    ]


def further_figures(takeoff: Takeoff, units: str) -> list[str]:
    """The amounts of the further work in one line; none when nothing is asked for."""
    told = [
        f"{ITEMS[line.item].words} {in_figures(line.quantity, line.unit, units)}"
        for line in takeoff.lines
        if ITEMS[line.item].further
    ]
    return [f"Besides: {'; '.join(told)}"] if told else []


def pump_rows(takeoff: Takeoff, units: str) -> list[tuple[str, str, str, str, str]]:
    """Each pump of the design's table: name, flow and head where it meets the line, watts, what of it."""
    pumping, chosen = takeoff.water.pumping, takeoff.pump
    rows = []
    for pump, point in meetings(pumping, takeoff.design.pumps) if pumping else ():
        enough = (
            point is not None
            and pumping is not None
            and point[0] >= ENOUGH * pumping.duty_gpm / pumping.lines
        )
        said = "enough" if enough else "too weak" if point else "never meets the line"
        said = "chosen" if chosen is not None and pump is chosen.pump else said
        flow, head = (
            (in_decimals(v, u, units) for v, u in zip(point, ("gpm", "ft"), strict=True))
            if point
            else ("-", "-")
        )
        rows.append((pump.name, flow, head, f"{pump.watts:.0f}", said))
    return rows


def further_data(takeoff: Takeoff) -> dict[str, Any]:
    """The further work as plain values, US units as the keys say; None where nothing asks for it."""
    return {
        "power": _power_data(takeoff),
        "water": _water_data(takeoff),
        "stone": _stone_data(takeoff),
        "life": _life_data(takeoff),
    }


def _circuit(t: Takeoff) -> Circuit | None:
    return circuit(t.pump, t.design.power) if t.pump and t.design.power else None


def power_notes(t: Takeoff, units: str) -> list[str]:
    """The chosen pump, its month, its cable and its breaker."""
    found, power, wires = t.pump, t.design.power, _circuit(t)
    if found is None:
        return []

    def s(value: float, unit: str) -> str:
        return in_figures(value, unit, units)

    several = f"{found.units} of them, one a line: " if found.units > 1 else ""
    at = f" at {found.pump.speed:.0%} of its speed" if found.pump.speed < 1.0 else ""
    point = f"{s(found.flow_gpm, 'gpm')} at {in_decimals(found.head_ft, 'ft', units)}"
    texts = [f"pump {found.pump.name}{at}: {several}its curve meets the line at {point}, {found.watts:.0f} W"]
    if power is None or wires is None:
        return texts
    cost = f", {wires.usd_month:,.2f} USD" if wires.usd_month is not None else ", no tariff is given"
    texts.append(f"runs {power.hours_day:g} h a day: {wires.kwh_month:.0f} kWh a month{cost}")
    if power.cable_ft:
        over = "" if wires.drop <= BRANCH_DROP else ": more than the branch should lose, take a thicker wire"
        breaker = f"{wires.breaker_a} A" if wires.breaker_a else "more than the table holds"
        texts.append(
            f"cable {s(power.cable_ft, 'ft')} one way, {wires.awg} AWG copper: {wires.amps:.2f} A lose "
            f"{wires.drop_v:.2f} V, {wires.drop:.1%}{over} (NEC notes: {BRANCH_DROP:.0%} on the branch, "
            f"{WHOLE_DROP:.0%} in all); least breaker at 125 % {breaker}, with GFCI: the licensed "
            "electrician decides"
        )
    return texts


def _power_data(t: Takeoff) -> dict[str, Any] | None:
    found, wires = t.pump, _circuit(t)
    if found is None:
        return None
    return {
        "pump": found.pump.name,
        "units": found.units,
        "flow_gpm": found.flow_gpm,
        "head_ft": found.head_ft,
        "watts": found.watts,
        "kwh_month": wires.kwh_month if wires else None,
        "usd_month": wires.usd_month if wires else None,
        "amps": wires.amps if wires else None,
        "wire_awg": wires.awg if wires else None,
        "drop_v": wires.drop_v if wires else None,
        "drop_share": wires.drop if wires else None,
        "breaker_a": wires.breaker_a if wires else None,
    }


def _water(t: Takeoff, units: str) -> list[str]:
    """Wet hole, storm, treated water and sun, each with its sum."""

    def s(value: float, unit: str) -> str:
        return in_figures(value, unit, units)

    design, way, texts = t.design, t.overflow, []
    hole, storm, town, sun = design.ground_water, design.storm, design.town_water, design.evaporation
    if hole is not None and hole.days:
        runs = f"the pump runs {pump_h_day(hole):.1f} h a day" if hole.inflow_gpm else "inflow not timed"
        texts.append(f"wet hole: {hole.days} days of pumping, {s(hole.inflow_gpm, 'gpm')} come in: {runs}")
    if storm is not None and way is not None:
        texts.append(
            f"storm of {storm.years} years at {storm.place}, {s(storm.intensity_in_h, 'in/h')}"
            f"{f' ({storm.source})' if storm.source else ', its source is not told'}: "
            f"{s(way.flow_cfs, 'cfs')} ({s(way.flow_gpm, 'gpm')}) by C i A must leave: {_way_words(t, units)}"
        )
    if town is not None and town.chlorine_mg_l:
        texts.append(
            f"chlorine {town.chlorine_mg_l:g} mg/L in {s(t.amount('dosed_gal'), 'gal')}: "
            f"{s(t.amount('dechlorinator_oz'), 'oz')} of {town.agent}; test, dose, test again"
        )
    if sun is not None and sun.pan_in_month:
        gone = evaporation_gal_day(sun, t.water.surface_ft2)
        texts.append(
            f"evaporation in the worst month {s(gone, 'gal')} a day, {s(7.0 * gone, 'gal')} a week; splash "
            "and wind at falls come on top"
        )
    return texts


def _way_words(t: Takeoff, units: str) -> str:
    way, storm = t.overflow, t.design.storm
    if way is None or storm is None:
        return ""
    if storm.way == "pipe":
        carries = in_figures(way.carries_cfs, "cfs", units)
        return f"{way.pipe_in:g} in pipe at {storm.fall:.1%} carries {carries} running full"
    fast = (
        f", faster than {in_figures(GRASS_FT_S, 'ft/s', units)}: line it with stone"
        if way.speed_ft_s > GRASS_FT_S
        else ""
    )
    deep, top = in_figures(12.0 * way.deep_ft, "in", units), in_figures(way.top_ft, "ft", units)
    return (
        f"grass swale {deep} deep, {top} across at its top, {in_figures(way.speed_ft_s, 'ft/s', units)}{fast}"
    )


def _water_data(t: Takeoff) -> dict[str, Any]:
    design, way = t.design, t.overflow
    hole, sun = design.ground_water, design.evaporation
    return {
        "dewatering_h_day": pump_h_day(hole) if hole else None,
        "storm_cfs": way.flow_cfs if way else None,
        "overflow_pipe_in": way.pipe_in if way else None,
        "overflow_carries_cfs": way.carries_cfs if way else None,
        "swale_deep_ft": way.deep_ft if way else None,
        "dechlorinator_oz": t.amount("dechlorinator_oz"),
        "evaporation_gal_day": evaporation_gal_day(sun, t.water.surface_ft2) if sun else None,
    }


def _ways(t: Takeoff) -> list[Way]:
    return [way_of(boulder, t.design, t.access) for boulder in t.design.boulders]


def _stone(t: Takeoff, units: str) -> list[str]:
    """Each named boulder with its way, and what the ground bears under the falls."""

    def s(value: float, unit: str) -> str:
        return in_figures(value, unit, units)

    texts = []
    for way in _ways(t):
        by = f"{way.people} {'person' if way.people == 1 else 'people'}" if way.by == "hands" else way.by
        limit = ""
        if way.machine_lb is not None:
            limit = f"; the machine may lift {s(way.machine_lb, 'lb')} at {s(way.boulder.radius_ft, 'ft')}"
        texts.append(f"boulder {way.boulder.name}, {s(way.boulder.weight_lb, 'lb')}: by {by}{limit}")
    pad = t.design.footing
    if pad is not None:
        texts.append(
            f"pad under the falls {s(pad.length_ft, 'ft')} x {s(pad.width_ft, 'ft')}: "
            f"{s(pressure_psf(pad, t.rock.falls_ton), 'lb/ft2')} of {s(BEARING_PSF[t.soil], 'lb/ft2')} that "
            f"{t.soil.value} bears (IBC 2012, table 1806.2; local code and a soils engineer win)"
        )
    return texts


def _stone_data(t: Takeoff) -> dict[str, Any]:
    pad = t.design.footing
    return {
        "boulders": [
            {
                "boulder": way.boulder.name,
                "weight_lb": way.boulder.weight_lb,
                "radius_ft": way.boulder.radius_ft,
                "by": way.by,
                "machine_lb": way.machine_lb,
            }
            for way in _ways(t)
        ],
        "class_limit_in": {name: class_limit_in(t.design, t.access, name) for name in t.rock.class_ton},
        "footing_psf": pressure_psf(pad, t.rock.falls_ton) if pad else None,
        "bearing_psf": BEARING_PSF[t.soil] if pad else None,
    }


def _life(t: Takeoff, units: str) -> list[str]:
    """Fish and their filter, the bog by both claims, each plant on its shelf."""

    def s(value: float, unit: str) -> str:
        return in_figures(value, unit, units)

    texts, load, bog = [], t.load, t.bog
    if load is not None and load.inches:
        texts.append(
            f"fish make {s(load.inches, 'in')} of {s(load.holds_in, 'in')} that surface and gallons hold; "
            f"grown {s(load.weight_lb, 'lb')}, feed {s(load.feed_lb_day, 'lb')} a day, ammonia nitrogen "
            f"{load.ammonia_g_day:.1f} g a day: {s(load.media_ft2, 'ft2')} of filter surface take it away. "
            "Only after the water is tested"
        )
    if bog is not None:
        texts.append(
            f"bog: turnover asks for {s(bog.by_turnover_ft2, 'ft2')}, feed for {s(bog.by_feed_ft2, 'ft2')}; "
            f"{s(bog.area_ft2, 'ft2')} built, {s(bog.gravel_cy, 'cy')} of gravel"
        )
    levels = levels_of(t.design)
    spots = [(plant, place_of(plant, levels)) for plant in t.design.plants]
    placed = [
        f"{plant.count} {plant.name} on {spot[1]} with {s(spot[0], 'in')} over the crown"
        for plant, found in spots
        if found and (spot := (found[1], found[0]))
    ]
    return [*texts, *([f"planting: {'; '.join(placed)}"] if placed else [])]


def _life_data(t: Takeoff) -> dict[str, Any]:
    load, bog = t.load, t.bog
    return {
        "fish_in": load.inches if load else None,
        "holds_in": load.holds_in if load else None,
        "feed_lb_day": load.feed_lb_day if load else None,
        "media_ft2": load.media_ft2 if load else None,
        "bog_by_turnover_ft2": bog.by_turnover_ft2 if bog else None,
        "bog_by_feed_ft2": bog.by_feed_ft2 if bog else None,
        "bog_ft2": bog.area_ft2 if bog else None,
    }


def _winter(t: Takeoff) -> list[str]:
    """Frost, and the visits that it asks for."""
    winter = t.design.winter
    if winter is None:
        return []
    taken = [words for words, wish in (("closing", winter.closing), ("opening", winter.opening)) if wish]
    visits = f"visits: {' and '.join(taken)}, their hours stand in the estimate" if taken else "no visits"
    span = f"until {winter.words(winter.last)} and from {winter.words(winter.first)}"
    return [f"frost may come {span}: foam, sealant, first fill and planting keep between; {visits}"]
