"""Where one more task fits: `Timetable.earliest`, `fit`, `settle` and `lift` on flat rows, with the same
answers.

In: `Facts`, a `State`, a task. A place that is too short for the work by the option's own working time is
passed over without a question: that is where most of a step went.
"""

from __future__ import annotations

from math import ceil

from planner.schedule.kernel.compiling import first_after, njit
from planner.schedule.kernel.layout import (
    AXIS_AT_AT,
    AXIS_BEFORE_AT,
    AXIS_COUNT,
    AXIS_DAY,
    DAY,
    DEADLINE,
    DRIVE,
    DRIVES,
    END,
    FIXED,
    FIXED_AXIS,
    GROUP,
    GROUPS,
    HELD,
    HOLD,
    HORIZON,
    LEAST,
    LINK_AT,
    LINK_BEFORE,
    LINK_LEAST,
    LINK_MOST,
    LINK_SHARE,
    NOTE_BEST,
    NOTE_FIT,
    NOTE_FOUND,
    NOTE_LATER,
    ONE_DAY,
    OPTION,
    OPTION_AT,
    OPTION_AXIS,
    OPTION_WORK,
    ROOM,
    ROW_COUNT,
    ROWS,
    START_AT,
    STRIDE,
    TEAM,
    TEAM_AT,
    TOWED,
    UNIT_MOVE,
    UNIT_OUT_AT,
    UNIT_OUT_END,
    UNIT_OUT_FIRST,
    UNITS_HELD,
    USE_AT,
    USE_COUNT,
    USE_FIRST,
    USE_NEED,
    WORKER_AXIS,
    WORKERS,
    Row,
)
from planner.schedule.kernel.rows import enter_row, leave_row
from planner.schedule.kernel.towing import ask_trucks
from planner.schedule.model.shop import FAR


@njit
def axis_of(ints: Row, state: Row, task: int) -> int:
    """Working time of the placed task's team on its site."""
    chosen = state[4 * task + OPTION]
    if chosen >= 0:
        return ints[ints[OPTION_AXIS] + ints[ints[OPTION_AT] + task] + chosen]
    return ints[ints[FIXED_AXIS] + task]


@njit
def point(ints: Row, axes: Row, state: Row, task: int, share: float) -> int:
    """The slot at which `share` (above 0, below 1) of the placed task's work is done."""
    axis = axis_of(ints, state, task)
    low = ints[ints[AXIS_BEFORE_AT] + axis]
    top = ints[HORIZON]
    first = axes[low + max(0, min(state[4 * task], top))]
    last = axes[low + max(0, min(state[4 * task + END], top))]
    done = ceil(share * (last - first) - 1e-6)
    if last == first or done == 0:
        return state[4 * task]
    return axes[ints[ints[AXIS_AT_AT] + axis] + first + done - 1] + 1


@njit
def earliest(ints: Row, axes: Row, money: Row, state: Row, task: int, notes: Row) -> int:
    """Earliest start that release, holds and lags leave, -1 when a predecessor has no place; the fit becomes
    the latest start and the least end."""
    soon = state[4 * task + HOLD]
    late = FAR
    least_end = 0
    for k in range(ints[ints[LINK_AT] + task], ints[ints[LINK_AT] + task + 1]):
        before = ints[ints[LINK_BEFORE] + k]
        if state[4 * before] < 0 and ints[ints[FIXED] + before] == 0:
            return -1
        share = money[ints[LINK_SHARE] + k]
        if share >= 1.0:
            done = state[4 * before + END]
        elif share <= 0.0:
            done = state[4 * before]
        else:
            done = point(ints, axes, state, before, share)
            least_end = max(least_end, state[4 * before + END])
        soon = max(soon, done + ints[ints[LINK_LEAST] + k])
        if ints[ints[LINK_MOST] + k] < FAR:
            late = min(late, done + ints[ints[LINK_MOST] + k])
    wanted = ints[ints[START_AT] + task]
    if wanted >= 0:
        if soon > wanted:
            return -1
        soon = wanted
        late = wanted
    notes[ints[NOTE_FIT]] = late
    notes[ints[NOTE_FIT] + 1] = least_end
    return soon


