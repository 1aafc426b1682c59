"""What a flat timetable costs: the sums of `planner.schedule.model.price`, term by term [cents].

Tests hold both equal to the cent. A worker's part can be asked for some spans of days only: two timetables
that differ on those days alone differ in price by the difference of that sum.
"""

from __future__ import annotations

from planner.schedule.kernel.compiling import njit
from planner.schedule.kernel.crew_time import first_worked, last_worked, time_cents
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
    FIXED_LEAD,
    FIXED_TEAM,
    FIXED_TEAM_AT,
    GROUP,
    GROUPS,
    LATE_AT,
    LATE_BY_DAY,
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
    WORKER_PAST_AT,
    WORKERS,
    Row,
)
from planner.schedule.kernel.rows import comes_before, first_place, merge_past, past_mingles, task_at
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
def sort_members(ints: Row, state: Row, notes: Row, group: int) -> int:
    """The group's placed tasks go to the keys, by start, end and rank; their number."""
    count = 0
    for k in range(ints[ints[MEMBER_AT] + group], ints[ints[MEMBER_AT] + group + 1]):
        task = ints[ints[MEMBER] + k]
        if state[4 * task + END] < 0 and ints[ints[FIXED] + task] == 0:
            continue
        place = ints[NOTE_KEYS] + count
        while place > ints[NOTE_KEYS] and comes_before(ints, state, task, notes[place - 1]):
            notes[place] = notes[place - 1]
            place -= 1
        notes[place] = task
        count += 1
    return count


@njit
def new_workers(ints: Row, state: Row, notes: Row, task: int) -> int:
    """Mark the placed task's workers; how many were not marked."""
    chosen = state[4 * task + OPTION]
    team_at, team, number = ints[FIXED_TEAM_AT], ints[FIXED_TEAM], task
    if chosen >= 0:
        team_at, team, number = ints[TEAM_AT], ints[TEAM], ints[ints[OPTION_AT] + task] + chosen
    count = 0
    for i in range(ints[team_at + number], ints[team_at + number + 1]):
        worker = ints[team + i]
        if notes[ints[NOTE_MARKS] + worker] == 0:
            notes[ints[NOTE_MARKS] + worker] = 1
            count += 1
    return count


