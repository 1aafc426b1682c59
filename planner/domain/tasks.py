"""From a phase's quantities to tasks: how much, how it is done, how many labour-hours, and from which rows.

Each task carries its own arithmetic as text, so that an estimator can follow it with a pocket calculator.
Factors of the whole phase (occupied garden, wet ground, overtime ...) are not in here; `labour` applies them
once, after the tasks are summed.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field

from planner.domain.conditions import Conditions
from planner.domain.crews import Crew, Machine
from planner.domain.digging import (
    balanced_carriers,
    bank_cy_h,
    carry_h_per_cy,
    fleet_h,
    fleet_trips,
    lift_shares,
    trip_min,
)
from planner.domain.jobs import Access, Job, Soil
from planner.domain.lifting import stone_in
from planner.domain.phases import Phase
from planner.domain.rates import RateBook
from planner.units import FT3_PER_CY, LB_PER_TON

DIGGER, POWER_BARROW = "excavator", "power_barrow"
#: Hand digging beyond this depth is lifted twice [in].
DEEP_IN = 60.0

Band = tuple[float, float, float]

SOIL_KEY: Mapping[Soil, str] = {
    Soil.SAND: "sand",
    Soil.LOAM: "loam",
    Soil.CLAY: "clay",
    Soil.STONY: "stony",
    Soil.ROCK: "rock",
}
ACCESS_KEY: Mapping[Access, str] = {Access.NARROW: "narrow", Access.HAND: "hand"}


@dataclass(frozen=True, slots=True)
class Task:
    """One line of work. labour_h: low, likely, high [labour-hours]; part: of the phase, 1 or 2.

    steps: the arithmetic in words; rows: keys of the rate-book rows used, the main one first.
    """

    words: str
    quantity: float
    unit: str
    labour_h: Band
    steps: tuple[str, ...]
    rows: tuple[str, ...]
    part: int = 1


@dataclass(frozen=True, slots=True)
class Way:
    """How a phase is done: the job, who, the book, the machines at hand (kind -> Machine), conditions."""

    job: Job
    crew: Crew
    book: RateBook
    machines: Mapping[str, Machine] = field(default_factory=dict)
    conditions: Conditions = field(default_factory=Conditions)

    @property
    def soil(self) -> str:
        """The soil's name in the keys of the book."""
        return SOIL_KEY[self.job.soil]


@dataclass(frozen=True, slots=True)
class Tasks:
    """All tasks of a phase, and the machine-hours that may hold them up: (low, likely, high) [h]."""

    tasks: tuple[Task, ...]
    machine_h: Band = (0.0, 0.0, 0.0)
    machine_steps: tuple[str, ...] = ()


def tasks_of(phase: Phase, way: Way) -> Tasks:
    """The tasks of `phase`; empty when the job has no quantity for it."""
    found = _PHASES[phase](way)
    if not found.tasks:
        return found
    key = f"{phase.value}.setup"
    return Tasks((_once(way, key), *found.tasks), found.machine_h, found.machine_steps)


def _times(band: Band, factor: float) -> Band:
    return (band[0] * factor, band[1] * factor, band[2] * factor)


def _n(value: float) -> str:
    """A number with enough digits to follow the arithmetic."""
    return f"{value:.5g}"


def _once(way: Way, key: str, part: int = 1) -> Task:
    row = way.book.row(key)
    return Task(row.words, 1.0, "once", row.band, (f"once = {_n(row.likely)} labour-h",), (key,), part)


def _rated(
    way: Way,
    key: str,
    quantity: float,
    unit: str,
    *,
    words: str = "",
    factor: float = 1.0,
    factor_words: str = "",
    factor_rows: tuple[str, ...] = (),
    part: int = 1,
) -> list[Task]:
    """Quantity x rate x factor as a task; nothing for no quantity."""
    if quantity <= 0:
        return []
    row = way.book.row(key)
    band = _times(row.band, quantity * factor)
    times = f" × {_n(factor)} ({factor_words})" if factor != 1.0 else ""
    step = f"{_n(quantity)} {unit} × {_n(row.likely)} labour-h/{unit}{times} = {_n(band[1])} labour-h"
    return [Task(words or row.words, quantity, unit, band, (step,), (key, *factor_rows), part)]


