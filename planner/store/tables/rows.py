"""Between rows and values: what every shelf of the book uses.

A table's columns carry the names of the dataclass's fields, so one translator serves them all. Every change
that people care about goes through `Shelf.note`, which writes the history in the same transaction.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import fields
from datetime import date, datetime, time
from enum import Enum
from functools import lru_cache
from operator import itemgetter
from types import NoneType
from typing import Any, TypeVar, get_args, get_type_hints

from sqlalchemy import Connection, Row, Table, delete, insert, select, update

from planner.domain.plain import to_plain
from planner.errors import Unreadable
from planner.store.schema.tables import counters, history

T = TypeVar("T")


def packed(value: Any) -> str:
    """A value as canonical JSON text: keys sorted, so that equal values give equal text."""
    return json.dumps(to_plain(value), sort_keys=True, ensure_ascii=False)


def cell(value: Any) -> Any:
    """A field's value as a column holds it."""
    return value.value if isinstance(value, Enum) else value


def row_of(value: Any, table: Table, **more: Any) -> dict[str, Any]:
    """The columns of `table` that are fields of `value`, with `more` columns added."""
    names = {f.name for f in fields(value)}
    return {c.name: cell(getattr(value, c.name)) for c in table.columns if c.name in names} | more


@lru_cache(maxsize=64)
def _choices(kind: type) -> dict[str, type[Enum]]:
    """Field -> its words; a field that may be None has them too."""
    found = {}
    for name, hint in get_type_hints(kind).items():
        parts = [p for p in get_args(hint) or (hint,) if p is not NoneType]
        if len(parts) == 1 and isinstance(parts[0], type) and issubclass(parts[0], Enum):
            found[name] = parts[0]
    return found


@lru_cache(maxsize=64)
def _may_be_none(kind: type) -> frozenset[str]:
    return frozenset(n for n, h in get_type_hints(kind).items() if NoneType in get_args(h))


@lru_cache(maxsize=64)
def _names(kind: type) -> frozenset[str]:
    return frozenset(f.name for f in fields(kind))


@lru_cache(maxsize=64)
def _types(kind: type) -> dict[str, tuple[type, ...]]:
    """Field -> the types that its column may give, of the fields that hold one plain value."""
    plain = {
        str: (str,),
        int: (int,),
        float: (float, int),
        bool: (bool,),
        date: (date,),
        datetime: (datetime,),
    }
    plain |= {time: (time,), NoneType: (NoneType,)}
    found = {}
    for name, hint in get_type_hints(kind).items():
        parts = get_args(hint) or (hint,)
        if all(isinstance(p, type) and p in plain for p in parts):
            found[name] = tuple(t for p in parts for t in plain[p])
    return found


def value_of(kind: Callable[..., T], row: Row[Any], **more: Any) -> T:
    """A `kind` built from the row's columns of the same names, and from `more`.

    Raises Unreadable when a column holds what the field may not be.
    """
    found: T = reader_of(kind, row._fields, *more)(row, more)
    return found


def values_of(kind: Callable[..., T], rows: Sequence[Row[Any]]) -> list[T]:
    """A `kind` from each of the rows of one answer. Raises Unreadable."""
    if not rows:
        return []
    read = reader_of(kind, rows[0]._fields)
    return [read(row, {}) for row in rows]


@lru_cache(maxsize=256)
def reader_of(
    kind: Callable[..., T], columns: tuple[str, ...], *given: str
) -> Callable[[Row[Any], Mapping[str, Any]], T]:
    """What builds a `kind` from rows of these columns and from `given` fields: made once for many rows."""
    choices, types, blank = _choices(kind), _types(kind), _may_be_none(kind)
    chosen = [(i, n) for i, n in enumerate(columns) if n in _names(kind) and n not in given]
    names = [name for _, name in chosen]
    words = [(k, names[k]) for k in range(len(names)) if names[k] in choices]
    plain = [(k, names[k], types[names[k]]) for k in range(len(names)) if names[k] in types]
    places = [i for i, _ in chosen]
    take = itemgetter(*places) if len(places) > 1 else lambda row: tuple(row[i] for i in places)
    met: set[tuple[type, ...]] = set()

    def read(row: Row[Any], more: Mapping[str, Any]) -> T:
        values = take(row)
        shape = tuple(map(type, values))
        if shape not in met:
            for k, name, allowed in plain:
                if shape[k] not in allowed:
                    raise unreadable(name, values[k])
            met.add(shape)
        found = dict(zip(names, values, strict=True))
        for k, name in words:
            try:
                found[name] = None if values[k] is None and name in blank else choices[name](values[k])
            except (ValueError, TypeError):
                raise unreadable(name, values[k]) from None
        return kind(**found, **more)

    return read


