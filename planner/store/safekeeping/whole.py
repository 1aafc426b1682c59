"""The whole firm as one plain value: everything that is stored, and back into an empty database.

Format 1, one object: format, firm, rate_books, jobs (each with its rate edition, revision and design), crews,
machines, trucks, logs, lost, plans, holds, office_marks, returns, calendar_events, history, counters.
Measures are US customary, dates ISO 8601. Dumping, loading into an empty database and dumping again gives the
same value.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Any

from sqlalchemy import select, update

from planner.domain.estimate.rates import RateBook
from planner.domain.firm.actuals import Log
from planner.domain.firm.crews import Crew, Machine, Truck
from planner.domain.firm.firm import Firm
from planner.domain.firm.jobs import Job
from planner.domain.firm.lost import LostTime
from planner.domain.firm.records import CalendarEvent, Change, Hold, OfficeMark, ReturnSeen
from planner.domain.plain import from_plain, to_plain
from planner.domain.season.plan import Plan
from planner.errors import BadInput, PlannerError, collected
from planner.store.books import Book
from planner.store.schema import tables as t
from planner.store.tables.rows import row_of, value_of

FORMAT = 1
PARTS = (
    "firm",
    "rate_books",
    "crews",
    "machines",
    "trucks",
    "jobs",
    "logs",
    "lost",
    "plans",
    "holds",
    "office_marks",
    "returns",
    "calendar_events",
    "history",
    "counters",
)


@dataclass(frozen=True, slots=True)
class Edition:
    """A rate book with the moment it was saved and its place in the order."""

    saved_at: datetime
    place: int


def dump(book: Book) -> dict[str, Any]:
    """Everything that is stored."""
    return {name: list(part) if isinstance(part, Iterator) else part for name, part in parts(book)}


def parts(book: Book) -> Iterator[tuple[str, Any]]:
    """Everything that is stored, by its parts; what may be long comes one by one."""
    yield "planner_firm", FORMAT
    yield "firm", to_plain(book.firm())
    yield "rate_books", _editions(book)
    yield "crews", to_plain([replace(crew, guests=()) for crew in book.crews()])
    yield "machines", to_plain(book.machines())
    yield "trucks", to_plain(book.trucks())
    yield "jobs", _jobs(book)
    yield "logs", _all(book, t.logs, Log, "id")
    yield "lost", to_plain(sorted(book.lost(), key=lambda e: e.id))
    yield "plans", (to_plain(book.plan(head.number)) for head in book.plans())
    yield "holds", to_plain(book.holds())
    yield "office_marks", to_plain(list(book.office_marks().values()))
    yield "returns", _all(book, t.returns, ReturnSeen, "mark")
    yield "calendar_events", to_plain(list(book.calendar_events().values()))
    yield "history", _all(book, t.history, Change, "id")
    yield "counters", _counters(book)


def load(book: Book, data: Any) -> dict[str, int]:
    """Fill an empty database; noun -> how many. Raises BadInput with the place of what does not fit."""
    if not isinstance(data, dict) or "planner_firm" not in data:
        raise BadInput("file", "not a whole-firm file", "use one that `planner export firm` wrote")
    if data["planner_firm"] != FORMAT:
        raise BadInput(
            "planner_firm", data["planner_firm"], f"this program reads format {FORMAT}: upgrade it"
        )
    if unknown := sorted(set(data) - {*PARTS, "planner_firm"}):
        raise BadInput(unknown[0], "unknown part", f"use only: {', '.join(PARTS)}")
    if book.jobs() or book.crews() or book.machines() or book.trucks() or book.plans():
        raise PlannerError("this database is not empty: make a new one with `planner --db FILE db create`")
    book.forget_editions()
    with book.unrecorded():
        _load_values(book, data)
    return {part: len(data[part]) for part in PARTS if isinstance(data.get(part), list)}


#: Part of the file -> what each of its entries is.
_KINDS: dict[str, type[Any]] = {
    "crews": Crew,
    "machines": Machine,
    "trucks": Truck,
    "logs": Log,
    "lost": LostTime,
    "plans": Plan,
    "holds": Hold,
    "office_marks": OfficeMark,
    "returns": ReturnSeen,
    "calendar_events": CalendarEvent,
    "history": Change,
}


def _load_values(book: Book, data: dict[str, Any]) -> None:
    """Every part is read before the first is written, so that all faults are told at once."""
    parts = collected(lambda part: _read(data, part, _KINDS[part]), _KINDS)
    values = dict(zip(_KINDS, parts, strict=True))
    book.save_firm(from_plain(Firm, data.get("firm", {})))
    for i, plain in enumerate(_list(data, "rate_books")):
        _load_edition(book, plain, f"rate_books[{i}]")
    for crew in values["crews"]:
        book.save_crew(crew)
    for machine in values["machines"]:
        book.save_machine(machine)
    for truck in values["trucks"]:
        book.save_truck(truck)
    collected(lambda row: _load_job(book, row[1], f"jobs[{row[0]}]"), enumerate(_list(data, "jobs")))
    book.put_logs(values["logs"])
    for lost in values["lost"]:
        book.save_lost(lost)
    for plan in values["plans"]:
        book.put_plan(plan)
    for hold in values["holds"]:
        book.save_hold(hold)
    for mark in values["office_marks"]:
        book.put_mark(mark.key, mark)
    for seen in values["returns"]:
        book.put_return(seen)
    book.save_calendar_events(values["calendar_events"])
    book.fill(t.history, [row_of(c, t.history) for c in values["history"]])
    _load_counters(book, data)


def _read(data: dict[str, Any], part: str, kind: type[Any]) -> list[Any]:
    rows = list(enumerate(_list(data, part)))
    values = collected(lambda row: from_plain(kind, row[1], where=f"{part}[{row[0]}]"), rows)
    met: set[object] = set()
    for i, key in enumerate(map(_key, values)):
        if key in met and key:
            raise BadInput(f"{part}[{i}]", str(key), "it stands in the file twice: keep one")
        met.add(key)
    return values


def _key(value: Any) -> object:
    names = ("number", "id", "uid", "mark", "job", "key", "name")
    return next((getattr(value, n) for n in names if hasattr(value, n)), None)


def _list(data: dict[str, Any], part: str) -> list[Any]:
    found = data.get(part, [])
    if not isinstance(found, list):
        raise BadInput(part, type(found).__name__, "expected a list in brackets [ ]")
    return found


def _editions(book: Book) -> Iterator[dict[str, Any]]:
    rows = book.connection.execute(select(t.rate_editions).order_by(t.rate_editions.c.place)).all()
    for row in rows:
        yield {
            "saved_at": row.saved_at.isoformat(),
            "place": row.place,
            "book": book.rate_book(row.edition).to_plain(),
        }


def _load_edition(book: Book, plain: Any, where: str) -> None:
    if not isinstance(plain, dict) or set(plain) != {"saved_at", "place", "book"}:
        raise BadInput(where, "a rate book", "expected saved_at, place and book")
    own = from_plain(Edition, {k: plain[k] for k in ("saved_at", "place")}, where=where)
    try:
        rates = RateBook.from_plain(plain["book"])
    except (KeyError, TypeError, ValueError, AttributeError) as error:
        raise BadInput(f"{where}.book", str(error), "export it again") from None
    if book.has_rate_book(rates.edition):
        raise BadInput(where, rates.edition, "it stands in the file twice: keep one")
    book.save_rate_book(rates)
    book.connection.execute(
        update(t.rate_editions)
        .where(t.rate_editions.c.edition == rates.edition)
        .values(saved_at=own.saved_at, place=own.place)
    )


def _jobs(book: Book) -> Iterator[dict[str, Any]]:
    revisions, editions, designs = book.job_revisions(), book.job_editions(), book.designs()
    for job in book.jobs():
        yield to_plain(job) | {
            "rate_edition": editions.get(job.code),
            "revision": revisions[job.code],
            "design": designs.get(job.code),
        }


def _load_job(book: Book, plain: Any, where: str) -> None:
    if not isinstance(plain, dict):
        raise BadInput(where, type(plain).__name__, "expected an object in braces { }")
    own = {k: v for k, v in plain.items() if k not in ("rate_edition", "revision", "design")}
    job = from_plain(Job, own, where=where)
    edition, revision, design = plain.get("rate_edition"), plain.get("revision", 1), plain.get("design")
    texts = all(v is None or isinstance(v, str) for v in (edition, design))
    if not texts or isinstance(revision, bool) or not isinstance(revision, int) or not 1 <= revision < 2**31:
        raise BadInput(where, "rate_edition, revision or design", "use text, a whole number from 1, and text")
    if book.has_job(job.code):
        raise BadInput(where, job.code, "it stands in the file twice: keep one")
    book.save_job(job, edition)
    book.save_design(job.code, design)
    book.connection.execute(update(t.jobs).where(t.jobs.c.code == job.code).values(revision=revision))


def _all(book: Book, table: Any, kind: Callable[..., Any], order: str) -> Iterator[Any]:
    chosen = select(table).order_by(table.c[order]).execution_options(yield_per=500)
    for row in book.connection.execute(chosen):
        yield to_plain(value_of(kind, row))


def _counters(book: Book) -> dict[str, int]:
    rows = book.connection.execute(select(t.counters).order_by(t.counters.c.name)).all()
    return {row.name: row.last for row in rows}


def _load_counters(book: Book, data: dict[str, Any]) -> None:
    found = data.get("counters", {})
    counters = from_plain(_Counters, {"last": found}, where="counters").last
    book.connection.execute(t.counters.delete())
    largest = {name: counters.get(name, 0) for name in counters} | _floors(book, counters)
    book.fill(t.counters, [{"name": n, "last": v} for n, v in sorted(largest.items())])


@dataclass(frozen=True, slots=True)
class _Counters:
    last: dict[str, int]


def _floors(book: Book, counters: dict[str, int]) -> dict[str, int]:
    """Series whose counter in the file lies below a number in use."""
    used = {
        "logs": max((e.id for e in book.logs()), default=0),
        "lost": max((e.id for e in book.lost()), default=0),
        "plans": book.newest_number(),
        "history": max((c.id for c in book.changes(limit=1)), default=0),
        "rate_editions": max(
            (row.place for row in book.connection.execute(select(t.rate_editions.c.place))), default=0
        ),
    }
    return {name: number for name, number in used.items() if number > counters.get(name, 0)}
