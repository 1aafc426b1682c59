"""The CSV files that the office can write and read: jobs, quantities, gates, crews, machines, days off.

Each kind has its columns, rows made from what is stored, and a reader that turns a whole sheet into changed
values, or into every fault of the file. Nothing is stored here.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from dataclasses import fields as dataclass_fields
from datetime import date
from typing import Any, TypeVar, cast

from planner.domain.firm import entry
from planner.domain.firm.crews import Crew, Machine, MachineOut
from planner.domain.firm.fields import (
    CREW_FIELDS,
    JOB_FIELDS,
    MACHINE_FIELDS,
    Field,
    item_names,
    item_of,
    plain_number,
    quantity,
    with_fields,
    with_quantity,
)
from planner.domain.firm.firm import Firm
from planner.domain.firm.jobs import ITEMS, DayRange, Gate, GateKind, Job, Line, Origin
from planner.domain.firm.phases import Phase
from planner.domain.firm.sound import faults_of_crew, faults_of_firm, faults_of_job, faults_of_machine
from planner.domain.spelling import did_you_mean
from planner.errors import BadInput
from planner.flow.keeping.cells import Row, Sheet, guard
from planner.units import METRIC, to_shown

V = TypeVar("V")


@dataclass(slots=True)
class Records:
    """What is stored, by key; a reader changes it. revisions: job code -> revision."""

    firm: Firm
    jobs: dict[str, Job]
    crews: dict[str, Crew]
    machines: dict[str, Machine]
    revisions: Mapping[str, int] = field(default_factory=dict)

    @property
    def units(self) -> str:
        """The firm's system of units."""
        return self.firm.units


@dataclass(frozen=True, slots=True)
class Kind:
    """One kind of CSV file. needed: columns that must be there; read: gives faults, changes the records;
    numbers: the columns whose cells are numbers."""

    name: str
    words: str
    needed: tuple[str, ...]
    columns: Callable[[str], list[str]]
    known: Callable[[], list[str]]
    rows: Callable[[Records], Iterable[list[str]]]
    read: Callable[[Sheet, Records], list[BadInput]]
    numbers: frozenset[str] = frozenset()


#: column of jobs.csv -> the gate whose date it holds
GATE_COLUMNS: dict[str, GateKind] = {k.value.replace(" ", "_"): k for k in GateKind}


def _names(fields: Sequence[Field], units: str) -> list[str]:
    return [f.name(units) for f in fields]


def _every_name(fields: Sequence[Field]) -> list[str]:
    return list(dict.fromkeys([*_names(fields, "us"), *_names(fields, METRIC)]))


def _cells(value: Any, fields: Sequence[Field], units: str) -> list[str]:
    texts = ((f, f.write(getattr(value, f.attr), units)) for f in fields)
    return [guard(text) if f.kind in ("line", "text", "words") else text for f, text in texts]


# jobs


def _job_columns(units: str) -> list[str]:
    return [*_names(JOB_FIELDS, units), "revision", *GATE_COLUMNS, *item_names(units).values()]


def _known_job_columns() -> list[str]:
    return list(dict.fromkeys(_job_columns("us") + _job_columns(METRIC)))


def _job_rows(records: Records) -> Iterable[list[str]]:
    for job in records.jobs.values():
        totals = [_total(job, item, records.units) for item in ITEMS]
        gates = [_opens(job, kind) for kind in GATE_COLUMNS.values()]
        revision = str(records.revisions.get(job.code, 0))
        yield [*_cells(job, JOB_FIELDS, records.units), revision, *gates, *totals]


def _total(job: Job, item: str, units: str) -> str:
    if not any(line.item == item for line in job.lines):
        return ""
    return plain_number(to_shown(job.amount(item), ITEMS[item].unit, units)[0])


def _opens(job: Job, kind: GateKind) -> str:
    return next((g.opens.isoformat() for g in job.gates if g.kind is kind), "")


def _read_jobs(sheet: Sheet, records: Records) -> list[BadInput]:
    faults: list[BadInput] = []
    seen: set[str] = set()
    for row in sheet.rows:
        code = row.cells["code"].strip()
        known = records.jobs.get(code)
        job, wrong = _with_cells(known or Job(code, ""), JOB_FIELDS, row, records.units)
        job, more = _with_extras(job, sheet, row)
        wrong += [*more, *_once(code, seen, "code"), *_current(row, code, records), *faults_of_job(job)]
        faults += _placed(sheet, row, wrong)
        records.jobs[code] = job
    return faults


