"""Logged hours and lost time on the shelf."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import date
from typing import Any

from sqlalchemy import Row, Select, delete, insert, select

from planner.domain.firm.actuals import Log
from planner.domain.firm.jobs import DayRange
from planner.domain.firm.lost import LostTime
from planner.domain.firm.sound import faults_of_log, faults_of_lost
from planner.domain.spelling import did_you_mean
from planner.errors import BadInput, BadInputs
from planner.store.schema import tables as t
from planner.store.tables.rows import Shelf, row_of, value_of, values_of


class ActualShelf(Shelf):
    """Reading and writing what really happened. Entries are added and removed, never edited."""

    def logs(
        self,
        *,
        job: str | None = None,
        crew: str | None = None,
        first: date | None = None,
        last: date | None = None,
        source: str | None = None,
    ) -> list[Log]:
        """Logged hours by day and number; narrowed by job, crew, days (both included) or source."""
        if (job, crew, first, last, source) == (None,) * 5:
            return self.once("logs", lambda: self._logs(select(t.logs).order_by(t.logs.c.day, t.logs.c.id)))
        chosen: Select[Any] = select(t.logs).order_by(t.logs.c.day, t.logs.c.id)
        for column, value in ((t.logs.c.job, job), (t.logs.c.crew, crew), (t.logs.c.source, source)):
            if value is not None:
                chosen = chosen.where(column == value)
        if first is not None:
            chosen = chosen.where(t.logs.c.day >= first)
        if last is not None:
            chosen = chosen.where(t.logs.c.day <= last)
        return self._logs(chosen)

    def _logs(self, chosen: Select[Any]) -> list[Log]:
        return values_of(Log, self.connection.execute(chosen).all())

    def log(self, number: int) -> Log:
        """The entry of that number; BadInput when there is none."""
        row = self.connection.execute(select(t.logs).where(t.logs.c.id == number)).one_or_none()
        if row is None:
            raise BadInput("entry", number, "no logged hours have that number")
        return value_of(Log, row)

    def save_log(self, log: Log) -> int:
        """Add an entry of hours; returns its number. BadInput for an unknown crew or job.

        An entry with a number that is not in use keeps it (undo and import bring it along).
        """
        if faults := faults_of_log(log):
            raise BadInputs(faults)
        _known(self, t.jobs.c.code, "job", log.job)
        if log.id == 0:
            _known(self, t.crews.c.name, "crew", log.crew)
        number = log.id or self.next_number("logs")
        log = replace(log, id=number)
        self.connection.execute(insert(t.logs).values(row_of(log, t.logs)))
        self.note("log", str(number), None, log)
        return number

    def put_logs(self, logs: Sequence[Log]) -> None:
        """Add many entries that bring their numbers along, without the history (a whole firm brings its own).

        BadInput for an unknown job, or an entry without a number of its own.
        """
        jobs = set(self.connection.scalars(select(t.jobs.c.code)))
        for log in logs:
            if faults := faults_of_log(log):
                raise BadInputs(faults)
            if log.job not in jobs:
                raise BadInput("job", log.job, "unknown job: see `planner job list`")
            if log.id < 1:
                raise BadInput("log", log.id, "give each entry a number of its own, from 1")
        self.fill(t.logs, [row_of(log, t.logs) for log in logs])

    def remove_log(self, number: int) -> None:
        """Take the entry out; BadInput when there is none."""
        before = self.log(number)
        self.connection.execute(delete(t.logs).where(t.logs.c.id == number))
        self.note("log", str(number), before, None)

    def lost(self) -> list[LostTime]:
        """Lost time by first day and number."""
        rows = self.connection.execute(select(t.lost).order_by(t.lost.c.first, t.lost.c.id))
        return [_lost(row) for row in rows]

    def one_lost(self, number: int) -> LostTime:
        """The entry of that number; BadInput when there is none."""
        row = self.connection.execute(select(t.lost).where(t.lost.c.id == number)).one_or_none()
        if row is None:
            raise BadInput("entry", number, "no lost time has that number")
        return _lost(row)

    def save_lost(self, lost: LostTime) -> int:
        """Add an entry of lost time; returns its number (one that it brings along is kept)."""
        if faults := faults_of_lost(lost):
            raise BadInputs(faults)
        number = lost.id or self.next_number("lost")
        lost = replace(lost, id=number)
        days = row_of(lost.days, t.lost)
        self.connection.execute(insert(t.lost).values(days | row_of(lost, t.lost)))
        self.note("lost", str(number), None, lost)
        return number

    def remove_lost(self, number: int) -> None:
        """Take the entry out; BadInput when there is none."""
        before = self.one_lost(number)
        self.connection.execute(delete(t.lost).where(t.lost.c.id == number))
        self.note("lost", str(number), before, None)


def _lost(row: Row[Any]) -> LostTime:
    return value_of(LostTime, row, days=value_of(DayRange, row))


def _known(shelf: Shelf, column: Any, what: str, value: str) -> None:
    if shelf.connection.scalar(select(column).where(column == value)) is None:
        names = shelf.connection.scalars(select(column))
        fix = did_you_mean(value, names, f"unknown {what}: see `planner {what} list`")
        raise BadInput(what, value, fix)
