"""Forgetting a client: in the database, and in the backups when asked; what still holds it is named."""

from __future__ import annotations

import re
import sqlite3
from collections.abc import Iterator
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path

from planner.domain.firm.jobs import Status
from planner.errors import PlannerError
from planner.flow.keeping.photos import forget_photos
from planner.store.engine import Store

#: A file longer than this is not looked through [bytes].
_MOST_BYTES = 300_000_000
_KINDS = (".json", ".csv", ".html", ".ics", ".svg", ".txt", ".toml", ".md", ".sqlite3", ".db", ".sql")


@dataclass(frozen=True, slots=True)
class Forgotten:
    """What became of it. renewed: backups that forgot it too; backups, files: where it still is; kin: other
    jobs of the same client; photos: how many of the job were taken away.
    """

    job: str
    renewed: tuple[str, ...]
    backups: tuple[str, ...]
    files: tuple[str, ...]
    kin: tuple[str, ...] = ()
    photos: int = 0


def forget(location: str, who: str, code: str, *, renew: bool) -> Forgotten:
    """Forget the client of a job that is done, cancelled or was never sold. Raises PlannerError on others."""
    from planner.store.safekeeping import erasure
    from planner.store.safekeeping.redaction import FORGOTTEN

    store = Store(location)
    names: tuple[str, ...] = ()
    kin: tuple[str, ...] = ()
    with store.writing(who) as book:
        job = book.job(code)
        if job.status in (Status.SOLD, Status.UNDER_WAY):
            raise PlannerError(
                f"job {code} is {job.status.value}: finish or cancel it before it is forgotten"
            )
        if job.client != FORGOTTEN:
            kin = tuple(j.code for j in book.jobs() if j.client == job.client and j.code != code)
            names = erasure.forget_job(book, code)
    with store.explained():
        erasure.scour(store)
    renewed, backups = renew_backups(location, code) if renew else ((), backups_with(location, code))
    files = _files_with(store, code, names)
    return Forgotten(code, renewed, backups, files, kin, forget_photos(location, code))


def backups_with(location: str, code: str) -> tuple[str, ...]:
    """The backups on this computer that still hold the client; one that cannot be read may."""
    return tuple(str(copy) for copy in _holding(Store(location), code))


def renew_backups(location: str, code: str) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Forget the client in the backups: those in which it was forgotten now, and those that still hold it."""
    from planner.store.safekeeping import erasure, server_copies

    store = Store(location)
    renewed, left = [], []
    for copy in _holding(store, code):
        try:
            if store.path is None:
                server_copies.renew(store, copy, lambda book: erasure.forget_job(book, code))
            else:
                erasure.renew(copy, code, store)
            renewed.append(str(copy))
        except (PlannerError, sqlite3.Error, OSError):
            left.append(str(copy))
    return tuple(renewed), tuple(left)


def _holding(store: Store, code: str) -> Iterator[Path]:
    from planner.store.safekeeping import backup, erasure, server_copies

    made = server_copies.copies(store.url) if store.url is not None else backup.copies(store.path or Path())
    for copy in made:
        try:
            if store.path is None:
                holds = server_copies.tells(store, copy.path, code)
            else:
                holds = erasure.tells(copy.path, code)
        except (PlannerError, sqlite3.Error):
            holds = True
        if holds:
            yield copy.path


def _files_with(store: Store, code: str, names: tuple[str, ...]) -> tuple[str, ...]:
    """Files beside the database and in the present folder that hold a name, or are named for the job:
    exports, pages, photos, damaged databases that were set aside.
    """
    folders = {Path.cwd(), *([store.path.absolute().parent] if store.path is not None else [])}
    named = re.compile(rf"(?<![^\W_]){re.escape(code)}(?![^\W_])", re.IGNORECASE)
    words = [name.encode() for name in names]
    found = []
    for folder in sorted(folders):
        for file in sorted(folder.iterdir()):
            with suppress(OSError):
                if not file.is_file() or (store.path is not None and file.samefile(store.path)):
                    continue
                if named.search(file.name) or _holds(file, words):
                    found.append(str(file))
    return tuple(found)


def _holds(file: Path, words: list[bytes]) -> bool:
    if not words or file.suffix.lower() not in _KINDS or file.stat().st_size > _MOST_BYTES:
        return False
    content = file.read_bytes()
    return any(word in content for word in words)
