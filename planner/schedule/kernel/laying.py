"""Jobs are laid again and the change of price reckoned; what was tried stands, or is forgotten.

Two states run in step: `now` stands, `trial` differs from it by the step under way.
"""

from __future__ import annotations

from planner.schedule.kernel.compiling import copy_span, njit
from planner.schedule.kernel.layout import (
    COUNTS,
    DAY,
    END,
    FIXED,
    GROUP,
    GROUPS,
    HELD,
    HOLD,
    NOTE_CHOICE,
    NOTE_GROUPS,
    NOTE_HOLD_SLOT,
    NOTE_HOLD_TASK,
    NOTE_MARKS,
    NOTE_ORDER,
    NOTE_ROWS,
    NOTE_SPAN_COUNT,
    NOTE_SPAN_FIRST,
    NOTE_SPAN_LAST,
    NOTE_TASKS,
    OPTION,
    OPTION_AT,
    PART_AT,
    PART_TASK,
    ROOM,
    ROW_COUNT,
    ROWS,
    STRIDE,
    SUM_GROUP_NEW,
    SUM_GROUP_PRICE,
    SUM_PRICE,
    SUM_UNIT_NEW,
    SUM_UNIT_PRICE,
    TASKS,
    TEAM,
    TEAM_AT,
    UNITS,
    UNITS_HELD,
    WORKERS,
    Row,
)
from planner.schedule.kernel.place import lift, settle
from planner.schedule.kernel.price import group_cents, unit_cents, worker_cents

#: What a task without a place costs the search [cents].
UNPLACED = 1e9
#: Keep the option that the task has.
AS_IT_IS = -2


@njit
def note_span(ints: Row, notes: Row, spans: int, worker: int, first: int, last: int) -> None:
    """Note days of a worker's row that differ: kept sorted, joined where they touch."""
    count = notes[ints[NOTE_SPAN_COUNT] + worker]
    base = worker * spans
    place = base + count
    while place > base and notes[ints[NOTE_SPAN_FIRST] + place - 1] > first:
        place -= 1
    if place > base and notes[ints[NOTE_SPAN_LAST] + place - 1] + 1 >= first:
        place -= 1
        notes[ints[NOTE_SPAN_LAST] + place] = max(notes[ints[NOTE_SPAN_LAST] + place], last)
    else:
        for i in range(base + count, place, -1):
            notes[ints[NOTE_SPAN_FIRST] + i] = notes[ints[NOTE_SPAN_FIRST] + i - 1]
            notes[ints[NOTE_SPAN_LAST] + i] = notes[ints[NOTE_SPAN_LAST] + i - 1]
        notes[ints[NOTE_SPAN_FIRST] + place] = first
        notes[ints[NOTE_SPAN_LAST] + place] = last
        count += 1
    while (
        place + 1 < base + count
        and notes[ints[NOTE_SPAN_FIRST] + place + 1] <= notes[ints[NOTE_SPAN_LAST] + place] + 1
    ):
        notes[ints[NOTE_SPAN_LAST] + place] = max(
            notes[ints[NOTE_SPAN_LAST] + place], notes[ints[NOTE_SPAN_LAST] + place + 1]
        )
        for i in range(place + 1, base + count - 1):
            notes[ints[NOTE_SPAN_FIRST] + i] = notes[ints[NOTE_SPAN_FIRST] + i + 1]
            notes[ints[NOTE_SPAN_LAST] + i] = notes[ints[NOTE_SPAN_LAST] + i + 1]
        count -= 1
    notes[ints[NOTE_SPAN_COUNT] + worker] = count


@njit
def note_rows(ints: Row, state: Row, notes: Row, task: int) -> None:
    """Note the rows and days that a placed task touches."""
    start = state[4 * task]
    if start < 0:
        return
    day = ints[DAY]
    workers = ints[WORKERS]
    held = max(1, ints[HELD])
    number = ints[ints[OPTION_AT] + task] + state[4 * task + OPTION]
    for i in range(ints[ints[TEAM_AT] + number], ints[ints[TEAM_AT] + number + 1]):
        worker = ints[ints[TEAM] + i]
        if notes[ints[NOTE_SPAN_COUNT] + worker] == 0:
            notes[ints[NOTE_ROWS] + notes[COUNTS + 4]] = worker
            notes[COUNTS + 4] += 1
        note_span(
            ints, notes, 2 * ints[TASKS] + 2, worker, start // day - 1, state[4 * task + END] // day + 1
        )
    for i in range(task * held, task * held + held):
        unit = state[ints[UNITS_HELD] + i]
        if unit >= 0 and notes[ints[NOTE_MARKS] + workers + unit] == 0:
            notes[ints[NOTE_MARKS] + workers + unit] = 1
            notes[ints[NOTE_ROWS] + notes[COUNTS + 4]] = workers + unit
            notes[COUNTS + 4] += 1


