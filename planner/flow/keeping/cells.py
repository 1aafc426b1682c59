"""CSV text and its cells: reading with line and column, writing so that a spreadsheet runs nothing.

A text cell that a spreadsheet could take for a formula (it begins with = + - @, a tab or a carriage return)
gets an apostrophe before it on the way out and loses it on the way in; a text that begins with apostrophes
before such a sign gets one more, so every text comes back as it was.
"""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

from planner.domain.spelling import meant
from planner.errors import BadInput, BadInputs

#: A number with one comma; the same when the comma may as well part thousands.
_COMMA, _UNCLEAR = re.compile(r"-?\d+,\d+", re.ASCII), re.compile(r"-?[1-9]\d{0,2},\d{3}", re.ASCII)

#: A sign of money before or after a number; a number with commas between its thousands.
_CURRENCY = re.compile(r"^[$\u20ac\u00a3]\s*(?=[\d.-])|(?<=\d)\s*[\u20ac\u00a3]$")
_THOUSANDS = re.compile(r"-?\d{1,3}(,\d{3})+(\.\d*)?", re.ASCII)

#: How files that are no CSV begin: what they are, and what to do.
_SAVE_AS = "open it in the spreadsheet program and save the sheet as CSV (UTF-8), then import that"
_OTHER_FILES = (
    (b"PK\x03\x04", "a spreadsheet workbook (.xlsx, .ods) or another zip", _SAVE_AS),
    (b"\xd0\xcf\x11\xe0", "a spreadsheet workbook (.xls)", _SAVE_AS),
    (b"%PDF", "a PDF", "save the table itself as CSV (UTF-8), then import that"),
    (b"\xff\xfe", "UTF-16 text", "save it as CSV in UTF-8"),
    (b"\xfe\xff", "UTF-16 text", "save it as CSV in UTF-8"),
)

_FORMULA = re.compile(r"'*[=+\-@\t\r]")
_GUARDED = re.compile(r"'+[=+\-@\t\r]")

#: A row whose first cell begins so is for the person who fills the file in; it is not read.
REMARK = "#:"

#: A file is at most this long [bytes], a cell [characters], and a file has at most so many rows.
FILE_BYTES, CELL_LENGTH, ROWS = 20_000_000, 10_000, 20_000


def guard(text: str) -> str:
    """`text` as a cell that no spreadsheet takes for a formula.

    >>> guard("=1+1"), restore(guard("=1+1")), guard("plain")
    ("'=1+1", '=1+1', 'plain')
    """
    return f"'{text}" if _FORMULA.match(text) else text


def restore(cell: str) -> str:
    """The inverse of `guard`."""
    return cell[1:] if _GUARDED.match(cell) else cell


@dataclass(frozen=True, slots=True)
class Row:
    """One row below the header: column name -> text, and where it stands."""

    cells: Mapping[str, str]
    line: int


@dataclass(frozen=True, slots=True)
class Sheet:
    """A CSV file in memory: its name for messages, its columns in order, its rows."""

    name: str
    columns: tuple[str, ...]
    rows: tuple[Row, ...]

    def where(self, line: int, column: str | None = None) -> str:
        """ "jobs.csv line 7 column 4 (soil)"; without the column when it is not known."""
        place = f"{self.name} line {line}"
        if column in self.columns:
            place += f" column {self.columns.index(column) + 1} ({column})"
        return place

    def at(self, fault: BadInput, line: int, column: str | None = None) -> BadInput:
        """The fault with its place in the file."""
        return BadInput(fault.field, fault.value, fault.fix, where=self.where(line, column or fault.field))


def read_sheet(
    name: str, raw: bytes, known: Sequence[str] | None, needed: Sequence[str], numbers: Collection[str] = ()
) -> Sheet:
    """The file's rows, its columns checked against `known` (None: any are let through) and `needed`.

    Raises BadInputs with all faults.

    Cells are parted by commas, semicolons or tabs, whichever the header holds most of. numbers: the columns
    that hold numbers; where semicolons or tabs part the cells, those may be written with a decimal comma.
    """
    text = _decoded(name, raw)
    header = text.partition("\n")[0]
    comma = max((",", ";", "\t"), key=header.count)
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=comma, strict=True)
    csv.field_size_limit(CELL_LENGTH * 2)
    rows: list[tuple[int, list[str]]] = []
    begins = 1
    try:
        for cells in reader:
            if any(c.strip() for c in cells) and not cells[0].lstrip().startswith(REMARK):
                rows.append((begins, cells))
            begins = reader.line_num + 1
            if len(rows) > ROWS + 1:
                raise BadInput("rows", f"more than {ROWS}", "split the file", where=name)
    except csv.Error as error:
        raise BadInput(
            "row", str(error), "fix the quotes, or shorten the cell", where=f"{name} line {begins}"
        ) from None
    if not rows:
        raise BadInput("file", "empty", f"begin with a line of column names: {', '.join(needed)}", where=name)
    columns = tuple(c.strip().lower() for c in rows[0][1])
    faults = _column_faults(name, columns, columns if known is None else known, needed)
    found = []
    for line, cells in rows[1:]:
        if len(cells) > len(columns) and any(c.strip() for c in cells[len(columns) :]):
            where = f"{name} line {line}"
            faults.append(
                BadInput("cells", len(cells), f"the header has {len(columns)} columns", where=where)
            )
        padded = [*cells, *[""] * (len(columns) - len(cells))]
        mapped = {c: restore(v) for c, v in zip(columns, padded, strict=False)}
        found.append(Row(mapped, line))
        faults += _cell_faults(name, line, columns, mapped)
    figures = [c for c in columns if c in numbers]
    sheet = _bare_numbers(Sheet(name, columns, tuple(found)), figures, thousands=comma == ",")
    if comma != ",":
        sheet, unclear = _with_decimal_points(sheet, figures)
        faults += unclear
    if faults:
        raise several(faults)
    return sheet


