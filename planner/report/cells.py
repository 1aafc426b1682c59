"""Texts in files that spreadsheets open."""

from __future__ import annotations

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
