"""What customers were told, from the store: the plans published last, and the calls that are ticked."""

from __future__ import annotations

from typing import TYPE_CHECKING

from planner.domain.standing.told import Told, told_days

if TYPE_CHECKING:
    from planner.store.books import Book

#: So many published plans back a customer may still know an old day.
PLANS_BACK = 8


def read_told(book: Book) -> Told:
    """Job -> the days that its customer knows, in the caller's transaction."""
    heads = sorted((h.published_at, h.number) for h in book.plans() if h.published_at is not None)
    return told_days([book.plan(number) for _, number in heads[-PLANS_BACK:]], book.office_marks())
