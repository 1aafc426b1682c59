"""Rate books on the shelf: dated editions, each written once and never changed."""

from __future__ import annotations

import json
from typing import Any

from sqlalchemy import Row, delete, insert, select

from planner.domain.estimate.rates import RateBook
from planner.errors import BadInput, PlannerError
from planner.store.schema import tables as t
from planner.store.tables.rows import Shelf, packed, unreadable


class RateShelf(Shelf):
    """Reading and writing rate books."""

    def rate_books(self) -> list[RateBook]:
        """Every edition in the order they were saved; the shipped one when none was."""
        rows = self.connection.execute(select(t.rate_editions).order_by(t.rate_editions.c.place)).all()
        return [_book(row) for row in rows] or [_shipped()]

    def rate_book(self, edition: str | None = None) -> RateBook:
        """The edition of that name, the newest when None; BadInput when unknown.

        Before any edition was saved the shipped one is the newest.
        """
        chosen = select(t.rate_editions).order_by(t.rate_editions.c.place.desc()).limit(1)
        if edition is not None:
            chosen = chosen.where(t.rate_editions.c.edition == edition)
        row = self.connection.execute(chosen).one_or_none()
        if row is not None:
            return _book(row)
        shipped = _shipped()
        if edition not in (None, shipped.edition):
            raise BadInput("edition", edition, "no rate book has that edition")
        return shipped

    def has_rate_book(self, edition: str) -> bool:
        """True when that edition was saved."""
        column = t.rate_editions.c.edition
        return self.connection.scalar(select(column).where(column == edition)) is not None

    def save_rate_book(self, book: RateBook) -> None:
        """Add an edition. Saving the same edition again with other numbers is refused."""
        if self.has_rate_book(book.edition):
            if packed(self.rate_book(book.edition).to_plain()) == packed(book.to_plain()):
                return
            raise PlannerError(
                f"rate book {book.edition} is on the shelf with other numbers: give it a new edition"
            )
        if not 0 < len(book.edition.strip()) <= 80:
            raise BadInput("edition", book.edition, "give the edition a name of up to 80 characters")
        plain = book.to_plain()
        place = self.next_number("rate_editions")
        row = {"edition": book.edition, "place": place, "saved_at": self.clock(), "body": packed(plain)}
        self.connection.execute(insert(t.rate_editions).values(row))
        self.note("rates", book.edition, None, plain)

    def forget_editions(self) -> None:
        """Take the shipped edition of a new database away, before a whole firm is loaded."""
        self.connection.execute(delete(t.rate_editions))
        self.connection.execute(delete(t.history))

    def remove_rate_book(self, edition: str) -> None:
        """Take an edition back (undo). Refused when a job was estimated with it."""
        before = self.rate_book(edition)
        used = self.connection.scalar(select(t.jobs.c.code).where(t.jobs.c.rate_edition == edition).limit(1))
        if used is not None:
            raise PlannerError(f"job {used} was estimated with rate book {edition}: it stays on record")
        self.connection.execute(delete(t.rate_editions).where(t.rate_editions.c.edition == edition))
        self.note("rates", edition, before.to_plain(), None)


def _book(row: Row[Any]) -> RateBook:
    try:
        return RateBook.from_plain(json.loads(row.body))
    except (ValueError, TypeError, KeyError, AttributeError, RecursionError, BadInput) as fault:
        raise unreadable(f"rate book {row.edition}", str(fault)) from None


def _shipped() -> RateBook:
    from planner.store.shipped.rates import shipped_rate_book

    return shipped_rate_book()
