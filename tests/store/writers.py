"""What the store tests run in processes of their own. Each function ends by itself or is killed."""

from __future__ import annotations

import os
import shutil
import tempfile
from dataclasses import replace
from datetime import date, datetime, timedelta
from pathlib import Path

from planner.domain.firm.jobs import Job
from planner.domain.firm.phases import Phase, WorkKey
from planner.domain.season.plan import Booking
from planner.flow.keeping.files import import_file
from planner.store.engine import Store
from planner.store.safekeeping.migrate import create, upgrade
from tests.store.values import CREW, JOB, LOG, PLAN


def add_to_importance(location: str, times: int) -> None:
    """Read the job, add 1, write it: a lost update would show in the sum."""
    for _ in range(times):
        with Store(location).writing("adder") as book:
            job = book.job("P-014")
            book.save_job(replace(job, importance=job.importance + 1))


def add_logs(location: str, times: int) -> None:
    """Log hours; each entry gets a number of its own."""
    for _ in range(times):
        with Store(location).writing("logger") as book:
            book.save_log(LOG)


def log_for_ever(location: str, acknowledged: int) -> None:
    """Log hours and write each number to the file descriptor once it is stored."""
    store = Store(location)
    while True:
        with store.writing() as book:
            numbers = [book.save_log(replace(LOG, note=f"{i} of 3")) for i in range(3)]
        os.write(acknowledged, f"{numbers[-1]}\n".encode())


def import_for_ever(location: str, acknowledged: int) -> None:
    """Import a file of 40 jobs, each time with new notes."""
    path = Path(tempfile.mkdtemp()) / f"jobs{os.getpid()}.csv"
    turn = int(datetime.now().timestamp() * 1000) % 10**9
    while True:
        turn += 1
        rows = "".join(f"J{n},Client {n},turn {turn},{(n + turn) % 97}\n" for n in range(40))
        path.write_text("code,client,notes,dig_machine_cy\n" + rows, encoding="utf-8")
        import_file(location, "importer", "jobs", str(path), dry_run=False)
        os.write(acknowledged, f"{turn}\n".encode())


def plan_for_ever(location: str, acknowledged: int) -> None:
    """Save plans of 60 bookings and publish each."""
    store = Store(location)
    start = datetime(2027, 4, 5, 7)
    bookings = tuple(
        Booking(
            WorkKey(f"J{n}", Phase.DIG),
            ("North",),
            start + timedelta(days=n),
            start + timedelta(days=n + 1),
            8.0,
        )
        for n in range(60)
    )
    while True:
        with store.writing() as book:
            number = book.save_plan(replace(PLAN, bookings=bookings))
            book.publish(number, datetime(2027, 4, 1, 7))
        os.write(acknowledged, f"{number}\n".encode())


def create_for_ever(location: str, acknowledged: int) -> None:
    """Make new databases, one after the other."""
    turn = 0
    while True:
        turn += 1
        path = f"{location}.{os.getpid()}.{turn}.sqlite3"
        create(Store(path))
        os.write(acknowledged, f"{path}\n".encode())


def upgrade_for_ever(old: str, acknowledged: int) -> None:
    """Bring copies of an old database up to date, one after the other."""
    turn = 0
    while True:
        turn += 1
        path = Path(f"{old}.{os.getpid()}.{turn}.sqlite3")
        shutil.copy(old, f"{old}.{os.getpid()}.part")
        Path(f"{old}.{os.getpid()}.part").replace(path)
        upgrade(Store(path))
        os.write(acknowledged, f"{path}\n".encode())


def fill(location: str) -> None:
    """The rows that the writers need."""
    with Store(location).writing() as book:
        book.save_crew(CREW)
        book.save_job(replace(JOB, importance=0.0))
        for n in range(60):
            book.save_job(Job(code=f"J{n}", client=f"Client {n}", promised=date(2027, 6, 1)))
