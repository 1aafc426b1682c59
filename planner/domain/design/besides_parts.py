"""The tables of a design file that ask for further work: closing the site, and what follows it.

In: a `Table`, None when the file leaves it out. Out: that part of a `Design`, None without the table; faults
stay with the table.
"""

from __future__ import annotations

import math
from itertools import pairwise

from planner.domain.design.besides import (
    DECHLOR_LB,
    LIFT_SHARE,
    RUNOFF_C,
    SEED_LB_1000_FT2,
    Boulder,
    Closing,
    Evaporation,
    Footing,
    GroundWater,
    Placing,
    Power,
    Pump,
    Storm,
    TownWater,
    at_speed,
    block_lb,
)
from planner.domain.design.measures import Table

_YES = ("yes", "no")


def closing_of(t: Table | None) -> Closing | None:
    """The way in and the end of the job."""
    if t is None:
        return None
    usual = Closing()
    made = Closing(
        mats_ft=t.have("mats", "ft", 0.0, 2000.0, 0.0),
        fence_ft=t.have("fence", "ft", 0.0, 5000.0, 0.0),
        toilets=t.whole("toilets", 0, 0, 10),
        seed_ft2=t.have("lawn_seed", "ft2", 0.0, 100_000.0, 0.0),
        grass=t.word("grass", tuple(SEED_LB_1000_FT2), usual.grass),
        sod_ft2=t.have("lawn_sod", "ft2", 0.0, 100_000.0, 0.0),
        topsoil_in=t.have("topsoil", "in", 0.0, 24.0, usual.topsoil_in),
        mulch_ft2=t.have("mulched_beds", "ft2", 0.0, 100_000.0, 0.0),
        mulch_in=t.have("mulch", "in", 0.5, 8.0, usual.mulch_in),
        paving_ft2=t.have("paving", "ft2", 0.0, 100_000.0, 0.0),
        rubbish_cy=t.have("rubbish", "cy", 0.0, 1000.0, 0.0),
        load_out=t.word("load_out", _YES, "yes") == "yes",
        last_walk=t.word("last_walk", _YES, "yes") == "yes",
    )
    t.close()
    return made


def pumps_of(tables: list[Table]) -> tuple[Pump, ...]:
    """The user's table of pumps. A curve that does not fall is refused with the two points that rise."""
    return tuple(_pump(t, n) for n, t in enumerate(tables, start=1))


def _pump(t: Table, number: int) -> Pump:
    name = t.text("name", f"pump {number}")
    points = sorted(t.pairs("curve", "gpm", "ft", 0.0))
    speed = t.number("speed_percent", 100.0, 10.0, 100.0) / 100.0
    watts = t.number("watts", 0.0, 0.0, 20_000.0)
    if len(points) < 2 and t.data:
        t.fault(
            "curve_gpm_ft", len(points), "give two points or more from the pump's label: [[0, 18], [60, 0]]"
        )
    for (q1, h1), (q2, h2) in pairwise(points):
        if h2 >= h1 or q2 == q1:
            told = f"{name}: {h1:g} at {q1:g}, {h2:g} at {q2:g}"
            t.fault("curve", told, "a pump gives less head at more flow: read those two points again")
            break
    if watts <= 0.0 and t.data:
        t.fault("watts", watts, "write what the pump draws by its label")
    curve, watts = at_speed(tuple(points), watts, speed)
    made = Pump(name, curve, watts, t.number("price_usd", 0.0, 0.0, 1e6), speed)
    t.close()
    return made


def power_of(t: Table | None) -> Power | None:
    """Power at the site."""
    if t is None:
        return None
    usual = Power()
    awg = t.whole("wire_awg", 0, 0, 14)
    if awg not in (0, 4, 6, 8, 10, 12, 14):
        t.fault("wire_awg", awg, "use 14, 12, 10, 8, 6 or 4; 0 lets the program choose")
        awg = 0
    made = Power(
        cable_ft=t.have("cable", "ft", 0.0, 5000.0, 0.0),
        trench_ft=t.have("trench", "ft", 0.0, 5000.0, 0.0),
        volts=t.number("volts", usual.volts, 12.0, 480.0),
        power_factor=t.number("power_factor", usual.power_factor, 0.3, 1.0),
        wire_awg=awg,
        hours_day=t.number("hours_per_day", usual.hours_day, 0.0, 24.0),
        tariff_usd_kwh=t.number("tariff_usd_kwh", 0.0, 0.0, 10.0),
        electrician=t.word("electrician", _YES, "yes") == "yes",
    )
    t.close()
    return made


def ground_water_of(t: Table | None) -> GroundWater | None:
    """Water in the open hole."""
    if t is None:
        return None
    usual = GroundWater()
    made = GroundWater(
        days=t.whole("days", 0, 0, 120),
        inflow_gpm=t.have("inflow", "gpm", 0.0, 2000.0, 0.0),
        pump_gpm=t.have("pump", "gpm", 1.0, 5000.0, usual.pump_gpm),
        sumps=t.whole("sumps", usual.sumps, 1, 10),
        to=t.text("to", ""),
    )
    if made.inflow_gpm >= made.pump_gpm:
        told = f"{made.inflow_gpm:g} gpm into the hole, {made.pump_gpm:g} gpm out of it"
        t.fault("pump", told, "take a pump that gives more than comes in")
    t.close()
    return made


