"""kill -9 at random moments: file or server stay whole, every acknowledged action is there, none by halves.

The normal run kills 10 times in each loop; PLANNER_KILLS=100 makes it 100.
"""

from __future__ import annotations

import multiprocessing
import os
import random
import select
import signal
import sqlite3
import time
from collections.abc import Callable
from contextlib import closing
from pathlib import Path

from planner.store.engine import REVISION, Store
from planner.store.safekeeping.health import file_faults
from planner.store.safekeeping.migrate import migrate_to
from tests.store import writers

ROWS = Path(__file__).parents[1] / "migrations" / "rows"
KILLS = int(os.environ.get("PLANNER_KILLS", "10"))


def _killed(work: Callable[[str, int], None], location: str, seed: int) -> list[str]:
    """Start `work`, kill it at a random moment after its first acknowledgement; what it acknowledged."""
    context = multiprocessing.get_context("forkserver")
    context.set_forkserver_preload(["tests.store.writers"])
    reader, writer = os.pipe()
    os.set_inheritable(writer, True)
    process = context.Process(
        target=_with_pipe, args=(work, location, multiprocessing.reduction.DupFd(writer))
    )
    process.start()
    os.close(writer)
    select.select([reader], [], [], 60)
    time.sleep(random.Random(seed).uniform(0.0, 0.06))
    assert process.pid is not None
    os.kill(process.pid, signal.SIGKILL)
    process.join()
    with os.fdopen(reader, encoding="utf-8") as told:
        whole = told.read()
    return [line for line in whole.split("\n")[:-1] if line]


def _with_pipe(
    work: Callable[[str, int], None], location: str, pipe: multiprocessing.reduction.DupFd
) -> None:
    work(location, pipe.detach())


def _faults(location: str) -> list[str]:
    return [] if "://" in location else file_faults(Path(location))


def test_logging(location: str) -> None:
    writers.fill(location)
    told = 0
    for seed in range(KILLS):
        acknowledged = _killed(writers.log_for_ever, location, seed)
        assert acknowledged
        told = max(told, int(acknowledged[-1]))
        assert _faults(location) == []
        with Store(location).reading() as book:
            numbers = [log.id for log in book.logs()]
            notes = [log.note for log in book.logs()]
        assert set(range(1, told + 1)) <= set(numbers)
        assert len(numbers) % 3 == 0 and notes.count("0 of 3") == notes.count("2 of 3")


def test_importing(location: str) -> None:
    writers.fill(location)
    for seed in range(KILLS):
        acknowledged = _killed(writers.import_for_ever, location, seed)
        assert acknowledged
        assert _faults(location) == []
        with Store(location).reading() as book:
            jobs = [job for job in book.jobs() if job.notes.startswith("turn")]
        assert len(jobs) == 40
        turns = {job.notes for job in jobs}
        assert len(turns) == 1, "an import was kept by halves"
        assert int(turns.pop().split()[1]) >= int(acknowledged[-1])


def test_planning(location: str) -> None:
    writers.fill(location)
    for seed in range(KILLS):
        acknowledged = _killed(writers.plan_for_ever, location, seed)
        assert acknowledged
        assert _faults(location) == []
        with Store(location).reading() as book:
            heads = book.plans()
            assert [h.number for h in heads] == list(range(1, len(heads) + 1))
            assert all(h.published_at is not None for h in heads)
            assert heads[-1].number >= int(acknowledged[-1])
            assert all(len(book.plan(h.number).bookings) == 60 for h in heads[-3:])


def test_making_the_schema(tmp_path: Path) -> None:
    for seed in range(KILLS):
        acknowledged = _killed(writers.create_for_ever, str(tmp_path / f"new{seed}"), seed)
        for path in acknowledged:
            assert file_faults(Path(path)) == []
        for path in tmp_path.glob("*.sqlite3"):
            store = Store(path)
            revision = store.revision()
            assert revision is not None or path.stat().st_size == 0 or _is_empty(path), path
            path.unlink()


def test_migrating(tmp_path: Path) -> None:
    old = tmp_path / "old"
    old.touch()
    migrate_to(Store(old), "0001")
    with closing(sqlite3.connect(old)) as raw:
        raw.executescript((ROWS / "0001.sql").read_text("utf-8"))
    for seed in range(KILLS):
        acknowledged = _killed(writers.upgrade_for_ever, str(old), seed)
        assert acknowledged
        found = sorted(tmp_path.glob("old.*.sqlite3"))
        for path in found:
            assert file_faults(path) == []
            revision = Store(path).revision()
            assert revision == REVISION if str(path) in acknowledged else revision in ("0001", REVISION)
            with closing(sqlite3.connect(path)) as raw:
                assert raw.execute("SELECT count(*) FROM job_lines").fetchone()[0] == 3
            path.unlink()


def _is_empty(path: Path) -> bool:
    with closing(sqlite3.connect(path)) as raw:
        return raw.execute("SELECT count(*) FROM sqlite_master").fetchone()[0] == 0
