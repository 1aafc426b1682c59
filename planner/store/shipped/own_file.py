"""The firm's own copy of a shipped data file, beside its database: every misuse is told as its fault."""

from __future__ import annotations

import tomllib
from collections.abc import Iterator
from contextlib import contextmanager
from importlib.resources import files
from pathlib import Path
from typing import Any

from planner.errors import BadInput

#: A data file is at most this long [bytes].
MOST_BYTES = 2_000_000


def folder_of(location: str) -> Path | None:
    """The folder of a database file, where the firm's own data files lie; None for a server."""
    return None if "://" in location else Path(location).expanduser().parent


def shipped_text(name: str) -> str:
    """The text of a data file as shipped."""
    return (files("planner") / "data" / name).read_text(encoding="utf-8")


def own_text(folder: Path | None, name: str) -> str | None:
    """The text of the firm's own file; None when it has none. BadInput when it cannot be read."""
    own = folder / name if folder else None
    try:
        if own is None or not own.is_file():
            return None
        if own.stat().st_size > MOST_BYTES:
            raise BadInput("file", str(own), f"it is longer than {MOST_BYTES} bytes: shorten it")
        return own.read_text(encoding="utf-8-sig")
    except UnicodeDecodeError:
        raise BadInput("file", str(own), "save it as UTF-8 text") from None
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or str(error)
        raise BadInput("file", str(own), f"it cannot be read ({reason})") from None


def table_of(text: str, where: str) -> dict[str, Any]:
    """The tables of a TOML text; BadInput with the line when it is none."""
    try:
        return tomllib.loads(text)
    except tomllib.TOMLDecodeError as fault:
        fix = "fix the TOML there, or remove the file to use the shipped one"
        raise BadInput("file", where, f"{fault}: {fix}") from None
    except RecursionError:
        raise BadInput("file", where, "too many brackets inside one another: fix the TOML") from None


@contextmanager
def compared(where: str, name: str) -> Iterator[None]:
    """Within the block a value of the wrong kind is the file's fault, not the program's."""
    try:
        yield
    except (KeyError, TypeError, ValueError, AttributeError, OverflowError) as fault:
        raise BadInput("file", where, f"compare it with the shipped {name} ({fault})") from None
