"""What a flat timetable costs: the sums of `planner.schedule.model.price`, term by term [cents].

Tests hold both equal to the cent. A worker's part can be asked for some spans of days only: two timetables
that differ on those days alone differ in price by the difference of that sum.
"""

from __future__ import annotations

from planner.schedule.kernel.compiling import first_from, njit
from planner.schedule.kernel.crew_time import time_cents
from planner.schedule.kernel.layout import (
    AXIS_AT_AT,
    AXIS_BEFORE_AT,
    AXIS_DAY,
    DAY,
    DEPOT,
    DUE,
    END,
    FIXED,
    FIXED_DAYS,
    FIXED_FIRST,
    FIXED_LAST,
    FIXED_LEAD,
    FIXED_TEAM,
    FIXED_TEAM_AT,
    GROUP,
    GROUPS,
    LATE_PRICE,
    LEG,
    MEMBER,
    MEMBER_AT,
    NOTE_KEYS,
    NOTE_MARKS,
    NOTE_MERGED,
    NOTE_SITES,
    NOTE_SPAN_FIRST,
    NOTE_SPAN_LAST,
    OPTION,
    OPTION_AT,
    OPTION_AXIS,
    PRICES,
    RANK,
    REST,
    ROOM,
    ROW_COUNT,
    ROWS,
    SLOT_PRICE,
    STAGE,
    STRIDE,
    TASKS,
    TEAM,
    TEAM_AT,
    TOLD_AT,
    TOLD_CALL,
    TOLD_DAY,
    TOLD_LEAD,
    TOLD_PRICE,
    TOLD_TASK,
    TOLD_TASK_AT,
    UNIT_PAST_AT,
    UNIT_PRICE,
    WAIT_FROM,
    WAIT_PRICE,
    WORKER_PAST,
    WORKER_PAST_AT,
    WORKER_PAST_END,
    WORKERS,
    Row,
)
from planner.schedule.kernel.rows import merge_past, task_at
from planner.schedule.model.shop import FAR


@njit
def lead_of(ints: Row, state: Row, task: int) -> int:
    """The placed task's lead worker, -1 when it has none."""
    chosen = state[4 * task + OPTION]
    if chosen < 0:
        return ints[ints[FIXED_LEAD] + task]
    number = ints[ints[OPTION_AT] + task] + chosen
    if ints[ints[TEAM_AT] + number] == ints[ints[TEAM_AT] + number + 1]:
        return -1
    return ints[ints[TEAM] + ints[ints[TEAM_AT] + number]]


