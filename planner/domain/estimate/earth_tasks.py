"""The tasks of the dig: the machine's bulk and its trimming, hand digging, the berm, spoil to the tip.

The excavator and its carriers work side by side; `Tasks.machine_h` says how long the slower of them takes.
"""

from __future__ import annotations

from dataclasses import dataclass

from planner.domain.estimate.digging import balanced_carriers, bank_cy_h, fleet_h, fleet_trips
from planner.domain.estimate.task import (
    EXCAVATOR,
    POWER_BARROW,
    TRUCK,
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
from planner.domain.firm.jobs import Origin
from planner.units import FT3_PER_CY


def machine_class(mass_t: float) -> str:
    """Which rows of the book stand for a machine of this mass: to 1, 2, 4 t, or heavier."""
    return next((name for limit, name in ((1.0, "1"), (2.0, "2"), (4.0, "4")) if mass_t <= limit), "6")


@dataclass(frozen=True, slots=True)
class _Excavator:
    """An excavator on this soil: bank and loose hours per cubic yard as (low, likely, high), and words."""

    bank_h: Band
    loose_h: Band
    swell: float
    words: str
    rows: tuple[str, ...]


def _excavator(way: Way) -> _Excavator | None:
    machine = way.machines.get(EXCAVATOR)
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
        f"excavator: {num(bucket)} ft3 bucket × {num(fill)} fill × 3600 / ({num(cycle[1])} s × {num(slower)} "
        f"soil) × {num(minutes)}/60 min ÷ 27 ÷ {num(swell)} swell = {num(1.0 / bank(cycle[1]))} bank cy/h"
    )
    measured = () if machine.bucket_ft3 else (bucket_key,)
    return _Excavator(
        (bank(cycle[0]), bank(cycle[1]), bank(cycle[2])),
        (loose(cycle[0]), loose(cycle[1]), loose(cycle[2])),
        swell,
        words,
        (cycle_key, *measured, fill_key, swell_key, soil_key, "digger.working_min_h"),
    )


def dig_tasks(way: Way) -> Tasks:
    """The dig as tasks, and the hours of the machine side."""
    job, excavator = way.job, _excavator(way)
    by_machine, by_hand = job.amount("dig_machine_cy"), job.amount("dig_hand_cy")
    spoil = job.amount("haul_off_cy")
    found: list[Task] = []
    bulk = 0.0
    if excavator and by_machine > 0:
        share = _trim_share(way)
        bulk = by_machine * (1.0 - share)
        hours = scaled(excavator.bank_h, bulk)
        dug = f"{num(by_machine)} cy × (1 − {num(share)})" if share else f"{num(by_machine)} cy"
        step = f"{dug} ÷ {num(1.0 / excavator.bank_h[1])} bank cy/h = {num(hours[1])} machine-h, one operator"
        rows = (*excavator.rows, "dig.trim_share") if share else excavator.rows
        found.append(Task("dig by machine, operator", bulk, "cy", hours, (excavator.words, step), rows))
        found += hand_dig(way, by_machine * share, "trim the machine's dig by hand")
    else:
        by_hand += by_machine
    found += hand_dig(way, by_hand)
    found += rated(way, "berm.place", job.amount("berm_cy"), "cy")
    away = _spoil(way, spoil, excavator, bulk) if spoil > 0 else Tasks(())
    aside = bulk - min(spoil, bulk * excavator.swell) / excavator.swell if excavator else 0.0
    digging = scaled(excavator.bank_h, aside) if excavator else (0.0, 0.0, 0.0)
    machine_h = (
        digging[0] + away.machine_h[0],
        digging[1] + away.machine_h[1],
        digging[2] + away.machine_h[2],
    )
    steps = (f"dug to the side: {num(aside)} bank cy, {num(digging[1])} machine-h", *away.machine_steps)
    return Tasks((*found, *away.tasks), machine_h, steps)


def _trim_share(way: Way) -> float:
    """The share of the machine's dig that hands trim: the book's for earth that was entered.

    A take-off tells the skin that it leaves for hands by itself, as a part of what is dug by hand.
    """
    lines = [line for line in way.job.lines if line.item == "dig_machine_cy"]
    entered = any(line.origin is Origin.ENTERED for line in lines)
    return way.book.value("dig.trim_share") if entered else 0.0