def _current(row: Row, code: str, records: Records) -> list[BadInput]:
    """A fault when the row was exported before somebody else changed the job."""
    stored, text = records.revisions.get(code), row.cells.get("revision", "").strip()
    if stored is None or not text or text == str(stored):
        return []
    mend = f"the job was changed since (revision {stored}): export it again, or empty this cell to overwrite"
    return [BadInput("revision", text, mend)]


def _with_extras(job: Job, sheet: Sheet, row: Row) -> tuple[Job, list[BadInput]]:
    faults = []
    for column in sheet.columns:
        text = row.cells[column].strip()
        try:
            if column in GATE_COLUMNS:
                job = _with_gate_date(job, GATE_COLUMNS[column], column, text)
            elif column in _ITEM_COLUMNS and text != _total(job, *_ITEM_COLUMNS[column]):
                job = with_quantity(job, quantity(column, text or "0"))
        except BadInput as fault:
            faults.append(fault)
    return job, faults


_ITEM_COLUMNS = {name: item_of(name) for system in (METRIC, "us") for name in item_names(system).values()}


def _with_gate_date(job: Job, kind: GateKind, column: str, text: str) -> Job:
    if text == _opens(job, kind):
        return job
    others = tuple(g for g in job.gates if g.kind is not kind)
    if not text:
        return replace(job, gates=others)
    old = next((g for g in job.gates if g.kind is kind), Gate(kind, date.min))
    return replace(job, gates=(*others, replace(old, opens=entry.day(column, text))))


# quantities and gates: all lines of the jobs that the file names


def _quantity_rows(records: Records) -> Iterable[list[str]]:
    for job in records.jobs.values():
        for line in job.lines:
            value, _ = to_shown(line.quantity, line.unit, records.units)
            item = item_names(records.units)[line.item]
            yield [job.code, item, plain_number(value), line.origin.value, guard(line.note)]


def _read_quantities(sheet: Sheet, records: Records) -> list[BadInput]:
    def part(row: Row) -> Line:
        cells = row.cells
        line = quantity(cells["item"].strip().lower(), cells["quantity"])
        origin = entry.choice("origin", cells.get("origin", "") or "entered", Origin)
        return replace(line, origin=origin, note=cells.get("note", "").strip())

    def put(job: Job, lines: tuple[Line, ...]) -> Job:
        same = [_same_line(a, b, records.units) for a, b in zip(job.lines, lines, strict=False)]
        return job if len(job.lines) == len(lines) and all(same) else replace(job, lines=lines)

    return _read_parts(sheet, records, part, put)


def _same_line(old: Line, new: Line, units: str) -> bool:
    """True when the new line is just how the old one is written, to the last digit."""
    amounts = (plain_number(to_shown(line.quantity, line.unit, units)[0]) for line in (old, new))
    return replace(old, quantity=0) == replace(new, quantity=0) and len(set(amounts)) == 1


def _gate_rows(records: Records) -> Iterable[list[str]]:
    for job in records.jobs.values():
        for g in job.gates:
            met = "yes" if g.met else "no"
            yield [job.code, g.kind.value, g.opens.isoformat(), g.phase.words, met, guard(g.note)]


def _read_gates(sheet: Sheet, records: Records) -> list[BadInput]:
    def part(row: Row) -> Gate:
        cells = row.cells
        return Gate(
            kind=entry.choice("kind", cells["kind"], GateKind),
            opens=entry.day("opens", cells["opens"]),
            phase=entry.choice("phase", cells.get("phase", "") or "dig", Phase),
            met=entry.flag("met", cells.get("met", "")),
            note=cells.get("note", "").strip(),
        )

    return _read_parts(sheet, records, part, lambda job, gates: replace(job, gates=gates))


def _read_parts(
    sheet: Sheet, records: Records, part: Callable[[Row], Any], put: Callable[[Job, tuple[Any, ...]], Job]
) -> list[BadInput]:
    faults: list[BadInput] = []
    parts: dict[str, list[Any]] = {}
    lines: dict[str, int] = {}
    for row in sheet.rows:
        code = row.cells["job"].strip()
        if code not in records.jobs:
            mend = did_you_mean(code, records.jobs, "unknown code: import the jobs first")
            faults.append(sheet.at(BadInput("job", code, mend), row.line))
            continue
        lines.setdefault(code, row.line)
        try:
            parts.setdefault(code, []).append(part(row))
        except BadInput as fault:
            faults.append(sheet.at(fault, row.line, _column_of(fault, sheet)))
    for code, found in parts.items():
        records.jobs[code] = put(records.jobs[code], tuple(found))
        faults += [sheet.at(f, lines[code]) for f in faults_of_job(records.jobs[code])]
    return faults


# crews and machines


def _read_crews(sheet: Sheet, records: Records) -> list[BadInput]:
    return _read_nouns(
        sheet, records.crews, "name", CREW_FIELDS, lambda k: Crew(k, ""), faults_of_crew, records
    )


