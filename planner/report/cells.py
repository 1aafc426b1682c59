"""Tables in files that spreadsheets open."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Sequence
from datetime import date, datetime

from planner.domain.dates import figures, moment_figures

#: A cell that begins with one of these may be run as a formula (OWASP, CSV injection; from memory).
_FORMULA = ("=", "+", "-", "@", "\t", "\r", "\n")


def safe_cell(text: str) -> str:
    """`text` with an apostrophe before it when a spreadsheet might run it; numbers stay numbers.

    >>> safe_cell("=1+1"), safe_cell("-3.5")
    ("'=1+1", '-3.5')
    """
    if not text.startswith(_FORMULA):
        return text
    try:
        float(text)
    except ValueError:
        return "'" + text
    return text


def table_csv(head: Sequence[str], rows: Iterable[Sequence[object]]) -> str:
    """A table as CSV, lines ended by a line feed; no cell can be run as a formula, None is empty.

    >>> table_csv(["job", "client"], [["Q1", "=1+1"], ["Q2", None]])
    "job,client\\nQ1,'=1+1\\nQ2,\\n"
    """
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(head)
    for row in rows:
        writer.writerow(["" if cell is None else safe_cell(_text(cell)) for cell in row])
    return out.getvalue()


def _text(cell: object) -> str:
    """A cell as a spreadsheet reads it: days and moments in the firm's figures."""
    if isinstance(cell, datetime):
        return moment_figures(cell)
    return figures(cell) if isinstance(cell, date) else str(cell)
