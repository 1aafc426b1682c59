"""Paragraphs on a terminal: wrapped with a hanging indent, brackets and emoji in names left as they are."""

from __future__ import annotations

from io import StringIO
from typing import TYPE_CHECKING

from rich.cells import cell_len
from rich.text import Text

if TYPE_CHECKING:
    from collections.abc import Callable

    from rich.console import Console
    from rich.table import Table


def say(console: Console, text: str, *, style: str = "", hang: int = 0) -> None:
    """One paragraph; its own leading spaces indent the first line, `hang` spaces the others."""
    if not text:
        console.print()
        return
    lead = len(text) - len(text.lstrip())
    hang = hang or lead
    rows = Text(text.strip(), style=style).wrap(console, max(console.width, 30) - max(hang, lead))
    for n, row in enumerate(rows):
        row.rstrip()
        indent = Text(" " * (lead if n == 0 else hang))
        console.print(indent + row, no_wrap=True, overflow="ignore", crop=False)


#: So wide that no line of a text without tables is broken before the page breaks it itself [columns].
PROSE = 4000


def as_text(page: Callable[[Console], None], width: int = 110) -> str:
    """What the terminal would print, as text: the same words, for pages that have no form of their own."""
    from rich.console import Console

    out = StringIO()
    page(Console(file=out, markup=False, highlight=False, emoji=False, width=width, color_system=None))
    return out.getvalue()


def show_table(console: Console, table: Table) -> None:
    """A table, or where the terminal is too narrow for its columns each row as a paragraph of its own.

    A column that may wrap must keep its longest word, and 14 columns for a sentence.
    """
    if _least_width(table) <= console.width:
        console.print(table)
        return
    heads = [_plain(column.header) for column in table.columns]
    cells = [[_plain(cell) for cell in column.cells] for column in table.columns]
    for row in zip(*cells, strict=True):
        told = [f"{head} {cell}".strip() for head, cell in zip(heads[1:], row[1:], strict=True) if cell]
        say(console, f"{row[0]}: {'; '.join(told)}" if told else row[0], hang=4)


def _least_width(table: Table) -> int:
    """How narrow the table can be and still be read [columns]."""
    needed = 0
    for column in table.columns:
        texts = [_plain(column.header), *map(_plain, column.cells)]
        widest = max(cell_len(line) for text in texts for line in (text.splitlines() or [""]))
        word = max((cell_len(word) for text in texts for word in text.split()), default=0)
        whole = max((cell_len(str(cell)) for cell in column.cells), default=0)  # a bar's blanks too
        needed += max(widest, whole) if column.no_wrap else max(word, min(widest, 14))
    return needed + 2 * (len(table.columns) - 1)


def _plain(cell: object) -> str:
    return cell.plain.strip() if isinstance(cell, Text) else str(cell).strip()
