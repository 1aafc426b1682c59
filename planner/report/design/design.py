"""Design pages for the terminal: quantities, what would change, materials, the pump line, a sketch.

In: a take-off and the firm's units. Out: lines on a console.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from rich.table import Table
from rich.text import Text

from planner.domain.design.hydraulics import C_PLASTIC, COLD_F, VELOCITY_LIMIT_FT_S, PumpLine, head_curve
from planner.domain.design.levels import levels_of
from planner.domain.design.parting import Parted, parting_words
from planner.domain.firm.fields import named
from planner.domain.firm.jobs import ITEMS
from planner.domain.firm.phases import ORDER
from planner.domain.quantities.cautions import Caution, cautions, clock
from planner.domain.quantities.ground import sketch
from planner.domain.quantities.material import Material
from planner.domain.quantities.materials import total_usd
from planner.domain.quantities.orders import LeadTimes, Order, amount_words, by_supplier, order_words
from planner.domain.quantities.takeoff import Change, Takeoff
from planner.domain.wording import in_decimals, shown
from planner.domain.wording import in_figures as seen
from planner.report.design.further import further_notes, power_notes, pump_rows
from planner.report.design.plan_marks import marked_points
from planner.report.design.setting_view import tape_words
from planner.report.terminal import say, show_table

if TYPE_CHECKING:
    from rich.console import Console


def table(*heads: str, right: Sequence[str] = ()) -> Table:
    """A plain table; the columns named in `right` are set right."""
    made = Table(box=None, pad_edge=False, padding=(0, 2, 0, 0))
    for head in heads:
        made.add_column(Text(head), justify="right" if head in right else "left", overflow="fold")
    return made


def parted_line(console: Console, parted: str) -> None:
    """What job and kept design tell differently, where they do."""
    if parted:
        say(console, f"Take care: {parted}", hang=2, style="bold")


def takeoff_page(console: Console, takeoff: Takeoff, units: str, parted: str = "") -> None:
    """The design in full: sketch, quantities by phase, how they came about, cautions."""
    design = takeoff.design
    say(console, design.name, style="bold")
    parted_line(console, parted)
    say(console, _measures(takeoff, units))
    for row in sketch(takeoff, min(console.width - 2, 72)):
        console.print(Text("  " + row), no_wrap=True, crop=False)
    if not marked_points(takeoff.design.outline):
        say(
            console,
            "Setting out: "
            + "; ".join(row.rstrip(".;:") for row in tape_words(takeoff.design.outline, units)),
            hang=2,
        )
    console.print()
    quantities = table("phase", "quantity", "", right=["quantity"])
    for phase in ORDER:
        lines = [line for line in takeoff.lines if line.phase is phase]
        for number_, line in enumerate(lines):
            first = Text(phase.words if number_ == 0 else "")
            amount = seen(line.quantity, line.unit, units)
            quantities.add_row(first, Text(amount), Text(ITEMS[line.item].words))
    show_table(console, quantities)
    console.print()
    for text in notes(takeoff, units):
        say(console, f"- {text}", hang=2)
    console.print()
    cautions_page(console, cautions(takeoff, units))


def _measures(takeoff: Takeoff, units: str) -> str:
    design = takeoff.design
    outline = design.outline
    return (
        f"{outline.how}; {seen(outline.area_ft2, 'ft2', units)} inside a rim of "
        f"{seen(outline.rim_ft, 'ft', units)}; {shown(design.depth_in, 'in', units)} deep in "
        f"{len(design.steps)} {'step' if len(design.steps) == 1 else 'steps'}; water "
        f"{shown(design.water_line_in, 'in', units)} below the rim; {takeoff.soil.value}; "
        f"access {takeoff.access.value}"
    )


def notes(takeoff: Takeoff, units: str) -> list[str]:
    """How the main figures came about, in sentences that can be checked."""
    earth, sheet, water, rock = takeoff.earth, takeoff.sheet, takeoff.water, takeoff.rock

    def s(value: float, unit: str) -> str:
        return seen(value, unit, units)

    by_layer = ", ".join(s(layer, "cy") for layer in earth.layer_cy)
    texts = [
        "levels: " + "; ".join(levels_of(takeoff.design).told(units)),
        f"dig by layer, rim down: {by_layer}; pond {s(earth.pond_cy, 'cy')} bank",
    ]
    if earth.balance.shortage_loose_cy > 0:
        short = s(earth.balance.shortage_loose_cy, "cy")
        texts.append(f"the hole gives too little for the berm: bring {short} loose, {earth.loads} truckloads")
    else:
        loads = f"{earth.loads} {'truckload' if earth.loads == 1 else 'truckloads'}"
        over = s(earth.balance.surplus_loose_cy, "cy")
        texts.append(f"haul off {over} loose after berm and backfill: {loads} of {s(_truck(takeoff), 'cy')}")
    if earth.box_cy > 0:
        texts.append(f"box seats: {s(earth.box_cy, 'cy')} dug, {s(earth.backfill_cy, 'cy')} put back")
    cut = sheet.pond_cut
    pieces = "one piece" if cut.panels == 1 else f"{cut.panels} pieces, {s(cut.seams_ft, 'ft')} of seam"
    texts.append(
        f"liner {s(sheet.pond.length_ft, 'ft')} x {s(sheet.pond.width_ft, 'ft')}, cut {s(cut.cut_ft, 'ft')} "
        f"off a {s(cut.roll_ft, 'ft')} roll, {pieces}, about {s(sheet.weight_lb, 'lb')}"
    )
    if sheet.stream:
        size = f"{s(sheet.stream.length_ft, 'ft')} x {s(sheet.stream.width_ft, 'ft')}"
        texts.append(f"stream liner {size}, lapped on the pond's sheet (counted as seam)")
    faces = ", ".join(s(course.face_ft2, "ft2") for course in rock.courses)
    if faces:
        texts.append(
            f"wall faces, rim down: {faces}; edge stone {s(rock.edge_ton, 'ton')} counted with the small"
        )
    filled = water.filled
    texts.append(
        f"water {s(water.net_gal, 'gal')} net of {s(water.displaced_gal, 'gal')} pushed out by stone; fill "
        f"{s(water.fill_gal, 'gal')} with top-up, {filled.hours:.1f} h at {s(filled.mean_gpm, 'gpm')} from "
        f"{clock(takeoff.design.filling.start_h)} to {clock(filled.end_h)}"
    )
    if water.pumping:
        texts.append(_pump_words(takeoff, units))
    texts += further_notes(takeoff, units)
    if takeoff.layout.assumed:
        texts.append("assumed, not measured: " + "; ".join(takeoff.layout.assumed))
    return texts


def _truck(takeoff: Takeoff) -> float:
    return takeoff.design.site.truck_cy


def _pump_words(takeoff: Takeoff, units: str) -> str:
    pump = takeoff.water.pumping
    if pump is None:
        return "no pump: nothing asks for flow"
    by = "spillway" if pump.spillway_gpm >= pump.turnover_gpm else "turnover"
    fast = "" if pump.velocity_ft_s <= VELOCITY_LIMIT_FT_S * 1.001 else ": too fast, take a larger line"
    speed = in_decimals(round(pump.velocity_ft_s, 1), "ft/s", units)
    head = in_decimals(pump.head_ft, "ft", units)
    several = f"{pump.lines} equal lines, each " if pump.lines > 1 else ""
    return (
        f"pump {seen(pump.duty_gpm, 'gpm', units)} (by {by}) at {head} of head: "
        f"{several}{pump.line.nominal_in:g} in line, {speed}{fast}"
    )


def cautions_page(console: Console, rows: Sequence[Caution]) -> None:
    """The cautions, each with its source."""
    say(console, "Cautions (local code, the one-call center and a licensed trade always win)", style="bold")
    for row in rows:
        say(console, f"- {row.phase.words}: {row.text}  ({row.source})", hang=2)


def changes_page(
    console: Console, code: str, changes: Sequence[Change], facts: Sequence[Any], units: str
) -> None:
    """What a take-off changes in a job, and which entered values stay."""
    if not changes and not facts:
        say(console, f"{code}: nothing changes")
        return
    made = table("item", "before", "design says", "after", "", right=["before", "design says", "after"])
    for change in changes:
        unit = ITEMS[change.item].unit
        cells = [seen(value, unit, units) for value in (change.before, change.computed, change.after)]
        made.add_row(
            Text(named(change.item, unit, units)),
            *(Text(cell) for cell in cells),
            Text(_remark(change, units)),
        )
    for fact in facts:
        cells = [_fact(fact.name, value, units) for value in (fact.before, fact.design, fact.after)]
        remark = "entered, stays" if fact.kept else ""
        made.add_row(Text(fact.name.removesuffix("_in")), *(Text(cell) for cell in cells), Text(remark))
    show_table(console, made)
    kept = [named(change.item, ITEMS[change.item].unit, units) for change in changes if change.kept]
    kept += [fact.name.removesuffix("_in") for fact in facts if fact.kept]
    if kept:
        name = kept[0]
        say(console, f"To take the design's value for an entered item: --take-computed {name}")


def saved_words(code: str, design: str, changed: int) -> str:
    """What a take-off came to. changed: how many quantities and facts of the job became others."""
    if changed == 0:
        return f"{code}: design {design} kept; no quantity of the job changed"
    return f"{code}: quantities saved from {design}"


def after_words(code: str, parted: Sequence[Parted], changed: int, planned: int, units: str) -> list[str]:
    """What no longer agrees after a take-off: entered figures that stay, and the hours of the plan."""
    told = [parting_words(code, parted, units)] if parted else []
    if changed and planned:
        told.append(f"{code}: plan {planned} still has the hours of before: planner replan")
    return told


def _remark(change: Change, units: str) -> str:
    """Why the design's value is not taken; "" when it is."""
    if change.kept:
        return "entered, stays"
    if change.within:
        names = ", ".join(named(item, ITEMS[item].unit, units) for item in change.within)
        return f"not added: entered in {names}"
    return ""


