"""One kind of CSV file: its columns, its rows from what is stored, and the reader that changes it.

What all kinds share stands here: a noun's fields as columns, a row's cells as a changed noun, and each
fault at its line and column.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from dataclasses import fields as dataclass_fields
from typing import Any, TypeVar, cast

from planner.domain.firm.crews import Crew, Machine, Truck
from planner.domain.firm.fields import (
    CREW_FIELDS,
    JOB_FIELDS,
    MACHINE_FIELDS,
    TRUCK_FIELDS,
    Field,
    item_names,
    item_of,
    with_fields,
)
from planner.domain.firm.firm import Firm
from planner.domain.firm.jobs import Job
from planner.errors import BadInput
from planner.flow.keeping.cells import Row, Sheet, guard
from planner.units import METRIC

V = TypeVar("V")


@dataclass(slots=True)
class Records:
    """What is stored, by key; a reader changes it. revisions: job code -> revision."""

    firm: Firm
    jobs: dict[str, Job]
    crews: dict[str, Crew]
    machines: dict[str, Machine]
    trucks: dict[str, Truck]
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


def names_in(fields: Sequence[Field], units: str) -> list[str]:
    """The columns of these fields, for a firm of that system of units."""
    return [f.name(units) for f in fields]


def every_name(fields: Sequence[Field]) -> list[str]:
    """The columns of these fields in both systems of units."""
    return list(dict.fromkeys([*names_in(fields, "us"), *names_in(fields, METRIC)]))


def cells_of(value: Any, fields: Sequence[Field], units: str) -> list[str]:
    """The cells of a noun, one a field; texts are guarded against formulas."""
    texts = ((f, f.write(getattr(value, f.attr), units)) for f in fields)
    return [guard(text) if f.kind in ("line", "text", "words") else text for f, text in texts]


def fixed_columns(columns: list[str]) -> tuple[Callable[[str], list[str]], Callable[[], list[str]]]:
    """`columns` and `known` of a kind whose columns are the same in every system of units."""
    return (lambda _: columns, lambda: columns)


def field_columns(fields: Sequence[Field]) -> tuple[Callable[[str], list[str]], Callable[[], list[str]]]:
    """`columns` and `known` of a kind with one column a field."""
    return (lambda units: names_in(fields, units), lambda: every_name(fields))


def number_columns(fields: Sequence[Field]) -> frozenset[str]:
    """The columns that hold numbers."""
    return frozenset(name for f in fields if f.kind == "number" for name in f.names)


def read_nouns(
    sheet: Sheet,
    stored: dict[str, V],
    key_column: str,
    fields: Sequence[Field],
    new: Callable[[str], V],
    faults_of: Callable[[V], list[BadInput]],
    records: Records,
) -> list[BadInput]:
    """A row a noun, new or changed; the faults of the whole sheet."""
    faults: list[BadInput] = []
    seen: set[str] = set()
    for row in sheet.rows:
        key = row.cells[key_column].strip()
        value, wrong = with_cells(stored.get(key) or new(key), fields, row, records.units)
        faults += placed(sheet, row, [*wrong, *once(key, seen, key_column), *faults_of(value)])
        stored[key] = value
    return faults


def with_cells(value: V, fields: Sequence[Field], row: Row, units: str) -> tuple[V, list[BadInput]]:
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


def placed(sheet: Sheet, row: Row, wrong: Sequence[BadInput]) -> list[BadInput]:
    """The row's faults with their places, by column; one fault a column is enough."""
    found: dict[object, BadInput] = {}
    for fault in wrong:
        column = column_of(fault, sheet)
        shown = row.cells[column] if column else fault.value
        at_column = BadInput(fault.field, shown, fault.fix, where=sheet.where(row.line, column))
        found.setdefault(column or str(fault), at_column)
    order = {column: i for i, column in enumerate(sheet.columns)}
    return [found[c] for c in sorted(found, key=lambda c: order.get(str(c), len(order)))]


def once(key: str, seen: set[str], column: str) -> list[BadInput]:
    """A fault when an earlier row had the same key; remembers the key in `seen`."""
    again = key in seen
    seen.add(key)
    return [BadInput(column, key, "it stands in the file twice: keep one line")] if again else []


def column_of(fault: BadInput, sheet: Sheet) -> str | None:
    """The column that a fault of a whole value belongs to, as far as its name tells."""
    field = fault.field
    names = {field, field.split()[0], *_OTHER_NAMES.get(field, ())}
    return next((c for c in sheet.columns if c in names), None)


#: column of a quantity -> (item, system of units)
ITEM_COLUMNS = {name: item_of(name) for system in (METRIC, "us") for name in item_names(system).values()}

#: a field as the domain calls it -> the columns that may hold it
_OTHER_NAMES: dict[str, tuple[str, ...]] = {
    f.attr: f.names for f in (*JOB_FIELDS, *CREW_FIELDS, *MACHINE_FIELDS, *TRUCK_FIELDS)
} | {
    "crew": ("name",),
    "machine": ("key",),
    "truck": ("key",),
    "latitude": ("latitude_deg", "depot_latitude_deg"),
    "longitude": ("longitude_deg", "depot_longitude_deg"),
    **{
        name: (*(item_names(system)[key] for system in ("us", METRIC)), "quantity")
        for name, (key, _) in ITEM_COLUMNS.items()
    },
}
