"""Files in and out: CSV of each kind, and the whole firm as one JSON file.

A file is read and judged whole; on any fault nothing is changed and every fault is told. Output takes its
place under its name in one step and is readable by its owner only (it may hold phone numbers).
"""

from __future__ import annotations

import json
from collections.abc import Iterator, Sequence
from contextlib import suppress
from dataclasses import dataclass, replace
from datetime import date
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Any

from planner.domain.dates import either_way
from planner.domain.firm.crews import Crew, Machine, Person, Truck
from planner.domain.firm.fields import (
    CREW_FIELDS,
    JOB_FIELDS,
    MACHINE_FIELDS,
    PERSON_FIELDS,
    TRUCK_FIELDS,
    Field,
)
from planner.domain.firm.firm import Firm
from planner.domain.firm.jobs import ITEMS, DayRange, Gate, GateKind, Job, Line, Status
from planner.domain.firm.phases import Phase
from planner.domain.season.plan import Booking
from planner.domain.spelling import did_you_mean
from planner.errors import BadInput
from planner.flow.keeping.cells import FILE_BYTES, REMARK, read_sheet, several, write_sheet
from planner.flow.keeping.guide import takes
from planner.flow.keeping.job_kinds import GATE_COLUMNS
from planner.flow.keeping.jobs import past_promise
from planner.flow.keeping.kind import ITEM_COLUMNS, Kind, Records
from planner.flow.keeping.kinds import KINDS
from planner.flow.keeping.paths import read_bytes, write
from planner.flow.keeping.saved import must_be_free
from planner.store.engine import Store
from planner.units import to_shown

if TYPE_CHECKING:
    from planner.store.books import Book

FIRM = "firm"
#: A whole-firm file is at most this long [bytes].
FIRM_BYTES = 500_000_000


@dataclass(frozen=True, slots=True)
class Imported:
    """What an import came to: rows read, the names that are new and changed, and what to look at again."""

    rows: int
    added: tuple[str, ...]
    changed: tuple[str, ...]
    remarks: tuple[str, ...] = ()
    dates: str = ""


def kind_named(name: str) -> Kind:
    """The CSV kind of that name; BadInput when there is none."""
    if name not in KINDS:
        raise BadInput(
            "kind", name, did_you_mean(name, [*KINDS, FIRM], f"use one of: {', '.join(KINDS)}, {FIRM}")
        )
    return KINDS[name]


def import_file(
    location: str, who: str, kind_name: str, path: str, *, dry_run: bool, today: date | None = None
) -> Imported:
    """Read a CSV file of that kind into the store, or only say what it would change.

    today: to tell promises that are past; None tells nothing of them.
    """
    kind_named(kind_name)
    raw = read_bytes(path, FILE_BYTES)
    return import_bytes(location, who, kind_name, Path(path).name, raw, dry_run=dry_run, today=today)


def import_bytes(
    location: str, who: str, kind_name: str, name: str, raw: bytes, *, dry_run: bool, today: date | None
) -> Imported:
    """The same from a file's content. name: how the file is called in what is said of it."""
    kind = kind_named(kind_name)
    sheet = read_sheet(name, raw, kind.known(), kind.needed, kind.numbers)
    store = Store(location)
    if dry_run:
        with store.reading() as book:
            before, after, faults = _judged(kind, book, sheet)
    else:
        with store.writing(who) as book:
            before, after, faults = _judged(kind, book, sheet)
            if not faults:
                _cancels_nothing_booked(book, before, after, today)
                _keep(book, before, after)
    if faults:
        raise several(faults)
    added, changed = _differences(before, after)
    new = [job for job in after.jobs.values() if _promise(before, job.code) != job.promised]
    remarks = tuple(text for job in new if today and (text := past_promise(job, today)))
    read = either_way(cell for row in sheet.rows for cell in row.cells.values())
    turn = f"{read}; if the file means it otherwise: planner firm set --dates" if read else ""
    return Imported(len(sheet.rows), tuple(added), tuple(changed), remarks, turn)


def _is_of(code: str, booking: Booking) -> bool:
    return booking.job == code


def _cancels_nothing_booked(book: Book, before: Records, after: Records, today: date | None) -> None:
    """A file that cancels a job which the published plan still books is refused."""
    for code, job in after.jobs.items():
        was = before.jobs.get(code)
        if today and was and job.status is Status.CANCELLED is not was.status:
            fix = f"leave it out, and use `planner job cancel {code} --even-so`"
            must_be_free(book, today, f"job {code}", partial(_is_of, code), fix)


def _promise(records: Records, code: str) -> date | None:
    return records.jobs[code].promised if code in records.jobs else None