def _fact(name: str, value: object, units: str) -> str:
    if name == "depth_in" and isinstance(value, int | float):
        return seen(float(value), "in", units)
    return {True: "yes", False: "no"}[value] if isinstance(value, bool) else str(value)


def materials_page(
    console: Console, name: str, rows: Sequence[Material], units: str, leads: LeadTimes, parted: str = ""
) -> None:
    """What to order, phase by phase. parted: what the job tells otherwise, in one line."""
    say(console, name, style="bold")
    parted_line(console, parted)
    priced = any(row.price_usd is not None for row in rows)
    heads = ["phase", "material", "need", "order", "as", "on site", *(["USD"] if priced else [])]
    made = table(*heads, right=["need", "order", "USD"])
    last = None
    for row in rows:
        spare = leads.spare_days(row.key)
        days = f"{spare} d before" if spare else "that morning"
        cells = [
            row.phase.words if row.phase is not last else "",
            row.words,
            seen(row.needed, row.unit, units),
            amount_words(row, units),
            row.order_size,
            days,
        ]
        cost = row.cost_usd(units)
        cells += [f"{cost:,.2f}" if cost is not None else "-"] if priced else []
        made.add_row(*(Text(cell) for cell in cells))
        last = row.phase
    show_table(console, made)
    if priced:
        total, without = total_usd(tuple(rows), units)
        left = f"; {without} rows have no price" if without else ""
        say(console, f"priced rows: {total:,.2f} USD{left}")
    say(console, "Orders hold waste and stock sizes; 'on site' counts working days before the phase begins.")


