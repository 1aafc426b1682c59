"""The scale drawing: plan, one section, a table of steps, the main figures, on one sheet of paper as SVG.

In: a take-off and the firm's units. Out: the text of an SVG file, letter size landscape for US firms and A4
for metric ones. Print it at 100 % and a scale rule reads it; the bar shows whether it was.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from datetime import date

from planner.domain.dates import long_day
from planner.domain.design.design import revision_of
from planner.domain.design.levels import Level, levels_of
from planner.domain.design.outline import Outline
from planner.domain.design.section import cut_section
from planner.domain.design.survey import Corners, Pins, setting_out
from planner.domain.firm.jobs import Job
from planner.domain.quantities.cautions import SET_BACK_FT
from planner.domain.quantities.takeoff import Takeoff
from planner.domain.wording import number
from planner.report.design import svg
from planner.report.design.further import further_figures
from planner.report.design.plan_marks import marked_points
from planner.report.design.plan_view import PlanView
from planner.report.design.scale import Scale, depth_words, length_words, short_words
from planner.report.design.section_view import SectionView
from planner.units import M_PER_FT, METRIC, to_shown

STYLE = (
    "text{font-family:Helvetica,Arial,sans-serif;fill:#111}"
    ".t{font-size:12px}.s{font-size:10.5px}.b{font-weight:bold}.h{font-size:17px;font-weight:bold}"
    ".halo{paint-order:stroke;stroke:#fff;stroke-width:3px;stroke-linejoin:round}"
    "path,line,rect,circle{fill:none;stroke:#111;stroke-width:.8}"
    ".frame{stroke-width:1.5}.thin{stroke:#888;stroke-width:.5}"
    ".ground{stroke:none}.d0{fill:#e3eef6}.d1{fill:#c3d9e8}.d2{fill:#a2c3d9}.d3{fill:#82accb}.d4{fill:#6a97b9}"
    ".d5{fill:#5585a8}.floor{fill:#7fa8c6}.toe{stroke:#456;stroke-width:.5;stroke-dasharray:2 2}"
    ".rim{stroke-width:2.2}.edge{stroke-width:1}.setback{stroke:#a33;stroke-width:.7;stroke-dasharray:2 3}"
    ".berm{fill:#efe9dc;stroke:#7a6a45;stroke-dasharray:6 3}"
    ".stream{fill:#cfe3f0;stroke:#357}.lip{stroke-width:3}"
    ".box{fill:#fff;stroke-width:1.4}.pipe{stroke:#111;stroke-width:1.6;stroke-dasharray:9 3 2 3}"
    ".base{stroke:#555;stroke-dasharray:12 3 2 3;stroke-width:.6}.stake{fill:#111}"
    ".mark{fill:#fff;stroke-width:.8}.cut{stroke-width:2}.cutthin{stroke-width:.4;stroke-dasharray:14 4 2 4}"
    ".house{stroke-width:3.2;stroke:#555}.dim,.tick{stroke-width:.8}.ext,.level{stroke:#777;stroke-width:.4}.arrow{stroke-width:1.2}"
    ".arrowhead{fill:#111}.earth{fill:#efe9dc;stroke:none}.water{fill:#cfe3f0;stroke:none}"
    ".waterline{stroke:#357;stroke-width:1.2}.stone{fill:#d9d6d0;stroke:#555;stroke-width:.7}"
    ".liner{stroke-width:2.2;stroke-linejoin:round}.bar{fill:#111}"
)

LETTER, A4 = (("11in", "8.5in"), (1100.0, 850.0)), (("297mm", "210mm"), (1169.3, 826.8))
_COLUMN = 285.0


def title_of(job: Job | None, day: date, crew: str = "") -> tuple[str, ...]:
    """What the title block says of a job: code and client, address, for which crew and day, or when drawn."""
    if job is None:
        return ()
    whom = f"for crew {crew}, {long_day(day)}" if crew else f"drawn {long_day(day)}"
    return tuple(filter(None, (f"{job.code}, {job.client}", job.address, whom)))


def drawing_svg(takeoff: Takeoff, units: str, parted: str = "", title: Sequence[str] = ()) -> str:
    """The drawing as SVG text. parted: how the job and this design differ, in one line; title: `title_of`."""
    paper, (width, height) = A4 if units == METRIC else LETTER
    cut = cut_section(takeoff.layers, _along(takeoff.sheet.pond.direction_deg), 1.5)
    field = width - _COLUMN - 45.0
    plan = PlanView(takeoff, cut, (25.0, 40.0, field, height - 260.0), units)
    section = SectionView(takeoff, cut, (25.0, height - 188.0, field, 165.0), units)
    body = [
        svg.rect((0.0, 0.0), width, height, "paper"),
        svg.rect((15.0, 15.0), width - 30.0, height - 30.0, "frame"),
        svg.line((15.0, height - 215.0), (field + 30.0, height - 215.0), "thin"),
        svg.line((field + 30.0, 15.0), (field + 30.0, height - 15.0), "thin"),
        svg.text((25.0, 34.0), f"Plan, {plan.scale.words}", "t b"),
        svg.text((25.0, height - 199.0), f"Section X-X, {section.scale.words}", "t b"),
        *_bar(plan.scale, (field - 140.0, 30.0), units),
        *_bar(section.scale, (field - 140.0, height - 203.0), units),
        *plan.draw(),
        *section.draw(),
        *_column(takeoff, (field + 42.0, 40.0), units, parted, title),
        *_foot((field + 42.0, height - 15.0), units),
    ]
    return svg.page(
        paper, (width, height), STYLE + ".paper{fill:#fff;stroke:none}", takeoff.design.name, body
    )


def _along(direction_deg: float) -> float:
    """The section's direction: the liner's length, straight along the sheet of paper when that is near."""
    square = 90.0 * round(direction_deg / 90.0)
    return (square if abs(direction_deg - square) < 20.0 else direction_deg) % 180.0


def _bar(scale: Scale, at: svg.Spot, units: str) -> list[str]:
    """A scale bar of a round length, about an inch long."""
    unit_ft = 1.0 / M_PER_FT if units == METRIC else 1.0
    steps = (0.5, 1.0, 2.0, 5.0, 10.0, 20.0, 50.0, 100.0)
    length = next((s for s in steps if s * unit_ft * scale.per_ft >= 60.0), steps[-1])
    paper = length * unit_ft * scale.per_ft
    name = f"{length:g} {'m' if units == METRIC else 'ft'}"
    return [
        svg.rect(at, paper, 5.0, "box"),
        svg.rect(at, paper / 2.0, 5.0, "bar"),
        svg.text((at[0] + paper + 6.0, at[1] + 6.0), name, "t s"),
    ]


def _column(takeoff: Takeoff, at: svg.Spot, units: str, parted: str, title: Sequence[str]) -> list[str]:
    """Name, job and revision, how it was measured, the table of steps, the main figures."""
    x, y = at
    made = []
    for row in svg.wrapped(takeoff.design.name, 28, 3):
        made.append(svg.text((x, y), row, "h"))
        y += 20.0
    revision = f"revision {revision_of(takeoff.design)}"
    for row in [*(r for told in title for r in svg.wrapped(told, 46, 2)), revision]:
        made.append(svg.text((x, y), row, "t s b"))
        y += 14.0
    for row in svg.wrapped(takeoff.design.outline.how, 46, 3):
        made.append(svg.text((x, y), row, "t s"))
        y += 14.0
    for row in svg.wrapped(f"Take care: {parted}", 44, 8) if parted else ():
        made.append(svg.text((x, y), row, "t s b"))
        y += 14.0
    y += 14.0
    made.append(svg.text((x, y), "Steps, from the rim down", "t b"))
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
    legend = _legend(takeoff, (x, y))
    return [*made, *legend, *_setting_out(takeoff, (x, y + 30.0 + 7.5 * len(legend)), units)]


def _cells(takeoff: Takeoff, step_number: int, units: str) -> tuple[str, str, str, str]:
    layer = takeoff.layers[step_number - 1]
    step = layer.step
    shelf = "floor" if step_number == len(takeoff.layers) else short_words(step.shelf_in, units)
    if step.viewing_shelf_in is not None and step.viewing_shelf_in != step.shelf_in:
        wider = short_words(step.viewing_shelf_in, units)
        shelf = (
            f"{shelf.removesuffix(' mm')} ({wider.removesuffix(' mm')}*){' mm' if units == METRIC else ''}"
        )
    stone = short_words(step.stone_in, units) if step.stone_in else "none"
    levels = levels_of(takeoff.design)
    foot = Level("foot", 12.0 * layer.bottom_ft)
    both = depth_words(levels, foot, units)
    return (short_words(step.down_in, units), both, shelf, stone)


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
    levels = levels_of(takeoff.design)
    boxes = (levels.skimmer_pit, levels.skimmer_seat, levels.box_pit, levels.box_seat, levels.lip)
    texts += [f"{level.name.capitalize()}: {levels.words(level, units)}" for level in boxes if level]
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


def _setting_out(takeoff: Takeoff, at: svg.Spot, units: str) -> list[str]:
    """The measured points again, for setting out: from the ends of the base line, or as x and y."""
    x, y = at
    outline = takeoff.design.outline
    marks = marked_points(outline)
    if not marks:
        return _by_tape(outline, at, units)
    if len(marks) > 20:
        return []
    if outline.base:
        heads, (a, b) = ("point", "from A", "from B"), outline.base
        rows = [(math.dist(p, a), math.dist(p, b)) for p in marks]
    else:
        heads, rows = ("point", "x", "y"), list(marks)
    made = [svg.text((x, y), "Setting out", "t b")]
    half = (len(rows) + 1) // 2
    for number_, (one, two) in enumerate(rows):
        left = x + (0.0 if number_ < half else 138.0)
        row = y + 30.0 + 13.5 * (number_ % half)
        if number_ % half == 0:
            made += [svg.text((left + 40.0 * i, y + 16.0), h, "t s") for i, h in enumerate(heads)]
        cells = (f"{number_ + 1}", length_words(one, units), length_words(two, units))
        made += [
            svg.text((left + dx, row), cell, "t s") for dx, cell in zip((0.0, 24.0, 78.0), cells, strict=True)
        ]
    return made


def _by_tape(outline: Outline, at: svg.Spot, units: str) -> list[str]:
    """What two people need with tapes and paint, where the column has room for it."""
    x, y = at
    rows = tape_words(outline, units)
    if y + 15.0 * len(rows) > (A4 if units == METRIC else LETTER)[1][1] - 105.0:
        return [svg.text((x, y), "Setting out: planner design check prints it", "t s b")]
    made = [svg.text((x, y), "Setting out", "t b")]
    return made + [svg.text((x, y + 15.0 * n), row, "t s") for n, row in enumerate(rows, 1)]


def tape_words(outline: Outline, units: str) -> list[str]:
    """The numbers to set a rim out with, a line each."""

    def s(feet: float) -> str:
        return length_words(feet, units)

    found = setting_out(outline, 0.5 / M_PER_FT if units == METRIC else 1.0)
    if isinstance(found, Pins):
        return [
            f"Two pins on the long axis, {s(found.from_center_ft)} each side of center.",
            f"String from pin to pin {s(found.string_ft)} long; keep it tight, paint.",
        ]
    if isinstance(found, Corners):
        return [f"{s(found.length_ft)} by {s(found.width_ft)}; both diagonals {s(found.diagonal_ft)}."]
    heads = ["Base line under the plan, touching the rim;", "from its left end: near rim, far rim"]
    return heads + [f"{s(along)}: {s(near)}, {s(far)}" for along, near, far in found.rows]


def _foot(at: svg.Spot, units: str) -> list[str]:
    x, y = at
    back = length_words(SET_BACK_FT, units)
    rows = (
        f"Spoil, stone and machines {back} back from the edge.",
        "No dig before utilities are marked. Wiring: licensed electrician.",
        "A quantity drawing, not engineering: local code wins.",
        "Print at 100 %; check the scale bar.",
    )
    lines = [line for row in rows for line in svg.wrapped(row, 54)]
    return [svg.text((x, y + 14.0 * (i - len(lines))), row, "t s") for i, row in enumerate(lines)]
