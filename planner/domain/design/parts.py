"""The lesser tables of a design file: boxes, pump line, site, stone, liner, filling, lifting, prices.

In: a `Table`, empty when the file leaves it out. Out: that part of a `Design`, its defaults filled in; faults
stay with the table. Stock sizes that nobody gave are round in the file's own units.
"""

from __future__ import annotations

import re

from planner.domain.design.design import PRICED, STONE_CLASSES, Box, Filling, Plumbing, Sheet, Site, Stone
from planner.domain.design.hydraulics import BORE_IN, FITTINGS
from planner.domain.design.measures import Table
from planner.domain.firm.jobs import Access, Soil
from planner.domain.safety.lifting import Grip, Lift, Spell
from planner.units import M3_PER_CY, M_PER_FT, METRIC, TONNE_PER_TON

#: what a metric merchant keeps, until the file says otherwise (defaults, to be calibrated)
_METRIC_SHEET = Sheet(
    stock_ft=tuple(m / M_PER_FT for m in (3.0, 4.0, 5.0, 6.0, 8.0, 10.0, 12.0)),
    cut_ft=0.5 / M_PER_FT,
    underlay_stock_ft=2.0 / M_PER_FT,
)


#: Less than this is no well [gpm].
LEAST_WELL_GPM = 0.01


def box_of(t: Table | None, usual: Box) -> Box | None:
    """A filter box; `usual` gives what the table leaves out. None without the table."""
    if t is None:
        return None
    made = Box(
        length_in=t.have("length", "in", 4.0, 120.0, usual.length_in),
        width_in=t.have("width", "in", 4.0, 120.0, usual.width_in),
        height_in=t.have("height", "in", 4.0, 120.0, usual.height_in),
        at=t.point("at"),
        dug_in=t.have("dug", "in", 0.0, 120.0, usual.dug_in),
        pad_in=t.have("pad", "in", 0.0, 24.0, usual.pad_in),
        room_in=t.have("room", "in", 0.0, 48.0, usual.room_in),
    )
    t.close()
    return made


def plumbing_of(t: Table) -> Plumbing:
    """The pump line."""
    usual, metric = Plumbing(), t.units == METRIC
    sizes = (0.0, *BORE_IN)
    size_in = t.number("size_in", 0.0, 0.0, 4.0)
    if size_in not in sizes:
        known = ", ".join(f"{size:g}" for size in BORE_IN)
        t.fault("size_in", size_in, f"use a nominal size: {known}; 0 lets the program choose")
        size_in = 0.0
    counts, own_ft = _fittings(t, usual)
    made = Plumbing(
        route_ft=t.measure("route", "ft", 1.0, 2000.0),
        route=t.pairs("points", "ft"),
        apart_ft=t.measure("apart", "ft", 1.0, 1000.0),
        fittings=counts,
        own_lengths_ft=own_ft,
        lift_ft=t.measure("lift", "ft", 0.0, 200.0),
        turnovers_h=t.number("turnovers_per_h", usual.turnovers_h, 0.0, 20.0),
        size_in=size_in,
        bore_in=t.have("bore", "in", 0.0, 12.0, 0.0),
        other_ft=t.have("other_head", "ft", 0.0, 100.0, 0.0),
        pump_curve=t.pairs("pump_curve", "gpm", "ft", 0.0),
        coil_ft=t.have("coil", "ft", 1.0, 1000.0, 25.0 / M_PER_FT if metric else usual.coil_ft),
    )
    t.close()
    return made


def _fittings(t: Table, usual: Plumbing) -> tuple[dict[str, int], dict[str, float]]:
    """Counts of fittings, and the firm's own equivalent lengths [ft]."""
    fittings, own = t.table("fittings"), t.table("fitting_lengths")
    own_ft: dict[str, float] = {}
    if own is not None:
        names = {re.sub(r"_(ft|in|m|cm|mm)$", "", key) for key in own.data}
        own_ft = {name: own.have(name, "ft", 0.0, 200.0, 0.0) for name in sorted(names)}
        own.close()
    counts = dict(usual.fittings)
    if fittings is not None:
        for name in set(fittings.data) - set(FITTINGS) - set(own_ft):
            known = ", ".join(FITTINGS)
            fittings.asked.add(name)
            fittings.fault(name, fittings.data[name], f"use {known}, or give [pump_line.fitting_lengths]")
        names = set(fittings.data) & (set(FITTINGS) | set(own_ft))
        counts = {name: fittings.whole(name, 0, 0, 500) for name in sorted(names)}
        fittings.close()
    return counts, own_ft


def site_of(t: Table) -> Site:
    """Ground and access."""
    usual = Site()
    soil = t.word("soil", ("", *(s.value for s in Soil)), "")
    access = t.word("access", ("", *(a.value for a in Access)), "")
    north_deg = t.number("north_deg", 90.0, -360.0, 720.0)
    house = [t.point("house_from"), t.point("house_to")]
    ends = tuple(end for end in house if end is not None)
    if len(ends) == 1:
        t.fault(
            "house_from" if house[0] else "house_to", list(ends[0]), "give both ends, house_from and house_to"
        )
    made = Site(
        soil=Soil(soil) if soil else None,
        access=Access(access) if access else None,
        bucket_in=t.have("bucket", "in", 0.0, 96.0, usual.bucket_in),
        trim_in=t.have("trim", "in", 0.0, 24.0, usual.trim_in),
        truck_cy=t.have("truck", "cy", 0.1, 60.0, 8.0 / M3_PER_CY if t.units == METRIC else usual.truck_cy),
        north_deg=north_deg if t.has("north_deg") else None,
        house=ends if len(ends) == 2 else (),
    )
    t.close()
    return made


