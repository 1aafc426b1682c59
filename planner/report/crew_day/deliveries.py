"""Deliveries for the terminal, and as data."""

from __future__ import annotations

from itertools import groupby
from typing import TYPE_CHECKING, Any

from planner.domain.crew_day.deliveries import CAUTION, Delivery, drop_words, load_count, site_rules
from planner.domain.dates import long_day
from planner.domain.wording import in_figures
from planner.report.terminal import say
from planner.report.wording import one_line

if TYPE_CHECKING:
    from rich.console import Console

    from planner.domain.crew_day.deliveries import Listed


def deliveries_page(console: Console, seen: Listed) -> None:
    """By day and supplier."""
    if not seen.found:
        say(console, "No delivery is to come in these days.")
    for day, of_day in groupby(seen.found, key=lambda d: d.day):
        say(console, long_day(day), style="bold")
        for supplier, his in groupby(of_day, key=lambda d: (d.lead.supplier, d.lead.pick_up)):
            say(console, f"  {supplier_words(*supplier)}")
            for one in his:
                for text in delivery_lines(one, seen):
                    say(console, f"    {text}", hang=6)
    if seen.yard:
        say(console, "")
        say(console, "From the yard", style="bold")
        for text in yard_lines(seen):
            say(console, f"  {text}", hang=4)
    if seen.found:
        say(console, "")
        say(console, CAUTION)


def supplier_words(name: str, yard: str) -> str:
    """ "Hill Quarry, from 12 Quarry Road"; what to do where none is named."""
    if not name:
        return "supplier not named (see lead_times.toml in planner guide own-files)"
    return one_line(f"{name}, from {yard}" if yard else name)


def delivery_lines(one: Delivery, seen: Listed) -> list[str]:
    """What comes, each job's part with its place; then loads, who is there, how long it takes."""
    lines = [f"{'! late: ' if one.late else ''}{one.lead.words}, {load_words(one, seen.units)}"]
    for drop in one.drops:
        where = "" if one.to == "yard" else f" at {one_line(seen.addresses.get(drop.job, '')) or 'the site'}"
        what = f"{drop_words(drop, seen.units)}; {drop.standing}"
        lines.append(f"- {one_line(drop.job)}{where}: {one_line(what)}")
    nobody = "nobody of the crews is there: ask the office"
    there = f"received by {one_line(one.receives)}" if one.receives else nobody
    lines.append(f"drop it {site_rules(one)}; {there}{unload_words(one)}")
    return lines


def unload_words(one: Delivery) -> str:
    """ "; about 0.9 labour-h to unload, in the planned hours of P-014"; "" where nothing is unloaded."""
    if one.unload_labour_h <= 0:
        return ""
    planned = one.unload_planned
    told = (
        f"in the planned hours of {' and '.join(map(one_line, planned))}"
        if planned
        else "not in planned hours"
    )
    return f"; about {max(0.1, one.unload_labour_h):.1f} labour-h to unload, {told}"


def load_words(one: Delivery, units: str) -> str:
    """ "2 truckloads (13 ton, 9.7 cy)"; how many the jobs would take one by one."""
    size = ""
    if one.freight.ton:
        size = (
            f" ({in_figures(one.freight.ton, 'ton', units)}, {in_figures(one.freight.cy, 'cy', units)} loose)"
        )
    alone = f", {one.alone_loads} if each job had its own" if one.alone_loads > one.freight.loads else ""
    return load_count(one) + size + alone


def yard_lines(seen: Listed) -> list[str]:
    """What is on hand, and for which job."""
    return [
        f"{one_line(job)}: {one_line(row.words)} {in_figures(amount, row.order_unit, seen.units)}"
        for job, row, amount in seen.yard
    ]


def deliveries_data(seen: Listed) -> dict[str, Any]:
    """The deliveries for `--json`."""
    return {
        "deliveries": [
            {
                "day": one.day,
                "supplier": one.lead.supplier,
                "pick_up": one.lead.pick_up,
                "order": one.lead.key,
                "words": one.lead.words,
                "to": one.to,
                "drop_at": site_rules(one),
                "received_by": one.receives,
                "late": one.late,
                "day_is_told": one.fixed,
                "loads": one.freight.loads,
                "loads_one_by_one": one.alone_loads,
                "weight_ton": round(one.freight.ton, 3),
                "loose_cy": round(one.freight.cy, 3),
                "unload_labour_h": round(one.unload_labour_h, 3),
                "unload_in_planned_hours_of": list(one.unload_planned),
                "jobs": [
                    {
                        "job": drop.job,
                        "address": seen.addresses.get(drop.job, ""),
                        "needed_by": drop.used,
                        "standing": drop.standing,
                        "rows": [
                            {"material": row.key, "words": row.words, "quantity": n, "unit": row.order_unit}
                            for row, n in drop.rows
                        ],
                        "from_the_yard": [
                            {"material": row.key, "words": row.words, "quantity": n, "unit": row.order_unit}
                            for row, n in drop.from_hand
                        ],
                    }
                    for drop in one.drops
                ],
            }
            for one in seen.found
        ],
        "from_the_yard": [
            {"job": job, "material": row.key, "quantity": n, "unit": row.order_unit}
            for job, row, n in seen.yard
        ],
    }
