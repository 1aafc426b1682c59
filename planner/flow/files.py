"""Files in and out: CSV of each kind, and the whole firm as one JSON file.

A file is read and judged whole; on any fault nothing is changed and every fault is told. Output takes its
place under its name in one step and is readable by its owner only (it may hold phone numbers).
"""

from __future__ import annotations

import json
import os
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from planner.errors import BadInput, PlannerError
from planner.flow.cells import FILE_BYTES, read_sheet, several, write_sheet
from planner.flow.kinds import KINDS, Kind, Records
from planner.store.engine import Store

if TYPE_CHECKING:
    from planner.store.books import Book

FIRM = "firm"
#: A whole-firm file is at most this long [bytes].
FIRM_BYTES = 500_000_000


@dataclass(frozen=True, slots=True)
class Imported:
    """What an import came to: rows read, and the names that are new and changed."""

    rows: int
    added: tuple[str, ...]
    changed: tuple[str, ...]


def kind_named(name: str) -> Kind:
    """The CSV kind of that name; BadInput when there is none."""
    if name not in KINDS:
        raise BadInput("kind", name, f"use one of: {', '.join(KINDS)}, {FIRM}")
    return KINDS[name]


def import_file(location: str, who: str, kind_name: str, path: str, *, dry_run: bool) -> Imported:
    """Read a CSV file of that kind into the store, or only say what it would change."""
    kind = kind_named(kind_name)
    sheet = read_sheet(Path(path).name, read_bytes(path, FILE_BYTES), kind.known(), kind.needed)
    store = Store(location)
    if dry_run:
        with store.reading() as book:
            before, after, faults = _judged(kind, book, sheet)
    else:
        with store.writing(who) as book:
            before, after, faults = _judged(kind, book, sheet)
            if not faults:
                _keep(book, before, after)
    if faults:
        raise several(faults)
    added, changed = _differences(before, after)
    return Imported(len(sheet.rows), tuple(added), tuple(changed))


def export_text(location: str, kind_name: str, *, to_file: bool) -> str:
    """The CSV text of that kind, in the firm's units."""
    kind = kind_named(kind_name)
    with Store(location).reading() as book:
        records = _records(book)
    return write_sheet(kind.columns(records.units), kind.rows(records), to_file=to_file)


def export_firm(location: str) -> str:
    """Everything that is stored, as one JSON text."""
    from planner.store.whole import dump

    with Store(location).reading() as book:
        data = dump(book)
    return json.dumps(data, ensure_ascii=False, indent=1) + "\n"


def import_firm(location: str, who: str, path: str, *, dry_run: bool) -> dict[str, int]:
    """Fill an empty database from a whole-firm file; noun -> how many. Refused when it is not empty."""
    from planner.store.whole import load

    data = parsed_json(Path(path).name, read_bytes(path, FIRM_BYTES))
    store = Store(location)
    if not dry_run:
        with store.writing(who) as book:
            return load(book, data)
    counts: dict[str, int] = {}
    with suppress(_DryRunOver), store.writing(who) as book:
        counts = load(book, data)
        raise _DryRunOver
    return counts


class _DryRunOver(Exception):
    """Rolls a rehearsal back."""


def parsed_json(name: str, raw: bytes) -> Any:
    """The JSON value of a file; BadInput with the line when it is none."""
    try:
        return json.loads(raw.decode("utf-8-sig"), parse_constant=_no_constant)
    except UnicodeDecodeError:
        raise BadInput("file", "not UTF-8", "save it as UTF-8", where=name) from None
    except json.JSONDecodeError as error:
        where = f"{name} line {error.lineno} column {error.colno}"
        raise BadInput("JSON", error.msg, "mend the file, or export it again", where=where) from None
    except (ValueError, RecursionError) as error:
        raise BadInput("JSON", str(error), "mend the file, or export it again", where=name) from None


def _no_constant(word: str) -> Any:
    raise ValueError(f"{word} is not a number")


def read_bytes(path: str, most: int) -> bytes:
    """The file's content; BadInput when it cannot be read or is too long."""
    file = Path(path)
    try:
        if not file.is_file():
            raise BadInput("file", path, "no such file: check the name")
        if file.stat().st_size > most:
            raise BadInput("file", path, f"it is longer than {most} bytes: split it")
        return file.read_bytes()
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or str(error)
        raise BadInput("file", path, f"it cannot be read ({reason})") from None


def write_text(location: str, path: str, text: str, *, overwrite: bool) -> None:
    """Write an export; refused when the file exists (unless `overwrite`) or is the database itself."""
    target = Path(path)
    part = target.parent / f".{target.name[:100]}.{os.getpid()}.part"
    try:
        _may_write(location, target, overwrite=overwrite)
        handle = os.open(part, os.O_CREAT | os.O_TRUNC | os.O_WRONLY, 0o600)
        with os.fdopen(handle, "w", encoding="utf-8", newline="") as out:
            out.write(text)
            out.flush()
            os.fsync(out.fileno())
        part.replace(target)
    except (OSError, ValueError) as error:
        with suppress(OSError, ValueError):
            part.unlink(missing_ok=True)
        reason = getattr(error, "strerror", None) or str(error)
        raise PlannerError(
            f"{path!r} cannot be written ({reason}): name another file, or free some space"
        ) from None


def _may_write(location: str, target: Path, *, overwrite: bool) -> None:
    if "://" not in location and Path(location).exists() and target.exists() and target.samefile(location):
        raise BadInput("file", str(target), "that is the database itself: name another file")
    if target.exists() and not target.is_file():
        raise BadInput("file", str(target), "that is not a plain file: name another one")
    if target.exists() and not overwrite:
        raise BadInput("file", str(target), "it exists: name another one, or say --overwrite")


def _judged(kind: Kind, book: Book, sheet: Any) -> tuple[Records, Records, list[BadInput]]:
    before, after = _records(book), _records(book)
    return before, after, kind.read(sheet, after)


def _records(book: Book) -> Records:
    return Records(
        firm=book.firm(),
        jobs={j.code: j for j in book.jobs()},
        crews={c.name: c for c in book.crews()},
        machines={m.key: m for m in book.machines()},
        revisions=book.job_revisions(),
    )


def _keep(book: Book, before: Records, after: Records) -> None:
    if after.firm != before.firm:
        book.save_firm(after.firm)
    for crew in after.crews.values():
        if before.crews.get(crew.name) != crew:
            book.save_crew(crew)
    for machine in after.machines.values():
        if before.machines.get(machine.key) != machine:
            book.save_machine(machine)
    for job in after.jobs.values():
        if before.jobs.get(job.code) != job:
            book.save_job(job)


def _differences(before: Records, after: Records) -> tuple[list[str], list[str]]:
    added: list[str] = []
    changed: list[str] = ["firm"] if before.firm != after.firm else []
    pairs: tuple[tuple[Any, Any], ...] = (
        (before.crews, after.crews),
        (before.machines, after.machines),
        (before.jobs, after.jobs),
    )
    for old, new in pairs:
        added += [key for key in new if key not in old]
        changed += [key for key in new if key in old and old[key] != new[key]]
    return added, changed