def stone_of(t: Table) -> Stone:
    """Stone, gravel and edge."""
    usual = Stone()
    mix_table = t.table("mix_percent")
    mix = dict(usual.mix)
    if mix_table is not None:
        mix = {name: mix_table.number(name, 0.0, 0.0, 100.0) / 100.0 for name in STONE_CLASSES}
        if abs(sum(mix.values()) - 1.0) > 0.001:
            total = f"{100 * sum(mix.values()):g}"
            mix_table.fault("mix_percent", total, "let the three shares add up to 100")
        mix_table.close()
    made = Stone(
        density_lb_ft3=t.have("density", "lb_ft3", 90.0, 220.0, usual.density_lb_ft3),
        voids=t.number("voids_percent", 100.0 * usual.voids, 0.0, 80.0) / 100.0,
        mix=mix,
        gravel_in=t.have("gravel", "in", 0.0, 24.0, usual.gravel_in),
        gravel_lb_cy=t.have("gravel_weight", "lb_cy", 1500.0, 4500.0, usual.gravel_lb_cy),
        edge_in=t.have("edge", "in", 0.0, 60.0, usual.edge_in),
        edge_thick_in=t.have("edge_thick", "in", 0.0, 36.0, usual.edge_thick_in),
        step_ton=t.have("sold_by", "ton", 0.01, 30.0, 0.5 / TONNE_PER_TON if t.units == METRIC else 0.5),
    )
    t.close()
    return made


def sheet_of(t: Table) -> Sheet:
    """Liner and underlayment."""
    usual = _METRIC_SHEET if t.units == METRIC else Sheet()
    lap_in = t.have("lap", "in", 0.0, 24.0, usual.lap_in)
    made = Sheet(
        overlap_in=t.have("overlap", "in", 0.0, 96.0, usual.overlap_in),
        stock_ft=t.row("stock", "ft", 3.0, 200.0) or usual.stock_ft,
        lb_ft2=t.have("weight", "lb_ft2", 0.01, 3.0, usual.lb_ft2),
        cut_ft=t.have("cut_to", "ft", 0.01, 30.0, usual.cut_ft),
        lap_in=lap_in,
        underlay_layers=t.whole("underlayment_layers", usual.underlay_layers, 0, 3),
        underlay_stock_ft=t.have("underlayment_stock", "ft", 3.0, 200.0, usual.underlay_stock_ft),
    )
    t.close()
    return made


def filling_of(t: Table) -> Filling:
    """Water at the site."""
    usual = Filling()
    start = t.text("start", "13:00")
    clock = re.fullmatch(r"([01]?\d|2[0-3]):([0-5]\d)", start)
    if clock is None:
        t.fault("start", start, 'write the hour like start = "13:00"')
    well_gpm = t.have("well", "gpm", 0.0, 500.0, 0.0)
    if 0.0 < well_gpm < LEAST_WELL_GPM:
        t.fault(
            "well", well_gpm, f"write what the well yields, {LEAST_WELL_GPM} gpm or more, or 0 for town water"
        )
    made = Filling(
        hose_gpm=t.have("hose", "gpm", 0.1, 500.0, usual.hose_gpm),
        well_gpm=well_gpm,
        well_storage_gal=t.have("well_storage", "gal", 0.0, 1e6, 0.0),
        start_h=int(clock[1]) + int(clock[2]) / 60.0 if clock else usual.start_h,
        top_up=t.number("top_up_percent", 100.0 * usual.top_up, 0.0, 100.0) / 100.0,
    )
    t.close()
    return made


def lift_of(t: Table) -> Lift:
    """The reach at which stones are lifted."""
    usual = Lift()
    made = Lift(
        reach_in=t.have("reach", "in", 0.0, 60.0, usual.reach_in),
        height_in=t.have("from", "in", 0.0, 80.0, usual.height_in),
        travel_in=t.have("travel", "in", 0.0, 80.0, usual.travel_in),
        twist_deg=t.number("twist_deg", usual.twist_deg, 0.0, 180.0),
        lifts_min=t.number("lifts_per_min", usual.lifts_min, 0.0, 20.0),
        spell=Spell(t.word("spell", tuple(s.value for s in Spell), usual.spell.value)),
        grip=Grip(t.word("grip", tuple(g.value for g in Grip), usual.grip.value)),
    )
    t.close()
    return made


def prices_of(t: Table) -> dict[str, float]:
    """Material key -> US dollars per ordered unit."""
    prices = {key: t.number(key, 0.0, 0.0, 1e6) for key in PRICED if t.has(key)}
    t.asked.update(PRICED)
    t.close()
    return prices