@njit
def group_cents(ints: Row, money: Row, state: Row, notes: Row, group: int) -> float:
    """Lateness, waiting, hand-overs, open days, hole, work over days off and moves of one group, less one
    visit for each worker [cents]."""
    day = ints[DAY]
    count = 0
    first = FAR
    last = -FAR
    for k in range(ints[ints[MEMBER_AT] + group], ints[ints[MEMBER_AT] + group + 1]):
        task = ints[ints[MEMBER] + k]
        if state[4 * task + END] < 0 and ints[ints[FIXED] + task] == 0:
            continue
        start = state[4 * task]
        end = state[4 * task + END]
        first = min(first, start)
        last = max(last, end)
        place = count
        while place > 0 and (
            notes[ints[NOTE_KEYS] + 4 * place - 4] > start
            or (
                notes[ints[NOTE_KEYS] + 4 * place - 4] == start
                and (
                    notes[ints[NOTE_KEYS] + 4 * place - 3] > end
                    or (
                        notes[ints[NOTE_KEYS] + 4 * place - 3] == end
                        and notes[ints[NOTE_KEYS] + 4 * place - 2] > ints[ints[RANK] + task]
                    )
                )
            )
        ):
            for i in range(4):
                notes[ints[NOTE_KEYS] + 4 * place + i] = notes[ints[NOTE_KEYS] + 4 * place - 4 + i]
            place -= 1
        notes[ints[NOTE_KEYS] + 4 * place] = start
        notes[ints[NOTE_KEYS] + 4 * place + 1] = end
        notes[ints[NOTE_KEYS] + 4 * place + 2] = ints[ints[RANK] + task]
        notes[ints[NOTE_KEYS] + 4 * place + 3] = task
        count += 1
    if count == 0:
        return 0.0
    last_day = last // day
    cents = 0.0
    due = ints[ints[DUE] + group]
    if due > -FAR and last_day > due:
        cents += money[ints[LATE_PRICE] + group] * (last_day - due)
    cents += money[ints[WAIT_PRICE] + group] * max(0, last_day - ints[ints[WAIT_FROM] + group])
    cents += money[ints[PRICES] + 3] * (last_day - first // day)
    cents += hole_cents(ints, money, state, group)
    begun_rest = money[ints[PRICES] + 6]
    before = lead_of(ints, state, notes[ints[NOTE_KEYS] + 3])
    for place in range(count):
        task = notes[ints[NOTE_KEYS] + 4 * place + 3]
        lead = lead_of(ints, state, task)
        if begun_rest > 0.0 and ints[ints[STAGE] + task] == 0:
            cents += begun_rest * rests_between(ints, state[4 * task] // day, state[4 * task + END] // day)
        if lead != before:
            cents += money[ints[PRICES]]
            before = lead
        chosen = state[4 * task + OPTION]
        if chosen >= 0:
            number = ints[ints[OPTION_AT] + task] + chosen
            for i in range(ints[ints[TEAM_AT] + number], ints[ints[TEAM_AT] + number + 1]):
                worker = ints[ints[TEAM] + i]
                if notes[ints[NOTE_MARKS] + worker] == 0:
                    notes[ints[NOTE_MARKS] + worker] = 1
                    cents -= money[ints[PRICES] + 1]
        else:
            for i in range(ints[ints[FIXED_TEAM_AT] + task], ints[ints[FIXED_TEAM_AT] + task + 1]):
                worker = ints[ints[FIXED_TEAM] + i]
                if notes[ints[NOTE_MARKS] + worker] == 0:
                    notes[ints[NOTE_MARKS] + worker] = 1
                    cents -= money[ints[PRICES] + 1]
    for worker in range(ints[WORKERS]):
        notes[ints[NOTE_MARKS] + worker] = 0
    for told in range(ints[ints[TOLD_AT] + group], ints[ints[TOLD_AT] + group + 1]):
        cents += told_cents(ints, money, state, told)
    return cents


@njit
def hole_cents(ints: Row, money: Row, state: Row, group: int) -> float:
    """Days and days off on which the group's hole lies open [cents]."""
    if money[ints[PRICES] + 4] == 0.0 and money[ints[PRICES] + 5] == 0.0:
        return 0.0
    first = FAR
    last = -FAR
    for k in range(ints[ints[MEMBER_AT] + group], ints[ints[MEMBER_AT] + group + 1]):
        task = ints[ints[MEMBER] + k]
        if state[4 * task + END] < 0 and ints[ints[FIXED] + task] == 0:
            continue
        if ints[ints[STAGE] + task] == 1:
            first = min(first, state[4 * task] // ints[DAY])
        if ints[ints[STAGE] + task] == 2:
            last = max(last, state[4 * task + END] // ints[DAY])
    if last <= first:
        return 0.0
    return money[ints[PRICES] + 4] * (last - first) + money[ints[PRICES] + 5] * rests_between(
        ints, first, last
    )


@njit
def rests_between(ints: Row, first: int, last: int) -> int:
    """Runs of days off that begin after the first day, up to the last."""
    rests = ints[ints[REST] + last] if last >= 0 else 0
    return rests - ints[ints[REST] + first] if first >= 0 else rests


@njit
def told_cents(ints: Row, money: Row, state: Row, told: int) -> float:
    """The price when the first day or lead is not what was told, and of the call for the day [cents]."""
    best = -1
    for k in range(ints[ints[TOLD_TASK_AT] + told], ints[ints[TOLD_TASK_AT] + told + 1]):
        task = ints[ints[TOLD_TASK] + k]
        if state[4 * task + END] < 0:
            continue
        if (
            best < 0
            or state[4 * task] < state[4 * best]
            or (state[4 * task] == state[4 * best] and ints[ints[RANK] + task] < ints[ints[RANK] + best])
        ):
            best = task
    if best < 0:
        return 0.0
    if state[4 * best] // ints[DAY] != ints[ints[TOLD_DAY] + told]:
        return money[ints[TOLD_PRICE] + told] + money[ints[TOLD_CALL] + told]
    if lead_of(ints, state, best) == ints[ints[TOLD_LEAD] + told]:
        return 0.0
    return money[ints[TOLD_PRICE] + told]


@njit
def worker_cents(ints: Row, axes: Row, money: Row, state: Row, notes: Row, worker: int, spans: int) -> float:
    """Visits, miles and site days of one worker [cents], on the days of its first `spans` spans in the notes
    (apart, by first day); of all days when there is none."""
    day = ints[DAY]
    stride = ints[STRIDE]
    low = ints[ROWS] + worker * ints[ROOM]
    rows = state[ints[ROW_COUNT] + worker]
    groups = ints[GROUPS]
    past_at = ints[ints[WORKER_PAST_AT] + worker]
    past = ints[ints[WORKER_PAST_AT] + worker + 1] - past_at
    merged = False
    if (
        past > 0
        and rows > 0
        and state[4 * (ints[ints[WORKER_PAST] + past_at + past - 1])] >= state[4 * (state[low + 2 * stride])]
    ):
        merge_past(ints, state, notes, past_at, past, low, rows, False)
        merged = True
        spans = 0
    count = past + rows
    depot = worker * groups
    span_at = worker * (2 * ints[TASKS] + 2)
    cents = 0.0
    site_days = 0
    visits = 0
    here = -1
    today = -FAR
    known = 0
    place = -1
    stepped = -1
    for span in range(max(1, spans)):
        first_day = -FAR
        last_day = FAR
        begin = 0
        if spans > 0:
            first_day = notes[ints[NOTE_SPAN_FIRST] + span_at + span]
            last_day = notes[ints[NOTE_SPAN_LAST] + span_at + span]
            opens = first_day * day
            if opens > ints[ints[WORKER_PAST_END] + worker]:
                begin = past + first_from(state, low + stride, low + stride + rows, opens) - stride - low
        if begin > place + 1:
            here = ints[ints[GROUP] + task_at(ints, state, notes, past_at, past, low, begin - 1, merged)]
            today = -FAR
            place = begin - 1
        while place + 1 < count:
            task = task_at(ints, state, notes, past_at, past, low, place + 1, merged)
            site = ints[ints[GROUP] + task]
            begun = state[4 * task]
            first = begun // day
            if site != here and stepped != place + 1 and site >= 0:
                visits += 1
            stepped = place + 1
            if first > last_day:
                break
            place += 1
            if site < 0:
                continue
            chosen = state[4 * task + OPTION]
            if chosen >= 0:
                axis = ints[ints[OPTION_AXIS] + ints[ints[OPTION_AT] + task] + chosen]
                ended = state[4 * task + END]
                final = (ended - 1) // day
                at = ints[ints[AXIS_AT_AT] + axis]
                before = ints[ints[AXIS_BEFORE_AT] + axis]
                days = (
                    axes[ints[AXIS_DAY] + at + axes[before + ended] - 1]
                    - axes[ints[AXIS_DAY] + at + axes[before + begun]]
                    + 1
                )
            else:
                if ints[ints[FIXED_DAYS] + task] == 0:
                    here = site
                    continue
                first = ints[ints[FIXED_FIRST] + task]
                final = ints[ints[FIXED_LAST] + task]
                days = ints[ints[FIXED_DAYS] + task]
            away = money[ints[DEPOT] + depot + site]
            if first == today:
                if site != here:
                    cents += (
                        money[ints[LEG] + here * groups + site] - money[ints[DEPOT] + depot + here] + away
                    )
                    seen = False
                    for k in range(known):
                        if notes[ints[NOTE_SITES] + k] == site:
                            seen = True
                    site_days += days - 1 if seen else days
                else:
                    site_days += days - 1
                cents += 2.0 * away * (days - 1)
                if final == today:
                    notes[ints[NOTE_SITES] + known] = site
                    known += 1
                else:
                    today = final
                    notes[ints[NOTE_SITES]] = site
                    known = 1
            else:
                site_days += days
                cents += 2.0 * away * days
                today = final
                notes[ints[NOTE_SITES]] = site
                known = 1
            here = site
    if money[ints[PRICES] + 7] > 0.0 or money[ints[SLOT_PRICE] + worker] > 0.0:
        cents += time_cents(ints, axes, money, state, notes, worker, spans, merged)
    return cents + site_days * money[ints[PRICES] + 2] + visits * money[ints[PRICES] + 1]


@njit
def unit_cents(ints: Row, money: Row, state: Row, notes: Row, unit: int) -> float:
    """Changes of site of one unit [cents]."""
    if money[ints[UNIT_PRICE] + unit] == 0.0:
        return 0.0
    line = ints[WORKERS] + unit
    stride = ints[STRIDE]
    low = ints[ROWS] + line * ints[ROOM]
    rows = state[ints[ROW_COUNT] + line]
    past_at = ints[ints[UNIT_PAST_AT] + unit]
    past = ints[ints[UNIT_PAST_AT] + unit + 1] - past_at
    changes = 0
    if past > 0:
        merge_past(ints, state, notes, past_at, past, low, rows, True)
        for i in range(1, past + rows):
            changes += (
                ints[ints[GROUP] + notes[ints[NOTE_MERGED] + i]]
                != ints[ints[GROUP] + notes[ints[NOTE_MERGED] + i - 1]]
            )
    else:
        for i in range(low + 1, low + rows):
            changes += (
                ints[ints[GROUP] + state[i + 2 * stride]] != ints[ints[GROUP] + state[i - 1 + 2 * stride]]
            )
    return money[ints[UNIT_PRICE] + unit] * changes