def storm_of(t: Table | None) -> Storm | None:
    """The design storm. A storm without a place, or a place without its rain, is refused."""
    if t is None:
        return None
    place = t.text("place", "")
    if not place and t.data:
        t.fault("place", "missing", "name the town or gauge: a design storm belongs to a place")
    usual = Storm("", 0.0)
    made = Storm(
        place=place,
        intensity_in_h=t.need("intensity", "in_h", 0.1, 30.0),
        source=t.text("source", ""),
        years=t.whole("years", usual.years, 1, 500),
        runoff_ft2=t.have("runoff", "ft2", 0.0, 500_000.0, 0.0),
        ground=t.word("ground", tuple(RUNOFF_C), usual.ground),
        way=t.word("way", ("pipe", "swale"), usual.way),
        length_ft=t.have("length", "ft", 1.0, 1000.0, usual.length_ft),
        fall=t.number("fall_percent", 100.0 * usual.fall, 0.1, 50.0) / 100.0,
    )
    t.close()
    return made


def town_water_of(t: Table | None) -> TownWater | None:
    """Treated water and the first fill."""
    if t is None:
        return None
    made = TownWater(
        chlorine_mg_l=t.number("chlorine_mg_l", 0.0, 0.0, 10.0),
        agent=t.word("agent", tuple(DECHLOR_LB), "sodium thiosulfate"),
        drain_down=t.number("drain_down_percent", 0.0, 0.0, 100.0) / 100.0,
    )
    if not t.has("chlorine_mg_l") and t.data:
        t.fault("chlorine_mg_l", "missing", "test the tap, or ask the water company for its total residual")
    t.close()
    return made


def evaporation_of(t: Table | None) -> Evaporation | None:
    """What the sun takes, and the valve that makes up for it."""
    if t is None:
        return None
    made = Evaporation(
        pan_in_month=t.have("pan_month", "in", 0.0, 40.0, 0.0),
        coefficient=t.number("pan_coefficient", 0.70, 0.3, 1.2),
        auto_fill=t.word("auto_fill", _YES, "no") == "yes",
        line_ft=t.have("line", "ft", 0.0, 1000.0, 0.0),
    )
    t.close()
    return made


def placing_of(t: Table | None) -> Placing | None:
    """How stones get to their place. A lift table that rises with the radius is refused."""
    if t is None:
        return None
    usual = Placing()
    table = tuple(sorted(t.pairs("table", "ft", "lb", 0.0)))
    for (r1, w1), (r2, w2) in pairwise(table):
        if w2 > w1:
            told = f"{w1:g} at {r1:g}, {w2:g} at {r2:g}"
            t.fault("table", told, "a machine lifts less farther out: read the plate again")
            break
    made = Placing(
        table=table,
        basis=t.word("basis", tuple(LIFT_SHARE), usual.basis),
        rigging_lb=t.have("rigging", "lb", 0.0, 5000.0, usual.rigging_lb),
        stand=t.point("stand"),
        wall_reach_ft=t.have("wall_reach", "ft", 0.0, 100.0, 0.0),
        dolly_lb=t.have("dolly", "lb", 0.0, 5000.0, usual.dolly_lb),
    )
    t.close()
    return made


def boulders_of(tables: list[Table], placing: Placing | None, density_lb_ft3: float) -> tuple[Boulder, ...]:
    """The named boulders; one without a weight is reckoned as a block of its sides with rounded edges."""
    return tuple(_boulder(t, n, placing, density_lb_ft3) for n, t in enumerate(tables, start=1))


def _boulder(t: Table, number: int, placing: Placing | None, density_lb_ft3: float) -> Boulder:
    name, at = t.text("name", f"boulder {number}"), t.point("at")
    weight = t.have("weight", "lb", 0.0, 60_000.0, 0.0)
    sides = t.row("sides", "in", 2.0, 240.0)
    if not weight and len(sides) != 3 and t.data:
        t.fault("weight_lb", "missing", "weigh it, or give its three sides, like sides_in = [36, 24, 20]")
    if not weight and len(sides) == 3:
        weight = block_lb(sides, density_lb_ft3)
    radius = t.have("radius", "ft", 0.0, 100.0, 0.0)
    if not radius and at and placing and placing.stand:
        radius = math.dist(at, placing.stand)
    t.close()
    return Boulder(name, weight, radius, at)


def footing_of(t: Table | None) -> Footing | None:
    """The pad under the falls."""
    if t is None:
        return None
    made = Footing(
        length_ft=t.need("length", "ft", 0.5, 100.0),
        width_ft=t.need("width", "ft", 0.5, 100.0),
        thick_in=t.have("thick", "in", 2.0, 48.0, 6.0),
        extra_lb=t.have("extra", "lb", 0.0, 200_000.0, 0.0),
        on_fill=t.word("on_fill", _YES, "no") == "yes",
    )
    t.close()
    return made
