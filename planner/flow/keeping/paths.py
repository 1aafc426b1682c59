"""Files by the names that people give: read whole or refused, written whole or not at all.

Reading takes plain files of a bounded length only (no device, no folder, no endless stream). Writing never
replaces a database, a folder or a device; the new content takes its place in one step.
"""

from __future__ import annotations

import os
from collections.abc import Iterator
from contextlib import suppress
from pathlib import Path

from planner.errors import BadInput

_DATABASE = b"SQLite format 3\0"

#: A text that the office hands in (design, returned sheet, table) is at most this long [bytes].
TEXT_BYTES = 20_000_000


def beside(location: str, name: str) -> Path:
    """Where a file lies that belongs to the database: beside it, or in the user's data folder."""
    if "://" in location:
        import platformdirs

        return Path(platformdirs.user_data_dir("planner", appauthor=False)) / name
    return Path(location).expanduser().with_name(name)


def read_bytes(path: str | Path, most: int = TEXT_BYTES, field: str = "file") -> bytes:
    """The content of a plain file; BadInput when it cannot be read or is longer than `most` [bytes]."""
    file = Path(path)
    try:
        if not file.is_file():
            what = "that is not a plain file" if file.exists() else "no such file"
            raise BadInput(field, str(path), f"{what}: check the name")
        if file.stat().st_size > most:
            raise BadInput(field, str(path), f"it is longer than {most} bytes: split it")
        with file.open("rb") as opened:
            content = opened.read(most + 1)
    except (OSError, ValueError) as error:
        raise BadInput(field, str(path), f"it cannot be read ({_reason(error)}): check the name") from None
    if len(content) > most:
        raise BadInput(field, str(path), f"it is longer than {most} bytes: split it")
    return content


def read_text(path: str | Path, most: int = TEXT_BYTES, field: str = "file") -> str:
    """The text of a plain UTF-8 file, a byte-order mark left out; BadInput when it is none."""
    return text_of(read_bytes(path, most, field), str(path), field)


def text_of(raw: bytes, name: str, field: str = "file") -> str:
    """The text of a UTF-8 file called `name`, a byte-order mark left out; BadInput when it is none."""
    try:
        return raw.decode("utf-8-sig")
    except UnicodeDecodeError:
        raise BadInput(field, name, "not UTF-8 text: save the file as UTF-8") from None


def write(
    path: str | Path,
    content: str | bytes | Iterator[str],
    field: str = "file",
    *,
    readable: bool = False,
) -> None:
    """Put `content`, whole or piece by piece, at `path` in one step. Only its owner may read it, unless
    `readable`.

    Raises BadInput when the place is a folder, a device or a database, or cannot be written.
    """
    target = Path(path)
    pieces = iter([content]) if isinstance(content, str | bytes) else content
    part = target.parent / f".{target.name[:100]}.{os.getpid()}.part"
    try:
        _may_be_replaced(target, field)
        handle = os.open(part, os.O_CREAT | os.O_TRUNC | os.O_WRONLY, 0o666 if readable else 0o600)
        with os.fdopen(handle, "wb") as out:
            for piece in pieces:
                out.write(piece.encode("utf-8", errors="replace") if isinstance(piece, str) else piece)
            out.flush()
            os.fsync(out.fileno())
        part.replace(target)
    except (OSError, ValueError) as error:
        raise BadInput(
            field, str(path), f"{_reason(error)}: choose another file name, or free some space"
        ) from None
    finally:
        with suppress(OSError, ValueError):
            part.unlink(missing_ok=True)


def _may_be_replaced(target: Path, field: str) -> None:
    if not target.name or (target.exists() and not target.is_file()):
        raise BadInput(field, str(target), "that is not a plain file: choose another file name")
    if target.is_file():
        with target.open("rb") as present:
            if present.read(len(_DATABASE)) == _DATABASE:
                raise BadInput(field, str(target), "that is a database: choose another file name")


def _reason(error: Exception) -> str:
    return (getattr(error, "strerror", None) or str(error)).lower()
