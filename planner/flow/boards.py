"""The week's board from the store: the roster, the plan that is shown, the board."""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING

from planner.domain.board import Board, board
from planner.domain.design import Design
from planner.domain.misses import LoggedMiss, open_misses
from planner.domain.plan import Plan
from planner.domain.roster import Roster
from planner.errors import PlannerError
from planner.flow.kept_designs import read_kept
from planner.store.engine import Store

if TYPE_CHECKING:
    from planner.store.books import Book


def read_roster(book: Book) -> Roster:
    """The firm as the pages see it, in the caller's transaction."""
    kept = {code: read_kept(text) for code, text in book.designs().items()}
    return Roster(
        firm=book.firm(),
        jobs={job.code: job for job in book.jobs()},
        crews={crew.name: crew for crew in book.crews()},
        machines={machine.key: machine for machine in book.machines()},
        lost=tuple(book.lost()),
        designs={code: found for code, found in kept.items() if isinstance(found, Design)},
        unread={code: found for code, found in kept.items() if isinstance(found, str)},
    )


def read_misses(book: Book) -> tuple[LoggedMiss, ...]:
    """The missed checks that nobody has settled, in the caller's transaction."""
    return open_misses(book.logs(), book.office_marks())


def shown_plan(book: Book, number: int | None = None, *, draft: bool = False) -> Plan:
    """The plan that pages show: `number`, else the published one, else (or with `draft`) the newest.

    Raises PlannerError when there is no plan yet.
    """
    if number is not None:
        return book.plan(number)
    published = None if draft else book.published()
    if published is not None:
        return published
    if not book.plans():
        raise PlannerError("there is no plan yet: make one with `planner plan`")
    return book.plan()


def week_board(location: str, day: date, *, number: int | None = None, draft: bool = False) -> Board:
    """The board of the week that holds `day`."""
    with Store(location).reading() as book:
        return board(read_roster(book), shown_plan(book, number, draft=draft), day, read_misses(book))