def unreadable(field: str, value: object) -> Unreadable:
    """The fault of one stored value."""
    return Unreadable(f"a stored row cannot be read ({field} = {shown(value)}): run `planner db check`")


def shown(value: object) -> str:
    """A stored value as a message tells it: short, one line, nothing that a terminal would obey."""
    told = repr(value)
    told = "".join(c if c.isprintable() else "?" for c in told)
    return told if len(told) <= 40 else told[:39] + "…"


class Shelf:
    """One transaction on the database. who and clock stamp the history."""

    def __init__(
        self, connection: Connection, *, who: str, clock: Callable[[], datetime], still: bool = False
    ) -> None:
        """The store opens books; nobody else makes them. still: nothing changes while it is open."""
        self._still: dict[str, list[Any]] | None = {} if still else None
        self.connection = connection
        self.who = "".join(c for c in who if c.isprintable())[:80] or "office"
        self.clock = clock
        self._action: int | None = None
        self._undoes: int | None = None
        self._recording = True

    def once(self, name: str, read: Callable[[], list[T]]) -> list[T]:
        """What `read` gives, a list of its own for each asker; read once while nothing can change it."""
        if self._still is None:
            return read()
        if name not in self._still:
            self._still[name] = read()
        return list(self._still[name])

    @contextmanager
    def unrecorded(self) -> Iterator[None]:
        """Within the block nothing is written into the history (a whole firm brings its own)."""
        self._recording = False
        try:
            yield
        finally:
            self._recording = True

    def next_number(self, name: str) -> int:
        """The next number of a series; numbers are never given twice."""
        last = self.connection.scalar(select(counters.c.last).where(counters.c.name == name))
        if last is None:
            self.connection.execute(insert(counters).values(name=name, last=1))
            return 1
        self.connection.execute(update(counters).where(counters.c.name == name).values(last=last + 1))
        return int(last) + 1

    def note(self, noun: str, key: str, before: object | None, after: object | None) -> None:
        """Write one change into the history. Changes of one transaction share an action number."""
        if not self._recording:
            return
        number = self.next_number("history")
        if self._action is None:
            self._action = number
        self.connection.execute(
            insert(history).values(
                id=number,
                action=self._action,
                at=self.clock(),
                who=self.who,
                noun=noun,
                key=key,
                before=None if before is None else packed(before),
                after=None if after is None else packed(after),
                undoes=self._undoes,
                undone=False,
            )
        )

    def fill(self, table: Table, rows: Iterable[Mapping[str, Any]]) -> None:
        """Insert rows; nothing when there are none."""
        listed = list(rows)
        if listed:
            self.connection.execute(insert(table), listed)

    def refill(self, table: Table, owner: str, key: str, rows: Iterable[Mapping[str, Any]]) -> None:
        """Replace the owner's rows by these."""
        self.connection.execute(delete(table).where(table.c[owner] == key))
        self.fill(table, rows)

    def grouped(self, table: Table, owner: str, keys: list[str] | None) -> dict[str, list[Row[Any]]]:
        """Rows of `table` by owner, in the order of their places; of all owners when `keys` is None."""
        chosen = select(table)
        if keys is not None:
            chosen = chosen.where(table.c[owner].in_(keys))
        if "place" in table.c:
            chosen = chosen.order_by(table.c[owner], table.c.place)
        found: dict[str, list[Row[Any]]] = {}
        rows = self.connection.execute(chosen).all()
        at = rows[0]._fields.index(owner) if rows else 0
        for row in rows:
            found.setdefault(row[at], []).append(row)
        return found


def placed(values: Iterable[object], table: Table, **owner: Any) -> list[dict[str, Any]]:
    """Rows for a list inside a noun: each value with its owner and its place."""
    return [row_of(v, table, place=i, **owner) for i, v in enumerate(values)]