def export_text(location: str, kind_name: str, *, to_file: bool) -> str:
    """The CSV text of that kind, in the firm's units."""
    kind = kind_named(kind_name)
    with Store(location).reading() as book:
        records = _records(book)
    return write_sheet(kind.columns(records.units), kind.rows(records), to_file=to_file)


def write_template(location: str, kind_name: str, path: str) -> None:
    """Write `template_text` to a new file."""
    write_export(path, template_text(location, kind_name), overwrite=False)


def template_text(location: str, kind_name: str) -> str:
    """An empty file of that kind with its columns, a line of what each takes, and an example.

    Both lines begin with `REMARK`, so that the file can be imported as soon as rows stand below them.
    """
    if kind_name == FIRM:
        raise BadInput(
            "kind", FIRM, "a whole firm is no sheet to fill in: it comes from `planner export firm`"
        )
    kind = kind_named(kind_name)
    with Store(location).reading() as book:
        firm = book.firm()
    columns = kind.columns(firm.units)
    example = next(iter(kind.rows(_example(firm))))
    filled = [f"{REMARK} for example {example[0]}", *example[1:]]
    told = [_explained(column, kind.needed) for column in columns]
    rows = [[f"{REMARK} {told[0]}", *told[1:]], filled]
    return write_sheet(columns, rows, to_file=True)


def _explained(column: str, needed: Sequence[str]) -> str:
    """What a column takes, in one cell."""
    if column in _FIELDS:
        told = takes(_FIELDS[column])
    elif column in GATE_COLUMNS:
        told = f"a day; its work waits for the {GATE_COLUMNS[column].value}"
    elif column in ITEM_COLUMNS:
        item, system = ITEM_COLUMNS[column]
        told = f"number of {to_shown(0.0, ITEMS[item].unit, system)[1]}; {ITEMS[item].words}"
    else:
        told = _OTHER_COLUMNS[column]
    return f"{told} (needed)" if column in needed else told


#: Column -> the field of a noun that it holds.
#: Column -> its field; a truck's crew, its last one, is told as the crews of other files are.
_FIELDS = {
    name: f
    for f in (*TRUCK_FIELDS[:-1], *JOB_FIELDS, *CREW_FIELDS, *PERSON_FIELDS, *MACHINE_FIELDS)
    for name in f.names
} | {"key": Field("key", words="short name")}
#: What the columns take that are no field of a noun.
_OTHER_COLUMNS = {
    "revision": "leave empty for new jobs; an export fills it in",
    "job": "the job's code",
    "item": "one of the columns of jobs, like liner_ft2",
    "quantity": "number",
    "origin": "entered or computed",
    "note": "your own words",
    "kind": ", ".join(kind.value for kind in GateKind),
    "opens": "a day",
    "phase": ", ".join(phase.words for phase in Phase),
    "met": "yes or no",
    "day_part": "when he comes: any time, morning or afternoon",
    "of": "firm, worked, half, crew, job, machine, truck or person",
    "crew": "the crew's name",
    "leads": "yes or no",
    "lent_to": "of a person: the crew that has them then",
    "first": "a day",
    "last": "a day; empty for one day",
    "why": "your own words",
}


def _example(firm: Firm) -> Records:
    """One noun of each kind, invented, as the example of a template."""
    off = DayRange(firm.season_first, firm.season_first, "training")
    job = Job(
        "P-001",
        "Ida Example",
        "1 Invented Lane",
        promised=firm.season_last,
        lines=(Line("dig_machine_cy", 14.0), Line("liner_ft2", 420.0)),
        gates=(Gate(GateKind.DEPOSIT, firm.season_first),),
    )
    crew = Crew("North", "Ada Example", 3, frozenset({"excavator", "stonework"}), days_off=(off,))
    ada = Person("Ada Example", frozenset({"excavator", "tow"}))
    crew = replace(crew, people=(ada,))
    machine = Machine("excavator", "mini excavator", 1, move_cost_usd=150.0, move_h=1.0, towed_lb=9_800.0)
    truck = Truck("dump1", "dump truck", 12_000.0)
    machines, trucks = {machine.key: machine}, {truck.key: truck}
    return Records(firm, {job.code: job}, {crew.name: crew}, machines, trucks)


def export_firm(location: str) -> Iterator[str]:
    """Everything that is stored, as one JSON text, piece by piece: it need not fit into memory."""
    from planner.store.safekeeping.whole import parts

    with Store(location).reading() as book:
        opening = "{\n "
        for name, value in parts(book):
            yield f"{opening}{json.dumps(name)}: "
            if isinstance(value, Iterator):
                yield from _pieces(value)
            else:
                yield _indented(value, 1)
            opening = ",\n "
    yield "\n}\n"