@njit
def relay(ints: Row, axes: Row, money: Row, now: Row, trial: Row, notes: Row, sums: Row, count: int) -> float:
    """Lay the first `count` parts of the order again in `trial`; the change of price [cents]."""
    unplaced = place_again(ints, axes, money, now, trial, notes, count)
    number = notes[COUNTS + 1]
    for i in range(number):
        unplaced -= now[4 * notes[ints[NOTE_TASKS] + i]] < 0
    return UNPLACED * unplaced + difference(ints, axes, money, now, trial, notes, sums, number)


@njit
def place_again(ints: Row, axes: Row, money: Row, now: Row, trial: Row, notes: Row, count: int) -> int:
    """Lay the first `count` parts of the order again in `trial`; how many tasks find no place."""
    number = 0
    for i in range(count):
        for k in range(
            ints[ints[PART_AT] + notes[ints[NOTE_ORDER] + i]],
            ints[ints[PART_AT] + notes[ints[NOTE_ORDER] + i] + 1],
        ):
            notes[ints[NOTE_TASKS] + number] = ints[ints[PART_TASK] + k]
            number += 1
    notes[COUNTS + 1] = number
    for i in range(number):
        lift(ints, trial, notes[ints[NOTE_TASKS] + i])
    for i in range(notes[COUNTS + 2]):
        trial[4 * (notes[ints[NOTE_HOLD_TASK] + i]) + HOLD] = notes[ints[NOTE_HOLD_SLOT] + i]
    unplaced = 0
    for i in range(number):
        task = notes[ints[NOTE_TASKS] + i]
        chosen = notes[ints[NOTE_CHOICE] + task]
        notes[ints[NOTE_CHOICE] + task] = AS_IT_IS
        if chosen == AS_IT_IS:
            chosen = now[4 * task + OPTION]
        done = settle(ints, axes, money, trial, task, chosen, notes)
        if not done:
            trial[4 * task + OPTION] = now[4 * task + OPTION]
            unplaced += 1
    return unplaced


@njit
def same_place(ints: Row, now: Row, trial: Row, task: int) -> bool:
    """True when both states place the task alike."""
    if now[4 * task] != trial[4 * task] or now[4 * task + OPTION] != trial[4 * task + OPTION]:
        return False
    held = max(1, ints[HELD])
    for i in range(task * held, task * held + held):
        if now[ints[UNITS_HELD] + i] != trial[ints[UNITS_HELD] + i]:
            return False
    return True


@njit
def difference(
    ints: Row, axes: Row, money: Row, now: Row, trial: Row, notes: Row, sums: Row, number: int
) -> float:
    """The change of price from `now` to `trial` over the rows, days and groups in which they differ
    [cents]."""
    workers = ints[WORKERS]
    first_group = workers + ints[UNITS]
    notes[COUNTS + 3] = 0
    notes[COUNTS + 4] = 0
    delta = 0.0
    for i in range(number):
        task = notes[ints[NOTE_TASKS] + i]
        if same_place(ints, now, trial, task):
            continue
        group = ints[ints[GROUP] + task]
        if group >= 0 and notes[ints[NOTE_MARKS] + first_group + group] == 0:
            notes[ints[NOTE_MARKS] + first_group + group] = 1
            notes[ints[NOTE_GROUPS] + notes[COUNTS + 3]] = group
            notes[COUNTS + 3] += 1
        note_rows(ints, now, notes, task)
        note_rows(ints, trial, notes, task)
    for i in range(notes[COUNTS + 4]):
        line = notes[ints[NOTE_ROWS] + i]
        if line < workers:
            spans = notes[ints[NOTE_SPAN_COUNT] + line]
            delta += worker_cents(ints, axes, money, trial, notes, line, spans)
            delta -= worker_cents(ints, axes, money, now, notes, line, spans)
            notes[ints[NOTE_SPAN_COUNT] + line] = 0
        else:
            notes[ints[NOTE_MARKS] + line] = 0
            cents = unit_cents(ints, money, trial, notes, line - workers)
            sums[ints[SUM_UNIT_NEW] + line - workers] = cents
            delta += cents - sums[ints[SUM_UNIT_PRICE] + line - workers]
    for i in range(notes[COUNTS + 3]):
        group = notes[ints[NOTE_GROUPS] + i]
        notes[ints[NOTE_MARKS] + first_group + group] = 0
        cents = group_cents(ints, money, trial, notes, group)
        sums[ints[SUM_GROUP_NEW] + group] = cents
        delta += cents - sums[ints[SUM_GROUP_PRICE] + group]
    return delta


