"""The week's board from the store: the plan in force, the misses, the board."""

from __future__ import annotations

from datetime import date

from planner.domain.crew_day.board import Board, board
from planner.flow.stored.facts import rules_beside
from planner.flow.stored.roster import read_in_force, read_misses
from planner.store.engine import Store


def week_board(
    location: str, day: date, today: date, *, number: int | None = None, draft: bool = False
) -> Board:
    """The board of the week that holds `day`."""
    with Store(location).reading() as book:
        roster, plan = read_in_force(book, location, today, number, draft=draft)
        rules = rules_beside(location)
        return board(roster, plan, day, read_misses(book), book.logs(), rules)
