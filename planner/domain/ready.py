"""A phase's checklist made ready for one job and day: what applies, with its words and measures filled in.

In: a `PhaseList`, a job, the day's circumstances. Out: `Ready`, plain texts and `Line`s in the firm's units.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from math import ceil, floor

from planner.domain.checklist import Entry, Measure, PhaseList, Step, When
from planner.domain.jobs import ITEMS, Access, Job
from planner.domain.lifting import Lift, team_limit_lb, weight_limit_lb
from planner.domain.wording import as_seen, fill_in, number, shown
from planner.units import to_shown

#: Least depth of a shelf step [in]; common practice, no published source.
LEAST_STEP_IN = 8.0
#: Weight of 45 mil EPDM sheet [lb/ft2]; a common makers' figure, from memory. Only for the lifting caution.
LINER_LB_FT2 = 0.3


@dataclass(frozen=True, slots=True)
class Wanted:
    """A measure as the sheet asks for it, in the firm's units. low, high: None where that side is open."""

    what: str
    unit: str
    target: float | None = None
    low: float | None = None
    high: float | None = None

    def accepts(self, value: float) -> bool:
        """True when the value lies inside the band; the band's ends belong to it."""
        return (self.low is None or value >= self.low - 1e-9) and (
            self.high is None or value <= self.high + 1e-9
        )

    @property
    def words(self) -> str:
        """The band as a crew reads it: "1.5 to 3 in", "at most 0.5 in", "write it down"."""
        if self.low is not None and self.high is not None:
            band = f"{number(self.low)} to {number(self.high)} {self.unit}"
            middle = (self.low + self.high) / 2
            aim = self.target is not None and abs(self.target - middle) < 0.01 * max(1.0, abs(middle))
            return f"{number(self.target)} {self.unit}, {band}" if aim and self.target is not None else band
        if self.high == 0:
            return f"none (0 {self.unit})"
        if self.high is not None:
            return f"at most {number(self.high)} {self.unit}"
        if self.low is not None:
            return f"at least {number(self.low)} {self.unit}"
        return "write it down"


@dataclass(frozen=True, slots=True)
class Line:
    """A step made ready for one job. key: unique within the stint ("shelf-2")."""

    key: str
    text: str
    hold: bool = False
    wanted: Wanted | None = None


@dataclass(frozen=True, slots=True)
class Ready:
    """A phase's checklist made ready for one job and day."""

    lines: tuple[Line, ...]
    tools: tuple[str, ...]
    load: tuple[str, ...]
    today: tuple[str, ...]
    rain: tuple[str, ...]
    photos: tuple[str, ...]
    cautions: tuple[str, ...]


#: Flags that `when` may name, and what they read from a job.
FLAGS: Mapping[str, Callable[[Job], bool]] = {
    "waterfall": lambda job: job.waterfall,
    "machine": lambda job: job.access is Access.MACHINE,
    "narrow": lambda job: job.access is not Access.MACHINE,
    "occupied": lambda job: job.occupied,
    "wet": lambda job: job.wet,
    "seams": lambda job: job.amount("seams_ft") > 0,
    "berm": lambda job: job.amount("berm_cy") > 0,
    "haul_off": lambda job: job.amount("haul_off_cy") > 0,
    "large_stone": lambda job: job.amount("boulder_large_ton") + job.amount("boulder_medium_ton") > 0,
    "joints": lambda job: job.amount("sealed_joints") > 0,
    "two_boxes": lambda job: job.amount("filter_boxes") != 1,
}


def shelf_depths_in(job: Job) -> tuple[float, ...]:
    """Depth of each shelf below the water line [in], top shelf first; the floor is `job.depth_in`.

    Steps are equal. Where the floor's own step would leave them under 8 in, the lowest shelf is the floor.

    >>> from planner.domain.jobs import Job
    >>> shelf_depths_in(Job("P-1", "invented", depth_in=24, shelves=2))
    (8.0, 16.0)
    >>> shelf_depths_in(Job("P-1", "invented", depth_in=24, shelves=3))
    (8.0, 16.0)
    """
    steps = job.shelves + 1
    if job.shelves > 1 and job.depth_in / steps < LEAST_STEP_IN:
        steps = job.shelves
    return tuple(round(job.depth_in * n / steps, 1) for n in range(1, steps))