def supplier_rows(
    found: Sequence[Order], units: str
) -> list[tuple[str, list[tuple[Order, Material, str, str]], float | None]]:
    """Supplier -> each row with its order, its amount and price in words, and what the priced ones come to
    [US dollars], None when none has a price.
    """
    told = []
    for name, mine in by_supplier(found).items():
        rows = [(order, row) for order in mine for row in order.rows]
        costs = [row.cost_usd(units) for _, row in rows]
        priced = [usd for usd in costs if usd is not None]
        lines = [
            (order, row, order_words(row, units), f"{usd:,.2f}" if usd is not None else "-")
            for (order, row), usd in zip(rows, costs, strict=True)
        ]
        told.append((name, lines, sum(priced) if priced else None))
    return told


def pump_page(console: Console, takeoff: Takeoff, units: str) -> None:
    """The duty point and the head-flow curve of the line, to hold against a pump's published curve."""
    say(console, takeoff.design.name, style="bold")
    say(console, _pump_words(takeoff, units))
    pump = takeoff.water.pumping
    if pump is None:
        return
    line, each = pump.line, pump.duty_gpm / pump.lines
    claims = (
        f"spillway asks for {seen(pump.spillway_gpm, 'gpm', units)}, turnover for "
        f"{seen(pump.turnover_gpm, 'gpm', units)}; the larger counts"
    )
    say(console, claims)
    if pump.lip_in:
        say(
            console, f"over a sharp lip that is {seen(pump.lip_in, 'in', units)} of water; a rock lip differs"
        )
    length, run, lift = (seen(ft, "ft", units) for ft in (line.length_ft, line.run_ft, line.lift_ft))
    say(console, f"line {length}, with its fittings as good as {run} of straight pipe; lift {lift}")
    say(console, _friction_words(line, each, units))
    console.print()
    made = table("flow", "head", "", right=["flow", "head"])
    curve = head_curve(line, each)
    top = max(head for _, head in curve) or 1.0
    for flow, head in curve:
        mark = " < duty" if abs(flow - each) < 1e-6 else ""
        bar = "#" * round(30 * head / top) + mark
        made.add_row(Text(seen(flow, "gpm", units)), Text(in_decimals(head, "ft", units)), Text(bar))
    show_table(console, made)
    for text in power_notes(takeoff, units):
        say(console, text)
    if takeoff.design.pumps:
        show_table(console, _pumps(takeoff, units))
    if takeoff.design.plumbing.pump_curve:
        say(console, _meeting(takeoff, each, units))