def write_sheet(columns: Sequence[str], rows: Iterable[Sequence[str]], *, to_file: bool) -> str:
    """CSV text; its cells are guarded already. to_file: with a byte-order mark and CRLF, for spreadsheets."""
    out = io.StringIO(newline="")
    writer = csv.writer(out, lineterminator="\r\n" if to_file else "\n")
    writer.writerow(columns)
    writer.writerows(rows)
    return ("\ufeff" if to_file else "") + out.getvalue()


def several(faults: Sequence[BadInput], most: int = 200) -> BadInputs:
    """All faults as one refusal; beyond `most` only their number is told."""
    if len(faults) <= most:
        return BadInputs(faults)
    rest = BadInput("file", f"{len(faults) - most} more faults", "fix these first")
    return BadInputs([*faults[:most], rest])


def _decoded(name: str, raw: bytes) -> str:
    if len(raw) > FILE_BYTES:
        raise BadInput("file", f"{len(raw)} bytes", f"split it: at most {FILE_BYTES} bytes", where=name)
    for begins, what, fix in _OTHER_FILES:
        if raw.startswith(begins):
            raise BadInput("file", what, fix, where=name)
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = raw.count(b"\n", 0, error.start) + 1
        shown = f"byte {raw[error.start]:#04x}"
        raise BadInput("text", shown, "save the file as CSV in UTF-8", where=f"{name} line {line}") from None
    if "\0" in text:
        line = text.count("\n", 0, text.index("\0")) + 1
        raise BadInput("text", "NUL character", "save the file as CSV in UTF-8", where=f"{name} line {line}")
    return text


def _column_faults(
    name: str, columns: Sequence[str], known: Sequence[str], needed: Sequence[str]
) -> list[BadInput]:
    faults = []
    unknown = [c for c in dict.fromkeys(columns) if c not in known]
    if unknown:
        faults.append(_unknown_columns(name, unknown, [c for c in known if c not in columns]))
    for i, column in enumerate(columns):
        if column in known and column in columns[:i]:
            where = f"{name} line 1 column {i + 1}"
            faults.append(BadInput("column", column, "name each column once", where=where))
    for column in needed:
        if column not in columns:
            faults.append(BadInput("column", column, "this column is needed", where=f"{name} line 1"))
    return faults


def _unknown_columns(name: str, unknown: Sequence[str], known: Sequence[str]) -> BadInput:
    """All unknown columns in one line, each with the column that it was probably meant to be."""
    near = {column: meant(column, known) for column in unknown}
    hints = [f"{right} for {column}" for column, right in near.items() if right]
    rest = [column or "the empty one" for column, right in near.items() if not right]
    fixes = [
        *([f"did you mean {', '.join(hints)}?"] if hints else []),
        *([f"take out {', '.join(rest)}"] if rest else []),
        "an export of the same kind shows the names",
    ]
    fault = "not known: " + "; ".join(fixes).replace("?; ", "? ")
    return BadInput("columns", ", ".join(unknown), fault, where=f"{name} line 1")


def _cell_faults(name: str, line: int, columns: Sequence[str], cells: Mapping[str, str]) -> list[BadInput]:
    return [
        BadInput(c, f"{len(v)} characters", f"shorten it to {CELL_LENGTH}", where=f"{name} line {line} ({c})")
        for c, v in cells.items()
        if len(v) > CELL_LENGTH and c in columns
    ]


def _bare_numbers(sheet: Sheet, columns: Sequence[str], *, thousands: bool) -> Sheet:
    """The sheet with these columns' numbers bare of a spreadsheet's dress: "$1,500.00" is 1500.00.

    thousands: commas part thousands, as where commas part the cells too.
    """
    rows = []
    for row in sheet.rows:
        cells = dict(row.cells)
        for column in columns:
            text = cells[column].strip()
            bare = _CURRENCY.sub("", text)
            if thousands and _THOUSANDS.fullmatch(bare):
                bare = bare.replace(",", "")
            if bare != text:
                cells[column] = bare
        rows.append(replace(row, cells=cells))
    return replace(sheet, rows=tuple(rows))


def _with_decimal_points(sheet: Sheet, columns: Sequence[str]) -> tuple[Sheet, list[BadInput]]:
    """The sheet with points for decimal commas in these columns, and a fault for each unclear number.

    "1,500" is a thousand and five hundred to one spreadsheet and one and a half to another. It is read as a
    decimal only when another number of the file shows that its commas are decimal ("7,5", "0,75").
    """
    cells = [(row, c, row.cells[c].strip()) for row in sheet.rows for c in columns]
    decimal = any(_COMMA.fullmatch(text) and not _UNCLEAR.fullmatch(text) for _, _, text in cells)
    faults: list[BadInput] = []
    changed: dict[int, dict[str, str]] = {}
    for row, column, text in cells:
        if not _COMMA.fullmatch(text):
            continue
        pointed = text.replace(",", ".")
        if _UNCLEAR.fullmatch(text) and not decimal:
            whole = text.replace(",", "")
            fix = f"write {whole} or {float(pointed):g}: its comma may part thousands or decimals"
            faults.append(sheet.at(BadInput(column, text, fix), row.line, column))
        changed.setdefault(row.line, dict(row.cells))[column] = pointed
    rows = tuple(replace(row, cells=changed.get(row.line, row.cells)) for row in sheet.rows)
    return replace(sheet, rows=rows), faults
