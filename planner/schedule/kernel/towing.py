"""Which units are brought where on which day, and whether trucks can: `model.towing` on flat rows, with the
same answers.
"""

from __future__ import annotations

from planner.schedule.kernel.compiling import first_from, njit
from planner.schedule.kernel.layout import (
    DAY,
    FIXED,
    FIXED_LEAD,
    GROUP,
    NO_TOW,
    NOTE_LEFT,
    NOTE_LOADS,
    NOTE_PUSHED,
    OPTION,
    OPTION_AT,
    ROOM,
    ROW_COUNT,
    ROWS,
    STRIDE,
    TEAM,
    TEAM_AT,
    THERE,
    TOW_DAYS,
    TRUCK_LEFT,
    TRUCK_OF,
    TRUCK_TOWS,
    TRUCKS,
    UNIT_TOW,
    UNITS,
    WORKERS,
    Row,
)
from planner.schedule.kernel.rows import enter_row, leave_row


@njit
def ask_trucks(
    ints: Row, state: Row, task: int, lead: int, start: int, end: int, notes: Row, first: int, count: int
) -> int:
    """-1 when trucks can bring the units (`count` in the notes from `first` on) to the task from start to
    end, and to what each does next; else the slot at which it is worth asking again."""
    stride = ints[STRIDE]
    for i in range(first, first + count):
        if ints[ints[UNIT_TOW] + notes[i]] > 0:
            line = ints[WORKERS] + notes[i]
            last = ints[ROWS] + line * ints[ROOM] + state[ints[ROW_COUNT] + line]
            for column in range(3):
                notes[ints[NOTE_PUSHED] + 3 * notes[i] + column] = state[last + column * stride]
            enter_row(ints, state, line, start, end, task)
    again = -1
    for i in range(first, first + count):
        unit = notes[i]
        if again >= 0 or ints[ints[UNIT_TOW] + unit] == 0:
            continue
        low = ints[ROWS] + (ints[WORKERS] + unit) * ints[ROOM]
        high = low + state[ints[ROW_COUNT] + ints[WORKERS] + unit]
        place = first_from(state, low, high, start)
        if is_brought(ints, state, low, place) and not day_does(ints, state, start, lead, task, lead, notes):
            again = (start // ints[DAY] + 1) * ints[DAY]
        elif place + 1 < high and is_newly_brought(ints, state, low, place + 1):
            tower = lead_of(ints, state, state[place + 1 + 2 * stride])
            if not day_does(ints, state, state[place + 1], tower, task, lead, notes):
                again = state[place + 1 + stride]
    for i in range(first, first + count):
        if ints[ints[UNIT_TOW] + notes[i]] > 0:
            line = ints[WORKERS] + notes[i]
            leave_row(ints, state, line, start)
            last = ints[ROWS] + line * ints[ROOM] + state[ints[ROW_COUNT] + line]
            for column in range(3):
                state[last + column * stride] = notes[ints[NOTE_PUSHED] + 3 * notes[i] + column]
    return again


@njit
def is_brought(ints: Row, state: Row, low: int, place: int) -> bool:
    """True when a unit comes to its row's task at `place` from another site, or from nowhere."""
    tasks = 2 * ints[STRIDE]
    if place == low:
        return ints[ints[THERE] + state[place + tasks]] == 0
    return ints[ints[GROUP] + state[place - 1 + tasks]] != ints[ints[GROUP] + state[place + tasks]]


@njit
def is_newly_brought(ints: Row, state: Row, low: int, place: int) -> bool:
    """True when only the task before the one at `place` makes the unit be brought to that."""
    tasks = 2 * ints[STRIDE]
    here = ints[ints[GROUP] + state[place + tasks]]
    if ints[ints[GROUP] + state[place - 1 + tasks]] == here:
        return False
    if place == low + 1:
        return ints[ints[THERE] + state[place + tasks]] == 1
    return ints[ints[GROUP] + state[place - 2 + tasks]] == here


@njit
def lead_of(ints: Row, state: Row, task: int) -> int:
    """The placed task's lead worker, -1 when it has none."""
    if ints[ints[FIXED] + task] == 1:
        return ints[ints[FIXED_LEAD] + task]
    number = ints[ints[OPTION_AT] + task] + state[4 * task + OPTION]
    team = ints[ints[TEAM_AT] + number]
    return ints[ints[TEAM] + team] if team < ints[ints[TEAM_AT] + number + 1] else -1


@njit
def day_does(ints: Row, state: Row, start: int, tower: int, task: int, lead: int, notes: Row) -> bool:
    """True when `tower` may tow on the day of `start`, and its trucks can bring all that is brought then.

    task, lead: the one that is being placed and who leads it.
    """
    day = start // ints[DAY]
    days = ints[TOW_DAYS]
    if tower >= 0 and ints[ints[NO_TOW] + tower * days + day] == 1:
        return False
    loads = gather(ints, state, day, task, lead, notes)
    trucks = ints[TRUCKS]
    for truck in range(trucks):
        notes[ints[NOTE_LEFT] + truck] = ints[ints[TRUCK_LEFT] + truck * days + day]
    for i in range(loads):
        weight = ints[ints[UNIT_TOW] + notes[ints[NOTE_LOADS] + 2 * i]]
        worker = notes[ints[NOTE_LOADS] + 2 * i + 1]
        found = False
        # the trucks of one worker stand first; what can tow this can tow all that comes after it
        for truck in range(trucks):
            own = ints[ints[TRUCK_OF] + truck]
            if (
                notes[ints[NOTE_LEFT] + truck] > 0
                and ints[ints[TRUCK_TOWS] + truck] >= weight
                and (own < 0 or own == worker)
            ):
                notes[ints[NOTE_LEFT] + truck] -= 1
                found = True
                break
        if not found:
            return False
    return True


@njit
def gather(ints: Row, state: Row, day: int, task: int, lead: int, notes: Row) -> int:
    """Note (unit, who leads the work) of each unit that is brought on the day, the heaviest first; how
    many."""
    stride = ints[STRIDE]
    step = ints[DAY]
    loads = ints[NOTE_LOADS]
    count = 0
    for unit in range(ints[UNITS]):
        weight = ints[ints[UNIT_TOW] + unit]
        if weight == 0:
            continue
        low = ints[ROWS] + (ints[WORKERS] + unit) * ints[ROOM]
        high = low + state[ints[ROW_COUNT] + ints[WORKERS] + unit]
        place = first_from(state, low, high, day * step)
        while place < high and state[place] < (day + 1) * step:
            if is_brought(ints, state, low, place):
                other = state[place + 2 * stride]
                worker = lead if other == task else lead_of(ints, state, other)
                at = count
                while at > 0 and ints[ints[UNIT_TOW] + notes[loads + 2 * at - 2]] < weight:
                    notes[loads + 2 * at] = notes[loads + 2 * at - 2]
                    notes[loads + 2 * at + 1] = notes[loads + 2 * at - 1]
                    at -= 1
                notes[loads + 2 * at] = unit
                notes[loads + 2 * at + 1] = worker
                count += 1
            place += 1
    return count
