"""Jobs: one line each, or everything on record of one."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from rich.text import Text

from planner.domain.dates import long_day, long_moment
from planner.domain.firm.fields import fields_of, item_names, item_words, shown_quantity
from planner.domain.firm.jobs import ITEMS, TRADES, Job, Line, Overdue, Unbooked
from planner.domain.firm.phases import ORDER, Phase
from planner.domain.firm.scaling import Scaled
from planner.domain.standing.order_gates import coming_words
from planner.domain.wording import in_figures
from planner.report.keeping.rows import date_words, field_words, range_words, table_of, tell
from planner.report.terminal import show_table
from planner.report.wording import one_line
from planner.units import to_shown

if TYPE_CHECKING:
    from rich.console import Console


def jobs_page(console: Console, jobs: Sequence[Job], units: str) -> None:
    """One line a job."""
    if not jobs:
        tell(console, 'no jobs: add one with  planner job add CODE "CLIENT"')
        return
    dig, rock = (to_shown(0.0, unit, units)[1] for unit in ("cy", "ton"))
    heads = ("job", "client", "status", "may start", "promised", f"dig {dig}", f"rock {rock}")
    table = table_of(*heads, right=heads[5:], fold=("job", "client"))
    for job in jobs:
        table.add_row(
            Text(job.code),
            Text(one_line(job.client)),
            job.status.value,
            date_words(job.release(Phase.DIG)),
            date_words(job.promised),
            _total(job, ("dig_machine_cy", "dig_hand_cy"), units),
            _total(job, tuple(k for k, i in ITEMS.items() if i.phase is Phase.ROCK), units),
        )
    show_table(console, table)


def scaled_page(console: Console, scaled: Sequence[Scaled], units: str) -> None:
    """Each quantity of a past job, what it becomes, and how it grows."""
    table = table_of("quantity", "was", "now", "grows", right=("was", "now"), fold=("quantity",))
    for one in scaled:
        was, now = (in_figures(v, ITEMS[one.item].unit, units) for v in (one.was, one.now))
        table.add_row(ITEMS[one.item].words, was, now, one.how)
    show_table(console, table)
    tell(
        console,
        "Round the rim with the root of the surface; what a pond has once, and what is the site's, stays.",
    )


def scaled_data(scaled: Sequence[Scaled], units: str) -> list[dict[str, object]]:
    """The same for `--json`, in the firm's units."""
    rows = []
    for one in scaled:
        (was, unit), (now, _) = (to_shown(v, ITEMS[one.item].unit, units) for v in (one.was, one.now))
        rows.append({"item": one.item, "was": was, "now": now, "unit": unit, "grows": one.how})
    return rows


def job_page(
    console: Console,
    job: Job,
    revision: int,
    rate_edition: str | None,
    has_design: bool,
    hours_crew_h: float,
    units: str,
    parted: str = "",
) -> None:
    """Everything on record of one job. parted: how it and its kept design differ."""
    tell(console, f"{job.code}  {one_line(job.client)}", "bold")
    told = [f"revision {revision}", _estimated(rate_edition)]
    told += [_designed(has_design)] if job.visit is None else []
    tell(console, "; ".join(told))
    tell(console, f"hours logged: {hours_crew_h:g} crew-hours")
    if parted:
        tell(console, f"Take care: {parted}", "bold")
    console.print()
    facts = table_of("", "", fold=("",))
    facts.show_header = False
    for field in fields_of(job)[2:]:
        value = getattr(job, field.attr)
        text = field_words(field, value, units)
        if text:
            facts.add_row(Text(field.name(units)), Text(text))
    show_table(console, facts)
    if job.visit is None:
        _quantities(console, job, units)
    _dates(console, job)
    _own_needs(console, job)


def _estimated(edition: str | None) -> str:
    return f"hours by rate book {edition}" if edition else "no quantities to tell hours from"


def _designed(has_design: bool) -> str:
    return "with a design" if has_design else "no design"


def _quantities(console: Console, job: Job, units: str) -> None:
    console.print()
    if not job.lines:
        tell(console, f"no quantities: enter some with  planner job change {job.code} -q dig_machine_cy=18")
        return
    names = item_names(units)
    table = table_of("phase", "item", "quantity", "unit", "what", "from", right=("quantity",), fold=("what",))
    for phase in ORDER:
        for line in (x for x in job.lines if x.phase is phase):
            number, unit = shown_quantity(line, units)
            what = _what(line, units)
            table.add_row(phase.words, names[line.item], number, unit, Text(what), line.origin.value)
    show_table(console, table)


def _what(line: Line, units: str) -> str:
    return item_words(line.item, units) + (f" ({one_line(line.note)})" if line.note else "")


def _dates(console: Console, job: Job) -> None:
    if job.gates or job.blackouts:
        console.print()
    for gate in job.gates:
        note = f": {gate.note}" if gate.note else ""
        until = f"{gate.phase.words} not before {long_day(gate.opens)}"
        told = gate.kind in TRADES and not isinstance(gate, Overdue | Unbooked)
        comes = f" ({coming_words(gate)})" if told else ""
        tell(console, f"gate  {gate.kind.value}{comes}, {until} ({gate.state}){note}")
    for days in job.blackouts:
        tell(console, f"no work  {range_words(days)}")


def _own_needs(console: Console, job: Job) -> None:
    for pin in job.pins:
        by = f" by {pin.crew}" if pin.crew else ""
        at = f" from {long_moment(pin.start)}" if pin.start else ""
        tell(console, f"pinned  {pin.phase.words}{by}{at}")
    for phase, need in job.needs.items():
        parts = []
        if need.skills is not None:
            parts.append("skills " + (", ".join(sorted(need.skills)) or "none"))
        if need.machines is not None:
            listed = ", ".join(f"{n} {k}" for k, n in sorted(need.machines.items()))
            parts.append("machines " + (listed or "none"))
        tell(console, f"needs  {phase.words}: {'; '.join(parts)}")


def _total(job: Job, items: tuple[str, ...], units: str) -> str:
    total = sum(job.amount(i) for i in items)
    return f"{to_shown(total, ITEMS[items[0]].unit, units)[0]:,.1f}" if total else "-"
