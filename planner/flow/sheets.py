"""Day sheets from the store, and the checklist beside it."""

from __future__ import annotations

from datetime import date, timedelta
from pathlib import Path

from planner.domain.checklist import Checklist
from planner.domain.daysheet import DaySheet, day_sheet
from planner.domain.heat import Forecast
from planner.errors import BadInput
from planner.flow.boards import read_roster, shown_plan
from planner.flow.planning import rules_beside
from planner.store.engine import Store
from planner.store.shipped_checklists import checklist


def checklist_beside(location: str) -> Checklist:
    """The checklists: the firm's own file beside a database file, else the shipped ones."""
    return checklist(None if "://" in location else Path(location).expanduser().parent)


def crew_sheet(
    location: str,
    crew: str,
    day: date,
    *,
    number: int | None = None,
    draft: bool = False,
    forecast: Forecast | None = None,
) -> DaySheet:
    """The day sheet of one crew and day."""
    return crew_sheets(location, crew, [day], number=number, draft=draft, forecast=forecast)[0]


def crew_sheets(
    location: str,
    crew: str,
    days: list[date],
    *,
    number: int | None = None,
    draft: bool = False,
    forecast: Forecast | None = None,
) -> list[DaySheet]:
    """The day sheets of one crew for several days, from one reading of the store."""
    lists, rules = checklist_beside(location), rules_beside(location)
    with Store(location).reading() as book:
        roster, plan = read_roster(book), shown_plan(book, number, draft=draft)
    name = find_crew(list(roster.crews), crew)
    return [day_sheet(roster, plan, name, d, lists, rules=rules, forecast=forecast) for d in days]


def find_crew(names: list[str], typed: str) -> str:
    """The crew whose name is `typed`, in any case; BadInput otherwise."""
    if typed in names:
        return typed
    found = [name for name in names if name.casefold() == typed.casefold()]
    if len(found) != 1:
        raise BadInput("crew", typed, f"use one of {', '.join(names) or '(no crew yet: add one first)'}")
    return found[0]


def week_of(day: date) -> list[date]:
    """The seven dates of the ISO week that holds `day`."""
    monday = day - timedelta(days=day.weekday())
    return [monday + timedelta(days=n) for n in range(7)]
