"""Some jobs that stand in each other's way are taken out and put back one by one, each where it costs least.

A step that moves one job finds its place taken by others; taken out together they find places that none has
alone (ruin and recreate: Schrimpf and others, Journal of Computational Physics 159, 2000; Christiaens and
Vanden Berghe, Transportation Science 54, 2020; both from memory). In: what stands. Out: what may stand next,
and what it costs more; a state of its own keeps what stood.
"""

from __future__ import annotations

from planner.schedule.kernel.compiling import njit
from planner.schedule.kernel.dice import below, chance
from planner.schedule.kernel.laying import (
    UNPLACED,
    accept,
    copy_state,
    difference,
    follow,
    place_again,
)
from planner.schedule.kernel.layout import (
    COUNTS,
    DUE,
    GROUP,
    GROUPS,
    NOTE_ORDER,
    NOTE_RUIN,
    NOTE_TASKS,
    PART_AT,
    PART_TASK,
    PARTS,
    SUM_GROUP_PRICE,
    SUM_KEPT,
    SUM_PRICE,
    SUM_UNIT_PRICE,
    UNITS,
    WORKERS,
    Row,
)
from planner.schedule.kernel.moves import (
    hand_to,
    neighbors,
    other_crew,
    other_way,
    stretch,
    wait,
    wait_no_more,
)
from planner.schedule.kernel.place import lift
from planner.schedule.model.shop import FAR

#: Most jobs that are taken out at once; tries of each for a place; share of tries that are passed over
#: (measured: fewer tries of more jobs, and half as many or twice as many tries, were dearer).
MOST_OUT, TRIES, BLINK = 4, 16, 0.05
#: What jobs that find no place cost more than any plan [cents].
NO_PLACE = 1e18


@njit
def keep(ints: Row, now: Row, kept: Row, sums: Row) -> None:
    """Keep what stands, and its prices."""
    copy_state(ints, now, kept)
    at = ints[SUM_KEPT]
    sums[at] = sums[ints[SUM_PRICE]]
    for i in range(ints[GROUPS]):
        sums[at + 1 + i] = sums[ints[SUM_GROUP_PRICE] + i]
    for i in range(ints[UNITS]):
        sums[at + 1 + ints[GROUPS] + i] = sums[ints[SUM_UNIT_PRICE] + i]


@njit
def bring_back(ints: Row, now: Row, trial: Row, kept: Row, sums: Row) -> None:
    """What was kept stands again."""
    copy_state(ints, kept, now)
    copy_state(ints, kept, trial)
    at = ints[SUM_KEPT]
    sums[ints[SUM_PRICE]] = sums[at]
    for i in range(ints[GROUPS]):
        sums[ints[SUM_GROUP_PRICE] + i] = sums[at + 1 + i]
    for i in range(ints[UNITS]):
        sums[ints[SUM_UNIT_PRICE] + i] = sums[at + 1 + ints[GROUPS] + i]


@njit
def draw_out(ints: Row, now: Row, notes: Row, sums: Row) -> int:
    """Draw jobs that are near each other, around a dear one, into the list of those to take out; their
    number."""
    parts = ints[PARTS]
    seed = below(notes, parts)
    other = below(notes, parts)
    if group_price(ints, sums, other) > group_price(ints, sums, seed):
        seed = other
    size = 2 + below(notes, MOST_OUT - 1)
    first = 0
    if chance(notes) < 0.5:
        count = neighbors(ints, now, notes, seed, min(size, parts))
    else:
        all_near = stretch(ints, now, notes, seed)
        count = min(size, all_near)
        while notes[ints[NOTE_ORDER] + first] != seed:
            first += 1
        first = max(0, min(first - below(notes, count), all_near - count))
    for i in range(count):
        notes[ints[NOTE_RUIN] + i] = notes[ints[NOTE_ORDER] + first + i]
    sort_out(ints, notes, count)
    return count