@njit
def accept(ints: Row, now: Row, trial: Row, notes: Row, sums: Row, delta: float) -> None:
    """The trial stands."""
    workers = ints[WORKERS]
    sums[ints[SUM_PRICE]] += delta
    for i in range(notes[COUNTS + 3]):
        group = notes[ints[NOTE_GROUPS] + i]
        sums[ints[SUM_GROUP_PRICE] + group] = sums[ints[SUM_GROUP_NEW] + group]
    for i in range(notes[COUNTS + 4]):
        line = notes[ints[NOTE_ROWS] + i]
        if line >= workers:
            sums[ints[SUM_UNIT_PRICE] + line - workers] = sums[ints[SUM_UNIT_NEW] + line - workers]
    follow(ints, trial, now, notes)


@njit
def follow(ints: Row, leader: Row, follower: Row, notes: Row) -> None:
    """The follower becomes like the leader where the step touched either."""
    room = ints[ROOM]
    stride = ints[STRIDE]
    held = max(1, ints[HELD])
    for i in range(notes[COUNTS + 1]):
        task = notes[ints[NOTE_TASKS] + i]
        follower[4 * task] = leader[4 * task]
        follower[4 * task + END] = leader[4 * task + END]
        follower[4 * task + OPTION] = leader[4 * task + OPTION]
        follower[4 * task + HOLD] = leader[4 * task + HOLD]
        for k in range(task * held, task * held + held):
            follower[ints[UNITS_HELD] + k] = leader[ints[UNITS_HELD] + k]
    for i in range(notes[COUNTS + 4]):
        line = notes[ints[NOTE_ROWS] + i]
        low = ints[ROWS] + line * room
        high = low + max(leader[ints[ROW_COUNT] + line], follower[ints[ROW_COUNT] + line])
        for column in range(0, 3 * stride, stride):
            copy_span(leader, follower, low + column, high + column)
        follower[ints[ROW_COUNT] + line] = leader[ints[ROW_COUNT] + line]


@njit
def copy_state(ints: Row, source: Row, target: Row) -> None:
    """The target becomes like the source."""
    room = ints[ROOM]
    stride = ints[STRIDE]
    copy_span(source, target, 0, ints[ROWS])
    for line in range(ints[WORKERS] + ints[UNITS]):
        low = ints[ROWS] + line * room
        high = low + source[ints[ROW_COUNT] + line]
        for column in range(0, 3 * stride, stride):
            copy_span(source, target, low + column, high + column)


@njit
def price_all(ints: Row, axes: Row, money: Row, now: Row, notes: Row, sums: Row) -> float:
    """Price the whole state into the notes [cents]; tasks without a place cost `UNPLACED` each."""
    cents = 0.0
    for group in range(ints[GROUPS]):
        sums[ints[SUM_GROUP_PRICE] + group] = group_cents(ints, money, now, notes, group)
        cents += sums[ints[SUM_GROUP_PRICE] + group]
    for worker in range(ints[WORKERS]):
        cents += worker_cents(ints, axes, money, now, notes, worker, 0)
    for unit in range(ints[UNITS]):
        sums[ints[SUM_UNIT_PRICE] + unit] = unit_cents(ints, money, now, notes, unit)
        cents += sums[ints[SUM_UNIT_PRICE] + unit]
    for task in range(ints[TASKS]):
        if now[4 * task] < 0 and ints[ints[FIXED] + task] == 0:
            cents += UNPLACED
    sums[ints[SUM_PRICE]] = cents
    return cents