def _hand_dig(way: Way, bank_cy: float, words: str = "") -> list[Task]:
    deep = way.job.depth_in > DEEP_IN
    return _rated(
        way,
        f"dig.hand.{way.soil}",
        bank_cy,
        "cy",
        words=words,
        factor=way.book.value("deep.dig") if deep else 1.0,
        factor_words="deeper than 5 ft",
        factor_rows=("deep.dig",) if deep else (),
    )


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
        f"digger: {_n(bucket)} ft3 bucket × {_n(fill)} fill × 3600 / ({_n(cycle[1])} s × {_n(slower)} soil) "
        f"× {_n(minutes)}/60 min ÷ 27 ÷ {_n(swell)} swell = {_n(1.0 / bank(cycle[1]))} bank cy/h"
    )
    measured = () if machine.bucket_ft3 else (bucket_key,)
    return _Digger(
        (bank(cycle[0]), bank(cycle[1]), bank(cycle[2])),
        (loose(cycle[0]), loose(cycle[1]), loose(cycle[2])),
        words,
        (cycle_key, *measured, fill_key, swell_key, soil_key, "digger.working_min_h"),
    )


def _dig(way: Way) -> Tasks:
    job, digger = way.job, _digger(way)
    by_machine, by_hand = job.amount("dig_machine_cy"), job.amount("dig_hand_cy")
    found: list[Task] = []
    machine_h: Band = (0.0, 0.0, 0.0)
    steps: tuple[str, ...] = ()
    if digger and by_machine > 0:
        share = way.book.value("dig.trim_share")
        bulk = by_machine * (1.0 - share)
        machine_h = _times(digger.bank_h, bulk)
        hours = f"{_n(by_machine)} cy × (1 − {_n(share)}) ÷ {_n(1.0 / digger.bank_h[1])} bank cy/h = "
        steps = (digger.words, f"{hours}{_n(machine_h[1])} machine-h, one operator")
        found.append(
            Task("dig by machine, operator", bulk, "cy", machine_h, steps, (*digger.rows, "dig.trim_share"))
        )
        found += _hand_dig(way, by_machine * share, "trim the machine's dig by hand")
    else:
        by_hand += by_machine
    found += _hand_dig(way, by_hand)
    found += _rated(way, "berm.place", job.amount("berm_cy"), "cy")
    away, away_h = _haul(way, digger)
    machine_h = (machine_h[0] + away_h[0], machine_h[1] + away_h[1], machine_h[2] + away_h[2])
    return Tasks(tuple(found + away), machine_h, (*steps, f"machine side {_n(machine_h[1])} h"))


