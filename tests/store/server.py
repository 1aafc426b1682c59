"""A private PostgreSQL server for the tests: found, started as an ordinary user, stopped."""

from __future__ import annotations

import importlib.util
import os
import pwd
import shutil
import subprocess
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path


def programs() -> Path | None:
    """The folder of initdb and pg_ctl; None when PostgreSQL or its driver is not installed."""
    if importlib.util.find_spec("psycopg") is None:
        return None
    folders = sorted(Path("/usr/lib/postgresql").glob("*/bin"), reverse=True)
    on_path = shutil.which("initdb")
    if on_path:
        folders.append(Path(on_path).parent)
    return next((f for f in folders if (f / "initdb").exists() and (f / "pg_ctl").exists()), None)


@contextmanager
def server() -> Iterator[str]:
    """Start a server on a socket of its own; gives the URL up to the database's name."""
    folder = programs()
    assert folder is not None
    home = Path(tempfile.mkdtemp(prefix="planner-pg-"))
    user = _ordinary_user()
    if user:
        os.chown(home, pwd.getpwnam(user).pw_uid, -1)
    data = home / "data"
    options = f"-F -k {home} -h '' -c max_connections=40 -c shared_buffers=16MB"
    start = [folder / "pg_ctl", "-D", data, "-o", options, "-l", home / "log", "-w", "start"]
    try:
        _run(user, folder / "initdb", "-D", data, "-A", "trust", "-U", "office", "-E", "UTF8", "--no-sync")
        _run(user, *start)
        try:
            yield f"postgresql+psycopg://office@/{{}}?host={home}"
        finally:
            _run(user, folder / "pg_ctl", "-D", data, "-m", "immediate", "-w", "stop")
    finally:
        shutil.rmtree(home, ignore_errors=True)


def _ordinary_user() -> str | None:
    """PostgreSQL does not start as root: then it is started as the package's own user."""
    return "postgres" if os.geteuid() == 0 else None


def _run(user: str | None, *command: str | Path) -> None:
    subprocess.run(
        [str(c) for c in command],
        check=True,
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
        user=user,
        cwd="/",
        env={"PATH": os.environ.get("PATH", ""), "LC_ALL": "C.UTF-8"},
    )
