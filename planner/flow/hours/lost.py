"""Time that the season loses: enter it in one line, list it, take it back."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from planner.domain.dates import figures, long_day
from planner.domain.firm.lost import LostKind, LostTime
from planner.errors import BadInput, PlannerError
from planner.flow.crew_day.sheet import find_crew
from planner.flow.hours.logs import newest
from planner.store.engine import Store

if TYPE_CHECKING:
    from planner.store.books import Book


def add_lost(location: str, entry: LostTime, *, who: str) -> LostTime:
    """Enter lost time; returns it with its number.

    Raises BadInput for an unknown crew, machine, job or region, hands or units that are not there, or days
    outside the season; PlannerError when the same loss is entered already.
    """
    with Store(location).writing(who=who) as book:
        firm = book.firm()
        if entry.days.first > firm.season_last or entry.days.last < firm.season_first:
            span = f"the season runs from {long_day(firm.season_first)} to {long_day(firm.season_last)}"
            raise BadInput("day", figures(entry.days.first), f"{span}: choose a day in it")
        if entry.kind in {LostKind.CREW_OFF, LostKind.CREW_SHORT}:
            entry = replace(entry, target=find_crew([c.name for c in book.crews()], entry.target))
        _check_target(book, entry)
        twin = next((e for e in book.lost() if _same(e, entry)), None)
        if twin is not None:
            raise PlannerError(f"this is entered already (entry {twin.id}): `planner lost undo {twin.id}`")
        return replace(entry, id=book.save_lost(entry))


def _same(a: LostTime, b: LostTime) -> bool:
    return (a.kind, a.target, a.phase) == (b.kind, b.target, b.phase) and (
        (a.days.first, a.days.last) == (b.days.first, b.days.last)
    )


def _check_target(book: Book, entry: LostTime) -> None:
    if entry.kind is LostKind.RAIN and entry.target:
        regions = sorted({job.region for job in book.jobs() if job.region})
        if entry.target not in regions:
            raise BadInput("region", entry.target, f"use one of: {', '.join(regions) or 'no job has one'}")
    if entry.kind is LostKind.CREW_SHORT:
        size = book.crew(entry.target).size
        if not 1 <= entry.people < size:
            fix = f"{entry.target} has {size} hands: give 1 to {size - 1}, or enter the whole crew as sick"
            raise BadInput("people", entry.people, fix)
    if entry.kind is LostKind.MACHINE_DOWN:
        units = book.machine(entry.target).units
        if not 1 <= entry.people <= units:
            raise BadInput("units", entry.people, f"there are {units} of {entry.target}")
    if entry.kind in {LostKind.DELIVERY, LostKind.INSPECTION}:
        book.job(entry.target)


def list_lost(location: str) -> list[LostTime]:
    """Every entry by first day."""
    with Store(location).reading() as book:
        return book.lost()


def undo_lost(location: str, number: int | None, *, who: str) -> LostTime:
    """Take an entry back, the newest when no number is given."""
    with Store(location).writing(who=who) as book:
        if number is None:
            number = newest(
                (e.id for e in book.lost()), "there is no lost time to take back: see `planner lost list`"
            )
        entry = book.one_lost(number)
        book.remove_lost(number)
        return entry
