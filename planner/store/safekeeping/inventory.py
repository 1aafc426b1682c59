"""Taking stock: every row of every table read as the commands read it, and each one named that does not read.

Columns are held against their types first, then words, JSON texts and rate books, then whole nouns against
what may be stored. A row is named by its table and its key, so that it can be looked for in the copies.
"""

from __future__ import annotations

import json
import math
from collections.abc import Callable, Iterable, Iterator
from contextlib import suppress
from dataclasses import dataclass
from datetime import datetime
from enum import Enum
from functools import lru_cache, partial
from pathlib import Path
from typing import Any, get_type_hints

from sqlalchemy import Boolean, Column, Connection, Double, Integer, String, Table, text

from planner.domain.estimate.rates import RateBook
from planner.domain.firm import sound
from planner.domain.firm.jobs import Gate, Job, Line, Pin
from planner.domain.firm.lost import LostTime
from planner.domain.firm.phases import Phase
from planner.domain.season.plan import Plan
from planner.errors import BadInput, PlannerError
from planner.store.books import Book
from planner.store.engine import Store
from planner.store.safekeeping.backup import copies
from planner.store.schema import tables as t
from planner.store.tables.rows import shown
from planner.store.trouble import explained

#: Table -> the noun whose words (status, soil, ...) its columns hold.
_NOUNS: dict[str, type] = {
    "jobs": Job,
    "job_gates": Gate,
    "job_lines": Line,
    "job_pins": Pin,
    "plans": Plan,
    "lost": LostTime,
}
#: Columns that hold a phase wherever they stand; "" is one in `lost` only.
_PHASE = "phase"
#: Columns of JSON text, and what must be inside.
_JSON: dict[tuple[str, str], tuple[type, ...]] = {
    ("job_needs", "skills"): (list,),
    ("job_needs", "machines"): (dict,),
    ("crews", "skills"): (list,),
    ("crew_people", "may"): (list,),
    ("rate_editions", "body"): (dict,),
    ("history", "before"): (dict, str),
    ("history", "after"): (dict, str),
}


@dataclass(frozen=True, slots=True)
class RowFault:
    """One stored row that cannot be read. key: its primary key; what: the field, its value, the fault."""

    table: str
    key: tuple[object, ...]
    what: str

    @property
    def row(self) -> str:
        """How messages call it: "row P-014 of jobs"."""
        return f"row {' '.join(shown(k).strip(chr(39)) for k in self.key)} of {self.table}"


def take_stock(store: Store) -> list[RowFault]:
    """Every row that does not read, table by table. Raises StoreTrouble when the database is of no use."""
    with explained(store.name, store.path):
        with store.connected() as connection:
            found = [fault for table in t.metadata.sorted_tables for fault in _rows(connection, table)]
        if not found:
            with store.connected() as connection:
                found = list(_nouns(Book(connection, who="", clock=datetime.now)))
    return found


def whole_copies(store: Store, faults: Iterable[RowFault]) -> dict[RowFault, Path]:
    """Fault -> the newest copy in which the row is there and reads; without those that none has whole."""
    left, found = set(faults), dict[RowFault, Path]()
    for copy in reversed(copies(store.path)) if store.path is not None else ():
        if not left:
            break
        with suppress(PlannerError, Exception):
            other = Store(copy.path)
            bad = {(f.table, f.key) for f in take_stock(other)}
            with other.connected() as connection:
                here = {f for f in left if (f.table, f.key) not in bad and _is_there(connection, f, bad)}
            found |= dict.fromkeys(here, copy.path)
            left -= here
    return found


def _is_there(connection: Connection, fault: RowFault, bad: set[tuple[str, tuple[object, ...]]]) -> bool:
    """The row of that key; where the key itself is what was spoilt, a table that reads as a whole."""
    columns = t.metadata.tables[fault.table].primary_key.columns
    if fault.what.split(" = ")[0] in columns:
        return fault.table not in {table for table, _ in bad}
    where = " AND ".join(f'"{c.name}" = :k{i}' for i, c in enumerate(columns))
    keys = {f"k{i}": k for i, k in enumerate(fault.key)}
    return connection.execute(text(f'SELECT 1 FROM "{fault.table}" WHERE {where}'), keys).first() is not None


