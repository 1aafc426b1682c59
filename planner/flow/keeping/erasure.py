"""Forgetting a client: in the database, and in the backups when asked; what still holds it is named."""

from __future__ import annotations

import sqlite3
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path

from planner.domain.firm.jobs import Status
from planner.errors import PlannerError
from planner.store.engine import Store

#: A file beside the database longer than this is not looked through [bytes].
_MOST_BYTES = 50_000_000
_KINDS = (".json", ".csv", ".html", ".ics", ".svg", ".txt", ".toml", ".md")


@dataclass(frozen=True, slots=True)
class Forgotten:
    """What became of it. renewed: backups that forgot it too; backups, files: where it still is."""

    job: str
    renewed: tuple[str, ...]
    backups: tuple[str, ...]
    files: tuple[str, ...]


def forget(location: str, who: str, code: str, *, renew: bool) -> Forgotten:
    """Forget the client of a job that is done, cancelled or was never sold. Raises PlannerError on others."""
    from planner.store.safekeeping import erasure

    store = Store(location)
    with store.writing(who) as book:
        job = book.job(code)
        if job.status in (Status.SOLD, Status.UNDER_WAY):
            raise PlannerError(
                f"job {code} is {job.status.value}: finish or cancel it before it is forgotten"
            )
        if job.client == erasure.FORGOTTEN:
            names: tuple[str, ...] = ()
        else:
            names = tuple(n for n in (job.client, job.address, job.phone) if len(n) > 3)
            erasure.forget_job(book, code)
    if store.path is None:
        return Forgotten(code, (), (), ())
    erasure.scour(store.path)
    renewed, backups = _copies(store, code, renew=renew)
    return Forgotten(code, renewed, backups, _files_with(store.path.parent, names))


def _copies(store: Store, code: str, *, renew: bool) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """The backups in which it was forgotten now, and those that still hold it."""
    from planner.store.safekeeping import erasure
    from planner.store.safekeeping.backup import copies

    renewed, left = [], []
    for copy in copies(store.path) if store.path is not None else ():
        try:
            if not erasure.tells(copy.path, code):
                continue
            if not renew:
                left.append(str(copy.path))
                continue
            with Store(copy.path, clock=store.clock).renewing() as book:
                erasure.forget_job(book, code)
            erasure.scour(copy.path)
            renewed.append(str(copy.path))
        except (PlannerError, sqlite3.Error):
            left.append(str(copy.path))
    return tuple(renewed), tuple(left)


def _files_with(folder: Path, names: tuple[str, ...]) -> tuple[str, ...]:
    """Files beside the database that hold one of the names: exports and pages written before."""
    found = []
    for file in sorted(folder.iterdir()) if names else ():
        with suppress(OSError):
            if file.suffix.lower() in _KINDS and file.is_file() and file.stat().st_size <= _MOST_BYTES:
                text = file.read_text(encoding="utf-8", errors="replace")
                if any(name in text for name in names):
                    found.append(str(file))
    return tuple(found)
