"""The fields of jobs, crews, machines and the firm as people name and type them.

One list a noun serves the command line, the terminal tables and the CSV columns. A measure's field ends with
its unit, so the metric name is another one: carry_ft and carry_m, dig_machine_cy and dig_machine_m3.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, time
from enum import Enum
from typing import Any, TypeVar

from planner.domain.dates import DateOrder, figures
from planner.domain.firm import entry
from planner.domain.firm.jobs import ITEMS, Access, Job, Line, Soil, Status
from planner.domain.firm.visits import DayPart, VisitKind
from planner.domain.spelling import did_you_mean
from planner.errors import BadInput
from planner.units import METRIC, METRIC_OF, to_shown

V = TypeVar("V")


@dataclass(frozen=True, slots=True)
class Field:
    """One attribute of a noun. kind: line, text, number, whole, flag, choice, day, clock, weekdays or words.

    unit: of a number, US customary; optional: empty text means None.
    """

    attr: str
    kind: str = "line"
    unit: str = ""
    words: str = ""
    choices: type[Enum] | None = None
    optional: bool = False

    def name(self, system: str = "us") -> str:
        """The field's name for a firm of that system of units."""
        return named(self.attr, self.unit, system)

    @property
    def names(self) -> tuple[str, ...]:
        """Every name under which the field may be given; without its unit it is in the firm's units."""
        bare = self.attr.removesuffix(f"_{self.unit}") if self.unit else self.attr
        return tuple(dict.fromkeys((self.name(), self.name(METRIC), bare)))

    def read(self, name: str, text: str, system: str, today: date | None = None) -> Any:
        """The value that `text` stands for, under the name it was given. Raises BadInput.

        today: for days that are said, like "next fri"; None where a file is read.
        """
        if self.optional and text.strip().lower() in ("", "none"):
            return None
        if self.kind == "day":
            return entry.day(name, text, today)
        return _READ[self.kind](self, name, text, self.system_of(name, system))

    def system_of(self, name: str, system: str) -> str:
        """The system of a bare number given under `name`: the name's own unit, else the firm's."""
        if self.name() == self.name(METRIC):
            return system
        return METRIC if name == self.name(METRIC) else "us" if name == self.name() else system

    def write(self, value: Any, system: str) -> str:
        """The value as text that `read` takes back, in the firm's units."""
        if value is None:
            return ""
        if isinstance(value, bool):
            return "yes" if value else "no"
        if isinstance(value, Enum):
            return str(value.value)
        if isinstance(value, float):
            return plain_number(to_shown(value, self.unit, system)[0])
        if self.kind == "weekdays":
            return entry.weekday_words(value)
        if isinstance(value, frozenset):
            return " ".join(sorted(value))
        if isinstance(value, date):
            return figures(value)
        return f"{value:%H:%M}" if isinstance(value, time) else str(value)


def named(attr: str, unit: str, system: str) -> str:
    """A name that ends with its unit, for a firm of that system.

    >>> named("dig_machine_cy", "cy", "metric"), named("hose_gpm", "gpm", "metric")
    ('dig_machine_m3', 'hose_l_min')
    """
    if system != METRIC or unit not in METRIC_OF or not attr.endswith(f"_{unit}"):
        return attr
    return attr.removesuffix(unit) + METRIC_OF[unit][0].lower().replace("/", "_")


def plain_number(value: float) -> str:
    """A number without trailing noise: 12 significant digits, so that a unit's round trip is exact."""
    return f"{float(f'{value:.12g}'):.12g}" if abs(value) < 1e12 else repr(value)


def _choice(f: Field, name: str, text: str, _: str) -> Any:
    assert f.choices is not None
    return entry.choice(name, text, f.choices)