def _friction_words(line: PumpLine, each: float, units: str) -> str:
    """What the friction stands on: both reckonings, their basis, and which one the duty carries."""
    common, cold = (in_decimals(ft, "ft", units) for ft in line.frictions_ft(each))
    least, average = (seen(inches, "in", units) for inches in (line.inside_in, line.average_in))
    water = f"{COLD_F:g} F" if units == "us" else f"{(COLD_F - 32.0) / 1.8:g} C"
    return (
        f"friction: Hazen-Williams, C {C_PLASTIC:g}, bore {least}: {common}; Darcy-Weisbach, water of "
        f"{water}, bore {average}: {cold}; the head carries the larger"
    )


def _pumps(takeoff: Takeoff, units: str) -> Table:
    """Every pump of the table where its curve meets the line, the chosen one marked."""
    made = table("pump", "flow", "head", "watts", "", right=["flow", "head", "watts"])
    for row in pump_rows(takeoff, units):
        made.add_row(*(Text(cell) for cell in row))
    return made


def _meeting(takeoff: Takeoff, each: float, units: str) -> str:
    pump = takeoff.water.pumping
    if pump is None or pump.meets is None:
        return "the pump of the design never meets this line: too weak, or its curve ends before"
    flow, head = pump.meets
    enough = "enough" if flow >= each * 0.98 else f"short of {seen(each, 'gpm', units)}"
    point = f"{seen(flow, 'gpm', units)} and {in_decimals(head, 'ft', units)}"
    return f"the pump of the design would run at {point}: {enough}"
