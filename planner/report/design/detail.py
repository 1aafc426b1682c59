"""The drawing's second sheet: the falls in section, setting out, levels from one benchmark, the pump line.

In: a take-off, the firm's units, the title's rows. Out: the SVG text of that sheet, and of a further one for
each sheetful of measured points that found no room.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise

from planner.domain.design.hydraulics import fittings_words
from planner.domain.design.levels import levels_of
from planner.domain.design.section import FallsCut, cut_falls
from planner.domain.quantities.takeoff import Takeoff
from planner.domain.wording import counted, taped
from planner.report.design import svg
from planner.report.design.falls_view import FallsView
from planner.report.design.frame import COLUMN, bar, foot, head, paper_of, sheet
from planner.report.design.scale import length_words, short_words, tape_words
from planner.report.design.setting_view import SettingView, fitting, table_columns

_FALLS_HIGH = 330.0
#: A box whose lip and seat differ from its height by more than this is told [in].
_BOX_OFF_IN = 3.0


def detail_sheets(takeoff: Takeoff, units: str, title: Sequence[str] = ()) -> list[str]:
    """The second sheet, and more where measured points need them."""
    _, (width, height) = paper_of(units)
    field = width - COLUMN - 45.0
    cut = cut_falls(takeoff.design)
    body: list[str] = []
    top = 40.0
    if cut is not None:
        falls = FallsView(takeoff, cut, (25.0, top, field, _FALLS_HIGH), units)
        body += [
            svg.text((25.0, 34.0), f"Falls in section, {falls.scale.words}", "t b"),
            *bar(falls.scale, (field - 140.0, 30.0), units),
            *falls.draw(),
            svg.line((15.0, top + _FALLS_HIGH), (field + 30.0, top + _FALLS_HIGH), "thin"),
        ]
        top += _FALLS_HIGH + 22.0
    setting = SettingView(takeoff, (25.0, top, field, height - top - 25.0), units)
    body += [
        svg.text((25.0, top - 6.0), f"Setting out, {setting.scale.words}", "t b"),
        *bar(setting.scale, (field - 140.0, top - 10.0), units),
        *setting.draw(),
        *_column(takeoff, cut, (field + 42.0, 40.0), units, title),
        *foot((field + 42.0, height - 15.0), units),
    ]
    return [sheet(takeoff, units, body), *_more(takeoff, setting, units, title)]


def _more(takeoff: Takeoff, setting: SettingView, units: str, title: Sequence[str]) -> list[str]:
    """A sheet for each sheetful of points that the second one could not take."""
    _, (width, height) = paper_of(units)
    field = width - COLUMN - 45.0
    made: list[str] = []
    rows = setting.left_over
    while rows and setting.table:
        room = (field, height - 90.0)
        here, rows = fitting(rows, room)
        words = f"sheet {3 + len(made)}: measured points"
        body = [
            svg.text((25.0, 34.0), "Setting out, further points", "t b"),
            *table_columns((setting.table[0], here), (25.0, 60.0), room),
            *head(takeoff, (field + 42.0, 40.0), title, words)[0],
            *foot((field + 42.0, height - 15.0), units),
        ]
        made.append(sheet(takeoff, units, body))
    return made


def _column(
    takeoff: Takeoff, cut: FallsCut | None, at: svg.Spot, units: str, title: Sequence[str]
) -> list[str]:
    """Title, every level from the benchmark, the pump line with its fittings, what does not agree."""
    x = at[0]
    made, y = head(takeoff, at, title, "sheet 2: setting out, levels")
    y += 14.0
    made.append(svg.text((x, y), "Levels, from the benchmark", "t b"))
    y += 15.0
    told = (
        "Benchmark: a stake off the work, its top level with the rim (0). Laser reading there + the figure."
    )
    for row in svg.wrapped(told, 50):
        made.append(svg.text((x, y), row, "t s"))
        y += 13.5
    columns = (x, x + 120.0, x + 195.0)
    y += 4.0
    made += [
        svg.text((c, y), words, "t s b")
        for c, words in zip(columns, ("", "from the rim", "from the water"), strict=True)
    ]
    levels = levels_of(takeoff.design)
    for level in levels.rows:
        y += 14.5
        figures = (levels.below_rim(level, units), levels.below_water(level, units))
        cells = (level.name, *(_signed(figure, units) for figure in figures))
        made += [svg.text((c, y), cell, "t s") for c, cell in zip(columns, cells, strict=True)]
    y += 16.0
    for row in ("down is +, above the benchmark is -", *_disagreeing(takeoff, cut, units)):
        for part in svg.wrapped(row, 50):
            made.append(svg.text((x, y), part, "t s"))
            y += 13.5
    pipe = pump_line_words(takeoff, units)
    if pipe:
        y += 12.0
        made.append(svg.text((x, y), "Pump line", "t b"))
        for words in pipe:
            for row in svg.wrapped(words, 50):
                y += 14.0
                made.append(svg.text((x, y), row, "t s"))
    return made


def _signed(amount: float, units: str) -> str:
    """A level from its line: down with a plus, up with a minus, as a laser reading changes."""
    if amount == 0.0:
        return "0"
    return f"{'+' if amount > 0 else '-'}{tape_words(abs(amount), units)}"


def _disagreeing(takeoff: Takeoff, cut: FallsCut | None, units: str) -> list[str]:
    """A waterfall box whose seat, height and lip do not fit each other."""
    design, levels = takeoff.design, levels_of(takeoff.design)
    if cut is None or cut.box is None or levels.box_seat is None or design.top_box is None:
        return []
    seat_in = 12.0 * cut.box[3]
    if abs(seat_in - levels.box_seat.below_rim_in) <= _BOX_OFF_IN:
        return []
    high = short_words(design.top_box.height_in, units)
    fits = _signed(taped(seat_in, units)[0], units)
    said = _signed(levels.below_rim(levels.box_seat, units), units)
    told = f"Ask before digging: a box {high} high with its lip at the top of the falls"
    return [f"{told} has its seat at {fits}, not {said}."]


def pump_line_words(takeoff: Takeoff, units: str) -> list[str]:
    """The pump line: size and length, its legs where the route was measured, fittings, joints, rise."""
    pump, layout = takeoff.water.pumping, takeoff.layout
    if pump is None:
        return []
    lines = f"{pump.lines} lines, each " if pump.lines > 1 else ""
    size = f'{lines}{pump.line.nominal_in:g}" nominal, {length_words(layout.pipe_ft, units)} to lay'
    fittings = fittings_words(pump.line.fittings)
    legs = [math.dist(a, b) for a, b in pairwise(layout.route)]
    design = takeoff.design
    start, end = "skimmer" if design.skimmer else "pump", "waterfall box" if design.top_box else "its return"
    rows = [f"{size}; {start} to {end}."]
    if design.plumbing.route and len(legs) <= 12:
        rows.append(f"Legs from the {start}: " + ", ".join(length_words(leg, units) for leg in legs) + ".")
    elif len(legs) >= 3:
        rows.append(
            f"Leaves the {start} straight {length_words(legs[0], units)}, follows the rim, ends straight "
            f"{length_words(legs[-1], units)} to {end}."
        )
    rows.append(f"Fittings{' of each line' if pump.lines > 1 else ''}: {fittings or 'none'}.")
    rises = f"rises {length_words(pump.line.lift_ft, units)} from the water line"
    rows.append(f"{counted(pump.connections, 'joint')} to make; {rises if pump.line.lift_ft else 'no rise'}.")
    return rows
