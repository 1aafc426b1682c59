"""`planner` without a word, or `planner today`: what is on, what is late, what the office must do."""

from __future__ import annotations

import typer

from planner.cli import edge


def register(app: typer.Typer) -> None:
    """Add the command `today`."""
    app.command()(today)


def today(as_json: edge.JsonFlag = False) -> None:
    """Today: crews at work, promises at risk, what the office must do.

    The word may be left out: planner alone does the same.

    Example: planner today
    """
    show_today(as_json=as_json)


def show_today(*, as_json: bool) -> None:
    """The morning's page."""
    from planner.flow.office.today import load_morning
    from planner.report.office.today import morning_data, morning_page

    seen = load_morning(edge.location(), edge.now())
    edge.show("today", morning_data(seen), lambda console: morning_page(console, seen), as_json=as_json)
