"""Forgetting a client: names, addresses and notes go from every table and from the history; figures stay.

Quantities, hours, dates and plans stay, so that rates and old plans read as before. The history keeps
one entry that says that it was done, not what was there.
"""

from __future__ import annotations

import os
from contextlib import closing, suppress
from dataclasses import replace
from pathlib import Path

from sqlalchemy import delete, select, update

from planner.domain.firm.jobs import Job
from planner.store import turns
from planner.store.books import Book
from planner.store.engine import Store
from planner.store.safekeeping.backup import copy_into, private_file
from planner.store.safekeeping.migrate import migrate_to
from planner.store.safekeeping.redaction import FORGOTTEN, sweep_history, sweep_rows, telling
from planner.store.schema import tables as t


def forget_job(book: Book, code: str) -> tuple[str, ...]:
    """Take out whatever tells who the job's client is; the names that were there. The job must be stored."""
    who = telling(book, code)
    job = book.job(code)
    with book.unrecorded():
        book.save_design(code, None)
        book.remove_hold(code)
        book.put_job(without_client(job), book.job_edition(code))
    run = book.connection.execute
    run(update(t.logs).where(t.logs.c.job == code).values(note="", lost_why=""))
    run(update(t.lost).where(t.lost.c.target == code).values(note="", why=""))
    for row in run(select(t.returns.c.mark, t.returns.c.text)).all():
        if who.tells(row.text):
            run(update(t.returns).where(t.returns.c.mark == row.mark).values(text=""))
    for (key,) in run(select(t.office_marks.c.key)).all():
        if code in key.split(":"):
            run(delete(t.office_marks).where(t.office_marks.c.key == key))
    for row in run(select(t.plans.c.number, t.plans.c.note)).all():
        if who.tells(row.note):
            run(update(t.plans).where(t.plans.c.number == row.number).values(note=""))
    sweep_rows(book, who)
    sweep_history(book, who)
    book.note("forgotten", code, None, FORGOTTEN)
    return who.names


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


def scour(store: Store) -> None:
    """Write the tables anew, so that nothing of what was taken out is left in their free space."""
    if store.path is not None:
        with closing(turns.opened(store.path, turns.WAIT_S)) as raw:
            raw.execute("VACUUM")
        return
    engine = store.engine(write=True)
    try:
        with engine.connect().execution_options(isolation_level="AUTOCOMMIT") as connection:
            for table in t.metadata.sorted_tables:
                connection.exec_driver_sql(f'VACUUM FULL "{table.name}"')
    finally:
        engine.dispose()


def tells(copy: Path, code: str) -> bool:
    """True when a backup still holds the job with its client."""
    with closing(turns.opened(copy, turns.WAIT_S)) as raw:
        row = raw.execute("SELECT client FROM jobs WHERE code = ?", (code,)).fetchone()
    return row is not None and row[0] != FORGOTTEN


def renew(copy: Path, code: str, store: Store) -> None:
    """Forget the job in a backup too: in a copy of it, brought up to date, which then takes its place.

    Raises StoreTrouble or sqlite3.Error; then the backup is as it was.
    """
    part = copy.with_name(f".{copy.name}.{os.getpid()}.part")
    try:
        private_file(part)
        copy_into(copy, part, turns.Turn())
        anew = Store(part, clock=store.clock)
        migrate_to(anew)
        with anew.renewing() as book:
            forget_job(book, code)
        scour(anew)
        part.replace(copy)
    finally:
        with suppress(OSError):
            part.unlink(missing_ok=True)
            part.with_name(part.name + "-journal").unlink(missing_ok=True)
