"""What a step of the search tries: which jobs come out, their order back in, and one decision changed.

Most steps touch a handful of neighboring jobs and leave the rest where it is, so that a step costs the same
in a season of 20 jobs and of 200; some put a job elsewhere among those of some days, or take out everything
after a moment and close the gaps.
"""

from __future__ import annotations

from planner.schedule.kernel.compiling import first_from, njit
from planner.schedule.kernel.dice import below, chance
from planner.schedule.kernel.layout import (
    CHOOSY,
    COUNTS,
    DAY,
    HELD,
    HOLD,
    HOLDS,
    NOTE_CHOICE,
    NOTE_HOLD_SLOT,
    NOTE_HOLD_TASK,
    NOTE_ORDER,
    OPTION,
    OPTION_ALONE,
    OPTION_AT,
    PART_AT,
    PART_OF,
    PART_TASK,
    PARTS,
    RELEASE,
    ROOM,
    ROW_COUNT,
    ROWS,
    STRIDE,
    TEAM,
    TEAM_AT,
    UNITS_HELD,
    WORKERS,
    Row,
)
from planner.schedule.model.shop import FAR

#: Share of steps with one job alone, and with all after a moment.
ALONE, ALL_AFTER = 0.8, 0.005
#: Steps that put a job elsewhere among those of some days: at most this share of them, less where there are
#: more jobs than these (they cost more, and there a step among neighbors brings more; measured); most jobs of
#: such a step.
CROWDED, CROWDED_JOBS, CROWD = 0.1, 30, 12


@njit
def part_start(ints: Row, state: Row, part: int) -> int:
    """Start of the part's first task; far when it has no place."""
    start = state[4 * (ints[ints[PART_TASK] + ints[ints[PART_AT] + part]])]
    return start if start >= 0 else FAR


@njit
def sort_order(ints: Row, state: Row, notes: Row, count: int) -> None:
    """Sort the first `count` parts of the order by start, then number."""
    for i in range(1, count):
        part = notes[ints[NOTE_ORDER] + i]
        start = part_start(ints, state, part)
        k = i
        while k > 0:
            other = part_start(ints, state, notes[ints[NOTE_ORDER] + k - 1])
            if other < start or (other == start and notes[ints[NOTE_ORDER] + k - 1] < part):
                break
            notes[ints[NOTE_ORDER] + k] = notes[ints[NOTE_ORDER] + k - 1]
            k -= 1
        notes[ints[NOTE_ORDER] + k] = part


@njit
def neighbors(ints: Row, now: Row, notes: Row, seed: int, size: int) -> int:
    """The seed and parts next to it in the row of one of its workers (or units); their number."""
    notes[ints[NOTE_ORDER]] = seed
    found = 1
    low = ints[ints[PART_AT] + seed]
    task = ints[ints[PART_TASK] + low + below(notes, ints[ints[PART_AT] + seed + 1] - low)]
    line = -1
    chosen = now[4 * task + OPTION]
    if now[4 * task] >= 0 and chosen >= 0:
        number = ints[ints[OPTION_AT] + task] + chosen
        team = ints[ints[TEAM_AT] + number + 1] - ints[ints[TEAM_AT] + number]
        held = max(1, ints[HELD])
        if team > 0:
            line = ints[ints[TEAM] + ints[ints[TEAM_AT] + number] + below(notes, team)]
        elif now[ints[UNITS_HELD] + task * held] >= 0:
            line = ints[WORKERS] + now[ints[UNITS_HELD] + task * held]
    if line < 0:
        parts = ints[PARTS]
        for _ in range(size - 1):
            other = below(notes, parts)
            if not inside(ints, notes, found, other):
                notes[ints[NOTE_ORDER] + found] = other
                found += 1
        return found
    stride = ints[STRIDE]
    first = ints[ROWS] + line * ints[ROOM]
    end = first + now[ints[ROW_COUNT] + line]
    left = first_from(now, first, end, now[4 * task])
    right = left + 1
    while found < size and (left > first or right < end):
        if right >= end or (left > first and chance(notes) < 0.5):
            left -= 1
            other = ints[ints[PART_OF] + now[left + 2 * stride]]
        else:
            other = ints[ints[PART_OF] + now[right + 2 * stride]]
            right += 1
        if other >= 0 and chance(notes) < 0.85 and not inside(ints, notes, found, other):
            notes[ints[NOTE_ORDER] + found] = other
            found += 1
    return found


@njit
def inside(ints: Row, notes: Row, count: int, part: int) -> bool:
    """True when the part is among the first `count` of the order."""
    found = False
    for i in range(count):
        found = found or notes[ints[NOTE_ORDER] + i] == part
    return found


@njit
def hold_back(ints: Row, notes: Row, task: int, slot: int) -> None:
    """Note that the task waits for a slot."""
    place = notes[COUNTS + 2]
    if place < ints[HOLDS]:
        notes[ints[NOTE_HOLD_TASK] + place] = task
        notes[ints[NOTE_HOLD_SLOT] + place] = slot
        notes[COUNTS + 2] = place + 1