def facts(job: Job, *, people: int, units: str) -> dict[str, str]:
    """What braces may name: word -> text in the firm's units."""
    lift = Lift()
    depths = shelf_depths_in(job)
    return {
        "shelves": str(len(depths)),
        "filters": number(job.amount("filter_boxes") or 2),
        "people": str(people),
        "depth": shown(job.depth_in, "in", units),
        "soil": job.soil.value,
        "alone": _limit(weight_limit_lb(lift), units),
        "two": _limit(team_limit_lb(2, lift), units),
        "three": _limit(team_limit_lb(3, lift), units),
        "liner_weight": _limit(job.amount("liner_ft2") * LINER_LB_FT2, units),
        **{i.key: shown(_to_load(job, i.key), i.unit.replace("count", ""), units) for i in ITEMS.values()},
    }


def _to_load(job: Job, item: str) -> float:
    """The item's amount; feet of pipe rounded up to whole feet, as they are cut from the roll."""
    amount = job.amount(item)
    return float(ceil(amount)) if ITEMS[item].unit == "ft" else amount


def ready(phase_list: PhaseList, job: Job, *, part: int, first_day: bool, people: int, units: str) -> Ready:
    """The phase's checklist for `job`; part 0 means the phase is not split."""
    words = facts(job, people=people, units=units)

    def fits(when: When) -> bool:
        return applies(when, job, part=part, first_day=first_day)

    def lines(entries: Sequence[Entry]) -> tuple[str, ...]:
        return texts(entries, job, part=part, first_day=first_day, people=people, units=units)

    return Ready(
        lines=tuple(_lines(phase_list.steps, job, fits, words, units)),
        tools=lines(phase_list.tools),
        load=lines(phase_list.load),
        today=lines(phase_list.today),
        rain=lines(phase_list.rain),
        photos=lines(phase_list.photos),
        cautions=lines(phase_list.cautions),
    )


def texts(
    entries: Sequence[Entry], job: Job, *, part: int, first_day: bool, people: int, units: str
) -> tuple[str, ...]:
    """The entries that apply to `job`, filled in."""
    words = facts(job, people=people, units=units)
    return tuple(
        fill_in(e.text, words, units) for e in entries if applies(e.when, job, part=part, first_day=first_day)
    )


def applies(when: When, job: Job, *, part: int, first_day: bool) -> bool:
    """True when an entry with this condition belongs on the sheet."""
    return (
        all(FLAGS[name](job) == wish for name, wish in when.flags.items())
        and (not when.soils or job.soil.value in when.soils)
        and job.depth_in >= when.from_depth_in
        and (part == 0 or when.part in (0, part))
        and (first_day or not when.first_day)
        and (not when.item or job.amount(when.item) > 0)
    )


def _lines(
    steps: Iterable[Step], job: Job, fits: Callable[[When], bool], words: Mapping[str, str], units: str
) -> Iterator[Line]:
    depths = shelf_depths_in(job)
    for step in steps:
        if not fits(step.entry.when):
            continue
        rounds = list(enumerate(depths, 1)) if step.each == "shelf" else [(0, job.depth_in)]
        for n, depth_in in rounds:
            own = {**words, "shelf": str(n), "shelf_depth": shown(depth_in, "in", units)}
            yield Line(
                key=f"{step.key}-{n}" if n else step.key,
                text=fill_in(step.entry.text, own, units),
                hold=step.hold,
                wanted=_wanted(step.measure, depth_in, own, units) if step.measure else None,
            )


def _wanted(measure: Measure, depth_in: float, words: Mapping[str, str], units: str) -> Wanted:
    target = depth_in if isinstance(measure.target, str) else measure.target
    base = target if target is not None else 0.0
    low = base - measure.under if measure.under is not None else None
    high = base + measure.over if measure.over is not None else None

    def seen(value: float | None) -> float | None:
        if value is None:
            return None
        amount, name = as_seen(value, measure.unit, units)
        return round(amount, 0 if name == "mm" and amount >= 10 else 1 if name in ("mm", "C") else 3)

    unit = as_seen(0.0, measure.unit, units)[1].replace("count", "")
    return Wanted(fill_in(measure.what, words, units), unit, seen(target), seen(low), seen(high))


def _limit(pounds: float, units: str) -> str:
    amount, name = to_shown(pounds, "lb", units)
    return f"{floor(amount):,} {name}"


#: Words that braces may hold besides measures; `{shelf}` and `{shelf_depth}` only in steps for each shelf.
WORDS: frozenset[str] = frozenset(facts(Job("", ""), people=3, units="us")) | {"shelf", "shelf_depth"}
