"""Who changed what and when, taking the last action back; two people at one record: who is second."""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from typing import TYPE_CHECKING, Any

from planner.domain.dates import long_moment
from planner.domain.firm.records import Change
from planner.domain.plain import from_plain
from planner.errors import Overtaken, PlannerError
from planner.store.engine import Store

if TYPE_CHECKING:
    from planner.store.books import Book


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


@dataclass(frozen=True, slots=True)
class Meanwhile:
    """What happened to a record since somebody read it. seen: it as it was read; changes: oldest first."""

    seen: Any
    changes: tuple[Change, ...]


def newest_mark(location: str, noun: str, key: str) -> int:
    """The number of a record's newest change, 0 for none: a form carries it as what it was made from."""
    with Store(location).reading() as book:
        return _newest(book, noun, key)


def must_be_as_seen(book: Book, noun: str, key: str, seen: int | None) -> None:
    """Refuse when somebody changed the record since its change number `seen`; None asks nothing."""
    if seen is None or _newest(book, noun, key) == seen:
        return
    last = book.changes(noun=noun, key=key, limit=1)
    by = f" by {last[0].who} on {long_moment(last[0].at)}" if last else ""
    what = noun if noun == key else f"{noun} {key}"
    raise Overtaken(f"{what} was changed{by} since you read it: nothing was written; look at it and repeat")


def meanwhile(location: str, noun: str, key: str, kind: type, seen: int) -> Meanwhile | None:
    """What others did to a record since its change number `seen`; None when nobody did."""
    with Store(location).reading() as book:
        return as_it_was(kind, book.changes(noun=noun, key=key, after_mark=seen)[::-1])


def as_it_was(kind: type, changes: Sequence[Change]) -> Meanwhile | None:
    """The record before the oldest of these changes, with them; None when there was none before."""
    if not changes or changes[0].before is None:
        return None
    plain = json.loads(changes[0].before)
    plain.pop("rate_edition", None)
    return Meanwhile(from_plain(kind, plain), tuple(changes))


def _newest(book: Book, noun: str, key: str) -> int:
    found = book.changes(noun=noun, key=key, limit=1)
    return found[0].id if found else 0
