"""Pages of the records: jobs, one job, crews, machines, the firm, the history, the copies of the database."""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping, Sequence
from datetime import date, datetime
from typing import TYPE_CHECKING, Any

from rich.table import Table
from rich.text import Text

from planner.domain.firm.crews import Crew, Machine
from planner.domain.firm.fields import FIRM_FIELDS, JOB_FIELDS, Field, item_names, item_words, shown_quantity
from planner.domain.firm.firm import Firm
from planner.domain.firm.jobs import ITEMS, DayRange, Job, Line
from planner.domain.firm.phases import ORDER, Phase
from planner.domain.firm.records import BackupCopy, Change, Finding
from planner.units import to_shown

if TYPE_CHECKING:
    from rich.console import Console


def _table(*heads: str, right: Iterable[str] = (), fold: Iterable[str] = ()) -> Table:
    table = Table(box=None, pad_edge=False, header_style="bold")
    for head in heads:
        table.add_column(
            head,
            justify="right" if head in right else "left",
            overflow="fold",
            no_wrap=head not in fold,
        )
    return table


def _line(console: Console, text: str, style: str = "") -> None:
    console.print(Text(text, style=style))


def jobs_page(console: Console, jobs: Sequence[Job], units: str) -> None:
    """One line a job."""
    if not jobs:
        _line(console, 'no jobs: add one with  planner job add CODE "CLIENT"')
        return
    dig, rock = (to_shown(0.0, unit, units)[1] for unit in ("cy", "ton"))
    heads = ("job", "client", "status", "may start", "promised", f"dig {dig}", f"rock {rock}")
    table = _table(*heads, right=heads[5:], fold=("job", "client"))
    for job in jobs:
        table.add_row(
            Text(job.code),
            Text(_flat(job.client)),
            job.status.value,
            _date(job.release(Phase.DIG)),
            _date(job.promised),
            _total(job, ("dig_machine_cy", "dig_hand_cy"), units),
            _total(job, tuple(k for k, i in ITEMS.items() if i.phase is Phase.ROCK), units),
        )
    console.print(table)


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
    _line(console, f"{job.code}  {_flat(job.client)}", "bold")
    _line(console, f"revision {revision}; {_estimated(rate_edition)}; {_designed(has_design)}")
    _line(console, f"hours logged: {hours_crew_h:g} crew-hours")
    if parted:
        _line(console, f"Take care: {parted}", "bold")
    console.print()
    facts = _table("", "", fold=("",))
    facts.show_header = False
    for field in JOB_FIELDS[2:]:
        value = getattr(job, field.attr)
        text = _value(field, value, units)
        if text:
            facts.add_row(Text(field.name(units)), Text(text))
    console.print(facts)
    _quantities(console, job, units)
    _dates(console, job)
    _own_needs(console, job)


def _value(field: Field, value: Any, units: str) -> str:
    if isinstance(value, float) and field.unit != "deg":
        return f"{to_shown(value, field.unit, units)[0]:.5g}"
    return field.write(value, units)


def _estimated(edition: str | None) -> str:
    return f"hours by rate book {edition}" if edition else "no quantities to tell hours from"


def _designed(has_design: bool) -> str:
    return "with a design" if has_design else "no design"


def _quantities(console: Console, job: Job, units: str) -> None:
    console.print()
    if not job.lines:
        _line(console, f"no quantities: enter some with  planner job change {job.code} -q dig_machine_cy=18")
        return
    names = item_names(units)
    table = _table("phase", "item", "quantity", "unit", "what", "from", right=("quantity",), fold=("what",))
    for phase in ORDER:
        for line in (x for x in job.lines if x.phase is phase):
            number, unit = shown_quantity(line, units)
            what = _what(line, units)
            table.add_row(phase.words, names[line.item], number, unit, Text(what), line.origin.value)
    console.print(table)


def _what(line: Line, units: str) -> str:
    return item_words(line.item, units) + (f" ({_flat(line.note)})" if line.note else "")


def _dates(console: Console, job: Job) -> None:
    if job.gates or job.blackouts:
        console.print()
    for gate in job.gates:
        state = "met" if gate.met else "open"
        note = f": {gate.note}" if gate.note else ""
        _line(console, f"gate  {gate.kind.value}, {gate.phase.words} not before {gate.opens} ({state}){note}")
    for days in job.blackouts:
        _line(console, f"no work  {_range(days)}")


