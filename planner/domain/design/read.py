"""A design file's text as a `Design`: TOML with units in the keys, read whole before anything is refused.

In: the text. Out: a `Design`, or BadInputs with every fault of the file. The format is described in the
README; each table below is one table of the file.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Mapping
from dataclasses import replace

from planner.domain.design.besides_parts import (
    boulders_of,
    closing_of,
    evaporation_of,
    footing_of,
    ground_water_of,
    placing_of,
    power_of,
    pumps_of,
    storm_of,
    town_water_of,
)
from planner.domain.design.design import STONE_CLASSES, Berm, Box, Design, Falls, Stream
from planner.domain.design.levels import levels_of
from planner.domain.design.living_parts import bog_of, fish_of, plants_of, uv_of, winter_of
from planner.domain.design.measures import Table
from planner.domain.design.outline import Outline, corners, ellipse, kidney, rectangle
from planner.domain.design.parts import (
    box_of,
    filling_of,
    lift_of,
    plumbing_of,
    prices_of,
    sheet_of,
    site_of,
    stone_of,
)
from planner.domain.design.shelves import Step, Viewing
from planner.domain.design.survey import from_stations, from_tapes
from planner.errors import BadInput, BadInputs
from planner.units import M_PER_FT, METRIC, US

SHAPES = ("ellipse", "rectangle", "kidney", "corners", "stations", "taped")
SIDES = ("straight", "curved")


def read_design(text: str) -> Design:
    """The design that `text` describes.

    Raises BadInputs with every fault: wrong TOML, unknown or missing keys, mixed units, absurd sizes.

    >>> read_design('''
    ... name = "Test basin"
    ... [outline]
    ... shape = "ellipse"
    ... length_ft = 20
    ... width_ft = 14
    ... [[step]]
    ... down_in = 24
    ... ''').depth_in
    24.0
    """
    try:
        data = tomllib.loads(text)
    except tomllib.TOMLDecodeError as trouble:
        raise BadInput("design file", str(trouble), "fix the TOML there") from None
    except RecursionError:
        raise BadInput("design file", "too many brackets inside one another", "fix the TOML") from None
    return design_of(data)


def design_of(data: Mapping[str, object]) -> Design:
    """The design in a file's tables, as TOML gives them. Raises BadInputs with every fault."""
    faults: list[BadInput] = []
    design = design_in(Table(data, "", US, faults))
    if faults:
        raise BadInputs(faults)
    return design


def design_in(top: Table) -> Design:
    """The design in the file's top table; what is wrong with it stays in `top.faults`."""
    faults = top.faults
    top.units = top.word("units", (US, METRIC), US)
    name = top.text("name", "")
    if not name and not faults:
        top.fault("name", "missing", 'give the design a name, like name = "Marsh back garden"')
    outline = _outline(top.table("outline"), top)
    stone, placing = stone_of(top.part("stone")), placing_of(top.table("placing"))
    design = Design(
        name=name,
        outline=outline or ellipse(10.0, 10.0),
        steps=tuple(_step(t) for t in top.tables("step")),
        water_line_in=top.have("water_line", "in", 0.0, 60.0, 3.0),
        viewing=_viewing(top.table("viewing")),
        basins=top.whole("basins", 1, 1, 20),
        falls=_falls(top.table("waterfall"), top.table("stream"), top.table("berm"), top),
        skimmer=box_of(top.table("skimmer"), Box()),
        top_box=box_of(top.table("waterfall_box"), Box(dug_in=6.0)),
        plumbing=plumbing_of(top.part("pump_line")),
        site=site_of(top.part("site")),
        stone=stone,
        sheet=sheet_of(top.part("liner")),
        filling=filling_of(top.part("filling")),
        reach=lift_of(top.part("lifting")),
        closing=closing_of(top.table("closing")),
        pumps=pumps_of(top.tables("pump")),
        power=power_of(top.table("power")),
        ground_water=ground_water_of(top.table("ground_water")),
        storm=storm_of(top.table("storm")),
        town_water=town_water_of(top.table("town_water")),
        evaporation=evaporation_of(top.table("evaporation")),
        placing=placing,
        boulders=boulders_of(top.tables("boulder"), placing, stone.density_lb_ft3),
        footing=footing_of(top.table("footing")),
        fish=fish_of(top.table("fish")),
        bog=bog_of(top.table("bog")),
        plants=plants_of(top.tables("plant")),
        uv=uv_of(top.table("uv")),
        winter=winter_of(top.table("winter")),
        prices=prices_of(top.part("prices")),
        units=top.units,
    )
    if not design.steps and not top.has("step"):
        top.fault("step", "missing", "give at least one [[step]] down from the rim, with its down_in")
    _under_water(design, top)
    top.close()
    return design


def _under_water(design: Design, top: Table) -> None:
    """Refuse a shelf or floor that the water does not cover."""
    levels = levels_of(design)
    for level in (*levels.shelves, levels.floor) if design.steps else ():
        if level.below_rim_in <= design.water_line_in:
            deep = levels.words(level, top.units).split(",")[0]
            water = levels.words(levels.water_line, top.units)
            fix = f"the water line stands {water}: cut {level.name} deeper, or raise the water line"
            top.fault("step", f"{level.name} {deep}", fix)
            return


