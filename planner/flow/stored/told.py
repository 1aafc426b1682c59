"""What customers were told, from the store: the plan published first, and the calls that are ticked."""

from __future__ import annotations

from typing import TYPE_CHECKING

from planner.domain.season.plan import Told
from planner.domain.standing.told import told_days

if TYPE_CHECKING:
    from planner.store.books import Book


def read_told(book: Book) -> Told:
    """Job -> the days that its customer knows, in the caller's transaction."""
    heads = [(h.published_at, h.number) for h in book.plans() if h.published_at is not None]
    first = book.plan(min(heads)[1]) if heads else None
    return told_days(first, book.office_marks(), book.firm().weights.tell_days)
