"""The scale drawing: plan, one section, a table of steps, the main figures; then its further sheets.

In: a take-off and the firm's units. Out: the text of an SVG file for each sheet, letter size landscape for US
firms and A4 for metric ones. Print it at 100 % and a scale rule reads it; the bar shows whether it was.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

from planner.domain.design.levels import Level, levels_of
from planner.domain.design.section import cut_section
from planner.domain.quantities.takeoff import Takeoff
from planner.domain.wording import number
from planner.report.design import svg
from planner.report.design.detail import detail_sheets
from planner.report.design.frame import COLUMN, bar, foot, head, paper_of, sheet
from planner.report.design.further import further_figures
from planner.report.design.plan_view import PlanView
from planner.report.design.scale import depth_words, length_words, short_words
from planner.report.design.section_view import SectionView
from planner.units import METRIC, to_shown


def drawing_sheets(
    takeoff: Takeoff, units: str, parted: str = "", title: Sequence[str] = ()
) -> tuple[str, ...]:
    """Every sheet as SVG text: plan and section; setting out, levels, falls; further points.

    parted: how the job and this design differ, in one line; title: `title_of`.
    """
    return (drawing_svg(takeoff, units, parted, title), *detail_sheets(takeoff, units, title))


def drawing_svg(takeoff: Takeoff, units: str, parted: str = "", title: Sequence[str] = ()) -> str:
    """Its first sheet: the plan and a section."""
    _, (width, height) = paper_of(units)
    cut = cut_section(takeoff.layers, _along(takeoff.sheet.pond.direction_deg), 1.5)
    field = width - COLUMN - 45.0
    plan = PlanView(takeoff, cut, (25.0, 40.0, field, height - 260.0), units)
    section = SectionView(takeoff, cut, (25.0, height - 188.0, field, 165.0), units)
    body = [
        svg.line((15.0, height - 215.0), (field + 30.0, height - 215.0), "thin"),
        svg.text((25.0, 34.0), f"Plan, {plan.scale.words}", "t b"),
        svg.text((25.0, height - 199.0), f"Section X-X, {section.scale.words}", "t b"),
        *bar(plan.scale, (field - 140.0, 30.0), units),
        *bar(section.scale, (field - 140.0, height - 203.0), units),
        *plan.draw(),
        *section.draw(),
        *_column(takeoff, (field + 42.0, 40.0), units, parted, title),
        *foot((field + 42.0, height - 15.0), units),
    ]
    return sheet(takeoff, units, body)


def _along(direction_deg: float) -> float:
    """The section's direction: the liner's length, straight along the sheet of paper when that is near."""
    square = 90.0 * round(direction_deg / 90.0)
    return (square if abs(direction_deg - square) < 20.0 else direction_deg) % 180.0


def _column(takeoff: Takeoff, at: svg.Spot, units: str, parted: str, title: Sequence[str]) -> list[str]:
    """Name, job and revision, how it was measured, the table of steps, the main figures."""
    x = at[0]
    made, y = head(takeoff, at, title, "sheet 1: plan and section")
    for row in svg.wrapped(takeoff.design.outline.how, 46, 3):
        made.append(svg.text((x, y), row, "t s"))
        y += 14.0
    for row in svg.wrapped(f"Take care: {parted}", 44, 8) if parted else ():
        made.append(svg.text((x, y), row, "t s b"))
        y += 14.0
    y += 14.0
    made.append(svg.text((x, y), f"Steps, from the rim down{', mm' if units == METRIC else ''}", "t b"))
    heads = ("", "down", "below rim / water", "shelf", "stone")
    columns = (x + 6.0, x + 30.0, x + 68.0, x + 154.0, x + 236.0)
    y += 17.0
    made += [svg.text((c, y), head, "t s") for c, head in zip(columns, heads, strict=True)]
    for number_, layer in enumerate(takeoff.layers, start=1):
        y += 17.0
        made.append(svg.circle((x + 8.0, y - 4.0), 8.0, "mark"))
        made.append(svg.text((x + 8.0, y), str(number_), "t s b", anchor="middle"))
        made += [
            svg.text((c, y), cell, "t s")
            for c, cell in zip(columns[1:], _cells(takeoff, number_, units), strict=True)
        ]
        if layer.step.batter:
            y += 13.0
            made.append(svg.text((columns[1], y), f"wall runs in {layer.step.batter:g} for 1 down", "t s"))
    y += 30.0
    made.append(svg.text((x, y), "Quantities", "t b"))
    for words in figures(takeoff, units):
        for row in svg.wrapped(words, 52):
            y += 15.0
            made.append(svg.text((x, y), row, "t s"))
    y += 26.0
    return [*made, *_legend(takeoff, (x, y))]


def _cells(takeoff: Takeoff, step_number: int, units: str) -> tuple[str, str, str, str]:
    """Down, below rim and water, shelf, stone; in metric the unit stands over the table."""
    layer = takeoff.layers[step_number - 1]
    step = layer.step

    def short(inches: float) -> str:
        return short_words(inches, units).removesuffix(" mm")

    shelf = "floor" if step_number == len(takeoff.layers) else short(step.shelf_in)
    if step.viewing_shelf_in is not None and step.viewing_shelf_in != step.shelf_in:
        shelf = f"{shelf} ({short(step.viewing_shelf_in)}*)"
    levels = levels_of(takeoff.design)
    both = depth_words(levels, Level("foot", 12.0 * layer.bottom_ft), units).removesuffix(" mm")
    return (short(step.down_in), both, shelf, short(step.stone_in) if step.stone_in else "none")


def figures(takeoff: Takeoff, units: str) -> list[str]:
    """The main figures in a few lines."""

    def s(value: float, unit: str) -> str:
        amount, name = to_shown(value, unit, units)
        return f"{number(round(amount) if amount >= 100 else float(f'{amount:.3g}'))} {name}"

    earth, sheet, rock, water = takeoff.earth, takeoff.sheet, takeoff.rock, takeoff.water
    filled = water.filled
    size = " x ".join(length_words(side, units) for side in (sheet.pond.length_ft, sheet.pond.width_ft))
    texts = [
        f"Dig {s(earth.pond_cy, 'cy')} bank, {s(earth.hand_cy, 'cy')} by hand",
        _spoil(takeoff, s),
        f"Liner {size}, {s(sheet.weight_lb, 'lb')}",
        f"Boulders {s(sum(rock.class_ton.values()), 'ton')}, gravel {s(rock.gravel_ton, 'ton')}"
        + (f", falls {s(rock.falls_ton, 'ton')}" if rock.falls_ton else ""),
        f"Water {s(water.net_gal, 'gal')}, fill {filled.hours:.1f} h at {s(filled.mean_gpm, 'gpm')}",
    ]
    if water.pumping:
        texts.append(f"Pump {s(water.pumping.duty_gpm, 'gpm')} at {s(water.pumping.head_ft, 'ft')} of head")
    if any(step.viewing_shelf_in is not None for step in takeoff.design.steps):
        texts.append("* shelf at the viewing side")
    texts += further_figures(takeoff, units)
    if takeoff.layout.assumed:
        texts.append("Assumed: " + "; ".join(takeoff.layout.assumed))
    return texts


def _spoil(takeoff: Takeoff, s: Callable[[float, str], str]) -> str:
    balance = takeoff.earth.balance
    if balance.shortage_loose_cy > 0.0:
        return f"Bring {s(balance.shortage_loose_cy, 'cy')} of clean fill, loose"
    return f"Haul off {s(balance.surplus_loose_cy, 'cy')} loose"


def _legend(takeoff: Takeoff, at: svg.Spot) -> list[str]:
    x, y = at
    design = takeoff.design
    rows = (
        ("setback", "no spoil or stone inside this line", True),
        ("pipe", "pump line", takeoff.water.pumping is not None),
        ("toe", "foot of a sloped wall", any(step.batter for step in design.steps)),
        ("base", "base line, measured points", bool(design.outline.base)),
        ("berm", "foot of the berm", bool(design.falls and design.falls.berm)),
    )
    made = []
    for i, (class_, words) in enumerate((class_, words) for class_, words, there in rows if there):
        level = y + 15.0 * i
        made += [
            svg.line((x, level - 4.0), (x + 34.0, level - 4.0), class_),
            svg.text((x + 42.0, level), words, "t s"),
        ]
    return made
