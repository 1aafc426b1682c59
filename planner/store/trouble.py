"""What the database driver complains about, told as a refusal with its fix."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path

from sqlalchemy.exc import DBAPIError, IntegrityError, StatementError

from planner.errors import BadInput, PlannerError, StoreTrouble, Unreadable
from planner.store.turns import in_use, is_held

_NO_ROOM = "has no room left on its disk, nothing was changed: free some space, then repeat"
_SILENT = "does not answer: start the PostgreSQL server, or check its address and the network"
_CUT_OFF = (
    "was cut off in mid-command, nothing was changed unless `planner history list` shows it: wait until the "
    "server is back, look there, then repeat"
)

#: pattern in the driver's message, with the SQLSTATE before it -> what it means and the fix; the first that
#: fits is told. {0} is what the pattern's group found. Codes: PostgreSQL manual, appendix A.
_MEANINGS: tuple[tuple[str, str], ...] = (
    (
        r"^55P03|lock timeout",
        "is locked by another office that is {holder}, waited {wait:g} s, nothing was changed: wait until it "
        "has finished, then repeat",
    ),
    (
        r"^25006|read-only transaction|during recovery",
        "lets this user only read, nothing was changed: use a user that may write, or the main server",
    ),
    (
        r"permission denied for table (\w+)",
        "does not give this user all rights on the table {0}, nothing was changed: its owner runs GRANT "
        "SELECT, INSERT, UPDATE, DELETE ON ALL TABLES IN SCHEMA public TO this user, and again after each "
        "upgrade",
    ),
    (
        r"permission denied for schema (\w+)",
        "does not let this user make tables, nothing was changed: its owner runs GRANT CREATE ON SCHEMA {0} "
        "TO this user",
    ),
    (
        r"must be owner of|permission denied to",
        "lets only the owner of its tables do this, nothing was changed: use the user who made it",
    ),
    (
        r"permission denied for database",
        "does not let this user in: its owner runs GRANT CONNECT ON DATABASE ... TO this user",
    ),
    (
        r'^3D000|database "[^"]*" does not exist',
        "is not on that server: check the name, or make an empty one there with `createdb`, then "
        "`planner db create`",
    ),
    (r"readonly", "cannot be written: give yourself write permission on the file and its folder"),
    (r"read-only", "cannot be written: give yourself write permission on it"),
    (r"disk is full|no space left|^53100", _NO_ROOM),
    (
        r"disk i/o error",
        "could not be read or written, nothing was changed: check the disk and its free space",
    ),
    (r"not a database", "is not a planner database: name another file with --db"),
    (r"malformed", "is damaged: bring back a backup with `planner db restore`"),
    (r"unable to open", "cannot be opened: check the folder's name and its permissions"),
    (r"^57P03|is starting up|is shutting down", "is starting or stopping: wait a minute, then repeat"),
    (
        r"server does not support SSL",
        "does not speak TLS, and without it nothing is sent: turn `ssl` on in the server, or write "
        "?sslmode=disable into the address when the network is your own",
    ),
    (
        r"root certificate file|certificate verify failed|server certificate",
        "shows a certificate that is not trusted: name its root with ?sslrootcert=FILE in the address, and "
        "the host as the certificate has it",
    ),
    (r"connection refused|no such file or directory|timeout expired|timed out|unreachable|no route", _SILENT),
    (
        r"^28P01|^28000|authentication|no password supplied|role .* does not exist",
        "refuses the user or the password: check the user in --db and the password file",
    ),
    (
        r"no pg_hba.conf entry",
        "does not let this computer or user in: add a line to pg_hba.conf on the server",
    ),
    (
        r"could not translate host|failed to resolve|name or service not known",
        "has an unknown host name: check the address in --db",
    ),
    (
        r"definition of service .* not found",
        "names a service that no service file has: see `planner guide database`",
    ),
    (
        r"^53300|too many (?:clients|connections)|remaining connection slots",
        "has too many users at once: close one, then repeat",
    ),
    (
        r"^57P0[12]|closed the connection|connection is closed|has been closed|consuming input"
        r"|connection is lost",
        _CUT_OFF,
    ),
)


@contextmanager
def explained(
    place: str,
    path: Path | None = None,
    secrets: Sequence[str] = (),
    holder: Callable[[], str] = lambda: "using it",
) -> Iterator[None]:
    """Turn the driver's errors inside the block into StoreTrouble, BadInput or a refusal.

    place: how the database is called in the text (its path, or its URL without the password); path: of the
    file, when it is one; secrets: what the driver may say and nobody may read; holder: what the other office
    does that holds a server's database.
    """
    try:
        yield
    except IntegrityError as error:
        raise PlannerError(_rule(str(error.orig))) from error
    except DBAPIError as error:
        if path is not None and is_held(error.orig):
            raise in_use(path) from error
        if "could not decode" in str(error.orig).lower():
            raise Unreadable("a stored text cannot be read: run `planner db check`") from error
        told = f"{getattr(error.orig, 'sqlstate', None) or ''} {error.orig}"
        raise StoreTrouble(f"the database {place} {meaning(told, secrets, holder)}") from error
    except UnicodeDecodeError as error:  # the driver's own complaint quotes bytes that are no text
        raise StoreTrouble(
            f"the database {place} is damaged: bring back a backup with `planner db restore`"
        ) from error
    except (UnicodeEncodeError, OverflowError) as error:
        raise _unfit(error) from error
    except StatementError as error:
        raise _unfit(error.orig) from error


def meaning(told: str, secrets: Sequence[str] = (), holder: Callable[[], str] = lambda: "using it") -> str:
    """What a complaint of the driver or of the server's tools means, with its fix; without any secret."""
    from planner.store import turns

    for secret in sorted(secrets, key=len, reverse=True):
        told = told.replace(secret, "***")
    for pattern, means in _MEANINGS:
        if found := re.search(pattern, told, re.IGNORECASE):
            asks = "{holder}" in means
            return means.format(*found.groups(), holder=holder() if asks else "", wait=turns.WAIT_S)
    lines = told.strip().splitlines()
    return f"reports: {lines[0].strip() if lines else 'no reason'}: check it with `planner db check`"


def _rule(message: str) -> str:
    first = " ".join(message.split())
    if "foreign key" in first.lower():
        return "refused: other entries still refer to this one, or it refers to one that is not there"
    return f"refused by a rule of the database ({first[:160]}): correct the value, nothing was changed"


def _unfit(error: BaseException | None) -> PlannerError:
    if isinstance(error, UnicodeEncodeError):
        return BadInput("text", "characters that are not text", "write it in UTF-8")
    if isinstance(error, OverflowError):
        return BadInput("number", "too large", "use a smaller number")
    return BadInput("value", str(error), "correct it, nothing was changed")