@njit
def unit_free(
    ints: Row, axes: Row, state: Row, unit: int, start: int, end: int, group: int, axis: int
) -> int:
    """At least 0: the slot at which it is worth asking again. Below: the unit is free, and the best choice is
    the one with the least answer."""
    room = ints[ROOM]
    stride = ints[STRIDE]
    low = ints[ROWS] + (ints[WORKERS] + unit) * room
    high = low + state[ints[ROW_COUNT] + ints[WORKERS] + unit]
    move = ints[ints[UNIT_MOVE] + unit]
    i = first_after(state, low + stride, high + stride, start) - stride
    if i < high:
        gap = move if move > 0 and ints[ints[GROUP] + state[i + 2 * stride]] != group else 0
        if state[i] < end + gap:
            return state[i + stride]
    rank = FAR
    if i > low:
        left = state[i - 1 + stride]
        other = ints[ints[GROUP] + state[i - 1 + 2 * stride]] != group
        if other and start - left < move:
            return left + move
        rank = start - left + (1 if other else -FAR)
    before = ints[ints[AXIS_BEFORE_AT] + axis]
    for k in range(ints[ints[UNIT_OUT_AT] + unit], ints[ints[UNIT_OUT_AT] + unit + 1]):
        a = ints[ints[UNIT_OUT_FIRST] + k]
        b = ints[ints[UNIT_OUT_END] + k]
        if a >= end:
            break
        if b > start and axes[before + min(b, end)] > axes[before + max(a, start)]:
            return b
    return rank - 3 * FAR


@njit
def units_for(
    ints: Row,
    axes: Row,
    state: Row,
    task: int,
    number: int,
    start: int,
    end: int,
    group: int,
    axis: int,
    notes: Row,
) -> int:
    """-1 and the units in the fit, or the next slot at which it is worth asking again."""
    held = 1
    team = ints[ints[TEAM_AT] + number]
    lead = ints[ints[TEAM] + team] if team < ints[ints[TEAM_AT] + number + 1] else -1
    for use in range(ints[ints[USE_AT] + number], ints[ints[USE_AT] + number + 1]):
        first = ints[ints[USE_FIRST] + use]
        need = ints[ints[USE_NEED] + use]
        good = 0
        waits = 0
        for unit in range(first, first + ints[ints[USE_COUNT] + use]):
            answer = unit_free(ints, axes, state, unit, start, end, group, axis)
            if answer < 0 and ints[TOWED] == 1:
                notes[ints[NOTE_FIT] + held] = unit
                again = ask_trucks(ints, state, task, lead, start, end, notes, ints[NOTE_FIT] + held, 1)
                if again >= 0:
                    answer = again
            if answer < 0:
                place = good
                while place > 0 and notes[ints[NOTE_FOUND] + 2 * place - 2] > answer:
                    notes[ints[NOTE_FOUND] + 2 * place] = notes[ints[NOTE_FOUND] + 2 * place - 2]
                    notes[ints[NOTE_FOUND] + 2 * place + 1] = notes[ints[NOTE_FOUND] + 2 * place - 1]
                    place -= 1
                notes[ints[NOTE_FOUND] + 2 * place] = answer
                notes[ints[NOTE_FOUND] + 2 * place + 1] = unit
                good += 1
            else:
                place = waits
                while place > 0 and notes[ints[NOTE_LATER] + place - 1] > answer:
                    notes[ints[NOTE_LATER] + place] = notes[ints[NOTE_LATER] + place - 1]
                    place -= 1
                notes[ints[NOTE_LATER] + place] = answer
                waits += 1
        if good < need:
            if good + waits < need:
                return FAR
            return notes[ints[NOTE_LATER] + need - good - 1]
        for place in range(need):
            notes[ints[NOTE_FIT] + held] = notes[ints[NOTE_FOUND] + 2 * place + 1]
            held += 1
    if ints[TOWED] == 1 and held > 2:
        return ask_trucks(ints, state, task, lead, start, end, notes, ints[NOTE_FIT] + 1, held - 1)
    return -1


