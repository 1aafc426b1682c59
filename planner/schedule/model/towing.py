"""Which units are brought to their sites on which day, and whether the day's trucks can tow them.

A unit is brought to a task's site on the day on which the task begins, unless it was last on that site. A
truck brings so many units a day, for one worker or for all, none heavier than it may tow.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterator
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from planner.schedule.model.timetable import Timetable


def ask_trucks(table: Timetable, task: int, lead: int, start: int, end: int, units: tuple[int, ...]) -> int:
    """-1 when trucks can bring these units to the task from start to end, and to what each does next; else
    the slot at which it is worth asking again. lead: who leads the task, -1 for nobody."""
    shop = table.shop
    towed = [unit for unit in units if shop.unit_tow[unit]]
    for unit in towed:
        table.enter(table.unit_rows[unit], start, end, task)
    again = -1
    for unit in towed:
        starts, ends, tasks = table.unit_rows[unit]
        place = bisect_left(starts, start)
        if _is_brought(table, unit, place) and not _day_does(table, start, lead, task, lead):
            again = (start // shop.day_slots + 1) * shop.day_slots
            break
        if place + 1 < len(tasks) and _is_newly_brought(table, unit, place + 1):
            following = tasks[place + 1]
            if not _day_does(table, starts[place + 1], _lead(table, following), task, lead):
                again = ends[place + 1]
                break
    for unit in towed:
        table.leave(table.unit_rows[unit], start)
    return again


def _is_brought(table: Timetable, unit: int, place: int) -> bool:
    """True when the unit comes to its row's task at `place` from another site, or from nowhere."""
    tasks, group = table.unit_rows[unit][2], table.shop.group
    if place == 0:
        return not table.shop.there[tasks[0]]
    return group[tasks[place - 1]] != group[tasks[place]]


def _is_newly_brought(table: Timetable, unit: int, place: int) -> bool:
    """True when only the task before the one at `place` makes the unit be brought to that."""
    tasks, group = table.unit_rows[unit][2], table.shop.group
    here = group[tasks[place]]
    if group[tasks[place - 1]] == here:
        return False
    return table.shop.there[tasks[place]] if place == 1 else group[tasks[place - 2]] == here


def _lead(table: Timetable, task: int) -> int:
    """The placed task's lead worker, -1 when it has none."""
    chosen, fixed = table.option[task], table.shop.tasks[task].fixed
    if fixed is not None:
        return table.shop.worker_number[fixed.workers[0]] if fixed.workers else -1
    workers = table.shop.options[task][chosen].workers
    return workers[0] if workers else -1


def _day_does(table: Timetable, start: int, tower: int, task: int, lead: int) -> bool:
    """True when `tower` may tow on the day of `start`, and its trucks can bring all that is brought then.

    task, lead: the one that is being placed and who leads it.
    """
    shop = table.shop
    day = start // shop.day_slots
    if tower >= 0 and shop.no_tow[tower][day]:
        return False
    left = [days[day] for days in shop.truck_left]
    for weight, worker in sorted(_loads(table, day, task, lead), reverse=True):
        # the trucks of one worker stand first; what can tow this can tow all that comes after it
        for truck, most in enumerate(shop.truck_tows):
            if left[truck] and most >= weight and shop.truck_of[truck] in (-1, worker):
                left[truck] -= 1
                break
        else:
            return False
    return True


def _loads(table: Timetable, day: int, task: int, lead: int) -> Iterator[tuple[int, int]]:
    """(weight, who leads the work) of each unit that is brought on the day."""
    step = table.shop.day_slots
    for unit, weight in enumerate(table.shop.unit_tow):
        if not weight:
            continue
        starts, _, tasks = table.unit_rows[unit]
        place = bisect_left(starts, day * step)
        while place < len(starts) and starts[place] < (day + 1) * step:
            if _is_brought(table, unit, place):
                yield weight, lead if tasks[place] == task else _lead(table, tasks[place])
            place += 1
