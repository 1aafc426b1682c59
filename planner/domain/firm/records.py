"""Small nouns that the office keeps beside jobs: plan heads, changes, marks, holds, returns, events."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime


@dataclass(frozen=True, slots=True)
class PlanHead:
    """One version of the plan without its bookings. total_cents: its cost [US cents]; state: a PlanState."""

    number: int
    made_at: datetime
    published_at: datetime | None
    state: str
    total_cents: int
    note: str = ""


#: The noun under which the history keeps that a client was forgotten; it cannot be taken back.
FORGOTTEN = "forgotten"

#: The noun under which it keeps that old drafts were removed for good.
THINNED = "thinned"

#: What cannot be taken back.
FINAL = (FORGOTTEN, THINNED)

#: The nouns of the history, as it can be narrowed by.
NOUNS = (
    *("job", "crew", "machine", "truck", "firm", "log", "lost", "plan"),
    *("rates", "design", "office", "hold", "return", *FINAL),
)


@dataclass(frozen=True, slots=True)
class Change:
    """One entry of the history: who changed what when.

    action: number shared by the changes made together (one command); before, after: the value as JSON text,
    None where there was or is none; undoes: the action that this one took back, None for an ordinary one.
    """

    id: int
    action: int
    at: datetime
    who: str
    noun: str
    key: str
    before: str | None
    after: str | None
    undoes: int | None = None
    undone: bool = False

    @property
    def verb(self) -> str:
        """What happened: "added", "changed" or "removed"; of what cannot be taken back "gone"."""
        if self.noun in FINAL:
            return "gone"
        if self.before is None:
            return "added"
        return "removed" if self.after is None else "changed"


#: What a mark says of its item.
TICKED, SNOOZED = "done", "snoozed"


@dataclass(frozen=True, slots=True)
class Moved:
    """A fact that changed since a plan was made: noun, key, words. noun: job, crew, machine, firm, log, lost,
    office (what it said of an order).

    by: the next day, from today on, of planned work that it touches; None when it touches none.
    """

    noun: str
    key: str
    words: str
    by: date | None = None


@dataclass(frozen=True, slots=True)
class OfficeMark:
    """A ticked, snoozed or settled item of the office's list. key: names the item for good; until: snoozed
    to; word: what was done about it, of a settled one.
    """

    key: str
    state: str
    until: date | None = None
    who: str = ""
    at: datetime | None = None
    word: str = ""


@dataclass(frozen=True, slots=True)
class Hold:
    """A place in the season kept for an inquiry until `until`: from `start` to `finish`, by `crew`."""

    job: str
    until: date
    start: date | None = None
    finish: date | None = None
    crew: str = ""
    note: str = ""


@dataclass(frozen=True, slots=True)
class ReturnSeen:
    """A returned day sheet that was taken in. mark: the sheet's own mark; digest: of what it said."""

    mark: str
    crew: str
    day: date
    digest: str = ""
    text: str = ""
    at: datetime | None = None


@dataclass(frozen=True, slots=True)
class CalendarEvent:
    """What was last sent of one calendar event: RFC 5545 UID, SEQUENCE, a digest of its content."""

    uid: str
    sequence: int
    digest: str
    cancelled: bool = False


@dataclass(frozen=True, slots=True)
class Finding:
    """One finding of the health check. grave: data or plan are wrong; else it is only worth knowing."""

    grave: bool
    what: str
    advice: str


@dataclass(frozen=True, slots=True)
class BackupCopy:
    """One backup of the database file: when it was made and why (daily, migration, asked, restore)."""

    path: str
    made_at: datetime
    why: str
    size_bytes: int
