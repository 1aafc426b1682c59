"""Backups of a database on a PostgreSQL server, by the server's own tools: pg_dump and pg_restore.

The copies lie on this computer, in the user's data folder, for their owner alone. No password is an argument
of a program: the tools are told by the environment, as libpq reads it.
"""

from __future__ import annotations

import os
import re
import shutil
import subprocess
from contextlib import suppress
from datetime import datetime, timedelta
from pathlib import Path

from sqlalchemy import URL

from planner.errors import StoreTrouble
from planner.store.engine import REVISION, Store, misfit, secrets_of
from planner.store.safekeeping.backup import Copy
from planner.store.turns import WAIT_S

#: Query words of an address -> libpq's variable of the same meaning.
_WORDS = {
    "host": "PGHOST",
    "port": "PGPORT",
    "user": "PGUSER",
    "password": "PGPASSWORD",
    "passfile": "PGPASSFILE",
    "service": "PGSERVICE",
    "sslmode": "PGSSLMODE",
    "sslrootcert": "PGSSLROOTCERT",
    "sslcert": "PGSSLCERT",
    "sslkey": "PGSSLKEY",
}
#: A copy or its way back takes at most this long [s].
_LONGEST_S = 600.0


def folder_of(url: URL) -> Path:
    """Where the copies of that database lie on this computer."""
    import platformdirs

    host = url.host or str(url.query.get("host", ""))
    name = re.sub(r"[^A-Za-z0-9.-]+", "-", f"{host}-{url.database or ''}").strip("-.")[:80]
    return Path(platformdirs.user_data_dir("planner", appauthor=False)) / f"{name or 'server'}.backups"


def copies(url: URL) -> list[Copy]:
    """The copies of the database, oldest first."""
    found = []
    with suppress(FileNotFoundError, NotADirectoryError):
        for file in folder_of(url).iterdir():
            parts = re.fullmatch(r"season-(\d{4}-\d\d-\d\d-\d{6})-(asked|restore)\.dump", file.name)
            with suppress(ValueError):
                if parts:
                    found.append(Copy(file, datetime.strptime(parts[1], "%Y-%m-%d-%H%M%S"), parts[2]))
    return sorted(found, key=lambda c: (c.made_at, c.path.name))


def back_up(store: Store, why: str, at: datetime, *, to: Path | None = None) -> Path:
    """Copy the database whole, as of one moment; returns the copy's path. Raises StoreTrouble."""
    url = _url(store)
    target = to or folder_of(url) / f"season-{at:%Y-%m-%d-%H%M%S}-{why}.dump"
    while to is None and target.exists():
        at += timedelta(seconds=1)
        target = folder_of(url) / f"season-{at:%Y-%m-%d-%H%M%S}-{why}.dump"
    part = target.with_name(f".{target.name}.{os.getpid()}.part")
    try:
        if to is None:
            target.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
        os.close(os.open(part, os.O_CREAT | os.O_TRUNC | os.O_WRONLY, 0o600))
        _run(store, "pg_dump", "--format=custom", "--no-owner", "--no-privileges", f"--file={part}")
        part.replace(target)
    except OSError as error:
        raise StoreTrouble(
            f"the backup {target} could not be written ({error}): free some space or name another place"
        ) from error
    finally:
        with suppress(OSError):
            part.unlink(missing_ok=True)
    return target


def restore(store: Store, copy: Path, now: datetime) -> Path | None:
    """Put a copy in place of the database, in one transaction; returns where the present one was kept.

    Raises StoreTrouble; then nothing changed.
    """
    _must_be_ours(store, copy)
    kept = back_up(store, "restore", now) if store.revision() is not None else None
    words = (
        "--clean",
        "--if-exists",
        "--no-owner",
        "--no-privileges",
        "--single-transaction",
        "--exit-on-error",
    )
    _run(store, "pg_restore", *words, f"--dbname={_url(store).database or ''}", str(copy))
    return kept


def _must_be_ours(store: Store, copy: Path) -> None:
    """StoreTrouble when the copy is not a planner's, or of a newer form."""
    listed = _run(store, "pg_restore", "--list", str(copy))
    if " rate_editions " not in listed or " alembic_version " not in listed:
        raise StoreTrouble(
            f"the backup {copy} is not a planner database: choose another one; nothing was changed"
        )
    rows = _run(store, "pg_restore", "--data-only", "--table=alembic_version", "--file=-", str(copy))
    found = re.search(r"^COPY .*alembic_version.*\n(\S+)\n", rows, re.MULTILINE)
    revision = found[1] if found else ""
    trouble = misfit(revision, str(copy))
    if trouble is not None and not (revision and revision < REVISION):
        raise StoreTrouble(f"{trouble}; nothing was changed")


def _url(store: Store) -> URL:
    assert store.url is not None
    return store.url


def _run(store: Store, tool: str, *words: str) -> str:
    """What the server's tool prints. StoreTrouble when it is missing, too old, or fails."""
    program = shutil.which(tool)
    if program is None:
        raise StoreTrouble(
            f"{tool} is not on the path: install the PostgreSQL client programs, or use "
            "`planner export firm FILE`"
        )
    url = _url(store)
    try:
        done = subprocess.run(
            [program, *words],
            capture_output=True,
            text=True,
            errors="replace",
            timeout=_LONGEST_S,
            check=False,
            env=_environment(url),
        )
    except (OSError, subprocess.TimeoutExpired) as error:
        raise StoreTrouble(
            f"{tool} did not end well ({error}): repeat, or ask who looks after the server"
        ) from None
    if done.returncode:
        raise StoreTrouble(_told(tool, done.stderr, url))
    return done.stdout


def _environment(url: URL) -> dict[str, str]:
    """What the tools know: libpq's variables, a wait of 15 s for locks, nothing on the command line."""
    told: dict[str, object] = {"host": url.host, "port": url.port, "user": url.username}
    told["password"] = url.password
    told.update((k, v) for k, v in url.query.items() if k in _WORDS)
    known = {_WORDS[k]: str(v) for k, v in told.items() if v}
    if url.database:
        known["PGDATABASE"] = url.database
    return {**os.environ, **known, "PGOPTIONS": f"-c lock_timeout={int(WAIT_S)}s", "PGCONNECT_TIMEOUT": "15"}


def _told(tool: str, stderr: str, url: URL) -> str:
    lines = [line for line in stderr.splitlines() if line.strip()] or ["it gave no reason"]
    line = next((x for x in lines if "error" in x.lower()), lines[0])
    for secret in secrets_of(url):
        line = line.replace(secret, "***")
    if "server version mismatch" in stderr:
        return f"{tool} is older than the server: install the client programs of the server's version"
    if "lock timeout" in stderr:
        return "the database is locked by another office, waited 15 s, nothing was changed: repeat later"
    return f"{tool}: {line.strip()}: nothing was changed; fix that, then repeat"
