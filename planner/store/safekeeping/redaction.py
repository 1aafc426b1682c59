"""What tells who a client is, found in free texts and taken out of them: of rows and of the history.

A text about the job itself loses everything that a person wrote. Elsewhere only the client's own name,
address and phone give way, wherever they stand as whole words.
"""

from __future__ import annotations

import json
import re
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Table, and_, delete, select, update

from planner.store.books import Book
from planner.store.schema import tables as t
from planner.store.tables.rows import packed

#: What stands where a client's name was.
FORGOTTEN = "(forgotten)"
#: Text fields of a job that may tell who or where.
JOB_TEXTS = ("address", "phone", "region", "notes", "site_notes")
#: A name, address or phone shorter than this would be found in words that have nothing to do with it.
_SHORTEST = 4
#: Columns that hold what people write freely.
_FREE = ("note", "notes", "site_notes", "why", "lost_why", "word", "text")


@dataclass(frozen=True, slots=True)
class Telling:
    """What gives a client away. code: of the job; names: the client's names, addresses, phones, also old."""

    code: str
    names: tuple[str, ...]

    def tells(self, text: str) -> bool:
        """True when `text` speaks of the job or its client."""
        return bool(_whole([self.code, *self.names]).search(text))

    def without(self, text: str) -> str:
        """`text` with something else where the names stood."""
        return _whole(self.names).sub(FORGOTTEN, text) if self.names else text


def telling(book: Book, code: str) -> Telling:
    """What gives the client of the job away, as it is now and as the history has it."""
    h = t.history.c
    told = book.connection.execute(select(h.before, h.after).where(h.noun == "job", h.key == code)).all()
    jobs = [json.loads(side) for row in told for side in row if side is not None]
    job = book.job(code)
    texts = {job.client, job.address, job.phone}
    texts |= {str(plain.get(field) or "") for plain in jobs for field in ("client", "address", "phone")}
    names = {text.strip() for text in texts} - {FORGOTTEN}
    return Telling(code, tuple(sorted((n for n in names if len(n) >= _SHORTEST), key=len, reverse=True)))


def _whole(words: Iterable[str]) -> re.Pattern[str]:
    return re.compile("|".join(rf"(?<!\w){re.escape(word)}(?!\w)" for word in words if word) or "(?!)")


def sweep_rows(book: Book, who: Telling) -> None:
    """Take the names out of every free text that is stored."""
    for table in t.metadata.sorted_tables:
        for name in _FREE:
            if name in table.c and table is not t.history:
                _sweep_column(book, table, name, who)


def _sweep_column(book: Book, table: Table, name: str, who: Telling) -> None:
    keys = list(table.primary_key.columns)
    for row in book.connection.execute(select(*keys, table.c[name]).where(table.c[name] != "")).all():
        told = who.without(row[-1])
        if told != row[-1]:
            here = and_(*(column == value for column, value in zip(keys, row, strict=False)))
            book.connection.execute(update(table).where(here).values({name: told}))


def sweep_history(book: Book, who: Telling) -> None:
    """Entries about the job lose their texts; those of its design, held place and office items go."""
    run = book.connection.execute
    h = t.history.c
    run(delete(t.history).where(h.noun.in_(("design", "hold")), h.key == who.code))
    for number, key in run(select(h.id, h.key).where(h.noun == "office")).all():
        if who.code in key.split(":"):
            run(delete(t.history).where(h.id == number))
    packed_names = tuple(json.dumps(name, ensure_ascii=False)[1:-1] for name in who.names)
    as_kept = Telling(who.code, packed_names)
    for row in run(select(h.id, h.noun, h.before, h.after)).all():
        values = {}
        for side in ("before", "after"):
            told = getattr(row, side)
            if told is None or not as_kept.tells(told):
                continue
            plain = json.loads(told)
            if redact := _REDACTED.get(row.noun):
                redact(plain, who)
            values[side] = packed(_swept(plain, who))
            if values[side] == told:
                del values[side]
        if values:
            run(update(t.history).where(h.id == row.id).values(**values))


def _swept(plain: Any, who: Telling) -> Any:
    """A plain value with the names out of its free texts."""
    if isinstance(plain, dict):
        return {
            key: who.without(value) if key in _FREE and isinstance(value, str) else _swept(value, who)
            for key, value in plain.items()
        }
    return [_swept(value, who) for value in plain] if isinstance(plain, list) else plain


def _job(plain: dict[str, Any], who: Telling) -> None:
    if plain.get("code") != who.code:
        return
    plain |= {"client": FORGOTTEN, "latitude_deg": None, "longitude_deg": None}
    plain |= dict.fromkeys(JOB_TEXTS, "")
    for part, field in (("gates", "note"), ("lines", "note"), ("blackouts", "why")):
        for one in plain.get(part, ()):
            one[field] = ""


def _log(plain: dict[str, Any], who: Telling) -> None:
    if plain.get("job") == who.code:
        plain |= {"note": "", "lost_why": ""}


def _lost(plain: dict[str, Any], who: Telling) -> None:
    if plain.get("target") == who.code:
        plain |= {"note": ""}
        plain["days"]["why"] = ""


def _return(plain: dict[str, Any], who: Telling) -> None:
    if who.tells(plain.get("text", "")):
        plain["text"] = ""


#: Noun of the history -> what takes a client's texts out of its value.
_REDACTED: dict[str, Callable[[dict[str, Any], Telling], None]] = {
    "job": _job,
    "log": _log,
    "lost": _lost,
    "return": _return,
}
