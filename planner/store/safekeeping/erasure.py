"""Forgetting a client: names, addresses and notes go from every table and from the history; figures stay.

Quantities, hours, dates and plans stay, so that rates and old plans read as before. The history keeps
one entry that says that it was done, not what was there.
"""

from __future__ import annotations

import json
from collections.abc import Callable
from contextlib import closing
from dataclasses import replace
from pathlib import Path
from typing import Any

from sqlalchemy import delete, select, update

from planner.domain.firm.jobs import Job
from planner.store import turns
from planner.store.books import Book
from planner.store.schema import tables as t
from planner.store.tables.rows import packed

#: What stands where a client's name was.
FORGOTTEN = "(forgotten)"

#: Text fields of a job that may tell who or where.
_JOB_TEXTS = ("address", "phone", "region", "notes", "site_notes")


def forget_job(book: Book, code: str) -> None:
    """Take out whatever tells who the job's client is. The job must be stored."""
    job = book.job(code)
    client = job.client
    with book.unrecorded():
        book.save_design(code, None)
        book.remove_hold(code)
        book.put_job(without_client(job), book.job_edition(code))
    run = book.connection.execute
    run(update(t.logs).where(t.logs.c.job == code).values(note="", lost_why=""))
    run(update(t.lost).where(t.lost.c.target == code).values(note="", why=""))
    for row in run(select(t.returns.c.mark, t.returns.c.text)).all():
        if _tells(row.text, code, client):
            run(update(t.returns).where(t.returns.c.mark == row.mark).values(text=""))
    for (key,) in run(select(t.office_marks.c.key)).all():
        if code in key.split(":"):
            run(delete(t.office_marks).where(t.office_marks.c.key == key))
    for row in run(select(t.plans.c.number, t.plans.c.note)).all():
        if _tells(row.note, code, client):
            run(update(t.plans).where(t.plans.c.number == row.number).values(note=""))
    _in_history(book, code, client)
    book.note("forgotten", code, None, FORGOTTEN)


def without_client(job: Job) -> Job:
    """The job as it is kept: every quantity, date and choice, and no word about a person or a place."""
    return replace(
        job,
        client=FORGOTTEN,
        address="",
        phone="",
        region="",
        notes="",
        site_notes="",
        latitude_deg=None,
        longitude_deg=None,
        gates=tuple(replace(g, note="") for g in job.gates),
        lines=tuple(replace(line, note="") for line in job.lines),
        blackouts=tuple(replace(d, why="") for d in job.blackouts),
    )


def _tells(text: str, code: str, client: str) -> bool:
    return code in text or (bool(client) and client in text)


def _in_history(book: Book, code: str, client: str) -> None:
    """Entries about the job lose their texts; those of its design, held place and office items go."""
    run = book.connection.execute
    h = t.history.c
    run(delete(t.history).where(h.noun.in_(("design", "hold")), h.key == code))
    for row in run(select(t.history).where(h.noun.in_(tuple(_REDACTED)))).all():
        redact = _REDACTED[row.noun]
        values = {}
        for side in ("before", "after"):
            told = getattr(row, side)
            if told is not None:
                plain = json.loads(told)
                redact(plain, code, client)
                values[side] = packed(plain)
        run(update(t.history).where(h.id == row.id).values(**values))
    for row in run(select(h.id, h.key).where(h.noun == "office")).all():
        if code in row.key.split(":"):
            run(delete(t.history).where(h.id == row.id))


def _job(plain: dict[str, Any], code: str, _: str) -> None:
    if plain.get("code") != code:
        return
    plain |= {"client": FORGOTTEN, "latitude_deg": None, "longitude_deg": None}
    plain |= dict.fromkeys(_JOB_TEXTS, "")
    for part, field in (("gates", "note"), ("lines", "note"), ("blackouts", "why")):
        for one in plain.get(part, ()):
            one[field] = ""


def _log(plain: dict[str, Any], code: str, _: str) -> None:
    if plain.get("job") == code:
        plain |= {"note": "", "lost_why": ""}


def _lost(plain: dict[str, Any], code: str, _: str) -> None:
    if plain.get("target") == code:
        plain |= {"note": ""}
        plain["days"]["why"] = ""


def _return(plain: dict[str, Any], code: str, client: str) -> None:
    if _tells(plain.get("text", ""), code, client):
        plain["text"] = ""


#: Noun of the history -> what takes a client's texts out of its value.
_REDACTED: dict[str, Callable[[dict[str, Any], str, str], None]] = {
    "job": _job,
    "log": _log,
    "lost": _lost,
    "return": _return,
}


def scour(path: Path) -> None:
    """Write the file anew, so that nothing of what was taken out is left in its free pages."""
    with closing(turns.opened(path, turns.WAIT_S)) as raw:
        raw.execute("VACUUM")


def tells(path: Path, code: str) -> bool:
    """True when a backup still holds the job with its client."""
    with closing(turns.opened(path, turns.WAIT_S)) as raw:
        row = raw.execute("SELECT client FROM jobs WHERE code = ?", (code,)).fetchone()
    return row is not None and row[0] != FORGOTTEN
