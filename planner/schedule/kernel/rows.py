"""A worker's or unit's tasks in their order, past ones among them; spans put in and taken out."""

from __future__ import annotations

from planner.schedule.kernel.compiling import close_up, first_from, njit, open_up
from planner.schedule.kernel.layout import (
    END,
    NOTE_MERGED,
    RANK,
    ROOM,
    ROW_COUNT,
    ROWS,
    STRIDE,
    UNIT_PAST,
    WORKER_PAST,
    WORKER_PAST_AT,
    WORKER_PAST_END,
    Row,
)


@njit
def comes_before(ints: Row, state: Row, one: int, other: int) -> bool:
    """True when `one` comes before `other` by start, end and rank."""
    if state[4 * one] != state[4 * other]:
        return state[4 * one] < state[4 * other]
    if state[4 * one + END] != state[4 * other + END]:
        return state[4 * one + END] < state[4 * other + END]
    return ints[ints[RANK] + one] < ints[ints[RANK] + other]


@njit
def merge_past(
    ints: Row, state: Row, notes: Row, past_at: int, past: int, low: int, count: int, of_unit: bool
) -> None:
    """The past and the row as one list of tasks by start."""
    stride = ints[STRIDE]
    i = 0
    j = 0
    while i < past or j < count:
        done = 0
        if i < past:
            done = ints[ints[UNIT_PAST] + past_at + i] if of_unit else ints[ints[WORKER_PAST] + past_at + i]
        if j >= count or (i < past and comes_before(ints, state, done, state[low + j + 2 * stride])):
            notes[ints[NOTE_MERGED] + i + j] = done
            i += 1
        else:
            notes[ints[NOTE_MERGED] + i + j] = state[low + j + 2 * stride]
            j += 1


@njit
def task_at(
    ints: Row, state: Row, notes: Row, past_at: int, past: int, low: int, place: int, merged: bool
) -> int:
    """The worker's task at a place of the past and the row together."""
    if merged:
        return notes[ints[NOTE_MERGED] + place]
    if place < past:
        return ints[ints[WORKER_PAST] + past_at + place]
    return state[low + place - past + 2 * ints[STRIDE]]


@njit
def past_mingles(ints: Row, state: Row, worker: int) -> bool:
    """True when the worker's last past task does not begin before the first of the row."""
    past_end = ints[ints[WORKER_PAST_AT] + worker + 1]
    if past_end == ints[ints[WORKER_PAST_AT] + worker] or state[ints[ROW_COUNT] + worker] == 0:
        return False
    first = state[ints[ROWS] + worker * ints[ROOM] + 2 * ints[STRIDE]]
    return state[4 * ints[ints[WORKER_PAST] + past_end - 1]] >= state[4 * first]


@njit
def first_place(ints: Row, state: Row, worker: int, opens: int) -> int:
    """Place, in the past and the row together, of the worker's first task that ends at slot `opens` or later;
    0 when past ones may."""
    if opens <= ints[ints[WORKER_PAST_END] + worker]:
        return 0
    past = ints[ints[WORKER_PAST_AT] + worker + 1] - ints[ints[WORKER_PAST_AT] + worker]
    ends = ints[ROWS] + worker * ints[ROOM] + ints[STRIDE]
    return past + first_from(state, ends, ends + state[ints[ROW_COUNT] + worker], opens) - ends


@njit
def enter_row(ints: Row, state: Row, line: int, start: int, end: int, task: int) -> None:
    """Put a span into a row."""
    stride = ints[STRIDE]
    low = ints[ROWS] + line * ints[ROOM]
    high = low + state[ints[ROW_COUNT] + line]
    i = first_from(state, low, high, start)
    open_up(state, i, high, start)
    open_up(state, i + stride, high + stride, end)
    open_up(state, i + 2 * stride, high + 2 * stride, task)
    state[ints[ROW_COUNT] + line] += 1


@njit
def leave_row(ints: Row, state: Row, line: int, start: int) -> None:
    """Take the span that begins at `start` out of a row."""
    stride = ints[STRIDE]
    low = ints[ROWS] + line * ints[ROOM]
    high = low + state[ints[ROW_COUNT] + line]
    i = first_from(state, low, high, start)
    close_up(state, i, high)
    close_up(state, i + stride, high + stride)
    close_up(state, i + 2 * stride, high + 2 * stride)
    state[ints[ROW_COUNT] + line] -= 1
