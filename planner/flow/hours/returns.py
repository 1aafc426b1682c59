"""A returned day sheet from text to logged hours, once."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date

from planner.domain.crew_day.daysheet import DaySheet
from planner.domain.crew_day.misses import LoggedMiss, open_misses
from planner.domain.crew_day.returned import ReturnedSheet, decode_all
from planner.domain.firm.actuals import Log
from planner.domain.hours.returns import Reading, read_return, replaced_by, source_of
from planner.domain.season.plan import Plan
from planner.errors import BadInput
from planner.flow.crew_day.sheet import sheet_maker
from planner.flow.stored.facts import rules_beside
from planner.flow.stored.roster import read_roster, shown_plan
from planner.store.books import Book
from planner.store.engine import Store


@dataclass(frozen=True, slots=True)
class Arrival:
    """One return as it arrived. again: the same return was logged already, and its hours still stand.

    open_before: missed checks of its jobs from other returns, not settled yet.
    """

    reading: Reading
    again: bool
    open_before: tuple[LoggedMiss, ...] = ()


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

    A later return of the same crew and day takes the place of the earlier one.
    """
    written = 0
    with Store(location).writing(who) as book:
        for arrival in arrivals:
            reading, sheet = arrival.reading, arrival.reading.sheet
            logged = book.logs(crew=sheet.crew, first=sheet.day, last=sheet.day)
            if _again(book, reading, logged):
                continue
            for old in replaced_by(sheet, reading.logs, logged):
                book.remove_log(old.id)
            for log in reading.logs:
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
        fix = "there is no such plan here: is this the right database?"
        raise BadInput("plan", returned.plan_number, fix)
    plan, current = book.plan(returned.plan_number), shown_plan(book)
    sheet = _sheet_of(book, location, returned, current, plan)
    logged = book.logs()
    reading = read_return(
        returned,
        sheet,
        roster,
        plan,
        current,
        today,
        logged=logged,
        expected_crew=crew,
        expected_day=day,
    )
    others = [log for log in logged if log not in reading.replaced]
    jobs = {entry.job for entry in returned.tasks}
    before = tuple(m for m in open_misses(others, book.office_marks()) if m.job in jobs)
    return Arrival(reading, _again(book, reading, logged), before)


def _sheet_of(book: Book, location: str, returned: ReturnedSheet, *plans: Plan) -> DaySheet:
    """The sheet that the crew saw: by its mark among those of the plans, as things stand, and as they stood.

    The last one when none has the mark.
    """
    made = []
    for plan in plans:
        roster = read_roster(book, plan, returned.day, rules_beside(location))
        bare = replace(roster, finished={}, today=None)
        known = replace(bare, lost=(roster.known or roster).lost)
        for seen in (roster, bare, known):
            made.append(sheet_maker(book, location, seen)(plan, returned.crew, returned.day))
            if made[-1].mark == returned.mark:
                return made[-1]
    return made[-2]


def _again(book: Book, reading: Reading, logged: Sequence[Log]) -> bool:
    """True when this very text was taken in and every entry that it made is still in the book."""
    seen = book.returned(reading.sheet.mark)
    if seen is None or seen.digest != reading.sheet.digest:
        return False
    works = {(log.job, log.phase) for log in logged if log.source == source_of(reading.sheet)}
    return all((log.job, log.phase) in works for log in reading.logs)
