"""Annealed search, step by step: take some jobs out, change a decision, lay them again, keep it or not.

Most steps touch a handful of neighboring jobs and leave the rest where it is, so that a step costs the same
in a season of 20 jobs and of 200; some take out everything after a moment and close the gaps. Two states run
in step: `now` stands, `trial` differs from it by the step under way; `best` is the best that stood.
"""

from __future__ import annotations

from math import log

from planner.schedule.kernel.compiling import copy_span, first_from, njit
from planner.schedule.kernel.layout import (
    CHOOSY,
    COUNTS,
    DAY,
    END,
    FIXED,
    GROUP,
    GROUPS,
    HELD,
    HOLD,
    HOLDS,
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
from planner.schedule.model.shop import FAR

#: Share of steps with one job alone, and with all after a moment.
ALONE, ALL_AFTER = 0.8, 0.005
#: What a task without a place costs the search [cents].
UNPLACED = 1e9
#: Keep the option that the task has.
AS_IT_IS = -2


@njit
def draw(notes: Row) -> int:
    """The next 32 random bits (xorshift; Marsaglia, Journal of Statistical Software 8(14), 2003, from
    memory)."""
    x = notes[0]
    x = x ^ ((x << 13) & 0xFFFFFFFF)
    x = x ^ (x >> 17)
    x = x ^ ((x << 5) & 0xFFFFFFFF)
    notes[0] = x
    return x


@njit
def below(notes: Row, count: int) -> int:
    """A whole number from 0 to count - 1."""
    return (draw(notes) * count) >> 32


@njit
def chance(notes: Row) -> float:
    """A number from 0 to under 1."""
    return draw(notes) / 4294967296.0


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
    elif choosy and chance(notes) < 0.4:
        other_crew(ints, notes, part)
    elif choosy and chance(notes) < 0.4:
        other_way(ints, notes, part)
    else:
        wait(ints, now, notes, part)


@njit
def other_crew(ints: Row, notes: Row, part: int) -> None:
    """The part, or its rest from some task on, goes to another worker wherever that one may do it."""
    low = ints[ints[PART_AT] + part]
    high = ints[ints[PART_AT] + part + 1]
    for k in range(low, high):
        task = ints[ints[PART_TASK] + k]
        hold_back(ints, notes, task, ints[ints[RELEASE] + task])
    if ints[WORKERS] == 0:
        return
    worker = below(notes, ints[WORKERS])
    begin = low
    if chance(notes) >= 0.7:
        begin = low + below(notes, high - low)
    for k in range(begin, high):
        task = ints[ints[PART_TASK] + k]
        chosen = alone_option(ints, task, worker)
        if chosen >= 0:
            notes[ints[NOTE_CHOICE] + task] = chosen


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
        if now[4 * task] < 0:
            unplaced -= 1
    return UNPLACED * unplaced + difference(ints, axes, money, now, trial, notes, sums, number)


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


@njit
def anneal(
    ints: Row,
    axes: Row,
    money: Row,
    now: Row,
    trial: Row,
    best: Row,
    notes: Row,
    sums: Row,
    steps: int,
    heat: float,
    cooling: float,
) -> float:
    """So many steps, beginning at `heat` [cents], which `cooling` multiplies after each; the heat that is
    left.

    `now` and `trial` are alike before and after. The best that stood goes to `best`, its price to the notes.
    """
    for _ in range(steps):
        count = propose(ints, now, notes)
        delta = relay(ints, axes, money, now, trial, notes, sums, count)
        heat *= cooling
        if delta < -heat * log(1.0 - chance(notes)):
            accept(ints, now, trial, notes, sums, delta)
            if sums[ints[SUM_PRICE]] < sums[ints[SUM_PRICE] + 1] - 1e-6:
                sums[ints[SUM_PRICE] + 1] = sums[ints[SUM_PRICE]]
                copy_state(ints, now, best)
        else:
            follow(ints, now, trial, notes)
    return heat