def _read_machines(sheet: Sheet, records: Records) -> list[BadInput]:
    new: Callable[[str], Machine] = lambda key: Machine(key, key)  # noqa: E731
    return _read_nouns(sheet, records.machines, "key", MACHINE_FIELDS, new, faults_of_machine, records)


def _read_nouns(
    sheet: Sheet,
    stored: dict[str, V],
    key_column: str,
    fields: Sequence[Field],
    new: Callable[[str], V],
    faults_of: Callable[[V], list[BadInput]],
    records: Records,
) -> list[BadInput]:
    faults: list[BadInput] = []
    seen: set[str] = set()
    for row in sheet.rows:
        key = row.cells[key_column].strip()
        value, wrong = _with_cells(stored.get(key) or new(key), fields, row, records.units)
        faults += _placed(sheet, row, [*wrong, *_once(key, seen, key_column), *faults_of(value)])
        stored[key] = value
    return faults


def _with_cells(value: V, fields: Sequence[Field], row: Row, units: str) -> tuple[V, list[BadInput]]:
    """The noun with the row's cells; an empty cell that must hold something takes the usual value."""
    usual: dict[str, Any] = {f.name: f.default for f in dataclass_fields(cast(Any, value))}
    texts: dict[str, str] = {}
    blanks: dict[str, Any] = {}
    for f in fields:
        for column in f.names:
            if column not in row.cells:
                continue
            text = row.cells[column]
            if not text.strip() and not f.optional and f.kind not in ("line", "text", "words"):
                blanks[f.attr] = usual[f.attr]
            else:
                texts[column] = text if f.kind == "text" else text.strip()
    return with_fields(replace(cast(Any, value), **blanks), fields, texts, units)


def _placed(sheet: Sheet, row: Row, wrong: Sequence[BadInput]) -> list[BadInput]:
    """The row's faults with their places, by column; one fault a column is enough."""
    found: dict[object, BadInput] = {}
    for fault in wrong:
        column = _column_of(fault, sheet)
        shown = row.cells[column] if column else fault.value
        placed = BadInput(fault.field, shown, fault.mend, where=sheet.where(row.line, column))
        found.setdefault(column or str(fault), placed)
    order = {column: i for i, column in enumerate(sheet.columns)}
    return [found[c] for c in sorted(found, key=lambda c: order.get(str(c), len(order)))]


def _once(key: str, seen: set[str], column: str) -> list[BadInput]:
    again = key in seen
    seen.add(key)
    return [BadInput(column, key, "it stands in the file twice: keep one line")] if again else []


def _column_of(fault: BadInput, sheet: Sheet) -> str | None:
    """The column that a fault of a whole value belongs to, as far as its name tells."""
    field = fault.field
    names = {field, field.split()[0], *_OTHER_NAMES.get(field, ())}
    return next((c for c in sheet.columns if c in names), None)


#: a field as the domain calls it -> the columns that may hold it
_OTHER_NAMES: dict[str, tuple[str, ...]] = {
    f.attr: f.names for f in (*JOB_FIELDS, *CREW_FIELDS, *MACHINE_FIELDS)
} | {
    "crew": ("name",),
    "machine": ("key",),
    "latitude": ("latitude_deg", "depot_latitude_deg"),
    "longitude": ("longitude_deg", "depot_longitude_deg"),
    **{
        name: (*(item_names(system)[key] for system in ("us", METRIC)), "quantity")
        for name, (key, _) in _ITEM_COLUMNS.items()
    },
}


# days off of the firm, crews, jobs and machines


DAY_COLUMNS = ["of", "name", "first", "last", "units", "why"]
_OF = ("firm", "worked", "half", "crew", "job", "machine")


def _day_rows(records: Records) -> Iterable[list[str]]:
    def row(of: str, name: str, days: DayRange, units: str = "") -> list[str]:
        return [of, guard(name), days.first.isoformat(), days.last.isoformat(), units, guard(days.why)]

    yield from (row("firm", "", d) for d in records.firm.days_off)
    yield from (row("worked", "", DayRange(d, d)) for d in records.firm.work_days)
    yield from (row("half", "", DayRange(d, d)) for d in records.firm.half_days)
    yield from (row("crew", c.name, d) for c in records.crews.values() for d in c.days_off)
    yield from (row("job", j.code, d) for j in records.jobs.values() for d in j.blackouts)
    yield from (row("machine", m.key, o.days, str(o.units)) for m in records.machines.values() for o in m.out)