def _own_needs(console: Console, job: Job) -> None:
    for pin in job.pins:
        by = f" by {pin.crew}" if pin.crew else ""
        at = f" from {pin.start:%Y-%m-%d %H:%M}" if pin.start else ""
        _line(console, f"pinned  {pin.phase.words}{by}{at}")
    for phase, need in job.needs.items():
        parts = []
        if need.skills is not None:
            parts.append("skills " + (", ".join(sorted(need.skills)) or "none"))
        if need.machines is not None:
            listed = ", ".join(f"{n} {k}" for k, n in sorted(need.machines.items()))
            parts.append("machines " + (listed or "none"))
        _line(console, f"needs  {phase.words}: {'; '.join(parts)}")


def crews_page(console: Console, crews: Sequence[Crew]) -> None:
    """One line a crew, with its days off."""
    if not crews:
        _line(console, 'no crews: add one with  planner crew add NAME --lead "WHO" --size 3')
        return
    table = _table("crew", "lead", "people", "pace", "skills", "days off", right=("people", "pace"))
    for column in table.columns:
        column.no_wrap = False
    for crew in crews:
        table.add_row(
            Text(_flat(crew.name)),
            Text(_flat(crew.lead)),
            str(crew.size),
            f"{crew.pace:g}",
            ", ".join(sorted(crew.skills)) or "-",
            Text("\n".join(_range(d) for d in crew.days_off) or "-"),
        )
    console.print(table)


def machines_page(console: Console, machines: Sequence[Machine], units: str) -> None:
    """One line a machine kind, with its days out."""
    if not machines:
        _line(console, 'no machines: add one with  planner machine add excavator "1.7 t excavator"')
        return
    bucket = to_shown(0.0, "ft3", units)[1]
    heads = ("machine", "words", "units", "move $", "move h", f"bucket {bucket}", "mass t", "rented", "out")
    table = _table(*heads, right=heads[2:7], fold=("words", "out"))
    for m in machines:
        table.add_row(
            m.key,
            Text(_flat(m.words)),
            str(m.units),
            f"{m.move_cost_usd:g}",
            f"{m.move_h:g}",
            f"{to_shown(m.bucket_ft3, 'ft3', units)[0]:.2g}" if m.bucket_ft3 else "-",
            f"{m.mass_t:g}" if m.mass_t else "-",
            "yes" if m.rented else "no",
            Text("\n".join(f"{o.units}: {_range(o.days)}" for o in m.out) or "-"),
        )
    console.print(table)


def firm_page(console: Console, firm: Firm) -> None:
    """The settings, one a line, then days off, worked days and weights."""
    table = _table("setting", "value", fold=("value",))
    for field in FIRM_FIELDS:
        table.add_row(
            field.name(firm.units), Text(_value(field, getattr(firm, field.attr), firm.units) or "-")
        )
    for days in firm.days_off:
        table.add_row("closed", Text(_range(days)))
    for day in firm.work_days:
        table.add_row("worked", f"{day:%a} {day}")
    for day in firm.half_days:
        table.add_row("half day", f"{day:%a} {day}")
    console.print(table)
    console.print()
    table = _table("weight", "US dollars", right=("US dollars",))
    for name, value in firm_weights(firm).items():
        table.add_row(name, f"{value:g}")
    console.print(table)


def firm_weights(firm: Firm) -> dict[str, float]:
    """Weight name -> value, as stored; near_days is a number of days."""
    return {name: getattr(firm.weights, name) for name in firm.weights.__dataclass_fields__}


def history_page(console: Console, changes: Sequence[Change]) -> None:
    """One line a change, newest first: when, who, what, and which fields."""
    if not changes:
        _line(console, "nothing was changed yet")
        return
    table = _table("when", "who", "what", "which", "change", fold=("who", "which", "change"))
    for change in changes:
        words = changed_words(change)
        if change.undone:
            words = f"(taken back) {words}"
        if change.undoes is not None:
            words = f"(undo) {words}"
        at, what = f"{change.at:%Y-%m-%d %H:%M}", f"{change.noun} {change.verb}"
        table.add_row(at, Text(change.who), what, Text(change.key), Text(_short(words, 300)))
    console.print(table)


