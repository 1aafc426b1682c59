"""The tasks of the dig: the machine's bulk and its trimming, hand digging, the berm, spoil to the tip.

The digger and its carriers work side by side; `Tasks.machine_h` says how long the slower of them takes.
"""

from __future__ import annotations

from dataclasses import dataclass

from planner.domain.digging import balanced_carriers, bank_cy_h, fleet_h, fleet_trips
from planner.domain.task import (
    DIGGER,
    POWER_BARROW,
    Band,
    Task,
    Tasks,
    Way,
    carry,
    hand_dig,
    num,
    rated,
    scaled,
)
from planner.units import FT3_PER_CY


def machine_class(mass_t: float) -> str:
    """Which rows of the book stand for a machine of this mass: to 1, 2, 4 t, or heavier."""
    return next((name for limit, name in ((1.0, "1"), (2.0, "2"), (4.0, "4")) if mass_t <= limit), "6")


@dataclass(frozen=True, slots=True)
class _Digger:
    """A digger on this soil: bank and loose hours per cubic yard as (low, likely, high), and the words."""

    bank_h: Band
    loose_h: Band
    words: str
    rows: tuple[str, ...]


def _digger(way: Way) -> _Digger | None:
    machine = way.machines.get(DIGGER)
    if machine is None:
        return None
    book, size = way.book, machine_class(machine.mass_t or 2.0)
    bucket_key, cycle_key = f"digger.bucket_ft3.{size}", f"digger.cycle_s.{size}"
    fill_key, swell_key, soil_key = (f"{k}.{way.soil}" for k in ("dig.fill", "dig.swell", "soil.machine"))
    bucket = machine.bucket_ft3 or book.value(bucket_key)
    fill, swell = book.value(fill_key), book.value(swell_key)
    minutes, slower = book.value("digger.working_min_h"), book.value(soil_key)
    cycle = book.row(cycle_key).band

    def bank(cycle_s: float) -> float:
        return 1.0 / bank_cy_h(bucket, fill, cycle_s * slower, minutes, swell)

    def loose(cycle_s: float) -> float:
        return 1.0 / bank_cy_h(bucket, fill, cycle_s, minutes, 1.0)

    words = (
        f"digger: {num(bucket)} ft3 bucket × {num(fill)} fill × 3600 / ({num(cycle[1])} s × {num(slower)} "
        f"soil) × {num(minutes)}/60 min ÷ 27 ÷ {num(swell)} swell = {num(1.0 / bank(cycle[1]))} bank cy/h"
    )
    measured = () if machine.bucket_ft3 else (bucket_key,)
    return _Digger(
        (bank(cycle[0]), bank(cycle[1]), bank(cycle[2])),
        (loose(cycle[0]), loose(cycle[1]), loose(cycle[2])),
        words,
        (cycle_key, *measured, fill_key, swell_key, soil_key, "digger.working_min_h"),
    )


def dig_tasks(way: Way) -> Tasks:
    """The dig as tasks, and the hours of the machine side."""
    job, digger = way.job, _digger(way)
    by_machine, by_hand = job.amount("dig_machine_cy"), job.amount("dig_hand_cy")
    found: list[Task] = []
    machine_h: Band = (0.0, 0.0, 0.0)
    steps: tuple[str, ...] = ()
    if digger and by_machine > 0:
        share = way.book.value("dig.trim_share")
        bulk = by_machine * (1.0 - share)
        machine_h = scaled(digger.bank_h, bulk)
        hours = f"{num(by_machine)} cy × (1 − {num(share)}) ÷ {num(1.0 / digger.bank_h[1])} bank cy/h = "
        steps = (digger.words, f"{hours}{num(machine_h[1])} machine-h, one operator")
        found.append(
            Task("dig by machine, operator", bulk, "cy", machine_h, steps, (*digger.rows, "dig.trim_share"))
        )
        found += hand_dig(way, by_machine * share, "trim the machine's dig by hand")
    else:
        by_hand += by_machine
    found += hand_dig(way, by_hand)
    found += rated(way, "berm.place", job.amount("berm_cy"), "cy")
    away, away_h = _haul(way, digger)
    machine_h = (machine_h[0] + away_h[0], machine_h[1] + away_h[1], machine_h[2] + away_h[2])
    return Tasks(tuple(found + away), machine_h, (*steps, f"machine side {num(machine_h[1])} h"))


def _haul(way: Way, digger: _Digger | None) -> tuple[list[Task], Band]:
    """Carrying spoil to the truck and driving it away; the second value is the fleet's hours."""
    volume = way.job.amount("haul_off_cy")
    if volume <= 0:
        return [], (0.0, 0.0, 0.0)
    tasks: list[Task] = []
    fleet: Band = (0.0, 0.0, 0.0)
    if digger:
        loading = scaled(digger.loose_h, volume)
        step = f"{num(volume)} loose cy × {num(digger.loose_h[1])} h/cy = {num(loading[1])} labour-h"
        tasks.append(Task("load spoil by machine, operator", volume, "cy", loading, (step,), digger.rows))
    else:
        tasks += rated(way, "load.spoil", volume, "cy")
    carry, load_ft3, trip, limit = _spoil_carrier(way, volume)
    tasks.append(carry)
    if digger:
        loads = volume * FT3_PER_CY / load_ft3
        load_min = digger.loose_h[1] * 60.0 * load_ft3 / FT3_PER_CY
        hours = fleet_h(loads, load_min, trip, min(limit, balanced_carriers(load_min, trip)))
        spread = way.book.row("barrow.people").band
        fleet = (hours * spread[0], hours, hours * spread[2])
    trips = fleet_trips(volume, way.book.value("truck.load_cy"))
    tasks += rated(
        way, "truck.trip_h", float(trips), "trip", factor_rows=("truck.load_cy",), words="truck to the tip"
    )
    return tasks, fleet


def _spoil_carrier(way: Way, volume: float) -> tuple[Task, float, float, int]:
    """The carrying task, the load [ft3], minutes away per trip, and the most carriers at hand."""
    machine = way.machines.get(POWER_BARROW)
    if machine is None:
        load_key = "barrow.load_steep_ft3" if way.conditions.steep else "barrow.load_ft3"
        kind, load, limit = "barrow", way.book.value(load_key), max(1, way.crew.size - 1)
        words = "barrow spoil to the truck"
        load_rows: tuple[str, ...] = (load_key,)
    else:
        kind, load = "power_barrow", machine.bucket_ft3 or way.book.value("power_barrow.load_ft3")
        limit = max(1, min(machine.units, way.crew.size - 1))
        words = "power barrow spoil to the truck"
        load_rows = () if machine.bucket_ft3 else ("power_barrow.load_ft3",)
    trip, task = carry(way, kind, load, volume, words, load_rows)
    return task, load, trip, limit
