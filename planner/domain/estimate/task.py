"""Tasks: quantity x rate with the arithmetic as text, for one phase of one job done in one way.

Each task carries its own arithmetic, so that an estimator can follow it with a pocket calculator. Factors of
the whole phase (occupied garden, wet ground, overtime ...) are not in here; `labour` applies them once, after
the tasks are summed.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from planner.domain.estimate.conditions import Conditions
from planner.domain.estimate.digging import carry_h_per_cy, trip_min
from planner.domain.estimate.rates import RateBook
from planner.domain.firm.crews import Crew, Machine
from planner.domain.firm.jobs import Access, Job, Soil

EXCAVATOR, POWER_BARROW, TRUCK = "excavator", "power_barrow", "truck"
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


def scaled(band: Band, factor: float) -> Band:
    """All three values times `factor`."""
    return (band[0] * factor, band[1] * factor, band[2] * factor)


def num(value: float) -> str:
    """A number with enough digits to follow the arithmetic."""
    return f"{value:.5g}"


def once(way: Way, key: str, part: int = 1) -> Task:
    """A set-up as a task: labour-hours once."""
    row = way.book.row(key)
    return Task(row.words, 1.0, "once", row.band, (f"once = {num(row.likely)} labour-h",), (key,), part)


def rated(
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
    band = scaled(row.band, quantity * factor)
    times = f" × {num(factor)} ({factor_words})" if factor != 1.0 else ""
    step = f"{num(quantity)} {unit} × {num(row.likely)} labour-h/{unit}{times} = {num(band[1])} labour-h"
    return [Task(words or row.words, quantity, unit, band, (step,), (key, *factor_rows), part)]


def hand_dig(way: Way, bank_cy: float, words: str = "") -> list[Task]:
    """Digging by hand in the job's soil; deeper than 5 ft it is lifted twice."""
    deep = way.job.depth_in > DEEP_IN
    return rated(
        way,
        f"dig.hand.{way.soil}",
        bank_cy,
        "cy",
        words=words,
        factor=way.book.value("deep.dig") if deep else 1.0,
        factor_words="deeper than 5 ft",
        factor_rows=("deep.dig",) if deep else (),
    )


def carry(
    way: Way, kind: str, load_ft3: float, volume_cy: float, words: str, load_rows: tuple[str, ...]
) -> tuple[float, Task]:
    """Minutes of one trip, and the task of carrying loose cubic yards over the job's distance."""
    speed_key, lost_key = f"{kind}.speed_ft_min", f"{kind}.lost_min"
    speed, lost, distance = way.book.value(speed_key), way.book.value(lost_key), way.job.carry_ft
    likely = volume_cy * carry_h_per_cy(distance, load_ft3, speed, lost)
    people = way.book.row("barrow.people").band
    step = (
        f"{num(volume_cy)} loose cy × 27 ÷ {num(load_ft3)} ft3 × (2 × {num(distance)} ft ÷ {num(speed)} "
        f"ft/min + {num(lost)} min) ÷ 60 × {num(people[1])} = {num(likely * people[1])} labour-h"
    )
    task = Task(
        words,
        volume_cy,
        "cy",
        scaled(people, likely),
        (step,),
        (speed_key, lost_key, *load_rows, "barrow.people"),
    )
    return trip_min(distance, speed, lost), task
