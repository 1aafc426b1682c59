"""The history: when, who, what, and which fields changed."""

from __future__ import annotations

import json
import re
from collections.abc import Sequence
from datetime import datetime
from typing import TYPE_CHECKING, Any

from rich.text import Text

from planner.domain.dates import figures, moment_figures
from planner.domain.firm.records import Change
from planner.report.keeping.rows import short, table_of, tell
from planner.report.terminal import show_table

if TYPE_CHECKING:
    from rich.console import Console


def history_page(console: Console, changes: Sequence[Change]) -> None:
    """One line a change, newest first: when, who, what, and which fields."""
    if not changes:
        tell(console, "nothing was changed yet")
        return
    table = table_of("when", "who", "what", "which", "change", fold=("who", "which", "change"))
    for change in changes:
        words = changed_words(change)
        if change.undone:
            words = f"(taken back) {words}"
        if change.undoes is not None:
            words = f"(undo) {words}"
        at, what = moment_figures(change.at), f"{change.noun} {change.verb}"
        table.add_row(at, Text(change.who), what, Text(change.key), Text(short(words, 300)))
    show_table(console, table)


def changed_words(change: Change) -> str:
    """The fields that a change touched: "promised 5/20/2027 → 5/27/2027"; what a plan leaves aside."""
    before, after = (None if t is None else json.loads(t) for t in (change.before, change.after))
    if before is None and isinstance(after, dict):
        return str(after.get("even_if", ""))
    if not isinstance(before, dict) or not isinstance(after, dict):
        return ""
    names = [n for n in (before | after) if before.get(n) != after.get(n)]
    return "; ".join(_changed(n, before.get(n), after.get(n)) for n in names)


def _changed(name: str, before: Any, after: Any) -> str:
    if isinstance(before, list) and isinstance(after, list):
        gone = [f"- {_entry(e)}" for e in before if e not in after]
        new = [f"+ {_entry(e)}" for e in after if e not in before]
        return f"{name} {', '.join(gone + new) or 'reordered'}"
    return f"{name} {_brief(before)} → {_brief(after)}"


#: A day or a moment as the history keeps it.
_STAMP = re.compile(r"\d{4}-\d\d-\d\d(?:T\d\d:\d\d(?::\d\d)?)?", re.ASCII)
_TELLING = ("kind", "item", "quantity", "phase", "crew", "start", "first", "last", "opens", "met", "units")


def _entry(value: Any) -> str:
    """The telling fields of an entry of a list: "boulder_large_ton 4"."""
    if not isinstance(value, dict):
        return _brief(value)
    flat = value | value.get("days", {})
    told = [(n, flat[n]) for n in _TELLING if flat.get(n) not in (None, "", False)]
    return " ".join(_word(name, value) for name, value in told)


def _word(name: str, value: Any) -> str:
    if value is True:
        return name
    return f"{value:.4g}" if isinstance(value, float) else short(_dated(str(value)), 40)


def _dated(text: str) -> str:
    """A stored day or moment as the firm writes it; any other text as it is."""
    if not _STAMP.fullmatch(text):
        return text
    moment = datetime.fromisoformat(text)
    return moment_figures(moment) if "T" in text else figures(moment)


def _brief(value: Any) -> str:
    if value is None or value == "":
        return "-"
    if isinstance(value, dict):
        return "{" + ", ".join(sorted(value)) + "}"
    return short(_dated(str(value)), 60)
