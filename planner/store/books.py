"""The book: every shelf in one transaction, with its history and the undoing of the last action."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator
from datetime import date, datetime
from typing import Any

from sqlalchemy import func, select, update

from planner.domain.estimate.rates import RateBook
from planner.domain.firm.actuals import Log
from planner.domain.firm.crews import Crew, Machine, Truck
from planner.domain.firm.firm import Firm
from planner.domain.firm.jobs import Job
from planner.domain.firm.lost import LostTime
from planner.domain.firm.records import FINAL, Change, Hold, OfficeMark, ReturnSeen
from planner.domain.plain import from_plain
from planner.errors import PlannerError
from planner.store.schema import tables as t
from planner.store.tables.actuals import ActualShelf
from planner.store.tables.jobs import JobShelf
from planner.store.tables.people import PeopleShelf
from planner.store.tables.plans import PlanShelf
from planner.store.tables.rates import RateShelf
from planner.store.tables.rows import values_of

#: Changes of these can make a plan out of date.
FACTS = ("job", "crew", "machine", "truck", "firm", "log", "lost", "office")


class Book(JobShelf, PeopleShelf, ActualShelf, PlanShelf, RateShelf):
    """All that is stored, as domain values. `Store.reading` and `Store.writing` open one."""

    def history_mark(self) -> int:
        """A number that rises with every change of what a plan is made from."""
        chosen = select(func.max(t.history.c.id)).where(t.history.c.noun.in_(FACTS))
        return self.connection.scalar(chosen) or 0

    def changes(
        self,
        *,
        noun: str | None = None,
        key: str | None = None,
        since: date | None = None,
        after_mark: int | None = None,
        limit: int | None = None,
    ) -> list[Change]:
        """Entries of the history, newest first; narrowed by noun, key, first day or a history mark."""
        chosen = select(t.history).order_by(t.history.c.id.desc())
        if noun is not None:
            chosen = chosen.where(t.history.c.noun == noun)
        if key is not None:
            chosen = chosen.where(t.history.c.key == key)
        if since is not None:
            chosen = chosen.where(t.history.c.at >= datetime.combine(since, datetime.min.time()))
        if after_mark is not None:
            chosen = chosen.where(t.history.c.id > after_mark)
        if limit is not None:
            chosen = chosen.limit(limit)
        return values_of(Change, self.connection.execute(chosen).all())

    def jobs_before(self) -> Iterator[Job]:
        """Each job as it stood before each change of it, the newest change first."""
        for change in self.changes(noun="job"):
            if change.before is not None:
                plain = json.loads(change.before)
                del plain["rate_edition"]
                yield from_plain(Job, plain)

    def last_action(self) -> list[Change]:
        """The changes of the newest action that was not taken back, newest first; or none."""
        action = self.connection.scalar(
            select(func.max(t.history.c.action)).where(
                t.history.c.undoes.is_(None),
                t.history.c.undone.is_(False),
                t.history.c.noun.not_in(FINAL),
            )
        )
        return [] if action is None else self._of_action(action)

    def undo(self) -> list[Change]:
        """Take the last action back and return its changes. The undoing is itself written into the history.

        Raises PlannerError when there is nothing to take back, or when it cannot be taken back any more.
        """
        changes = self.last_action()
        if not changes:
            raise PlannerError("there is nothing to take back: see `planner history list`")
        self._undoes = changes[0].action
        for change in changes:
            self._put_back(change)
        self.connection.execute(
            update(t.history).where(t.history.c.action == self._undoes).values(undone=True)
        )
        return changes

    def _of_action(self, action: int) -> list[Change]:
        chosen = select(t.history).where(t.history.c.action == action).order_by(t.history.c.id.desc())
        return values_of(Change, self.connection.execute(chosen).all())

    def _put_back(self, change: Change) -> None:
        before = None if change.before is None else json.loads(change.before)
        after = None if change.after is None else json.loads(change.after)
        if change.noun == "firm" and before is None:
            before = {}
        if change.noun == "design":
            self.save_design(change.key, before)
        elif before is None:
            self._removers()[change.noun](after, change.key)
        else:
            self._savers()[change.noun](before)

    def _removers(self) -> dict[str, Callable[[Any, str], object]]:
        return {
            "job": lambda _, key: self.remove_job(key),
            "crew": lambda _, key: self.remove_crew(key),
            "machine": lambda _, key: self.remove_machine(key),
            "truck": lambda _, key: self.remove_truck(key),
            "log": lambda _, key: self.remove_log(int(key)),
            "lost": lambda _, key: self.remove_lost(int(key)),
            "plan": lambda _, key: self.remove_plan(int(key)),
            "rates": lambda _, key: self.remove_rate_book(key),
            "office": lambda after, _: self.mark_office(after["key"], "", None, ""),
            "hold": lambda _, key: self.remove_hold(key),
            "return": lambda after, _: self.remove_return(after["mark"]),
        }

    def _savers(self) -> dict[str, Callable[[Any], object]]:
        return {
            "job": self._restore_job,
            "crew": lambda b: self.save_crew(from_plain(Crew, b)),
            "machine": lambda b: self.save_machine(from_plain(Machine, b)),
            "truck": lambda b: self.save_truck(from_plain(Truck, b)),
            "firm": lambda b: self.save_firm(from_plain(Firm, b)),
            "log": lambda b: self.save_log(from_plain(Log, b)),
            "lost": lambda b: self.save_lost(from_plain(LostTime, b)),
            "plan": self._restore_plan,
            "rates": lambda b: self.save_rate_book(RateBook.from_plain(b)),
            "office": lambda b: self.put_mark(b["key"], from_plain(OfficeMark, b)),
            "hold": lambda b: self.save_hold(from_plain(Hold, b)),
            "return": lambda b: self.put_return(from_plain(ReturnSeen, b)),
        }

    def _restore_job(self, before: dict[str, Any]) -> None:
        edition = before.pop("rate_edition")
        self.put_job(from_plain(Job, before), edition)

    def _restore_plan(self, before: dict[str, Any]) -> None:
        at = before["published_at"]
        self.publish(before["number"], None if at is None else datetime.fromisoformat(at))