@njit
def after_drive(ints: Row, axes: Row, axis: int, left: int, need: int) -> int:
    """The first slot at which a crew that left at `left` may work elsewhere: driven, or a new day."""
    day = ints[DAY]
    tomorrow = (left // day + 1) * day
    k = axes[ints[ints[AXIS_BEFORE_AT] + axis] + left] + need
    if k < ints[ints[AXIS_COUNT] + axis]:
        return min(tomorrow, axes[ints[ints[AXIS_AT_AT] + axis] + k])
    return tomorrow


@njit
def ask_worker(
    ints: Row,
    axes: Row,
    state: Row,
    worker: int,
    before_at: int,
    work: int,
    start: int,
    end: int,
    group: int,
    drives: bool,
) -> int:
    """-1 when the worker is free from start to end, drives to and from the neighbors paid; else the slot at
    which it is worth asking again. before_at: of the option's own working time."""
    stride = ints[STRIDE]
    low = ints[ROWS] + worker * ints[ROOM]
    high = low + state[ints[ROW_COUNT] + worker]
    i = first_after(state, low + stride, high + stride, start) - stride
    if i < high:
        following = state[i]
        if following < end:
            again = state[i + stride]
            i += 1
            while i < high and axes[before_at + state[i]] - axes[before_at + again] < work:
                again = state[i + stride]
                i += 1
            return again
        if drives and following // ints[DAY] == end // ints[DAY]:
            need = ints[ints[DRIVE] + group * ints[GROUPS] + ints[ints[GROUP] + state[i + 2 * stride]]]
            if need > 0:
                paid = ints[ints[AXIS_BEFORE_AT] + ints[ints[WORKER_AXIS] + worker]]
                if axes[paid + following] - axes[paid + end] < need:
                    return state[i + stride]
    if drives and i > low:
        left = state[i - 1 + stride]
        if left // ints[DAY] == start // ints[DAY]:
            need = ints[ints[DRIVE] + ints[ints[GROUP] + state[i - 1 + 2 * stride]] * ints[GROUPS] + group]
            if need > 0:
                own = ints[ints[WORKER_AXIS] + worker]
                paid = ints[ints[AXIS_BEFORE_AT] + own]
                if axes[paid + start] - axes[paid + left] < need:
                    return after_drive(ints, axes, own, left, need)
    return -1


@njit
def find_place(
    ints: Row, axes: Row, state: Row, task: int, number: int, soon: int, least_end: int, notes: Row
) -> int:
    """First start from slot `soon` on, for option `number` (of all), that ends at `least_end` or later; -1
    when none lies before the horizon. The fit becomes its end, then its units."""
    top = ints[HORIZON]
    if soon > top:
        return -1
    day = ints[DAY]
    work = ints[ints[OPTION_WORK] + number]
    axis = ints[ints[OPTION_AXIS] + number]
    before_at = ints[ints[AXIS_BEFORE_AT] + axis]
    at_at = ints[ints[AXIS_AT_AT] + axis]
    group = ints[ints[GROUP] + task]
    drives = ints[DRIVES] == 1 and group >= 0
    one_day = ints[ints[ONE_DAY] + task] == 1
    last = ints[ints[AXIS_COUNT] + axis] - work
    team_low = ints[ints[TEAM_AT] + number]
    team_high = ints[ints[TEAM_AT] + number + 1]
    uses = ints[ints[USE_AT] + number + 1] > ints[ints[USE_AT] + number]
    k = axes[before_at + max(soon, 0)]
    if least_end > 0:
        k = max(k, axes[before_at + min(least_end, top + 1) - 1] - work + 1)
    least = min(ints[ints[LEAST] + task], work) - 1
    days = ints[AXIS_DAY] + at_at
    while k <= last:
        start = axes[at_at + k]
        end = axes[at_at + k + work - 1] + 1
        if one_day and start // day != (end - 1) // day:
            k = axes[before_at + min(top, (start // day + 1) * day)]
            continue
        again = -1
        for member in range(team_low, team_high):
            worker = ints[ints[TEAM] + member]
            again = ask_worker(ints, axes, state, worker, before_at, work, start, end, group, drives)
            if again >= 0:
                break
        if again < 0 and least > 0 and axes[days + k + least] != axes[days + k]:
            k += 1
            continue
        if again < 0 and uses:
            again = units_for(ints, axes, state, task, number, start, end, group, axis, notes)
        if again < 0:
            notes[ints[NOTE_FIT]] = end
            return start
        if again > top:
            return -1
        k = axes[before_at + again]
    return -1


@njit
def put(ints: Row, state: Row, task: int, chosen: int, start: int, notes: Row) -> None:
    """Place the task with its own option `chosen` at `start`, with the fit's end and units."""
    number = ints[ints[OPTION_AT] + task] + chosen
    held = max(1, ints[HELD])
    end = notes[ints[NOTE_FIT]]
    state[4 * task] = start
    state[4 * task + END] = end
    state[4 * task + OPTION] = chosen
    for member in range(ints[ints[TEAM_AT] + number], ints[ints[TEAM_AT] + number + 1]):
        enter_row(ints, state, ints[ints[TEAM] + member], start, end, task)
    count = 0
    for use in range(ints[ints[USE_AT] + number], ints[ints[USE_AT] + number + 1]):
        for _ in range(ints[ints[USE_NEED] + use]):
            unit = notes[ints[NOTE_FIT] + 1 + count]
            state[ints[UNITS_HELD] + task * held + count] = unit
            count += 1
            enter_row(ints, state, ints[WORKERS] + unit, start, end, task)
    for i in range(count, held):
        state[ints[UNITS_HELD] + task * held + i] = -1


@njit
def lift(ints: Row, state: Row, task: int) -> None:
    """Take a task out; nothing when it has no place."""
    start = state[4 * task]
    if start < 0:
        return
    held = max(1, ints[HELD])
    number = ints[ints[OPTION_AT] + task] + state[4 * task + OPTION]
    for member in range(ints[ints[TEAM_AT] + number], ints[ints[TEAM_AT] + number + 1]):
        leave_row(ints, state, ints[ints[TEAM] + member], start)
    for i in range(task * held, task * held + held):
        if state[ints[UNITS_HELD] + i] >= 0:
            leave_row(ints, state, ints[WORKERS] + state[ints[UNITS_HELD] + i], start)
            state[ints[UNITS_HELD] + i] = -1
    state[4 * task] = -1
    state[4 * task + END] = -1


@njit
def settle(ints: Row, axes: Row, money: Row, state: Row, task: int, chosen: int, notes: Row) -> bool:
    """Place the task as early as lags and resources allow by option `chosen`, or by the one that ends first
    (fewer workers, then the first, win a tie) when it is below 0. False when it has no place."""
    soon = earliest(ints, axes, money, state, task, notes)
    if soon < 0:
        return False
    late = notes[ints[NOTE_FIT]]
    least_end = notes[ints[NOTE_FIT] + 1]
    first = ints[ints[OPTION_AT] + task]
    if chosen >= 0:
        start = find_place(ints, axes, state, task, first + chosen, soon, least_end, notes)
        if start < 0 or start > late or notes[ints[NOTE_FIT]] > ints[ints[DEADLINE] + task]:
            return False
        put(ints, state, task, chosen, start, notes)
        return True
    best_start = -1
    best_option = -1
    best_size = 0
    for option in range(ints[ints[OPTION_AT] + task + 1] - first):
        number = first + option
        start = find_place(ints, axes, state, task, number, soon, least_end, notes)
        if start < 0 or start > late or notes[ints[NOTE_FIT]] > ints[ints[DEADLINE] + task]:
            continue
        size = ints[ints[TEAM_AT] + number + 1] - ints[ints[TEAM_AT] + number]
        if (
            best_start < 0
            or notes[ints[NOTE_FIT]] < notes[ints[NOTE_BEST]]
            or (notes[ints[NOTE_FIT]] == notes[ints[NOTE_BEST]] and size < best_size)
        ):
            best_start = start
            best_option = option
            best_size = size
            for i in range(ints[HELD] + 1):
                notes[ints[NOTE_BEST] + i] = notes[ints[NOTE_FIT] + i]
    if best_start < 0:
        return False
    put(ints, state, task, best_option, best_start, notes)
    return True