@njit
def alone_option(ints: Row, task: int, worker: int) -> int:
    """The task's option with this worker and nobody else; -1 without. The last one stands, as in a
    dictionary."""
    first = ints[ints[OPTION_AT] + task]
    for number in range(ints[ints[OPTION_AT] + task + 1] - 1, first - 1, -1):
        if ints[ints[OPTION_ALONE] + number] == worker:
            return number - first
    return -1


@njit
def decide(ints: Row, now: Row, notes: Row, part: int, count: int) -> None:
    """One change of decisions: order, crew, way or waiting."""
    dice = chance(notes)
    choosy = ints[CHOOSY] == 1
    if count > 1 and dice < 0.45:
        reorder(ints, notes, part, count)
    elif choosy and chance(notes) < 0.4:
        other_crew(ints, notes, part)
    elif choosy and chance(notes) < 0.4:
        other_way(ints, notes, part)
    else:
        wait(ints, now, notes, part)


@njit
def reorder(ints: Row, notes: Row, part: int, count: int) -> None:
    """The part changes its place in the order: among the others, or with one of them."""
    i = 0
    while notes[ints[NOTE_ORDER] + i] != part:
        i += 1
    j = below(notes, count)
    if chance(notes) < 0.5:
        while i < j:
            notes[ints[NOTE_ORDER] + i] = notes[ints[NOTE_ORDER] + i + 1]
            i += 1
        while i > j:
            notes[ints[NOTE_ORDER] + i] = notes[ints[NOTE_ORDER] + i - 1]
            i -= 1
        notes[ints[NOTE_ORDER] + j] = part
    else:
        notes[ints[NOTE_ORDER] + i] = notes[ints[NOTE_ORDER] + j]
        notes[ints[NOTE_ORDER] + j] = part


@njit
def stretch(ints: Row, now: Row, notes: Row, seed: int) -> int:
    """The seed and up to `CROWD - 1` parts that begin within some days of it, sorted by start; their
    number."""
    parts = ints[PARTS]
    here = part_start(ints, now, seed)
    reach = ints[DAY] * (2 + below(notes, 2) * 4 + below(notes, 20))
    begin = below(notes, parts)
    notes[ints[NOTE_ORDER]] = seed
    count = 1
    for k in range(parts):
        part = begin + k
        if part >= parts:
            part -= parts
        if part == seed or count >= CROWD:
            continue
        gap = part_start(ints, now, part) - here
        if -reach <= gap <= reach and chance(notes) < 0.8:
            notes[ints[NOTE_ORDER] + count] = part
            count += 1
    sort_order(ints, now, notes, count)
    return count


@njit
def other_crew(ints: Row, notes: Row, part: int) -> None:
    """The part, or its rest from some task on, goes to another worker wherever that one may do it."""
    wait_no_more(ints, notes, part)
    if ints[WORKERS] == 0:
        return
    worker = below(notes, ints[WORKERS])
    low = ints[ints[PART_AT] + part]
    begin = low
    if chance(notes) >= 0.7:
        begin = low + below(notes, ints[ints[PART_AT] + part + 1] - low)
    hand_to(ints, notes, part, begin, worker)


@njit
def wait_no_more(ints: Row, notes: Row, part: int) -> None:
    """No task of the part waits for longer than it must."""
    for k in range(ints[ints[PART_AT] + part], ints[ints[PART_AT] + part + 1]):
        task = ints[ints[PART_TASK] + k]
        hold_back(ints, notes, task, ints[ints[RELEASE] + task])


@njit
def hand_to(ints: Row, notes: Row, part: int, begin: int, worker: int) -> None:
    """The part's tasks from place `begin` on go to the worker wherever that one may do them alone."""
    for k in range(begin, ints[ints[PART_AT] + part + 1]):
        task = ints[ints[PART_TASK] + k]
        chosen = alone_option(ints, task, worker)
        if chosen >= 0:
            notes[ints[NOTE_CHOICE] + task] = chosen


@njit
def worker_of(ints: Row, now: Row, part: int) -> int:
    """A worker of the part's first task that has a team; -1 without."""
    for k in range(ints[ints[PART_AT] + part], ints[ints[PART_AT] + part + 1]):
        task = ints[ints[PART_TASK] + k]
        chosen = now[4 * task + OPTION]
        if now[4 * task] >= 0 and chosen >= 0:
            number = ints[ints[OPTION_AT] + task] + chosen
            if ints[ints[TEAM_AT] + number + 1] > ints[ints[TEAM_AT] + number]:
                return ints[ints[TEAM] + ints[ints[TEAM_AT] + number]]
    return -1