@njit
def sort_out(ints: Row, notes: Row, count: int) -> None:
    """The listed jobs shuffled, by promise or as they stand."""
    out = ints[NOTE_RUIN]
    dice = chance(notes)
    if dice < 0.4:
        for i in range(count - 1, 0, -1):
            j = below(notes, i + 1)
            part = notes[out + i]
            notes[out + i] = notes[out + j]
            notes[out + j] = part
    elif dice < 0.7:
        for i in range(1, count):
            part = notes[out + i]
            k = i
            while k > 0 and due_of(ints, notes[out + k - 1]) > due_of(ints, part):
                notes[out + k] = notes[out + k - 1]
                k -= 1
            notes[out + k] = part


@njit
def due_of(ints: Row, part: int) -> int:
    """The part's promised day; far without one."""
    group = ints[ints[GROUP] + ints[ints[PART_TASK] + ints[ints[PART_AT] + part]]]
    due = ints[ints[DUE] + group] if group >= 0 else -FAR
    return due if due > -FAR else FAR


@njit
def group_price(ints: Row, sums: Row, part: int) -> float:
    """What the part's group costs by itself [cents]."""
    group = ints[ints[GROUP] + ints[ints[PART_TASK] + ints[ints[PART_AT] + part]]]
    return sums[ints[SUM_GROUP_PRICE] + group] if group >= 0 else 0.0


@njit
def take_out(
    ints: Row, axes: Row, money: Row, now: Row, trial: Row, notes: Row, sums: Row, count: int
) -> float:
    """The listed jobs leave both states; the change of price, as if each had had and will have a place
    [cents]."""
    number = 0
    missing = 0
    for i in range(count):
        part = notes[ints[NOTE_RUIN] + i]
        for k in range(ints[ints[PART_AT] + part], ints[ints[PART_AT] + part + 1]):
            notes[ints[NOTE_TASKS] + number] = ints[ints[PART_TASK] + k]
            number += 1
    notes[COUNTS + 1] = number
    for i in range(number):
        task = notes[ints[NOTE_TASKS] + i]
        missing += now[4 * task] < 0
        lift(ints, trial, task)
    delta = difference(ints, axes, money, now, trial, notes, sums, number) - UNPLACED * missing
    accept(ints, now, trial, notes, sums, delta)
    return delta


@njit
def decide_place(ints: Row, kept: Row, notes: Row, part: int, number: int) -> None:
    """One way to put a job back: as it was, as soon as each crew can, or with dice for crew, way, waiting."""
    notes[COUNTS + 2] = 0
    notes[ints[NOTE_ORDER]] = part
    if number == 0:
        return
    if number <= ints[WORKERS]:
        wait_no_more(ints, notes, part)
        hand_to(ints, notes, part, ints[ints[PART_AT] + part], number - 1)
        return
    dice = chance(notes)
    if dice < 0.5:
        other_crew(ints, notes, part)
    elif dice < 0.6:
        other_way(ints, notes, part)
    if dice >= 0.3:
        wait(ints, kept, notes, part)


@njit
def rebuild(
    ints: Row, axes: Row, money: Row, now: Row, trial: Row, kept: Row, notes: Row, sums: Row, count: int
) -> float:
    """Put the listed jobs, which are out, back one by one; the change of price, far above all when one finds
    no place [cents]. Both states are alike afterwards."""
    total = 0.0
    for i in range(count):
        part = notes[ints[NOTE_RUIN] + i]
        least = NO_PLACE
        chosen = -1
        way = 0
        for number in range(TRIES):
            dice = notes[0]
            decide_place(ints, kept, notes, part, number)
            failed = place_again(ints, axes, money, now, trial, notes, 1)
            delta = difference(ints, axes, money, now, trial, notes, sums, notes[COUNTS + 1])
            follow(ints, now, trial, notes)
            if failed == 0 and delta < least and (chosen < 0 or chance(notes) >= BLINK):
                least = delta
                chosen = number
                way = dice
        if chosen < 0:
            return NO_PLACE
        after = notes[0]
        notes[0] = way
        decide_place(ints, kept, notes, part, chosen)
        place_again(ints, axes, money, now, trial, notes, 1)
        delta = difference(ints, axes, money, now, trial, notes, sums, notes[COUNTS + 1])
        accept(ints, now, trial, notes, sums, delta)
        notes[0] = after
        total += delta
    return total
