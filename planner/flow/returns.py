"""A returned day sheet from text to logged hours, once."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from planner.domain.daysheet import day_sheet
from planner.domain.records import ReturnSeen
from planner.domain.returned import ReturnedSheet, decode_all
from planner.domain.returns import Reading, read_return, source_of
from planner.errors import BadInput
from planner.flow.boards import read_roster, shown_plan
from planner.flow.planning import rules_beside
from planner.flow.sheets import checklist_beside
from planner.store.books import Book
from planner.store.engine import Store


@dataclass(frozen=True, slots=True)
class Arrival:
    """One return as it arrived. seen: what was taken in from this very sheet before, None for nothing."""

    reading: Reading
    seen: ReturnSeen | None

    @property
    def again(self) -> bool:
        """The same return was logged already."""
        return self.seen is not None and self.seen.digest == self.reading.sheet.digest


def open_returns(
    location: str, text: str, today: date, *, crew: str | None = None, day: date | None = None
) -> list[Arrival]:
    """Every return in `text`, read against its sheet; nothing is changed.

    crew, day: whose return was expected; another one is asked about. Raises BadInput for a damaged text.
    """
    returned = decode_all(text)
    with Store(location).reading() as book:
        return [_arrival(book, location, sheet, today, crew, day) for sheet in returned]


def log_returns(location: str, who: str, arrivals: Sequence[Arrival]) -> int:
    """Log the hours of the returns that are not logged yet; how many entries were written.

    A corrected return of the same sheet takes the place of the earlier one.
    """
    written = 0
    with Store(location).writing(who) as book:
        for arrival in arrivals:
            sheet = arrival.reading.sheet
            before = book.returned(sheet.mark)
            if before is not None and before.digest == sheet.digest:
                continue
            if before is not None:
                _remove(book, sheet)
            for log in arrival.reading.logs:
                book.save_log(log)
                written += 1
            book.save_return(sheet.mark, sheet.crew, sheet.day, sheet.digest)
    return written


def _arrival(
    book: Book, location: str, returned: ReturnedSheet, today: date, crew: str | None, day: date | None
) -> Arrival:
    roster = read_roster(book)
    if returned.crew not in roster.crews:
        raise BadInput("crew", returned.crew, "the return is of a crew that is not in the list")
    if returned.plan_number not in {head.number for head in book.plans()}:
        mend = "there is no such plan here: is this the right database?"
        raise BadInput("plan", returned.plan_number, mend)
    plan = book.plan(returned.plan_number)
    sheet = day_sheet(
        roster, plan, returned.crew, returned.day, checklist_beside(location), rules=rules_beside(location)
    )
    reading = read_return(
        returned,
        sheet,
        roster,
        plan,
        shown_plan(book),
        today,
        logged=book.logs(),
        expected_crew=crew,
        expected_day=day,
    )
    return Arrival(reading, book.returned(returned.mark))


def _remove(book: Book, sheet: ReturnedSheet) -> None:
    for log in book.logs():
        if log.source == source_of(sheet) and log.crew == sheet.crew and log.day == sheet.day:
            book.remove_log(log.id)
