"""Paragraphs on a terminal: wrapped with a hanging indent, brackets and emoji in names left as they are."""

from __future__ import annotations

from io import StringIO
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Callable

    from rich.console import Console


def say(console: Console, text: str, *, style: str = "", hang: int = 0) -> None:
    """One paragraph; its own leading spaces indent the first line, `hang` spaces the others."""
    from rich.text import Text

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


def as_text(page: Callable[[Console], None], width: int = 110) -> str:
    """What the terminal would print, as text: the same words, for pages that have no form of their own."""
    from rich.console import Console

    out = StringIO()
    page(Console(file=out, markup=False, highlight=False, emoji=False, width=width, color_system=None))
    return out.getvalue()
