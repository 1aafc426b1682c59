"""The tasks of the rock phase: stones split by what hands may lift, carrying, gravel, the waterfall.

Per size class the tons are split by the lifting limits: one person, two persons, and the rest by machine, or
with dolly, bars and planks where no machine is at hand.
"""

from __future__ import annotations

from dataclasses import replace

from planner.domain.estimate.digging import lift_shares, trip_min
from planner.domain.estimate.task import EXCAVATOR, Task, Tasks, Way, carry, num, rated
from planner.domain.estimate.unloading import unload_tasks
from planner.domain.safety.lifting import stone_in
from planner.units import FT3_PER_CY, LB_PER_TON

#: item -> name in the book, smallest and largest size of the class [in]
_STONES = {
    "boulder_small_ton": ("small", 6.0, 12.0),
    "boulder_medium_ton": ("medium", 12.0, 18.0),
    "boulder_large_ton": ("large", 18.0, 36.0),
}


def rock_tasks(way: Way) -> Tasks:
    """The rock phase as tasks."""
    found: list[Task] = []
    for item, (name, smallest, largest) in _STONES.items():
        found += _stones(way, way.job.amount(item), name, smallest, largest)
    found += _named(way)
    found += unload_tasks(way)
    gravel, waterfall = way.job.amount("gravel_ton"), way.job.amount("waterfall_ton")
    if gravel > 0:
        found += rated(way, "load.gravel", gravel, "ton")
        found.append(_barrow_stone(way, gravel, "barrow gravel"))
        found += rated(way, "spread.gravel", gravel, "ton")
        found += rated(way, "rinse.gravel", gravel, "ton")
    if waterfall > 0:
        found.append(_barrow_stone(way, waterfall, "barrow waterfall stone"))
        found += rated(way, "waterfall.set", waterfall, "ton")
    return Tasks(tuple(found))


def _stones(way: Way, tons: float, name: str, smallest: float, largest: float) -> list[Task]:
    """Setting and carrying one size class, split by what one and two persons may lift."""
    if tons <= 0:
        return []
    one_in, two_in = (stone_in(way.book.value(f"lift.{n}_lb")) for n in ("one", "two"))
    one, two = lift_shares(smallest, largest, one_in, two_in)
    rest = "machine" if EXCAVATOR in way.machines else "bars"
    found: list[Task] = []
    limits = ("lift.one_lb", "lift.two_lb")
    for share, mode in ((one, "hand"), (two, "two"), (1.0 - one - two, rest)):
        part = f" ({share:.0%})" if share < 1.0 else ""
        words = f"{way.book.row(f'rock.set.{mode}').words}, {name}{part}"
        found += rated(way, f"rock.set.{mode}", tons * share, "ton", words=words, factor_rows=limits)
    if found and one > 0:
        split = (
            f"{num(tons)} ton of {smallest:g} to {largest:g} in: one person to {num(one_in)} in, "
            f"{num(one)}; two to {num(two_in)} in, {num(two)}"
        )
        found[0] = replace(found[0], steps=(split, *found[0].steps))
    if name == "small":
        found.append(_barrow_stone(way, tons, "barrow small stone"))
    else:
        found.append(_single_stones(way, tons, name, rest))
    return found


def _named(way: Way) -> list[Task]:
    """Named boulders, each by itself: slung by the machine, or by dolly, bars and planks without one."""
    tons, mode = way.job.amount("named_boulder_ton"), "machine" if EXCAVATOR in way.machines else "bars"
    if tons <= 0:
        return []
    words = f"{way.book.row(f'rock.set.{mode}').words}, named boulders"
    return [
        *rated(way, f"rock.set.{mode}", tons, "ton", words=words),
        _single_stones(way, tons, "large", mode, "named boulders"),
    ]


def _barrow_stone(way: Way, tons: float, words: str) -> Task:
    density = way.book.value("stone.lb_ft3")
    load_key = "barrow.load_steep_ft3" if way.conditions.steep else "barrow.load_ft3"
    volume_cy = tons * LB_PER_TON / density / FT3_PER_CY
    _, task = carry(way, "barrow", way.book.value(load_key), volume_cy, words, (load_key, "stone.lb_ft3"))
    first = f"{num(tons)} ton × 2000 lb ÷ {num(density)} lb/ft3 ÷ 27 = {num(volume_cy)} loose cy"
    return Task(words, tons, "ton", task.labour_h, (first, *task.steps), task.rows)


def _single_stones(way: Way, tons: float, name: str, mode: str, called: str = "") -> Task:
    """Stones taken one by one: by the excavator with its operator, or by two persons with a dolly."""
    machine = mode == "machine"
    keys = (
        ("digger.travel_ft_min", "digger.sling_min") if machine else ("dolly.speed_ft_min", "dolly.lost_min")
    )
    people, lost = (1.0 if machine else 2.0), way.book.row(keys[1]).band
    weight, speed = way.book.value(f"stone.{name}_lb"), way.book.value(keys[0])
    trips, distance = tons * LB_PER_TON / weight, way.job.carry_ft

    def hours(lost_min: float) -> float:
        return trips * trip_min(distance, speed, lost_min) / 60.0 * people

    step = (
        f"{num(tons)} ton × 2000 ÷ {num(weight)} lb = {num(trips)} stones × (2 × {num(distance)} ft ÷ "
        f"{num(speed)} ft/min + {num(lost[1])} min) ÷ 60 × {people:g} people = {num(hours(lost[1]))} labour-h"
    )
    words = f"carry {called or f'{name} stone'} by {'machine' if machine else 'dolly'}"
    band = (hours(lost[0]), hours(lost[1]), hours(lost[2]))
    return Task(words, tons, "ton", band, (step,), (*keys, f"stone.{name}_lb"))