def changed_words(change: Change) -> str:
    """The fields that a change touched: "promised 2027-05-20 -> 2027-05-27"; empty for an addition."""
    before, after = (None if t is None else json.loads(t) for t in (change.before, change.after))
    if not isinstance(before, dict) or not isinstance(after, dict):
        return ""
    names = [n for n in (before | after) if before.get(n) != after.get(n)]
    return "; ".join(_changed(n, before.get(n), after.get(n)) for n in names)


def _changed(name: str, before: Any, after: Any) -> str:
    if isinstance(before, list) and isinstance(after, list):
        gone = [f"- {_entry(e)}" for e in before if e not in after]
        new = [f"+ {_entry(e)}" for e in after if e not in before]
        return f"{name} {', '.join(gone + new) or 'reordered'}"
    return f"{name} {_brief(before)} → {_brief(after)}"


_TELLING = ("kind", "item", "quantity", "phase", "crew", "start", "first", "last", "opens", "met", "units")


def _entry(value: Any) -> str:
    """The telling fields of an entry of a list: "boulder_large_ton 4"."""
    if not isinstance(value, dict):
        return _brief(value)
    flat = value | value.get("days", {})
    told = [(n, flat[n]) for n in _TELLING if flat.get(n) not in (None, "", False)]
    return " ".join(_word(name, value) for name, value in told)


def _word(name: str, value: Any) -> str:
    if value is True:
        return name
    return f"{value:.4g}" if isinstance(value, float) else _short(str(value), 40)


def _brief(value: Any) -> str:
    if value is None or value == "":
        return "-"
    if isinstance(value, dict):
        return "{" + ", ".join(sorted(value)) + "}"
    return _short(str(value), 60)


def _total(job: Job, items: tuple[str, ...], units: str) -> str:
    total = sum(job.amount(i) for i in items)
    return f"{to_shown(total, ITEMS[items[0]].unit, units)[0]:,.1f}" if total else "-"


def _range(days: DayRange) -> str:
    span = f"{days.first}" if days.first == days.last else f"{days.first} to {days.last}"
    return span + (f" ({_flat(days.why)})" if days.why else "")


def _date(day: date | datetime | None) -> str:
    return f"{day:%Y-%m-%d}" if day else "-"


def _flat(text: str) -> str:
    return " ".join(text.split())


def _short(text: str, width: int) -> str:
    flat = _flat(text)
    return flat if len(flat) <= width else flat[: width - 1] + "…"


def state_page(
    console: Console,
    name: str,
    revision: str | None,
    newest_revision: str,
    size_bytes: int | None,
    entries: Mapping[str, int],
    copies: Sequence[BackupCopy],
) -> None:
    """Where the database is, what it holds, which copies there are."""
    _line(console, f"database  {name}")
    if revision is None:
        _line(console, "form      empty: make it with  planner db create")
    elif revision != newest_revision:
        _line(console, f"form      {revision}, this program needs {newest_revision}: run  planner db upgrade")
    else:
        _line(console, f"form      {revision}, up to date")
    if size_bytes is not None:
        _line(console, f"size      {size_bytes / 1e6:.1f} MB")
    if entries:
        _line(
            console, "holds     " + ", ".join(f"{n} {what.replace('_', ' ')}" for what, n in entries.items())
        )
    console.print()
    copies_page(console, copies)


def copies_page(console: Console, copies: Sequence[BackupCopy]) -> None:
    """The backups, newest first."""
    if not copies:
        _line(console, "no backups yet: make one with  planner db backup")
        return
    table = _table("made", "why", "MB", "file", right=("MB",), fold=("file",))
    for copy in copies:
        table.add_row(
            f"{copy.made_at:%Y-%m-%d %H:%M}", copy.why, f"{copy.size_bytes / 1e6:.1f}", Text(copy.path)
        )
    console.print(table)


def findings_page(console: Console, found: Sequence[Finding]) -> None:
    """The findings of the health check, each with its advice."""
    if not found:
        _line(console, "all is well: file, references, published plan, rates, backups")
    for finding in found:
        _line(console, f"{'WRONG' if finding.grave else 'note'}  {finding.what}")
        _line(console, f"       {finding.advice}")