_READ: dict[str, Callable[[Field, str, str, str], Any]] = {
    "line": lambda _f, _n, text, _s: text.strip(),
    "text": lambda _f, _n, text, _s: text,
    "number": lambda f, name, text, system: entry.number(name, text, f.unit, system),
    "whole": lambda _f, name, text, _s: entry.whole(name, text),
    "flag": lambda _f, name, text, _s: entry.flag(name, text),
    "choice": _choice,
    "clock": lambda _f, name, text, _s: entry.clock(name, text),
    "weekdays": lambda _f, name, text, _s: entry.weekdays(name, text),
    "words": lambda _f, _n, text, _s: entry.words(text),
}

JOB_FIELDS: tuple[Field, ...] = (
    Field("code"),
    Field("client"),
    Field("address"),
    Field("phone"),
    Field("latitude_deg", "number", "deg", optional=True),
    Field("longitude_deg", "number", "deg", optional=True),
    Field("region"),
    Field("status", "choice", choices=Status),
    Field("promised", "day", words="promised finish", optional=True),
    Field("importance", "number"),
    Field("access", "choice", choices=Access),
    Field("soil", "choice", choices=Soil),
    Field("carry_ft", "number", "ft", words="carried from truck to hole"),
    Field("depth_in", "number", "in", words="depth"),
    Field("shelves", "whole"),
    Field("waterfall", "flag"),
    Field("occupied", "flag", words="people live round the work"),
    Field("wet", "flag", words="standing water or high water table"),
    Field("notes", "text"),
    Field("site_notes", "text"),
    Field("visit", "choice", choices=VisitKind, optional=True),
    Field("pond", words="job that built the visited pond"),
    Field("on_site_h", "number", "h", words="hours on site as promised", optional=True),
    Field("hands", "whole"),
    Field("day_part", "choice", choices=DayPart, words="part of the day promised"),
    Field("repeats", words="rule of RFC 5545 that makes the further visits"),
)

#: What only a visit has, and what only an install has.
_OF_A_VISIT = frozenset({"visit", "pond", "on_site_h", "hands", "day_part", "repeats"})
_OF_AN_INSTALL = frozenset({"soil", "carry_ft", "depth_in", "shelves", "waterfall", "wet"})


def fields_of(job: Job) -> tuple[Field, ...]:
    """The fields that say something of a job of its kind."""
    other = _OF_A_VISIT if job.visit is None else _OF_AN_INSTALL
    return tuple(f for f in JOB_FIELDS if f.attr not in other)


CREW_FIELDS: tuple[Field, ...] = (
    Field("name", words="crew"),
    Field("lead"),
    Field("size", "whole"),
    Field("skills", "words"),
    Field("pace", "number"),
    Field("depot_latitude_deg", "number", "deg", optional=True),
    Field("depot_longitude_deg", "number", "deg", optional=True),
)

PERSON_FIELDS: tuple[Field, ...] = (
    Field("name", words="person"),
    Field("may", "words"),
    Field("counts", "number"),
)

MACHINE_FIELDS: tuple[Field, ...] = (
    Field("key", words="machine"),
    Field("words"),
    Field("units", "whole"),
    Field("move_cost_usd", "number", "usd"),
    Field("move_h", "number", "h"),
    Field("bucket_ft3", "number", "ft3"),
    Field("mass_t", "number", "t"),
    Field("rented", "flag"),
    Field("towed_lb", "number", "lb", words="on its trailer, towed"),
)

TRUCK_FIELDS: tuple[Field, ...] = (
    Field("key", words="truck"),
    Field("words"),
    Field("tows_lb", "number", "lb", words="tows at most"),
    Field("payload_lb", "number", "lb", words="payload"),
    Field("tows_day", "whole", words="machines brought in a day"),
    Field("crew", words="crew whose truck it is every day"),
)