def _haul(way: Way, digger: _Digger | None) -> tuple[list[Task], Band]:
    """Carrying spoil to the truck and driving it away; the second value is the fleet's hours."""
    volume = way.job.amount("haul_off_cy")
    if volume <= 0:
        return [], (0.0, 0.0, 0.0)
    tasks: list[Task] = []
    fleet: Band = (0.0, 0.0, 0.0)
    if digger:
        loading = _times(digger.loose_h, volume)
        step = f"{_n(volume)} loose cy × {_n(digger.loose_h[1])} h/cy = {_n(loading[1])} labour-h"
        tasks.append(Task("load spoil by machine, operator", volume, "cy", loading, (step,), digger.rows))
    else:
        tasks += _rated(way, "load.spoil", volume, "cy")
    carry, load_ft3, trip, limit = _spoil_carrier(way, volume)
    tasks.append(carry)
    if digger:
        loads = volume * FT3_PER_CY / load_ft3
        load_min = digger.loose_h[1] * 60.0 * load_ft3 / FT3_PER_CY
        hours = fleet_h(loads, load_min, trip, min(limit, balanced_carriers(load_min, trip)))
        spread = way.book.row("barrow.people").band
        fleet = (hours * spread[0], hours, hours * spread[2])
    trips = fleet_trips(volume, way.book.value("truck.load_cy"))
    tasks += _rated(
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
    trip, task = _carry(way, kind, load, volume, words, load_rows)
    return task, load, trip, limit


def _carry(
    way: Way, kind: str, load_ft3: float, volume_cy: float, words: str, load_rows: tuple[str, ...]
) -> tuple[float, Task]:
    """Minutes of one trip, and the task of carrying loose cubic yards over the job's distance."""
    speed_key, lost_key = f"{kind}.speed_ft_min", f"{kind}.lost_min"
    speed, lost, distance = way.book.value(speed_key), way.book.value(lost_key), way.job.carry_ft
    likely = volume_cy * carry_h_per_cy(distance, load_ft3, speed, lost)
    people = way.book.row("barrow.people").band
    step = (
        f"{_n(volume_cy)} loose cy × 27 ÷ {_n(load_ft3)} ft3 × (2 × {_n(distance)} ft ÷ {_n(speed)} ft/min "
        f"+ {_n(lost)} min) ÷ 60 × {_n(people[1])} = {_n(likely * people[1])} labour-h"
    )
    task = Task(
        words,
        volume_cy,
        "cy",
        _times(people, likely),
        (step,),
        (speed_key, lost_key, *load_rows, "barrow.people"),
    )
    return trip_min(distance, speed, lost), task


def _set_filters(way: Way) -> Tasks:
    seats = _hand_dig(way, way.job.amount("box_dig_cy"), "dig the box seats by hand")
    return Tasks((*_rated(way, "filters.box", way.job.amount("filter_boxes"), "count"), *seats))


def _liner(way: Way) -> Tasks:
    liner_ft2 = way.job.amount("liner_ft2")
    each_lb = liner_ft2 * way.book.value("liner.lb_ft2") / way.crew.size
    over = max(1.0, each_lb / way.book.value("lift.share_lb"))
    heavy = over ** way.book.value("liner.heavy_power")
    return Tasks(
        (
            *_rated(way, "liner.underlayment", way.job.amount("underlayment_ft2"), "ft2"),
            *_rated(
                way,
                "liner.place",
                liner_ft2,
                "ft2",
                factor=heavy,
                factor_words=f"{_n(each_lb)} lb a person, {_n(over)} times the limit, to the power of "
                f"{_n(way.book.value('liner.heavy_power'))}",
                factor_rows=("liner.lb_ft2", "lift.share_lb", "liner.heavy_power"),
            ),
            *_rated(way, "liner.seam", way.job.amount("seams_ft"), "ft"),
        )
    )


#: item -> name in the book, smallest and largest size of the class [in]
_STONES = {
    "boulder_small_ton": ("small", 6.0, 12.0),
    "boulder_medium_ton": ("medium", 12.0, 18.0),
    "boulder_large_ton": ("large", 18.0, 36.0),
}


def _rock(way: Way) -> Tasks:
    found: list[Task] = []
    for item, (name, smallest, largest) in _STONES.items():
        found += _stones(way, way.job.amount(item), name, smallest, largest)
    gravel, waterfall = way.job.amount("gravel_ton"), way.job.amount("waterfall_ton")
    if gravel > 0:
        found += _rated(way, "load.gravel", gravel, "ton")
        found.append(_barrow_stone(way, gravel, "barrow gravel"))
        found += _rated(way, "spread.gravel", gravel, "ton")
        found += _rated(way, "rinse.gravel", gravel, "ton")
    if waterfall > 0:
        found.append(_barrow_stone(way, waterfall, "barrow waterfall stone"))
        found += _rated(way, "waterfall.set", waterfall, "ton")
    return Tasks(tuple(found))


def _stones(way: Way, tons: float, name: str, smallest: float, largest: float) -> list[Task]:
    """Setting and carrying one size class, split by what one and two persons may lift."""
    if tons <= 0:
        return []
    one_in, two_in = (stone_in(way.book.value(f"lift.{n}_lb")) for n in ("one", "two"))
    one, two = lift_shares(smallest, largest, one_in, two_in)
    rest = "machine" if DIGGER in way.machines else "bars"
    found: list[Task] = []
    for share, mode in ((one, "hand"), (two, "two"), (1.0 - one - two, rest)):
        limits = ("lift.one_lb", "lift.two_lb")
        words = f"{way.book.row(f'rock.set.{mode}').words}, {name} ({share:.0%})"
        found += _rated(way, f"rock.set.{mode}", tons * share, "ton", words=words, factor_rows=limits)
    if name == "small":
        found.append(_barrow_stone(way, tons, "barrow small stone"))
    else:
        found.append(_single_stones(way, tons, name, rest))
    return found


def _barrow_stone(way: Way, tons: float, words: str) -> Task:
    density = way.book.value("stone.lb_ft3")
    load_key = "barrow.load_steep_ft3" if way.conditions.steep else "barrow.load_ft3"
    volume_cy = tons * LB_PER_TON / density / FT3_PER_CY
    _, task = _carry(way, "barrow", way.book.value(load_key), volume_cy, words, (load_key, "stone.lb_ft3"))
    first = f"{_n(tons)} ton × 2000 lb ÷ {_n(density)} lb/ft3 ÷ 27 = {_n(volume_cy)} loose cy"
    return Task(words, tons, "ton", task.labour_h, (first, *task.steps), task.rows)


def _single_stones(way: Way, tons: float, name: str, mode: str) -> Task:
    """Stones taken one by one: by the digger with its operator, or by two persons with a dolly."""
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
        f"{_n(tons)} ton × 2000 ÷ {_n(weight)} lb = {_n(trips)} stones × (2 × {_n(distance)} ft ÷ "
        f"{_n(speed)} ft/min + {_n(lost[1])} min) ÷ 60 × {people:g} people = {_n(hours(lost[1]))} labour-h"
    )
    words = f"carry {name} stone by {'machine' if machine else 'dolly'}"
    band = (hours(lost[0]), hours(lost[1]), hours(lost[2]))
    return Task(words, tons, "ton", band, (step,), (*keys, f"stone.{name}_lb"))