@njit
def group_cents(ints: Row, money: Row, state: Row, notes: Row, group: int) -> float:
    """Lateness, waiting, hand-overs, open days, hole, work over days off and moves of one group, less one
    visit for each worker [cents]."""
    day = ints[DAY]
    count = sort_members(ints, state, notes, group)
    if count == 0:
        return 0.0
    first = state[4 * notes[ints[NOTE_KEYS]]]
    last = -FAR
    for place in range(count):
        last = max(last, state[4 * notes[ints[NOTE_KEYS] + place] + END])
    last_day = last // day
    cents = late_cents(ints, money, group, last_day)
    cents += money[ints[WAIT_PRICE] + group] * max(0, last_day - ints[ints[WAIT_FROM] + group])
    cents += money[ints[PRICES] + 3] * (last_day - first // day)
    cents += hole_cents(ints, money, state, group)
    begun_rest = money[ints[PRICES] + 6]
    before = lead_of(ints, state, notes[ints[NOTE_KEYS]])
    for place in range(count):
        task = notes[ints[NOTE_KEYS] + place]
        lead = lead_of(ints, state, task)
        if begun_rest > 0.0 and ints[ints[STAGE] + task] == 0:
            cents += begun_rest * rests_between(ints, state[4 * task] // day, state[4 * task + END] // day)
        if lead != before:
            cents += money[ints[PRICES]]
            before = lead
        for _ in range(new_workers(ints, state, notes, task)):
            cents -= money[ints[PRICES] + 1]
    for worker in range(ints[WORKERS]):
        notes[ints[NOTE_MARKS] + worker] = 0
    for told in range(ints[ints[TOLD_AT] + group], ints[ints[TOLD_AT] + group + 1]):
        cents += told_cents(ints, money, state, told)
    return cents


@njit
def late_cents(ints: Row, money: Row, group: int, last_day: int) -> float:
    """What it costs to end the group on that day: by its table of days, or for each day late [cents]."""
    first = ints[ints[LATE_AT] + group]
    days = ints[ints[LATE_AT] + group + 1] - first
    if days > 0:
        day = max(0, last_day - ints[ints[WAIT_FROM] + group])
        return money[ints[LATE_BY_DAY] + first + min(day, days - 1)]
    due = ints[ints[DUE] + group]
    if due > -FAR and last_day > due:
        return money[ints[LATE_PRICE] + group] * (last_day - due)
    return 0.0


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
    groups = ints[GROUPS]
    low = ints[ROWS] + worker * ints[ROOM]
    past_at = ints[ints[WORKER_PAST_AT] + worker]
    past = ints[ints[WORKER_PAST_AT] + worker + 1] - past_at
    count = past + state[ints[ROW_COUNT] + worker]
    merged = past_mingles(ints, state, worker)
    if merged:
        merge_past(ints, state, notes, past_at, past, low, count - past, False)
        spans = 0
    depot = ints[DEPOT] + worker * groups
    span_at = worker * (2 * ints[TASKS] + 2)
    cents = 0.0
    site_days = visits = known = 0
    here = place = stepped = -1
    today = -FAR
    for span in range(max(1, spans)):
        last_day = FAR
        begin = 0
        if spans > 0:
            last_day = notes[ints[NOTE_SPAN_LAST] + span_at + span]
            begin = first_place(ints, state, worker, notes[ints[NOTE_SPAN_FIRST] + span_at + span] * day)
        if begin > place + 1:
            here = ints[ints[GROUP] + task_at(ints, state, notes, past_at, past, low, begin - 1, merged)]
            today = -FAR
            place = begin - 1
        while place + 1 < count:
            task = task_at(ints, state, notes, past_at, past, low, place + 1, merged)
            site = ints[ints[GROUP] + task]
            if site != here and stepped != place + 1 and site >= 0:
                visits += 1
            stepped = place + 1
            if state[4 * task] // day > last_day:
                break
            place += 1
            if site < 0:
                continue
            days = days_worked(ints, axes, state, task)
            if days > 0:
                final = last_worked(ints, state, task)
                away = money[depot + site]
                same = first_worked(ints, state, task) == today
                if same and site != here:
                    cents += money[ints[LEG] + here * groups + site] - money[depot + here] + away
                seen = same and (site == here or was_there(ints, notes, known, site))
                site_days += days - 1 if seen else days
                cents += 2.0 * away * (days - 1 if same else days)
                if not same or final != today:
                    today = final
                    known = 0
                notes[ints[NOTE_SITES] + known] = site
                known += 1
            here = site
    if money[ints[PRICES] + 7] > 0.0 or money[ints[SLOT_PRICE] + worker] > 0.0:
        cents += time_cents(ints, axes, money, state, notes, worker, spans, merged)
    return cents + site_days * money[ints[PRICES] + 2] + visits * money[ints[PRICES] + 1]


@njit
def days_worked(ints: Row, axes: Row, state: Row, task: int) -> int:
    """On how many days the placed task is worked."""
    chosen = state[4 * task + OPTION]
    if chosen < 0:
        return ints[ints[FIXED_DAYS] + task]
    axis = ints[ints[OPTION_AXIS] + ints[ints[OPTION_AT] + task] + chosen]
    days = ints[AXIS_DAY] + ints[ints[AXIS_AT_AT] + axis]
    before = ints[ints[AXIS_BEFORE_AT] + axis]
    last = axes[days + axes[before + state[4 * task + END]] - 1]
    return last - axes[days + axes[before + state[4 * task]]] + 1


@njit
def was_there(ints: Row, notes: Row, known: int, site: int) -> bool:
    """True when the site is among those of the day."""
    seen = False
    for k in range(known):
        if notes[ints[NOTE_SITES] + k] == site:
            seen = True
    return seen


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
