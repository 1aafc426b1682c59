"""A rate book as a table that a spreadsheet opens, and the rows of a firm's own table back.

Columns: key, kind, unit, low, likely, high, source, words. On the way in only key, low, likely and high are
needed; what is left out stays as the edition has it. Every fault of the table is reported at once.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Mapping
from dataclasses import replace

from planner.domain.rates import Rate, RateBook
from planner.errors import BadInput, BadInputs

COLUMNS = ("key", "kind", "unit", "low", "likely", "high", "source", "words")
_NEEDED = ("key", "low", "likely", "high")


def written(book: RateBook) -> str:
    """The edition's rows as CSV, in the book's order."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(COLUMNS)
    for row in book.rows.values():
        writer.writerow(
            [row.key, row.kind.value, row.unit, *(f"{v:.10g}" for v in row.band), row.source, row.words]
        )
    return out.getvalue()


def read(text: str, book: RateBook, name: str, own_source: str) -> list[Rate]:
    """Rows of the table that differ from `book`. own_source: for changed numbers without a source.

    Raises BadInputs with file, line and column of everything that is wrong.
    """
    reader = csv.reader(io.StringIO(text))
    head = [cell.strip().lower() for cell in next(reader, [])]
    missing = [column for column in _NEEDED if column not in head]
    if missing:
        raise BadInput(
            "columns",
            ", ".join(head),
            f"the first line must name {', '.join(missing)}",
            where=f"{name} line 1",
        )
    faults: list[BadInput] = []
    found: dict[str, Rate] = {}
    for cells in reader:
        if not any(cell.strip() for cell in cells):
            continue
        where = f"{name} line {reader.line_num}"
        row = dict(zip(head, (cell.strip() for cell in cells), strict=False))
        if row.get("key") in found:
            faults.append(BadInput("key", row["key"], "name each row once", where=where))
            continue
        try:
            rate = _row(row, head, book, where, own_source)
            found[rate.key] = rate
        except BadInputs as several:
            faults += several.faults
        except BadInput as fault:
            faults.append(fault)
    if faults:
        raise BadInputs(faults)
    return [rate for key, rate in found.items() if rate != book.rows[key]]


def _row(row: Mapping[str, str], head: list[str], book: RateBook, where: str, own_source: str) -> Rate:
    key = row.get("key", "")
    before = book.rows.get(key)
    if before is None:
        mend = "no such row; planner rates show lists the keys"
        raise BadInput("key", key, mend, where=f"{where} column {head.index('key') + 1}")
    unit = row.get("unit", before.unit) or before.unit
    if unit != before.unit:
        raise BadInput(
            "unit", unit, f"this row is in {before.unit}", where=f"{where} column {head.index('unit') + 1}"
        )
    faults: list[BadInput] = []
    band: list[float] = []
    for column in ("low", "likely", "high"):
        try:
            band.append(float(row.get(column, "")))
        except ValueError:
            place = f"{where} column {head.index(column) + 1}"
            faults.append(BadInput(column, row.get(column, ""), "write a number like 1.5", where=place))
    if faults:
        raise BadInputs(faults)
    changed = tuple(band) != before.band
    source = row.get("source", "") or before.source
    if changed and source == before.source:
        source = own_source
    try:
        return replace(
            before,
            low=band[0],
            likely=band[1],
            high=band[2],
            source=source,
            words=row.get("words", "") or before.words,
        )
    except BadInput as fault:
        raise BadInput(fault.field, fault.value, fault.mend, where=where) from None
