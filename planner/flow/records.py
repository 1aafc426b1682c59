"""Keeping the records: the order of steps when jobs, crews, machines and the firm change."""

from __future__ import annotations

from pathlib import Path

from planner.store.engine import Store


def create_store(location: str, who: str) -> tuple[str, bool]:
    """Make the database and put the shipped rate book into it; (its name, False when it was there already)."""
    from planner.store.migrate import create

    store = Store(location)
    if not create(store):
        return store.name, False
    with store.writing(who) as book:
        book.save_rate_book(book.rate_book())
    return store.name, True


def upgrade_store(location: str) -> tuple[str, Path | None]:
    """Bring the schema up to date; (its name, the copy made before)."""
    from planner.store.migrate import upgrade

    store = Store(location)
    return store.name, upgrade(store)