def _spoil(way: Way, volume: float, excavator: _Excavator | None, bulk: float) -> Tasks:
    """Spoil to the truck and to the tip, or straight into trucks that drive up to the hole.

    What the machine digs goes straight into the carriers; what lies there already is loaded again.
    """
    load_cy, load_rows = _truckload(way)
    trips = float(fleet_trips(volume, load_cy))
    truck = rated(way, "truck.trip_h", trips, "trip", factor_rows=load_rows, words="truck to the tip")
    at_the_hole = excavator is not None and TRUCK in way.machines
    carrier = _trucks(way) if at_the_hole else _spoil_carrier(way, volume)
    if excavator is None:
        return Tasks((*rated(way, "load.spoil", volume, "cy"), *carrier.tasks, *truck))
    direct = min(volume, bulk * excavator.swell)
    again = volume - direct
    tasks: list[Task] = []
    if again > 0:
        hours = scaled(excavator.loose_h, again)
        step = f"{num(again)} loose cy × {num(excavator.loose_h[1])} h/cy = {num(hours[1])} labour-h"
        tasks.append(Task("load spoil by machine, operator", again, "cy", hours, (step,), excavator.rows))
    first, first_words = _fleet(carrier, direct, scaled(excavator.bank_h, 1.0 / excavator.swell))
    second, second_words = _fleet(carrier, again, excavator.loose_h)
    machine_h = (first[0] + second[0], first[1] + second[1], first[2] + second[2])
    return Tasks((*tasks, *carrier.tasks, *truck), machine_h, first_words + second_words)


def _fleet(carrier: _Carrier, volume: float, loading_h: Band) -> tuple[Band, tuple[str, ...]]:
    """Hours of excavator and carriers for loose cubic yards, and the words; the slower side governs."""
    if volume <= 0:
        return (0.0, 0.0, 0.0), ()
    loads = volume * FT3_PER_CY / carrier.load_ft3

    def hours(at: int) -> float:
        load_min = loading_h[at] * 60.0 * carrier.load_ft3 / FT3_PER_CY
        return fleet_h(loads, load_min, carrier.away_min[at], carrier.most)

    load_min = loading_h[1] * 60.0 * carrier.load_ft3 / FT3_PER_CY
    balanced = balanced_carriers(load_min, carrier.away_min[1])
    words = (
        f"{num(loads)} loads of {num(carrier.load_ft3)} ft3, {num(load_min)} min to load, "
        f"{num(carrier.away_min[1])} min away, {min(carrier.most, balanced)} carriers "
        f"({balanced} balance the excavator): {num(hours(1))} machine-h"
    )
    return (hours(0), hours(1), hours(2)), (words,)


@dataclass(frozen=True, slots=True)
class _Carrier:
    """What carries spoil: its own tasks, load [ft3], away per trip as (low, likely, high) [min], how many."""

    tasks: tuple[Task, ...]
    load_ft3: float
    away_min: Band
    most: int


def _truckload(way: Way) -> tuple[float, tuple[str, ...]]:
    """What a truck takes [loose cy]: the job's word, which a design brings with it, else the book's row."""
    told = way.job.amount("truck_cy")
    return (told, ()) if told > 0 else (way.book.value("truck.load_cy"), ("truck.load_cy",))


def _trucks(way: Way) -> _Carrier:
    """Trucks that the excavator loads itself: load, haul, dump, return. Their drivers count as trips."""
    machine = way.machines[TRUCK]
    load = machine.bucket_ft3 or _truckload(way)[0] * FT3_PER_CY
    return _Carrier((), load, scaled(way.book.row("truck.trip_h").band, 60.0), max(1, machine.units))


def _spoil_carrier(way: Way, volume: float) -> _Carrier:
    """Power barrows where the job has them, else barrows with all hands but the operator."""
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
    return _Carrier((task,), load, scaled(way.book.row("barrow.people").band, trip), limit)
