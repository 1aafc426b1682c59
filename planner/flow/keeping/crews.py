"""Crews on record: read, added, changed, taken off."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from datetime import date
from typing import TYPE_CHECKING

from planner.domain.firm.crews import Crew
from planner.domain.firm.fields import CREW_FIELDS
from planner.flow.keeping.history import must_be_as_seen
from planner.flow.keeping.saved import Saved, must_be_free, new_or_not, save_by, with_typed
from planner.store.engine import Store

if TYPE_CHECKING:
    from planner.store.books import Book


def load_crews(location: str) -> list[Crew]:
    """Every crew."""
    with Store(location).reading() as book:
        return book.crews()


def save_crew(
    location: str, who: str, name: str, texts: Mapping[str, str], *, new: bool, seen: int | None = None
) -> Saved:
    """Add or change a crew from typed fields. seen: its newest change when it was read; None asks nothing."""

    def change(book: Book) -> None:
        must_be_as_seen(book, "crew", name, None if new else seen)
        new_or_not(book.has_crew(name), "crew", name, new=new)
        old = Crew(name, "") if new else book.crew(name)
        book.save_crew(with_typed(old, CREW_FIELDS, texts, book.firm().units))

    return save_by(location, who, name, change)


def edit_crew(location: str, who: str, name: str, edit: Callable[[Crew], Crew]) -> Saved:
    """Apply `edit` to the stored crew."""
    return save_by(location, who, name, lambda book: book.save_crew(edit(book.crew(name))))


def remove_crew(location: str, who: str, name: str, today: date, *, even_so: bool = False) -> None:
    """Take a crew off the records; hours and old plans keep its name.

    Refused when the published plan books it from today on, unless `even_so`.
    """
    with Store(location).writing(who) as book:
        if not even_so:
            must_be_free(book, today, f"crew {name}", lambda b: name in b.crews)
        book.remove_crew(name)