def _outline(t: Table | None, top: Table) -> Outline | None:
    """The outline, None after a fault."""
    if t is None:
        if not top.has("outline"):
            top.fault("outline", "missing", "add an [outline] table with its shape and measures")
        return None
    before = len(t.faults)
    shape = t.word("shape", SHAPES)
    try:
        made = _made(t, shape, before)
    except BadInput as fault:
        t.faults.append(BadInput(fault.field, fault.value, fault.fix, where=t.place))
        made = None
    t.close()
    if made is None or t.units == US:
        return made
    words = re.sub(r"[\d.]+(?= x )|[\d.]+(?= ft)", lambda m: f"{float(m[0]) * M_PER_FT:.2f}", made.how)
    return replace(made, how=words.replace(" ft", " m"))


def _made(t: Table, shape: str, before: int) -> Outline | None:
    """Read the measures of one shape; None when one of them is at fault."""
    if shape in ("ellipse", "rectangle", "kidney"):
        length, width = (t.need(key, "ft", 1.0, 1000.0) for key in ("length", "width"))
        radius = t.have("corner_radius", "ft", 0.0, 500.0, 0.0) if shape == "rectangle" else 0.0
        if len(t.faults) > before:
            return None
        if shape == "rectangle":
            return rectangle(length, width, radius)
        return ellipse(length, width) if shape == "ellipse" else kidney(length, width)
    if shape == "corners":
        points = t.pairs("points", "ft")
        return corners(points) if len(t.faults) == before else None
    if shape == "stations":
        spacing = t.need("spacing", "ft", 0.1, 200.0)
        left, right = t.row("left", "ft", 0.0, 1000.0), t.row("right", "ft", 0.0, 1000.0)
        widths = t.row("widths", "ft", 0.0, 1000.0)
        curved = t.word("sides", SIDES, "straight") == "curved"
        if widths and (left or right):
            t.fault("widths", "and left, right", "give widths alone, or left and right offsets")
        if len(t.faults) > before:
            return None
        half = tuple(width / 2.0 for width in widths)
        return from_stations(left or half, right or half, spacing, curved=curved)
    apart = t.need("stakes_apart", "ft", 0.5, 500.0)
    tapes = t.pairs("tapes", "ft")
    other = t.numbers("other_side")
    return from_tapes(apart, tapes, other) if len(t.faults) == before else None


def _step(t: Table) -> Step:
    shelf = t.have("ledge", "in", 0.0, 600.0, 0.0)
    step = Step(
        down_in=t.need("down", "in", 0.25, 240.0),
        shelf_in=shelf,
        viewing_shelf_in=t.measure("viewing_ledge", "in", 0.0, 600.0),
        batter=t.number("batter", 0.0, 0.0, 10.0),
        stone_in=t.have("stone_thick", "in", 0.0, 48.0, 12.0),
        course=t.word("stone", ("mix", *STONE_CLASSES), "mix"),
    )
    t.close()
    return step


def _viewing(t: Table | None) -> Viewing | None:
    if t is None:
        return None
    made = Viewing(t.number("direction_deg", 270.0, -360.0, 720.0), t.number("spread_deg", 90.0, 5.0, 180.0))
    t.close()
    return made


def _falls(t: Table | None, stream: Table | None, berm: Table | None, top: Table) -> Falls | None:
    if t is None:
        for name, part in (("stream", stream), ("berm", berm)):
            if part is not None:
                top.fault(name, "without [waterfall]", "add a [waterfall] with its drops and lip")
        return None
    drops = t.row("drops", "in", 0.5, 240.0)
    if not drops and not any(key.startswith("drops") for key in t.data):
        t.fault("drops_in", "missing", "list the drops from the top down, like drops_in = [14, 10]")
    made = Falls(
        drops_in=drops,
        spillway_in=t.need("lip", "in", 2.0, 600.0),
        cheek_ft=t.have("cheek", "ft", 0.0, 20.0, 2.0),
        stone_in=t.have("stone_thick", "in", 0.0, 48.0, 14.0),
        gph_per_in=t.have("lip_flow", "gph_in", 10.0, 1000.0, 125.0),
        stream=_stream(stream) if stream else None,
        berm=_berm(berm) if berm else None,
    )
    t.close()
    return made


def _stream(t: Table) -> Stream:
    made = Stream(
        length_ft=t.need("length", "ft", 0.5, 500.0),
        width_ft=t.need("width", "ft", 0.25, 100.0),
        depth_in=t.have("depth", "in", 0.0, 60.0, 4.0),
        drop_in=t.have("drop", "in", 0.0, 600.0, 0.0),
    )
    t.close()
    return made


def _berm(t: Table) -> Berm:
    made = Berm(
        length_ft=t.need("length", "ft", 0.5, 300.0),
        width_ft=t.need("width", "ft", 0.5, 100.0),
        height_in=t.need("height", "in", 1.0, 240.0),
        top_width_ft=t.measure("top_width", "ft", 0.0, 100.0),
    )
    if made.top_width_ft is not None and made.top_width_ft > made.width_ft:
        t.fault("top_width", "wider than the foot", "a berm is narrower at its top")
    t.close()
    return made
