"""Names for the shell's completion. Quick, and silent when the database cannot be read."""

from __future__ import annotations

from datetime import timedelta

import typer

from planner.cli import edge
from planner.errors import PlannerError


def _known(ctx: typer.Context, what: str, incomplete: str) -> list[str]:
    from planner.flow.keeping.names import names_of

    chosen = ctx.find_root().params.get("db")
    try:
        found = names_of(str(chosen) if chosen else edge.location(), what)
    except PlannerError:
        return []
    return [name for name in found if name.lower().startswith(incomplete.lower())]


def job_codes(ctx: typer.Context, incomplete: str) -> list[str]:
    """Codes of jobs that begin like what was typed."""
    return _known(ctx, "job", incomplete)


def crew_names(ctx: typer.Context, incomplete: str) -> list[str]:
    """Names of crews that begin like what was typed."""
    return _known(ctx, "crew", incomplete)


def machine_keys(ctx: typer.Context, incomplete: str) -> list[str]:
    """Keys of machines that begin like what was typed."""
    return _known(ctx, "machine", incomplete)


def truck_keys(ctx: typer.Context, incomplete: str) -> list[str]:
    """Keys of trucks that begin like what was typed."""
    return _known(ctx, "truck", incomplete)


def dates(incomplete: str) -> list[str]:
    """Today and the next two weeks, as dates."""
    try:
        first = edge.today()
    except PlannerError:
        return []
    listed = ["today", "tomorrow", *((first + timedelta(days=n)).isoformat() for n in range(14))]
    return [d for d in listed if d.startswith(incomplete)]