def _pieces(values: Iterator[Any]) -> Iterator[str]:
    opening, closing = "[\n  ", "[]"
    for value in values:
        yield opening + _indented(value, 2)
        opening, closing = ",\n  ", "\n ]"
    yield closing


def _indented(value: Any, by: int) -> str:
    return json.dumps(value, ensure_ascii=False, indent=1).replace("\n", "\n" + " " * by)


def import_firm(location: str, who: str, path: str, *, dry_run: bool) -> dict[str, int]:
    """Fill an empty database from a whole-firm file; noun -> how many. Refused when it is not empty."""
    return load_firm_file(location, who, Path(path).name, read_bytes(path, FIRM_BYTES), dry_run=dry_run)


def load_firm_file(location: str, who: str, name: str, raw: bytes, *, dry_run: bool) -> dict[str, int]:
    """The same from a file's content. name: how the file is called in what is said of it."""
    from planner.flow.stored.shop import must_be_in_reach
    from planner.store.safekeeping.whole import load

    data = parsed_json(name, raw)
    store = Store(location)
    if not dry_run:
        with store.writing(who) as book:
            filled = load(book, data)
            must_be_in_reach(book, location, book.rate_book())
        return filled
    counts: dict[str, int] = {}
    with suppress(_DryRunOver), store.writing(who) as book:
        counts = load(book, data)
        must_be_in_reach(book, location, book.rate_book())
        raise _DryRunOver
    return counts


class _DryRunOver(Exception):
    """Rolls a rehearsal back."""


def parsed_json(name: str, raw: bytes) -> Any:
    """The JSON value of a file; BadInput with the line when it is none."""
    try:
        return json.loads(raw.decode("utf-8-sig"), parse_constant=_no_constant)
    except UnicodeDecodeError:
        raise BadInput("file", "not UTF-8", "save it as UTF-8", where=name) from None
    except json.JSONDecodeError as error:
        where = f"{name} line {error.lineno} column {error.colno}"
        raise BadInput("JSON", error.msg, "fix the file, or export it again", where=where) from None
    except (ValueError, RecursionError) as error:
        raise BadInput("JSON", str(error), "fix the file, or export it again", where=name) from None


def _no_constant(word: str) -> Any:
    raise ValueError(f"{word} is not a number")


def write_export(path: str, text: str | Iterator[str], *, overwrite: bool, readable: bool = False) -> None:
    """Write an export that only its owner may read, unless `readable`; over an existing file only with
    `overwrite`."""
    with suppress(OSError, ValueError):
        if Path(path).is_file() and not overwrite:
            raise BadInput("file", path, "it exists: name another one, or say --overwrite")
    write(path, text, readable=readable)


def _judged(kind: Kind, book: Book, sheet: Any) -> tuple[Records, Records, list[BadInput]]:
    before, after = _records(book), _records(book)
    return before, after, kind.read(sheet, after)


def _records(book: Book) -> Records:
    return Records(
        firm=book.firm(),
        jobs={j.code: j for j in book.jobs()},
        crews={c.name: c for c in book.crews()},
        machines={m.key: m for m in book.machines()},
        trucks={t.key: t for t in book.trucks()},
        revisions=book.job_revisions(),
    )


def _keep(book: Book, before: Records, after: Records) -> None:
    if after.firm != before.firm:
        book.save_firm(after.firm)
    changed = [crew for crew in after.crews.values() if before.crews.get(crew.name) != crew]
    _let_go(book, before, changed)
    for crew in changed:
        book.save_crew(crew)
    for machine in after.machines.values():
        if before.machines.get(machine.key) != machine:
            book.save_machine(machine)
    for truck in after.trucks.values():
        if before.trucks.get(truck.key) != truck:
            book.save_truck(truck)
    for job in after.jobs.values():
        if before.jobs.get(job.code) != job:
            book.save_job(job)


def _let_go(book: Book, before: Records, changed: Sequence[Crew]) -> None:
    """Take people out of the crews that they leave, before they join others."""
    for crew in changed:
        old, names = before.crews.get(crew.name), {p.name for p in crew.people}
        if old is not None and any(p.name not in names for p in old.people):
            book.save_crew(replace(old, people=tuple(p for p in old.people if p.name in names)))


def _differences(before: Records, after: Records) -> tuple[list[str], list[str]]:
    added: list[str] = []
    changed: list[str] = ["firm"] if before.firm != after.firm else []
    pairs: tuple[tuple[Any, Any], ...] = (
        (before.crews, after.crews),
        (before.machines, after.machines),
        (before.trucks, after.trucks),
        (before.jobs, after.jobs),
    )
    for old, new in pairs:
        added += [key for key in new if key not in old]
        changed += [key for key in new if key in old and old[key] != new[key]]
    return added, changed
