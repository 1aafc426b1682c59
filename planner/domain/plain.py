"""Domain values as plain JSON values, and back, driven by the dataclasses' own type hints.

`to_plain` gives dicts, lists, strings, numbers, booleans and None. `from_plain` builds the value again and
names every thing that does not fit with its place. Used by history, undo, the whole-firm file and the
firm's own copies of data files.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Hashable, Mapping
from dataclasses import MISSING, fields, is_dataclass
from datetime import date, datetime, time
from enum import Enum
from functools import lru_cache
from types import NoneType, UnionType
from typing import Any, TypeVar, Union, cast, get_args, get_origin, get_type_hints

from planner.errors import BadInput, collected, refuse

T = TypeVar("T")


def to_plain(value: Any) -> Any:
    """`value` as what `json.dumps` can write. Sets are sorted; mapping keys become text."""
    if isinstance(value, Enum):
        return value.value
    if isinstance(value, date | time):
        return value.isoformat()
    if is_dataclass(value) and not isinstance(value, type):
        return {f.name: to_plain(getattr(value, f.name)) for f in fields(value)}
    if isinstance(value, tuple) and hasattr(value, "_asdict"):
        return {name: to_plain(part) for name, part in value._asdict().items()}
    if isinstance(value, Mapping):
        return {str(to_plain(k)): to_plain(v) for k, v in sorted(value.items(), key=lambda kv: str(kv[0]))}
    if isinstance(value, set | frozenset):
        return sorted(to_plain(v) for v in value)
    if isinstance(value, list | tuple):
        return [to_plain(v) for v in value]
    return value


def from_plain(kind: type[T], data: Any, *, where: str = "") -> T:
    """The value of type `kind` that `data` describes; missing fields take their defaults.

    Raises BadInput, or BadInputs, with the places inside `data` (job.lines[3].quantity) that do not fit.
    """
    found: T = _reader(cast(Hashable, kind))(data, where or kind.__name__.lower())
    return found


@lru_cache(maxsize=512)
def _reader(kind: Hashable) -> Callable[[Any, str], Any]:
    origin = get_origin(kind)
    if origin in (Union, UnionType):
        return _optional(kind)
    if origin is not None and issubclass(origin, Mapping):
        return _mapping(*get_args(kind))
    if origin in (tuple, frozenset, list):
        return _several(origin, get_args(kind)[0])
    if is_dataclass(kind) or hasattr(kind, "_fields"):
        return _record(kind)
    if isinstance(kind, type) and issubclass(kind, Enum):
        return _choice(kind)
    return _scalar(kind)


def _optional(kind: Any) -> Callable[[Any, str], Any]:
    inner = [a for a in get_args(kind) if a is not NoneType]
    read = _reader(inner[0])
    return lambda data, where: None if data is None else read(data, where)


def _mapping(key_kind: Any, value_kind: Any) -> Callable[[Any, str], Any]:
    read_key, read_value = _reader(key_kind), _reader(value_kind)

    def read(data: Any, where: str) -> dict[Any, Any]:
        if not isinstance(data, dict):
            raise BadInput(where, _kind(data), "expected an object in braces { }")
        pairs = [(k, f"{where}.{k}", v) for k, v in data.items()]
        return dict(collected(lambda pair: (read_key(pair[0], where), read_value(pair[2], pair[1])), pairs))

    return read


def _several(origin: Any, inner: Any) -> Callable[[Any, str], Any]:
    read_one = _reader(inner)

    def read(data: Any, where: str) -> Any:
        if not isinstance(data, list):
            raise BadInput(where, _kind(data), "expected a list in brackets [ ]")
        return origin(collected(lambda part: read_one(part[1], f"{where}[{part[0]}]"), enumerate(data)))

    return read


def _record(kind: Any) -> Callable[[Any, str], Any]:
    hints = get_type_hints(kind)
    if is_dataclass(kind):
        names = [f.name for f in fields(kind)]
        needed = {f.name for f in fields(kind) if f.default is MISSING and f.default_factory is MISSING}
    else:
        names = list(kind._fields)
        needed = set(names) - set(kind._field_defaults)
    readers = {name: _reader(hints[name]) for name in names}

    def read(data: Any, where: str) -> Any:
        if not isinstance(data, dict):
            raise BadInput(where, _kind(data), "expected an object in braces { }")
        only = f"use only {', '.join(names)}"
        faults = [BadInput(f"{where}.{name}", "unknown", only) for name in sorted(set(data) - set(names))]
        faults += [BadInput(f"{where}.{name}", "missing", "give it a value") for name in needed - set(data)]
        values: dict[str, Any] = {}
        for name in (name for name in data if name in readers):
            try:
                values[name] = readers[name](data[name], f"{where}.{name}")
            except BadInput as fault:
                faults.append(fault)
        refuse(sorted(faults, key=lambda fault: fault.field) if len(faults) > 1 else faults)
        return kind(**values)

    return read


def _choice(kind: type[Enum]) -> Callable[[Any, str], Any]:
    words = ", ".join(str(m.value) for m in kind)

    def read(data: Any, where: str) -> Enum:
        try:
            return kind(data)
        except (ValueError, TypeError):
            raise BadInput(where, data, f"use one of: {words}") from None

    return read


def _scalar(kind: Any) -> Callable[[Any, str], Any]:
    def read(data: Any, where: str) -> Any:
        if kind in (date, datetime, time):
            return _moment(kind, data, where)
        if kind is float:
            if isinstance(data, bool) or not isinstance(data, int | float) or not _finite(data):
                raise BadInput(where, data, "expected a finite number")
            return float(data)
        if kind is int and (isinstance(data, bool) or not isinstance(data, int) or abs(data) > 2**53):
            raise BadInput(where, data, "expected a whole number")
        if not isinstance(data, kind):
            raise BadInput(where, data, f"expected {_WORDS.get(kind, kind.__name__)}")
        return data

    return read


_WORDS = {str: "text in quotes", bool: "true or false", int: "a whole number"}


def _finite(number: float) -> bool:
    try:
        return math.isfinite(number)
    except OverflowError:
        return False


def _moment(kind: Any, data: Any, where: str) -> Any:
    shape = {date: "2027-04-05", datetime: "2027-04-05T07:00:00", time: "07:00:00"}[kind]
    try:
        found = kind.fromisoformat(data)
    except (ValueError, TypeError):
        raise BadInput(where, data, f"write it like {shape}") from None
    if kind is not date and found.tzinfo is not None:
        raise BadInput(where, data, f"write local time without a zone, like {shape}")
    return found


def _kind(data: Any) -> str:
    return "null" if data is None else type(data).__name__