@njit
def trade_places(ints: Row, now: Row, notes: Row, part: int, other: int, count: int) -> None:
    """Two parts of the order take each other's place and each other's worker."""
    for i in range(count):
        standing = notes[ints[NOTE_ORDER] + i]
        if standing == part:
            notes[ints[NOTE_ORDER] + i] = other
        elif standing == other:
            notes[ints[NOTE_ORDER] + i] = part
    wait_no_more(ints, notes, part)
    wait_no_more(ints, notes, other)
    mine, theirs = worker_of(ints, now, part), worker_of(ints, now, other)
    if theirs >= 0:
        hand_to(ints, notes, part, ints[ints[PART_AT] + part], theirs)
    if mine >= 0:
        hand_to(ints, notes, other, ints[ints[PART_AT] + other], mine)


@njit
def other_way(ints: Row, notes: Row, part: int) -> None:
    """One task, or a run of tasks, is done another way: another crew, with or without help."""
    low = ints[ints[PART_AT] + part]
    high = ints[ints[PART_AT] + part + 1]
    place = low + below(notes, high - low)
    task = ints[ints[PART_TASK] + place]
    if chance(notes) < 0.5 or ints[WORKERS] == 0:
        notes[ints[NOTE_CHOICE] + task] = below(
            notes, ints[ints[OPTION_AT] + task + 1] - ints[ints[OPTION_AT] + task]
        )
        return
    worker = below(notes, ints[WORKERS])
    for k in range(place, min(high, place + 1 + below(notes, 3))):
        other = ints[ints[PART_TASK] + k]
        chosen = alone_option(ints, other, worker)
        if chosen >= 0:
            notes[ints[NOTE_CHOICE] + other] = chosen


@njit
def wait(ints: Row, now: Row, notes: Row, part: int) -> None:
    """One task waits for a moment that is worth it, or waits no more."""
    low = ints[ints[PART_AT] + part]
    high = ints[ints[PART_AT] + part + 1]
    waits = False
    for k in range(low, high):
        task = ints[ints[PART_TASK] + k]
        waits = waits or now[4 * task + HOLD] > ints[ints[RELEASE] + task]
    if waits and chance(notes) < 0.5:
        for k in range(low, high):
            task = ints[ints[PART_TASK] + k]
            if now[4 * task + HOLD] > ints[ints[RELEASE] + task]:
                hold_back(ints, notes, task, ints[ints[RELEASE] + task])
        return
    task = ints[ints[PART_TASK] + low]
    if chance(notes) >= 0.5:
        task = ints[ints[PART_TASK] + low + below(notes, high - low)]
    start = now[4 * task]
    if start < 0:
        return
    if now[4 * task + HOLD] > ints[ints[RELEASE] + task] and chance(notes) < 0.6:
        hold_back(ints, notes, task, ints[ints[RELEASE] + task])
        return
    day = ints[DAY]
    number = ints[ints[OPTION_AT] + task] + now[4 * task + OPTION]
    if ints[ints[TEAM_AT] + number + 1] > ints[ints[TEAM_AT] + number] and chance(notes) < 0.6:
        line = ints[ints[TEAM] + ints[ints[TEAM_AT] + number]]
        stride = ints[STRIDE]
        first = ints[ROWS] + line * ints[ROOM]
        end = first + now[ints[ROW_COUNT] + line]
        near = first_from(now, first + stride, end + stride, start + 1) - stride
        choices = min(5, end - near)
        if choices > 0:
            hold_back(ints, notes, task, now[near + below(notes, choices) + stride])
            return
    slot = (start // day + below(notes, 8) - 3) * day
    hold_back(ints, notes, task, max(slot, ints[ints[RELEASE] + task]))


@njit
def propose(ints: Row, now: Row, notes: Row) -> int:
    """Draw a step: the parts to lay again stand in the order, decisions in the notes; their number."""
    parts = ints[PARTS]
    seed = below(notes, parts)
    dice = chance(notes)
    notes[COUNTS + 2] = 0
    if dice < ALONE:
        notes[ints[NOTE_ORDER]] = seed
        decide(ints, now, notes, seed, 1)
        return 1
    if dice < ALONE + CROWDED * min(1.0, CROWDED_JOBS / parts):
        count = stretch(ints, now, notes, seed)
        other = notes[ints[NOTE_ORDER] + below(notes, count)]
        if other != seed and chance(notes) < 0.4:
            trade_places(ints, now, notes, seed, other, count)
            return count
        reorder(ints, notes, seed, count)
        if ints[CHOOSY] == 1 and chance(notes) < 0.5:
            other_crew(ints, notes, seed)
        return count
    if dice < 1.0 - ALL_AFTER:
        size = 2
        draw_size = below(notes, 8)
        if draw_size >= 3:
            size = 3
        if draw_size >= 5:
            size = draw_size - 1
        count = neighbors(ints, now, notes, seed, size)
        sort_order(ints, now, notes, count)
        decide(ints, now, notes, seed, count)
        if chance(notes) < 0.3:
            decide(ints, now, notes, notes[ints[NOTE_ORDER] + below(notes, count)], count)
        return count
    here = part_start(ints, now, seed)
    count = 0
    for part in range(parts):
        if part == seed or part_start(ints, now, part) >= here:
            notes[ints[NOTE_ORDER] + count] = part
            count += 1
    sort_order(ints, now, notes, count)
    return count
