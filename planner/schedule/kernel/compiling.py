"""One source, two ways to run: plain Python on lists, or machine code on arrays.

The kernel's functions are written so that both mean the same. `njit` compiles them when the compiler is
installed and its work lies ready on this machine (`planner.schedule.kernel.ready`); else they run as they
stand.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Callable
from typing import Any, TypeVar

from planner.schedule.kernel.ready import compiler

F = TypeVar("F", bound=Callable[..., Any])

_compiler = compiler()

#: True when the kernel of this process is machine code.
COMPILED = _compiler is not None


def njit(function: F) -> F:
    """The function compiled, its code kept on disk; or as it is."""
    if _compiler is None:
        return function
    compiled: F = _compiler.njit(cache=True, error_model="numpy")(function)
    return compiled


def _first_after(values: Any, low: int, high: int, bound: int) -> int:
    """First place from low up to high whose value is above the bound; values rise."""
    while low < high:
        middle = (low + high) >> 1
        if values[middle] <= bound:
            low = middle + 1
        else:
            high = middle
    return low


def _first_from(values: Any, low: int, high: int, bound: int) -> int:
    """First place from low up to high whose value is at least the bound; values rise."""
    while low < high:
        middle = (low + high) >> 1
        if values[middle] < bound:
            low = middle + 1
        else:
            high = middle
    return low


def _open_up(values: Any, place: int, end: int, value: int) -> None:
    """Put a value in at a place: what lies from there up to end moves one place up."""
    for i in range(end, place, -1):
        values[i] = values[i - 1]
    values[place] = value


def _close_up(values: Any, place: int, end: int) -> None:
    """Take the value at a place out: what lies after it up to end moves one place down."""
    for i in range(place, end - 1):
        values[i] = values[i + 1]


def _copy_span(source: Any, target: Any, low: int, high: int) -> None:
    """target[low:high] = source[low:high]."""
    for i in range(low, high):
        target[i] = source[i]


def _list_after(values: list[int], low: int, high: int, bound: int) -> int:
    return bisect_right(values, bound, low, high)


def _list_from(values: list[int], low: int, high: int, bound: int) -> int:
    return bisect_left(values, bound, low, high)


def _list_open(values: list[int], place: int, end: int, value: int) -> None:
    values[place + 1 : end + 1] = values[place:end]
    values[place] = value


def _list_close(values: list[int], place: int, end: int) -> None:
    values[place : end - 1] = values[place + 1 : end]


def _list_copy(source: list[int], target: list[int], low: int, high: int) -> None:
    target[low:high] = source[low:high]


first_after = njit(_first_after) if COMPILED else _list_after
first_from = njit(_first_from) if COMPILED else _list_from
open_up = njit(_open_up) if COMPILED else _list_open
close_up = njit(_close_up) if COMPILED else _list_close
copy_span = njit(_copy_span) if COMPILED else _list_copy