FIRM_FIELDS: tuple[Field, ...] = (
    Field("name"),
    Field("phone"),
    Field("shift_start", "clock"),
    Field("paid_h_day", "number", "h", words="paid hours a day"),
    Field("meal_break_min", "whole", words="meal break, minutes"),
    Field("weekdays", "weekdays", words="working days"),
    Field("country"),
    Field("state"),
    Field("time_zone"),
    Field("season_first", "day", words="season's first day"),
    Field("season_last", "day", words="season's last day"),
    Field("units"),
    Field("dates", "choice", choices=DateOrder),
    Field("planning_percentile", "number"),
    Field("depot_latitude_deg", "number", "deg", optional=True),
    Field("depot_longitude_deg", "number", "deg", optional=True),
    Field("road_factor", "number"),
    Field("road_mph", "number", "mph", words="average road speed"),
    Field("unknown_site_mi", "number", "mi", words="distance of a site without a place"),
    Field("daily_setup_h", "number", "h", words="daily set-up and clean-up"),
    Field("daylight_only", "flag"),
)


def with_fields(
    value: V, fields: Sequence[Field], texts: Mapping[str, str], system: str, today: date | None = None
) -> tuple[V, list[BadInput]]:
    """`value` with the named fields read from `texts`, and every fault found on the way.

    A text that is just how the present value is written leaves it alone, to the last digit.
    """
    known = {name: f for f in fields for name in f.names}
    found: dict[str, Any] = {}
    faults: list[BadInput] = []
    for name, text in texts.items():
        if name not in known:
            every = [f.name(system) for f in fields]
            faults.append(
                BadInput("field", name, did_you_mean(name, every, f"use one of: {', '.join(every)}"))
            )
            continue
        f = known[name]
        if f.write(getattr(value, f.attr), f.system_of(name, system)) == text:
            continue
        try:
            found[f.attr] = f.read(name, text, system, today)
        except BadInput as fault:
            faults.append(fault)
    return replace(value, **found), faults  # type: ignore[type-var]


def item_names(system: str) -> dict[str, str]:
    """Item key -> the name that the firm sees, in the order of work."""
    return {key: named(key, item.unit, system) for key, item in ITEMS.items()}


def item_words(key: str, system: str) -> str:
    """What an item is, its sizes in the firm's units.

    >>> item_words("boulder_small_ton", "metric")
    'boulders 150 to 300 mm'
    """
    words = ITEMS[key].words
    if system != METRIC:
        return words
    sizes = re.sub(r"\d+(?= to \d+ in\b)|\d+(?= in\b)", lambda m: f"{round(int(m[0]) * 25.4, -1):.0f}", words)
    return re.sub(r"\bin\b", "mm", sizes) if sizes != words else words


def item_of(name: str) -> tuple[str, str]:
    """(item key, system of units) of a name like dig_machine_cy or dig_machine_m3; BadInput when unknown."""
    for system in ("us", METRIC):
        for key, shown in item_names(system).items():
            if shown == name.strip().lower():
                return key, system
    every = [*ITEMS, *item_names(METRIC).values()]
    fix = did_you_mean(name, every, f"use one of: {', '.join(ITEMS)} (or the metric names)")
    raise BadInput("item", name, fix)


def quantity(name: str, text: str) -> Line:
    """The entered line of an item, its number in the unit that its name ends with."""
    key, system = item_of(name)
    return Line(key, entry.number(name, text, ITEMS[key].unit, system))


def with_quantity(job: Job, line: Line) -> Job:
    """The job with `line` in place of every line of that item; a quantity of 0 takes the item away."""
    kept = [old for old in job.lines if old.item != line.item]
    at = next((i for i, old in enumerate(job.lines) if old.item == line.item), len(kept))
    new = [line] if line.quantity else []
    return replace(job, lines=(*kept[:at], *new, *kept[at:]))


def shown_quantity(line: Line, system: str) -> tuple[str, str]:
    """(number, unit) of a line as the firm sees it."""
    value, unit = to_shown(line.quantity, line.unit, system)
    return f"{value:,.4g}" if abs(value) < 1000 else f"{value:,.0f}", "" if unit == "count" else unit