def _read_days(sheet: Sheet, records: Records) -> list[BadInput]:
    faults: list[BadInput] = []
    found: dict[tuple[str, str], list[MachineOut]] = {}
    for row in sheet.rows:
        of, name = row.cells["of"].strip().lower(), row.cells.get("name", "").strip()
        try:
            _must_be_known(of, name, records)
            found.setdefault((of, name), []).append(_days_of(row))
        except BadInput as fault:
            faults.append(sheet.at(fault, row.line))
    for (of, name), outs in found.items():
        faults += [sheet.at(f, 1) for f in _put_days(of, name, outs, records)]
    return faults


def _must_be_known(of: str, name: str, records: Records) -> None:
    stored: dict[str, Mapping[str, Any]] = {
        "crew": records.crews,
        "job": records.jobs,
        "machine": records.machines,
    }
    if of not in _OF:
        raise BadInput("of", of, f"use one of: {', '.join(_OF)}")
    if of in stored and name not in stored[of]:
        raise BadInput("name", name, did_you_mean(name, stored[of], f"unknown {of}: import it first"))
    if of not in stored and name:
        raise BadInput("name", name, f"leave it empty for {of}")


def _days_of(row: Row) -> MachineOut:
    cells = row.cells
    first = entry.day("first", cells["first"])
    last = entry.day("last", cells["last"]) if cells.get("last", "").strip() else first
    if last < first:
        raise BadInput("last", cells["last"], f"end on or after the first day, {first}")
    units = entry.whole("units", cells.get("units", "").strip() or "1")
    return MachineOut(DayRange(first, last, cells.get("why", "").strip()), units)


def _put_days(of: str, name: str, outs: list[MachineOut], records: Records) -> list[BadInput]:
    days = tuple(o.days for o in outs)
    if of == "firm":
        records.firm = replace(records.firm, days_off=days)
    elif of in ("worked", "half"):
        if any(d.first != d.last for d in days):
            return [BadInput(of, "several days", "write one line for each day")]
        every = tuple(sorted({d.first for d in days}))
        worked = of == "worked"
        firm = records.firm
        records.firm = replace(firm, work_days=every) if worked else replace(firm, half_days=every)
    elif of == "crew":
        records.crews[name] = replace(records.crews[name], days_off=days)
        return faults_of_crew(records.crews[name])
    elif of == "job":
        records.jobs[name] = replace(records.jobs[name], blackouts=days)
        return faults_of_job(records.jobs[name])
    else:
        records.machines[name] = replace(records.machines[name], out=tuple(outs))
        return faults_of_machine(records.machines[name])
    return faults_of_firm(records.firm)


def _simple(columns: list[str]) -> tuple[Callable[[str], list[str]], Callable[[], list[str]]]:
    return (lambda _: columns, lambda: columns)


def _nouns(fields: Sequence[Field]) -> tuple[Callable[[str], list[str]], Callable[[], list[str]]]:
    return (lambda units: _names(fields, units), lambda: _every_name(fields))


def _numbers(fields: Sequence[Field]) -> frozenset[str]:
    return frozenset(name for f in fields if f.kind == "number" for name in f.names)


KINDS: dict[str, Kind] = {
    k.name: k
    for k in (
        Kind(
            "jobs",
            "one row a job, with gates and total quantities",
            ("code", "client"),
            _job_columns,
            _known_job_columns,
            _job_rows,
            _read_jobs,
            _numbers(JOB_FIELDS) | frozenset(_ITEM_COLUMNS),
        ),
        Kind(
            "quantities",
            "one row a quantity of a job",
            ("job", "item", "quantity"),
            *_simple(["job", "item", "quantity", "origin", "note"]),
            _quantity_rows,
            _read_quantities,
            frozenset({"quantity"}),
        ),
        Kind(
            "gates",
            "one row a dated gate of a job",
            ("job", "kind", "opens"),
            *_simple(["job", "kind", "opens", "phase", "met", "note"]),
            _gate_rows,
            _read_gates,
        ),
        Kind(
            "crews",
            "one row a crew",
            ("name",),
            *_nouns(CREW_FIELDS),
            lambda r: (_cells(c, CREW_FIELDS, r.units) for c in r.crews.values()),
            _read_crews,
            _numbers(CREW_FIELDS),
        ),
        Kind(
            "machines",
            "one row a machine",
            ("key",),
            *_nouns(MACHINE_FIELDS),
            lambda r: (_cells(m, MACHINE_FIELDS, r.units) for m in r.machines.values()),
            _read_machines,
            _numbers(MACHINE_FIELDS),
        ),
        Kind(
            "days-off",
            "one row a span of days off",
            ("of", "first"),
            *_simple(DAY_COLUMNS),
            _day_rows,
            _read_days,
        ),
    )
}
