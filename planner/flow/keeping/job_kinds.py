"""The CSV files of jobs: the jobs themselves, their quantities and their gates.

Jobs that a file names are changed; quantities and gates replace all those of the jobs that the file names.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import replace
from datetime import date
from typing import Any

from planner.domain.dates import figures
from planner.domain.firm import entry
from planner.domain.firm.fields import (
    JOB_FIELDS,
    item_names,
    plain_number,
    quantity,
    with_quantity,
)
from planner.domain.firm.jobs import ITEMS, Gate, GateKind, Job, Line, Origin, waits_first
from planner.domain.firm.phases import Phase
from planner.domain.firm.sound import faults_of_job
from planner.domain.firm.visits import DayPart
from planner.domain.spelling import did_you_mean
from planner.errors import BadInput
from planner.flow.keeping.cells import Row, Sheet, guard
from planner.flow.keeping.kind import (
    ITEM_COLUMNS,
    Kind,
    Records,
    cells_of,
    column_of,
    fixed_columns,
    names_in,
    number_columns,
    once,
    placed,
    with_cells,
)
from planner.units import METRIC, to_shown

#: column of jobs.csv -> the gate whose date it holds
GATE_COLUMNS: dict[str, GateKind] = {k.value.replace(" ", "_"): k for k in GateKind}


def _job_columns(units: str) -> list[str]:
    return [*names_in(JOB_FIELDS, units), "revision", *GATE_COLUMNS, *item_names(units).values()]


def _known_job_columns() -> list[str]:
    return list(dict.fromkeys(_job_columns("us") + _job_columns(METRIC)))


def _job_rows(records: Records) -> Iterable[list[str]]:
    for job in records.jobs.values():
        totals = [_total(job, item, records.units) for item in ITEMS]
        gates = [_opens(job, kind) for kind in GATE_COLUMNS.values()]
        revision = str(records.revisions.get(job.code, 0))
        yield [*cells_of(job, JOB_FIELDS, records.units), revision, *gates, *totals]


def _total(job: Job, item: str, units: str) -> str:
    if not any(line.item == item for line in job.lines):
        return ""
    return plain_number(to_shown(job.amount(item), ITEMS[item].unit, units)[0])


def _opens(job: Job, kind: GateKind) -> str:
    return next((figures(g.opens) for g in job.gates if g.kind is kind), "")


def _read_jobs(sheet: Sheet, records: Records) -> list[BadInput]:
    faults: list[BadInput] = []
    seen: set[str] = set()
    for row in sheet.rows:
        code = row.cells["code"].strip()
        known = records.jobs.get(code)
        job, wrong = with_cells(known or Job(code, ""), JOB_FIELDS, row, records.units)
        job, more = _with_extras(job, sheet, row)
        wrong += [*more, *once(code, seen, "code"), *_current(row, code, records), *faults_of_job(job)]
        faults += placed(sheet, row, wrong)
        records.jobs[code] = job
    return faults


def _current(row: Row, code: str, records: Records) -> list[BadInput]:
    """A fault when the row was exported before somebody else changed the job."""
    stored, text = records.revisions.get(code), row.cells.get("revision", "").strip()
    if stored is None or not text or text == str(stored):
        return []
    fix = f"the job was changed since (revision {stored}): export it again, or empty this cell to overwrite"
    return [BadInput("revision", text, fix)]


def _with_extras(job: Job, sheet: Sheet, row: Row) -> tuple[Job, list[BadInput]]:
    faults = []
    for column in sheet.columns:
        text = row.cells[column].strip()
        try:
            if column in GATE_COLUMNS:
                job = _with_gate_date(job, GATE_COLUMNS[column], column, text)
            elif column in ITEM_COLUMNS and text != _total(job, *ITEM_COLUMNS[column]):
                job = with_quantity(job, quantity(column, text or "0"))
        except BadInput as fault:
            faults.append(fault)
    return job, faults


def _with_gate_date(job: Job, kind: GateKind, column: str, text: str) -> Job:
    if text == _opens(job, kind):
        return job
    others = tuple(g for g in job.gates if g.kind is not kind)
    if not text:
        return replace(job, gates=others)
    old = next((g for g in job.gates if g.kind is kind), Gate(kind, date.min, waits_first(kind)))
    return replace(job, gates=(*others, replace(old, opens=entry.day(column, text))))


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
            yield [
                *(job.code, g.kind.value, figures(g.opens), g.phase.words),
                *(met, guard(g.note), g.day_part.value),
            ]


def _read_gates(sheet: Sheet, records: Records) -> list[BadInput]:
    def part(row: Row) -> Gate:
        cells = row.cells
        kind = entry.choice("kind", cells["kind"], GateKind)
        phase, part = cells.get("phase", ""), cells.get("day_part", "")
        return Gate(
            kind=kind,
            opens=entry.day("opens", cells["opens"]),
            phase=entry.choice("phase", phase, Phase) if phase else waits_first(kind),
            met=entry.flag("met", cells.get("met", "")),
            note=cells.get("note", "").strip(),
            day_part=entry.choice("day_part", part, DayPart) if part else DayPart.ANY,
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
            fix = did_you_mean(code, records.jobs, "unknown code: import the jobs first")
            faults.append(sheet.at(BadInput("job", code, fix), row.line))
            continue
        lines.setdefault(code, row.line)
        try:
            parts.setdefault(code, []).append(part(row))
        except BadInput as fault:
            faults.append(sheet.at(fault, row.line, column_of(fault, sheet)))
    for code, found in parts.items():
        records.jobs[code] = put(records.jobs[code], tuple(found))
        faults += [sheet.at(f, lines[code]) for f in faults_of_job(records.jobs[code])]
    return faults


#: The kinds of this module, in the order in which they are imported.
JOB_KINDS = (
    Kind(
        "jobs",
        "one row a job, with gates and total quantities",
        ("code", "client"),
        _job_columns,
        _known_job_columns,
        _job_rows,
        _read_jobs,
        number_columns(JOB_FIELDS) | frozenset(ITEM_COLUMNS),
    ),
    Kind(
        "quantities",
        "one row a quantity of a job",
        ("job", "item", "quantity"),
        *fixed_columns(["job", "item", "quantity", "origin", "note"]),
        _quantity_rows,
        _read_quantities,
        frozenset({"quantity"}),
    ),
    Kind(
        "gates",
        "one row a dated gate of a job",
        ("job", "kind", "opens"),
        *fixed_columns(["job", "kind", "opens", "phase", "met", "note", "day_part"]),
        _gate_rows,
        _read_gates,
    ),
)
