"""The server's own tools, pg_dump and pg_restore: found on the path, of the right version, told in secret.

No password is an argument of a program, where every user of the computer could read it: the tools are told by
the environment, as libpq reads it.
"""

from __future__ import annotations

import os
import re
import shutil
import subprocess

from sqlalchemy import URL

from planner.errors import StoreTrouble
from planner.store.engine import Store
from planner.store.server import secrets_of
from planner.store.trouble import meaning
from planner.store.turns import WAIT_S

#: Owners and rights belong to a server, not to a season.
NO_OWNER = ("--no-owner", "--no-privileges")

#: Words of an address -> libpq's variable of the same meaning (PostgreSQL manual, 34.15, from memory).
_WORDS = {
    "host": "PGHOST",
    "hostaddr": "PGHOSTADDR",
    "port": "PGPORT",
    "user": "PGUSER",
    "password": "PGPASSWORD",
    "passfile": "PGPASSFILE",
    "service": "PGSERVICE",
    "channel_binding": "PGCHANNELBINDING",
    "sslmode": "PGSSLMODE",
    "sslrootcert": "PGSSLROOTCERT",
    "sslcert": "PGSSLCERT",
    "sslkey": "PGSSLKEY",
    "sslcrl": "PGSSLCRL",
    "gssencmode": "PGGSSENCMODE",
    "krbsrvname": "PGKRBSRVNAME",
    "requirepeer": "PGREQUIREPEER",
    "require_auth": "PGREQUIREAUTH",
    "target_session_attrs": "PGTARGETSESSIONATTRS",
    "application_name": "PGAPPNAME",
}
#: A copy or its way back takes at most this long [s].
_LONGEST_S = 600.0


def must_fit(store: Store, tool: str) -> None:
    """StoreTrouble when the tool is missing, or older than the server whose content it shall read."""
    told = run(store, tool, "--version")
    found = re.search(r"(\d+)(?:\.\d+)?", told)
    own = int(found[1]) if found else 0
    server = server_version(store)
    if own < server:
        raise StoreTrouble(
            f"{tool} is of version {own}, the server of version {server}: install the PostgreSQL client "
            f"programs of version {server} or newer"
        )


def server_version(store: Store) -> int:
    """The server's version, like 15. Raises StoreTrouble when it does not answer."""
    with store.explained(), store.connected(any_revision=True) as connection:
        return int(connection.exec_driver_sql("SHOW server_version_num").scalar_one()) // 10_000


def run(store: Store, tool: str, *words: str) -> str:
    """What the server's tool prints. StoreTrouble when it is missing or fails."""
    program = shutil.which(tool)
    if program is None:
        raise StoreTrouble(
            f"{tool} is not on the path: install the PostgreSQL client programs, or use "
            "`planner export firm FILE`"
        )
    assert store.url is not None
    try:
        done = subprocess.run(
            [program, *words],
            capture_output=True,
            text=True,
            errors="replace",
            timeout=_LONGEST_S,
            check=False,
            env=_environment(store.url),
        )
    except (OSError, subprocess.TimeoutExpired) as error:
        raise StoreTrouble(
            f"{tool} did not end well ({error}): repeat, or ask who looks after the server"
        ) from None
    if done.returncode:
        raise StoreTrouble(_told(store, tool, done.stderr))
    return done.stdout


def _environment(url: URL) -> dict[str, str]:
    """What the tools know: libpq's variables, a wait of 15 s for locks, nothing on the command line."""
    told: dict[str, object] = {"host": url.host, "port": url.port, "user": url.username}
    told["password"] = url.password
    told.update((k, v) for k, v in url.query.items() if k in _WORDS)
    known = {_WORDS[k]: str(v) for k, v in told.items() if v}
    if url.database:
        known["PGDATABASE"] = url.database
    wait = f"{url.query.get('options', os.environ.get('PGOPTIONS', ''))} -c lock_timeout={int(WAIT_S)}s"
    return {**os.environ, **known, "PGOPTIONS": wait.strip(), "PGCONNECT_TIMEOUT": "15"}


def _told(store: Store, tool: str, stderr: str) -> str:
    """One line: what the complaint means when that is known, else its first line with an error in it."""
    assert store.url is not None
    secrets = secrets_of(store.url)
    if "server version mismatch" in stderr:
        return f"{tool} is older than the server: install the client programs of the server's version"
    if "unsupported version" in stderr:
        return (
            f"the copy was made by newer tools than this {tool}, nothing was changed: install the PostgreSQL "
            "client programs that made it"
        )
    known = meaning(stderr, secrets)
    if not known.startswith("reports: "):
        return f"{tool}: the database {store.name} {known}"
    lines = [line for line in stderr.splitlines() if line.strip()] or ["it gave no reason"]
    line = next((x for x in lines if "error" in x.lower()), lines[0])
    for secret in secrets:
        line = line.replace(secret, "***")
    return f"{tool}: {line.strip()}: nothing was changed; fix that, then repeat"
