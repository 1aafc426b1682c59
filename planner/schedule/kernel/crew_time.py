"""What a worker's time costs on flat rows: crumbs, and wages of hours paid and not used [cents]."""

from __future__ import annotations

from planner.schedule.kernel.compiling import njit
from planner.schedule.kernel.layout import (
    AXIS_BEFORE_AT,
    CRUMB,
    DAY,
    END,
    FIXED_DAYS,
    FIXED_EDGES,
    FIXED_FIRST,
    FIXED_LAST,
    FIXED_OWED,
    GROUP,
    NOTE_SPAN_FIRST,
    NOTE_SPAN_LAST,
    OPTION,
    OPTION_AT,
    OPTION_AXIS,
    OPTION_WORK,
    PRICES,
    ROOM,
    ROW_COUNT,
    ROWS,
    SLOT_PRICE,
    TASKS,
    WEEK_SUM,
    WEEKDAY,
    WEEKS,
    WORKER_PAST_AT,
    WORKER_PAST_END,
    Row,
)
from planner.schedule.kernel.rows import first_place, task_at
from planner.schedule.model.shop import FAR

#: Of a slot, forgiven in a sum of parts.
GRACE = 1e-6


@njit
def time_cents(
    ints: Row, axes: Row, money: Row, state: Row, notes: Row, worker: int, spans: int, merged: bool
) -> float:
    """Crumbs, and wages of weeks less the work done for them, of one worker [cents]; for spans as in
    `worker_cents`: a run of work lies within a day, a week is owed with the first task that lies in it."""
    low = ints[ROWS] + worker * ints[ROOM]
    past_at = ints[ints[WORKER_PAST_AT] + worker]
    past = ints[ints[WORKER_PAST_AT] + worker + 1] - past_at
    count = past + state[ints[ROW_COUNT] + worker]
    long_ago = ints[ints[WORKER_PAST_END] + worker]
    span_at = worker * (2 * ints[TASKS] + 2)
    slot_price = money[ints[SLOT_PRICE] + worker]
    crumb = money[ints[PRICES] + 7]
    short = ints[CRUMB] - GRACE
    cents = 0.0
    here = paid = place = stepped = -1
    today = -FAR
    run = 1.0 * FAR
    for span in range(max(1, spans)):
        last_day = FAR
        begin = 0
        if spans > 0:
            last_day = notes[ints[NOTE_SPAN_LAST] + span_at + span]
            opens = notes[ints[NOTE_SPAN_FIRST] + span_at + span] * ints[DAY]
            begin = first_place(ints, state, worker, opens)
        if begin > place + 1:
            place = begin - 1
            task = task_at(ints, state, notes, past_at, past, low, place, merged)
            paid = week_of(ints, max(state[4 * task + END], long_ago))
            cents += crumb if run < short else 0.0
            today = -FAR
            run = 1.0 * FAR
        while place + 1 < count:
            task = task_at(ints, state, notes, past_at, past, low, place + 1, merged)
            if stepped != place + 1 and slot_price > 0.0:
                cents += wages_due(ints, money, state, worker, task, paid)
                paid = max(paid, week_of(ints, state[4 * task + END]))
            stepped = place + 1
            if state[4 * task] // ints[DAY] > last_day:
                break
            place += 1
            cents -= slot_price * owed_slots(ints, money, state, task)
            if crumb == 0.0 or worked_days(ints, state, task) == 0:
                continue
            first = first_worked(ints, state, task)
            final = last_worked(ints, state, task)
            slots = slots_on(ints, axes, money, state, task, first, False)
            if first == today and ints[ints[GROUP] + task] == here:
                run += slots
            else:
                cents += crumb if run < short else 0.0
                run = slots
            if final != first:
                cents += crumb if run < short else 0.0
                run = slots_on(ints, axes, money, state, task, final, True)
            here = ints[ints[GROUP] + task]
            today = final
    return cents + (crumb if run < short else 0.0)


@njit
def week_of(ints: Row, slot: int) -> int:
    """The week in which a slot lies."""
    return (slot // ints[DAY] + ints[WEEKDAY]) // 7


@njit
def wages_due(ints: Row, money: Row, state: Row, worker: int, task: int, paid: int) -> float:
    """Wages of the weeks of the placed task that come after week `paid` [cents]."""
    week = week_of(ints, state[4 * task + END])
    if week <= paid:
        return 0.0
    sums = ints[WEEK_SUM] + worker * ints[WEEKS]
    return money[sums + week + 1] - money[sums + max(week_of(ints, state[4 * task]), paid + 1)]


@njit
def owed_slots(ints: Row, money: Row, state: Row, task: int) -> float:
    """Slots of the placed task's work that take off wages."""
    chosen = state[4 * task + OPTION]
    if chosen < 0:
        return money[ints[FIXED_OWED] + task]
    return 1.0 * ints[ints[OPTION_WORK] + ints[ints[OPTION_AT] + task] + chosen]


@njit
def worked_days(ints: Row, state: Row, task: int) -> int:
    """0 when the placed task is worked on no day."""
    return 1 if state[4 * task + OPTION] >= 0 else ints[ints[FIXED_DAYS] + task]


@njit
def first_worked(ints: Row, state: Row, task: int) -> int:
    """First day on which the placed task is worked."""
    if state[4 * task + OPTION] >= 0:
        return state[4 * task] // ints[DAY]
    return ints[ints[FIXED_FIRST] + task]


@njit
def last_worked(ints: Row, state: Row, task: int) -> int:
    """Last day on which the placed task is worked."""
    if state[4 * task + OPTION] >= 0:
        return (state[4 * task + END] - 1) // ints[DAY]
    return ints[ints[FIXED_LAST] + task]


@njit
def slots_on(ints: Row, axes: Row, money: Row, state: Row, task: int, worked_day: int, at_end: bool) -> float:
    """Slots worked on the placed task's first day, or on its last when `at_end`."""
    chosen = state[4 * task + OPTION]
    if chosen < 0:
        return money[ints[FIXED_EDGES] + 2 * task + (1 if at_end else 0)]
    day = ints[DAY]
    before = ints[ints[AXIS_BEFORE_AT] + ints[ints[OPTION_AXIS] + ints[ints[OPTION_AT] + task] + chosen]]
    upto = min(state[4 * task + END], (worked_day + 1) * day)
    return 1.0 * (axes[before + upto] - axes[before + max(state[4 * task], worked_day * day)])
