"""Names for the shell's completion. Quick, and silent when the database cannot be read."""

from __future__ import annotations

from collections.abc import Callable
from datetime import timedelta
from typing import TYPE_CHECKING

import typer

from planner.cli import edge
from planner.errors import PlannerError

if TYPE_CHECKING:
    from planner.store.books import Book


def _from_book(ctx: typer.Context, read: Callable[[Book], list[str]]) -> list[str]:
    from planner.flow.records import names_from

    chosen = ctx.find_root().params.get("db")
    try:
        return names_from(str(chosen) if chosen else edge.location(), read)
    except PlannerError:
        return []


def job_codes(ctx: typer.Context, incomplete: str) -> list[str]:
    """Codes of jobs that begin like what was typed."""
    found = _from_book(ctx, lambda book: book.job_codes())
    return [c for c in found if c.lower().startswith(incomplete.lower())]


def crew_names(ctx: typer.Context, incomplete: str) -> list[str]:
    """Names of crews that begin like what was typed."""
    found = _from_book(ctx, lambda book: [c.name for c in book.crews()])
    return [n for n in found if n.lower().startswith(incomplete.lower())]


def machine_keys(ctx: typer.Context, incomplete: str) -> list[str]:
    """Keys of machines that begin like what was typed."""
    found = _from_book(ctx, lambda book: [m.key for m in book.machines()])
    return [k for k in found if k.startswith(incomplete)]


def dates(incomplete: str) -> list[str]:
    """Today and the next two weeks, as dates."""
    try:
        first = edge.today()
    except PlannerError:
        return []
    listed = ["today", "tomorrow", *((first + timedelta(days=n)).isoformat() for n in range(14))]
    return [d for d in listed if d.startswith(incomplete)]