def _rows(connection: Connection, table: Table) -> Iterator[RowFault]:
    """Each row's columns by themselves."""
    if connection.dialect.name == "sqlite":
        raw: Any = connection.connection.dbapi_connection
        raw.text_factory = lambda found: found.decode("utf-8", "surrogateescape")
    columns = list(table.columns)
    readers = [(c.name, _reader(connection, table, c)) for c in columns]
    keys = [i for i, c in enumerate(columns) if c.primary_key]
    named = ", ".join(f'"{c.name}"' for c in columns)
    for row in connection.execute(text(f'SELECT {named} FROM "{table.name}"')):
        for (name, read), value in zip(readers, row, strict=True):
            try:
                read(value)
            except (ValueError, TypeError, KeyError, AttributeError, OverflowError, RecursionError):
                yield RowFault(table.name, tuple(row[i] for i in keys), f"{name} = {shown(value)}")
                break
            except BadInput as fault:
                yield RowFault(table.name, tuple(row[i] for i in keys), f"{name}: {fault}")
                break


def _reader(connection: Connection, table: Table, column: Column[Any]) -> Callable[[Any], object]:
    """What the commands do with the column's stored value; raises ValueError when it does not fit."""
    processor = None
    if connection.dialect.name == "sqlite":  # a server gives each column's own type by itself
        processor = column.type.dialect_impl(connection.dialect).result_processor(connection.dialect, None)
    kinds = _kinds(column)
    words = _words(table.name).get(column.name)
    inside = _JSON.get((table.name, column.name))

    def read(value: Any) -> object:
        if value is None:
            if not column.nullable:
                raise ValueError(column.name)
            return None
        if kinds and (not isinstance(value, kinds) or (isinstance(value, bool) and bool not in kinds)):
            raise ValueError(column.name)
        if isinstance(value, float) and not math.isfinite(value):
            raise ValueError(column.name)
        if isinstance(value, str):
            value.encode()
        if isinstance(column.type, Boolean) and value not in (0, 1):
            raise ValueError(column.name)
        found: Any = processor(value) if processor is not None else value
        if words is not None and not (value == "" and table.name == "lost"):
            words(found)
        if inside is not None:
            _inside(table.name, json.loads(found), inside)
        return found

    return read


def _inside(table: str, plain: Any, kinds: tuple[type, ...]) -> None:
    if not isinstance(plain, kinds):
        raise TypeError(table)
    if table == "rate_editions" and isinstance(plain, dict):
        RateBook.from_plain(plain)


def _kinds(column: Column[Any]) -> tuple[type, ...]:
    """The types that a driver gives for a column; () when its own reader judges."""
    if isinstance(column.type, Boolean):
        return (int, bool)
    if isinstance(column.type, Integer):
        return (int,)
    if isinstance(column.type, Double):
        return (int, float)
    return (str,) if isinstance(column.type, String) else ()


@lru_cache(maxsize=64)
def _words(table: str) -> dict[str, type[Enum]]:
    hints = get_type_hints(_NOUNS[table]) if table in _NOUNS else {}
    found = {n: h for n, h in hints.items() if isinstance(h, type) and issubclass(h, Enum)}
    has_phase = _PHASE in t.metadata.tables[table].columns
    return found | ({_PHASE: Phase} if has_phase else {})


def _nouns(book: Book) -> Iterator[RowFault]:
    """Whole values, built as every command builds them, against what may be stored."""
    yield from _judged("firm", (1,), lambda: sound.faults_of_firm(book.firm()))
    for job in book.jobs():
        yield from _judged("jobs", (job.code,), partial(sound.faults_of_job, job))
    for crew in book.crews():
        yield from _judged("crews", (crew.name,), partial(sound.faults_of_crew, crew))
    for machine in book.machines():
        yield from _judged("machines", (machine.key,), partial(sound.faults_of_machine, machine))
    for truck in book.trucks():
        yield from _judged("trucks", (truck.key,), partial(sound.faults_of_truck, truck))
    for log in book.logs():
        yield from _judged("logs", (log.id,), partial(sound.faults_of_log, log))
    for lost in book.lost():
        yield from _judged("lost", (lost.id,), partial(sound.faults_of_lost, lost))
    for head in book.plans():
        yield from _judged("plans", (head.number,), partial(_read_plan, book, head.number))


def _read_plan(book: Book, number: int) -> list[BadInput]:
    book.plan(number)
    return []


def _judged(table: str, key: tuple[object, ...], faults: Callable[[], list[BadInput]]) -> Iterator[RowFault]:
    try:
        found = faults()
    except (ValueError, TypeError, KeyError, AttributeError, OverflowError, PlannerError) as fault:
        yield RowFault(table, key, shown(str(fault)))
        return
    if found:
        yield RowFault(table, key, str(found[0]))
