"""Writes rows/REVISION.sql: the rows of the newest revision, as today's program stores them (all invented).

Run it once when a migration is added: python -m tests.migrations.keep_rows
"""

from __future__ import annotations

import sqlite3
import tempfile
from contextlib import closing
from datetime import date, datetime
from pathlib import Path

from planner.domain.firm.records import CalendarEvent, Hold
from planner.store.engine import REVISION, Store
from planner.store.safekeeping.migrate import create
from tests.store.values import CREW, FIRM, JOB, LOG, LOST, MACHINE, PLAN

DAY = date(2027, 4, 5)


def write(folder: Path) -> Path:
    """Fill a new database and write its rows as SQL."""
    with tempfile.TemporaryDirectory() as home:
        path = Path(home) / "season.sqlite3"
        store = Store(path, clock=lambda: datetime(2027, 4, 1, 6, 45))
        create(store)
        _fill(store)
        with closing(sqlite3.connect(path)) as raw:
            rows = [line for line in raw.iterdump() if line.startswith("INSERT INTO")]
    told = f"-- Rows of revision {REVISION}, as the program of that revision wrote them (all invented).\n"
    target = folder / f"{REVISION}.sql"
    target.write_text(
        told + "\n".join(r for r in rows if "alembic_version" not in r) + "\n", encoding="utf-8"
    )
    return target


def _fill(store: Store) -> None:
    with store.writing("ada") as book:
        rates = book.rate_book()
        book.save_firm(FIRM)
        book.save_rate_book(rates)
        book.save_crew(CREW)
        book.save_machine(MACHINE)
        book.save_job(JOB, edition=rates.edition)
        book.save_design("P-014", "a = 1")
        book.save_hold(Hold("P-014", DAY))
        book.save_log(LOG)
        book.save_lost(LOST)
        book.publish(book.save_plan(PLAN), datetime(2027, 4, 2, 7))
        book.mark_office("item", "done", None, "ada")
        book.save_return("S-1", "North", DAY, "x", "text")
        book.save_calendar_events([CalendarEvent("u", 1, "d")])


if __name__ == "__main__":
    print(write(Path(__file__).with_name("rows")))
