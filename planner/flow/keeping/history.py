"""Who changed what and when, and taking the last action back."""

from __future__ import annotations

from datetime import date

from planner.domain.firm.records import Change
from planner.errors import PlannerError
from planner.store.engine import Store


def load_history(
    location: str, noun: str | None, key: str | None, since: date | None, limit: int
) -> list[Change]:
    """Entries of the history, newest first."""
    with Store(location).reading() as book:
        return book.changes(noun=noun, key=key, since=since, limit=limit)


def newest_change(location: str) -> int:
    """The number of the newest entry, 0 for none: as long as it stays, every stored fact stays."""
    with Store(location).reading() as book:
        found = book.changes(limit=1)
        return found[0].id if found else 0


def last_action(location: str) -> list[Change]:
    """What `undo_last` would take back."""
    with Store(location).reading() as book:
        return book.last_action()


def undo_last(location: str, who: str, action: int) -> list[Change]:
    """Take the last action back. Refused when it is no longer the action that the person agreed to."""
    with Store(location).writing(who) as book:
        newest = book.last_action()
        if newest and newest[0].action != action:
            raise PlannerError("somebody changed something meanwhile: see `planner history list`, repeat")
        return book.undo()
