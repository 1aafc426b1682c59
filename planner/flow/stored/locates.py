"""Locates from the store: the state's rule beside the database, the office's ticks, how each dig stands."""

from __future__ import annotations

from datetime import datetime
from typing import TYPE_CHECKING

from planner.domain.firm.actuals import of_jobs, progress
from planner.domain.season.plan import Plan
from planner.domain.standing.locate_standing import (
    LocateFile,
    LocateStanding,
    locate_standings,
)
from planner.store.engine import Store
from planner.store.shipped.locates import locate_rule
from planner.store.shipped.own_file import folder_of

if TYPE_CHECKING:
    from planner.store.books import Book


def locate_file(book: Book, location: str, now: datetime | None = None) -> LocateFile:
    """What the office knows of locates, in the caller's transaction; reckoned at `now` (None: at once)."""
    firm = book.firm()
    rule = locate_rule(firm.state, folder_of(location))
    return LocateFile(rule, book.office_marks(), now or book.clock(), firm.shift_start)


def read_locates(book: Book, location: str, plan: Plan) -> dict[str, LocateStanding]:
    """Job -> how its locate stands now for the digging that `plan` still holds, by dig."""
    file = locate_file(book, location)
    jobs = {job.code: job for job in book.jobs()}
    logs = of_jobs(book.logs(), {b.job for b in plan.bookings})
    return locate_standings(file, jobs, plan.bookings, progress(logs))


def load_locates(location: str, plan: Plan) -> dict[str, LocateStanding]:
    """The same in a transaction of its own."""
    with Store(location).reading() as book:
        return read_locates(book, location, plan)


def load_job_locate(location: str, code: str) -> list[LocateStanding]:
    """How the locate of one job stands for the plan that counts; empty when that plan digs nothing there."""
    with Store(location).reading() as book:
        if not book.plans():
            return []
        found = read_locates(book, location, book.published() or book.plan()).get(code)
        return [found] if found else []
