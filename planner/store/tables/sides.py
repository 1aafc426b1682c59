"""What lies beside the jobs: designs, ticked office items, held places, returned sheets, calendars."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import date
from typing import Any

from sqlalchemy import Table, delete, insert, select

from planner.domain.firm.records import CalendarEvent, Hold, OfficeMark, ReturnSeen
from planner.errors import BadInput
from planner.store.schema import tables as t
from planner.store.tables.rows import Shelf, row_of, value_of

#: A design file is text of at most this many characters.
DESIGN_LENGTH = 200_000


class SideShelf(Shelf):
    """Reading and writing the small tables."""

    def design(self, code: str) -> str | None:
        """The text of the job's design file; None when it has none."""
        return self.connection.scalar(select(t.designs.c.body).where(t.designs.c.job == code))

    def designs(self) -> dict[str, str]:
        """Job code -> text of its design file."""
        return dict(self.connection.execute(select(t.designs).order_by(t.designs.c.job)).all())

    def save_design(self, code: str, text: str | None) -> None:
        """Keep the text of the job's design file; None or empty takes it away."""
        if text is not None and (len(text) > DESIGN_LENGTH or "\0" in text):
            raise BadInput(
                "design", f"{len(text)} characters", f"use plain text of up to {DESIGN_LENGTH} characters"
            )
        before = self.design(code)
        if (before or "") == (text or ""):
            return
        self.connection.execute(delete(t.designs).where(t.designs.c.job == code))
        if text:
            self.connection.execute(insert(t.designs).values(job=code, body=text))
        self.note("design", code, before, text or None)

    def office_marks(self) -> dict[str, OfficeMark]:
        """Key of an office item -> its mark."""
        rows = self.connection.execute(select(t.office_marks).order_by(t.office_marks.c.key))
        return {row.key: value_of(OfficeMark, row) for row in rows}

    def mark_office(self, key: str, state: str, until: date | None, who: str, word: str = "") -> None:
        """Tick, snooze or settle an item of the office list; state "" takes the mark away."""
        if not 0 < len(key) <= 200 or len(state) > 20:
            raise BadInput("office item", key, "unknown item")
        self.put_mark(key, OfficeMark(key, state, until, who[:80], self.clock(), word) if state else None)

    def put_mark(self, key: str, after: OfficeMark | None) -> None:
        """Keep exactly this mark for the item; None takes it away."""
        before = self.office_marks().get(key)
        if before == after:
            return
        self.connection.execute(delete(t.office_marks).where(t.office_marks.c.key == key))
        if after is not None:
            self.connection.execute(insert(t.office_marks).values(row_of(after, t.office_marks)))
        self.note("office", key[:80], before, after)

    def holds(self) -> list[Hold]:
        """Places held for inquiries, by job."""
        return [value_of(Hold, r) for r in self.connection.execute(select(t.holds).order_by(t.holds.c.job))]

    def save_hold(self, hold: Hold) -> None:
        """Hold a place for the job in place of one held before."""
        before = next((h for h in self.holds() if h.job == hold.job), None)
        if before != hold:
            self._replace(t.holds, "job", hold.job, row_of(hold, t.holds))
            self.note("hold", hold.job, before, hold)

    def remove_hold(self, code: str) -> None:
        """Give the held place up; nothing when there is none."""
        before = next((h for h in self.holds() if h.job == code), None)
        if before is not None:
            self.connection.execute(delete(t.holds).where(t.holds.c.job == code))
            self.note("hold", code, before, None)

    def returns(self) -> set[str]:
        """Marks of the returned day sheets that were taken in."""
        return set(self.connection.scalars(select(t.returns.c.mark)))

    def returned(self, mark: str) -> ReturnSeen | None:
        """The returned sheet with that mark; None when it was not taken in."""
        row = self.connection.execute(select(t.returns).where(t.returns.c.mark == mark)).one_or_none()
        return None if row is None else value_of(ReturnSeen, row)

    def save_return(self, mark: str, crew: str, day: date, digest: str = "", text: str = "") -> None:
        """Remember that the sheet was taken in and what it said, in place of an earlier reading."""
        seen = ReturnSeen(mark, crew, day, digest, text, self.clock())
        before = self.returned(mark)
        if before is None or replace(before, at=seen.at) != seen:
            self.put_return(seen)

    def put_return(self, seen: ReturnSeen) -> None:
        """Keep exactly this memory of a returned sheet."""
        before = self.returned(seen.mark)
        self._replace(t.returns, "mark", seen.mark, row_of(seen, t.returns))
        self.note("return", seen.mark[:80], before, seen)

    def remove_return(self, mark: str) -> None:
        """Forget that the sheet was taken in (undo); nothing when it was not."""
        before = self.returned(mark)
        if before is not None:
            self.connection.execute(delete(t.returns).where(t.returns.c.mark == mark))
            self.note("return", mark[:80], before, None)

    def calendar_events(self) -> dict[str, CalendarEvent]:
        """UID -> what was last sent of that event."""
        rows = self.connection.execute(select(t.calendar_events).order_by(t.calendar_events.c.uid))
        return {row.uid: value_of(CalendarEvent, row) for row in rows}

    def save_calendar_events(self, events: Sequence[CalendarEvent]) -> None:
        """Remember what was sent, by UID. Sequences never fall, so this is not part of the history."""
        for event in events:
            self._replace(t.calendar_events, "uid", event.uid, row_of(event, t.calendar_events))

    def _replace(self, table: Table, column: str, key: str, row: dict[str, Any]) -> None:
        self.connection.execute(delete(table).where(table.c[column] == key))
        self.connection.execute(insert(table).values(row))