def _plumbing(way: Way) -> Tasks:
    return Tasks(
        (
            *_rated(way, "pipe.lay", way.job.amount("pipe_ft"), "ft"),
            *_rated(way, "pipe.connection", way.job.amount("connections"), "count"),
            *_rated(way, "joint.sealed", way.job.amount("sealed_joints"), "count"),
        )
    )


def _fill(way: Way) -> Tasks:
    water = _rated(way, "fill.rinse", way.job.amount("fill_gal"), "gal")
    edge = _rated(way, "edge.trim", way.job.amount("edge_ft"), "ft", part=2)
    if not water and not edge:
        return Tasks(())
    return Tasks((*water, *edge, _once(way, "fill.start", part=2)))


def unattended_h(way: Way) -> tuple[float, str]:
    """Hours that the hose runs by itself, and the arithmetic; 0 without water."""
    gallons = way.job.amount("fill_gal")
    flow = way.job.amount("hose_gpm") or way.book.value("hose.gpm")
    hours = gallons / flow / 60.0
    return hours, f"{_n(gallons)} gal ÷ {_n(flow)} gpm ÷ 60 = {_n(hours)} h unattended"


def fill_parts(tasks: tuple[Task, ...]) -> tuple[float, ...]:
    """Shares of the attended hours before and after the water runs; they sum to 1."""
    after = sum(t.labour_h[1] for t in tasks if t.part == 2) / sum(t.labour_h[1] for t in tasks)
    return (1.0 - after, after)


_PHASES: Mapping[Phase, Callable[[Way], Tasks]] = {
    Phase.DIG: _dig,
    Phase.SET_FILTERS: _set_filters,
    Phase.LINER: _liner,
    Phase.ROCK: _rock,
    Phase.PLUMBING: _plumbing,
    Phase.FILL: _fill,
}
