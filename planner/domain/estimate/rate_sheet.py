"""A rate book as a table that a spreadsheet opens, and the rows of a firm's own table back.

Columns: key, kind, unit, low, likely, high, source, words. On the way in only key, low, likely and high are
needed; what is left out stays as the edition has it. Every fault of the table is reported at once.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Mapping
from dataclasses import replace
from typing import TYPE_CHECKING

from planner.domain.estimate.rates import Rate, RateBook, RowKind
from planner.errors import BadInput, BadInputs

if TYPE_CHECKING:
    from _csv import Reader

COLUMNS = ("key", "kind", "unit", "low", "likely", "high", "source", "words")
_NEEDED = ("key", "low", "likely", "high")

#: Beginning of a key -> least and most that its numbers may be; the first that fits counts.
#: Shares of an hour, of hands and of a dig stay where a formula can divide by what is left.
LIMITS: Mapping[str, tuple[float, float]] = {
    "crew.": (1e-6, 0.9),
    "dig.trim_share": (1e-6, 0.9),
    "digger.working_min_h": (1.0, 60.0),
    "heat.rest_min_h": (1e-6, 45.0),
    "hose.gpm": (0.1, 1000.0),
    "learn.rate": (0.5, 1.0),
    "learn.jobs": (1.0, 1000.0),
    "liner.heavy_power": (1e-6, 3.0),
    "overtime.": (0.1, 1.0),
    "refit.half_life_d": (1.0, 36500.0),
    "refit.": (1e-3, 3.0),
    "truck.load_cy": (0.1, 1000.0),
}
_FACTOR_LIMITS, _OTHER_LIMITS = (0.1, 20.0), (1e-5, 1e5)


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


def limits(row: Rate) -> tuple[float, float]:
    """Least and most that a number of this row may be."""
    usual = _FACTOR_LIMITS if row.kind is RowKind.FACTOR else _OTHER_LIMITS
    return next((found for start, found in LIMITS.items() if row.key.startswith(start)), usual)


def read(text: str, book: RateBook, name: str, own_source: str) -> list[Rate]:
    """Rows of the table that differ from `book`. own_source: for changed numbers without a source.

    Raises BadInputs with file, line and column of everything that is wrong.
    """
    reader = csv.reader(io.StringIO(text))
    try:
        return _read(reader, book, name, own_source)
    except csv.Error as fault:
        place = f"{name} line {reader.line_num}"
        raise BadInput("table", str(fault), "write a plain CSV table", where=place) from None


def _read(reader: Reader, book: RateBook, name: str, own_source: str) -> list[Rate]:
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
        fix = "no such row; planner rates show lists the keys"
        raise BadInput("key", key, fix, where=f"{where} column {head.index('key') + 1}")
    unit = row.get("unit", before.unit) or before.unit
    if unit != before.unit:
        raise BadInput(
            "unit", unit, f"this row is in {before.unit}", where=f"{where} column {head.index('unit') + 1}"
        )
    faults: list[BadInput] = []
    band: list[float] = []
    for column in ("low", "likely", "high"):
        place = f"{where} column {head.index(column) + 1}"
        try:
            band.append(_number(column, row.get(column, ""), before, place))
        except BadInput as fault:
            faults.append(fault)
    faults += [
        BadInput(
            column,
            row[column],
            "write at most 500 characters, none of them a control character",
            where=f"{where} column {head.index(column) + 1}",
        )
        for column in ("source", "words")
        if len(row.get(column, "")) > 500 or not row.get(column, "").isprintable()
    ]
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
        raise BadInput(fault.field, fault.value, fault.fix, where=where) from None


def _number(column: str, text: str, row: Rate, place: str) -> float:
    try:
        value = float(text)
    except ValueError:
        raise BadInput(column, text, "write a number like 1.5", where=place) from None
    least, most = limits(row)
    if not least <= value <= most:
        raise BadInput(f"{row.key} {column}", text, f"write a number from {least:g} to {most:g}", where=place)
    return value
