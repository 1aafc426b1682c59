"""What the database driver complains about, told as a refusal with its fix."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path

from sqlalchemy.exc import DBAPIError, IntegrityError, StatementError

from planner.errors import BadInput, PlannerError, StoreTrouble, Unreadable
from planner.store.turns import in_use, is_held

#: part of the driver's message -> what it means and the fix; the first that fits is told
_MEANINGS: tuple[tuple[str, str], ...] = (
    ("lock timeout", "is locked by another office that is writing: wait until it has finished, then repeat"),
    ("readonly", "cannot be written: give yourself write permission on the file and its folder"),
    ("read-only", "cannot be written: give yourself write permission on it"),
    ("disk is full", "has no room left on its disk, nothing was changed: free some space, then repeat"),
    ("no space left", "has no room left on its disk, nothing was changed: free some space, then repeat"),
    (
        "disk i/o error",
        "could not be read or written, nothing was changed: check the disk and its free space",
    ),
    ("not a database", "is not a planner database: name another file with --db"),
    ("malformed", "is damaged: bring back a backup with `planner db restore`"),
    ("unable to open", "cannot be opened: check the folder's name and its permissions"),
    ("connection refused", "does not answer: start the PostgreSQL server or check its address"),
    ("authentication", "refuses the user or the password: check the address in --db"),
    ("could not translate host", "has an unknown host name: check the address in --db"),
    ("failed to resolve", "has an unknown host name: check the address in --db"),
)


@contextmanager
def explained(place: str, path: Path | None = None, secrets: Sequence[str] = ()) -> Iterator[None]:
    """Turn the driver's errors inside the block into StoreTrouble, BadInput or a refusal.

    place: how the database is called in the text (its path, or its URL without the password); path: of the
    file, when it is one; secrets: what the driver may say and nobody may read.
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
        told = str(error.orig)
        for secret in sorted(secrets, key=len, reverse=True):
            told = told.replace(secret, "***")
        raise StoreTrouble(f"the database {place} {_meaning(told)}") from error
    except UnicodeDecodeError as error:  # the driver's own complaint quotes bytes that are no text
        raise StoreTrouble(
            f"the database {place} is damaged: bring back a backup with `planner db restore`"
        ) from error
    except (UnicodeEncodeError, OverflowError) as error:
        raise _unfit(error) from error
    except StatementError as error:
        raise _unfit(error.orig) from error


def _meaning(message: str) -> str:
    lower = message.lower()
    for part, meaning in _MEANINGS:
        if part in lower:
            return meaning
    first = message.strip().splitlines()[0] if message.strip() else "gave no reason"
    return f"reports: {first}: check it with `planner db check`"


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
