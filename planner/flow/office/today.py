"""The morning from the store."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime

from planner.domain.crew_day.board import board
from planner.domain.office.list import office_list, to_do
from planner.domain.office.morning import Morning, before_the_first_plan, morning
from planner.domain.office.rain import likely_lost
from planner.flow.office.office import Known, read_desk
from planner.flow.stored.roster import read_in_force, read_misses, read_roster
from planner.flow.stored.weather import forecast_and_why
from planner.store.engine import Store


def load_morning(location: str, now: datetime, known: Callable[[], Known] | None = None) -> Morning:
    """What is on at `now`, from the published plan or else the newest draft.

    known: gives facts and season where they were read already.
    """
    with Store(location).reading() as book:
        today = now.date()
        if not book.plans():
            roster = read_roster(book)
            return before_the_first_plan(
                today, roster.firm.name, crews=bool(roster.crews), jobs=bool(roster.jobs)
            )
        roster, plan = read_in_force(book, location, today)
        logs = book.logs()
        desk = read_desk(book, location, now, known() if known else None)
        kept, why = forecast_and_why(location, roster.firm, today)
        return morning(
            today,
            roster.firm.name,
            board(roster, plan, today, read_misses(book), logs),
            to_do(office_list(desk), today),
            logs,
            forecast=desk.forecast,
            rain=likely_lost(desk),
            no_forecast=why if kept else "",
            units=roster.firm.units,
        )
