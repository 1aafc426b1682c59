"""A phase's checklist made ready for one job and day: what applies, with its words and measures filled in.

In: a `PhaseList`, a job, the day's circumstances. Out: `Ready`, plain texts and `Line`s in the firm's units.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from math import ceil, floor

from planner.domain.crew_day.checklist import Entry, Measure, PhaseList, Step, When
from planner.domain.design.levels import USUAL_TRIM_IN, Levels
from planner.domain.firm.jobs import ITEMS, Access, Job
from planner.domain.firm.visits import VisitKind
from planner.domain.quantities.material import Material
from planner.domain.quantities.orders import NOT_KNOWN, ORDERED, load_words
from planner.domain.safety.lifting import Lift, team_limit_lb, weight_limit_lb
from planner.domain.wording import as_seen, figure, fill_in, number, shown, taped
from planner.units import to_shown

#: What a depth in braces says where no design is kept with the job.
UNKNOWN = "(not known, no design is kept with the job: ask the office)"
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
            band = f"{figure(self.low, self.unit)} to {figure(self.high, self.unit)} {self.unit}"
            middle = (self.low + self.high) / 2
            aim = self.target is not None and abs(self.target - middle) < 0.01 * max(1.0, abs(middle))
            return (
                f"{figure(self.target, self.unit)} {self.unit}, {band}"
                if aim and self.target is not None
                else band
            )
        if self.high == 0:
            return f"none (0 {self.unit})"
        if self.high is not None:
            return f"at most {figure(self.high, self.unit)} {self.unit}"
        if self.low is not None:
            return f"at least {figure(self.low, self.unit)} {self.unit}"
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


def _comes_for(kind: VisitKind) -> Callable[[Job, Levels | None], bool]:
    return lambda job, _: job.visit is kind


#: Flags that `when` may name, and what they read from a job and the levels of its kept design.
FLAGS: Mapping[str, Callable[[Job, Levels | None], bool]] = {
    "waterfall": lambda job, _: job.waterfall,
    "machine": lambda job, _: job.access is Access.MACHINE,
    "narrow": lambda job, _: job.access is not Access.MACHINE,
    "occupied": lambda job, _: job.occupied,
    "wet": lambda job, _: job.wet,
    "seams": lambda job, _: job.amount("seams_ft") > 0,
    "berm": lambda job, _: job.amount("berm_cy") > 0,
    "haul_off": lambda job, _: job.amount("haul_off_cy") > 0,
    "large_stone": lambda job, _: job.amount("boulder_large_ton") + job.amount("boulder_medium_ton") > 0,
    "joints": lambda job, _: job.amount("sealed_joints") > 0,
    "two_boxes": lambda job, _: job.amount("filter_boxes") != 1,
    **{kind.value.replace("-", "_").replace(" ", "_"): _comes_for(kind) for kind in VisitKind},
    "designed": lambda _, levels: levels is not None,
    "skimmer": lambda _, levels: levels is None or levels.skimmer_seat is not None,
    "skimmer_dug": lambda _, levels: levels is None or levels.skimmer_pit is not None,
    "top_box": lambda _, levels: levels is None or levels.box_seat is not None,
    "top_box_dug": lambda _, levels: levels is None or levels.box_pit is not None,
    "berm_drawn": lambda _, levels: levels is not None and levels.berm_top is not None,
    "falls_drawn": lambda _, levels: levels is not None and levels.lip is not None,
}

#: A target read from the design's levels, in the firm's units [in or mm]; None: the design does not say.
_Reading = Callable[[Levels, str], float | None]


def _below(name: str) -> _Reading:
    def read(levels: Levels, units: str) -> float | None:
        level = getattr(levels, name)
        return None if level is None else levels.below_water(level, units)

    return read


def _above(name: str) -> _Reading:
    def read(levels: Levels, units: str) -> float | None:
        level = getattr(levels, name)
        return None if level is None else -levels.below_water(level, units)

    return read


def _width(name: str) -> _Reading:
    return lambda levels, units: taped(getattr(levels, name), units)[0]


#: Names that a measure's target may have, and what each reads.
READINGS: Mapping[str, _Reading] = {
    "depth_in": _below("floor"),
    "skimmer_seat_in": _below("skimmer_seat"),
    "box_seat_in": _below("box_seat"),
    "water_line_in": lambda levels, units: levels.below_rim(levels.water_line, units),
    "lip_in": _above("lip"),
    "berm_top_in": _above("berm_top"),
    "overlap_in": _width("overlap_in"),
    "lap_in": _width("lap_in"),
    "gravel_in": _width("gravel_in"),
}
#: All names of targets: the shelf's own depth below the water and the job's depth below the rim besides.
TARGETS: tuple[str, ...] = ("shelf_depth_in", *READINGS, "job_depth_in")


#: What a crew reads where nothing says how much to load.
_ASK = f"{NOT_KNOWN}: ask the office"


def facts(job: Job, *, people: int, units: str, levels: Levels | None = None) -> dict[str, str]:
    """What braces may name: word -> text in the firm's units."""
    lift = Lift()
    return {
        "shelves": str(job.shelves if levels is None else len(levels.shelves)),
        "filters": number(job.amount("filter_boxes") or 2),
        "people": str(people),
        "job_depth": _tape(job.depth_in, units),
        "soil": job.soil.value,
        "alone": _limit(weight_limit_lb(lift), units),
        "two": _limit(team_limit_lb(2, lift), units),
        "three": _limit(team_limit_lb(3, lift), units),
        "liner_weight": _limit(job.amount("liner_ft2") * LINER_LB_FT2, units),
        **_depths(levels, units),
        **{f"order_{key}": f"({_ASK})" for key in ORDERED},
        **{i.key: shown(_to_load(job, i.key), i.unit.replace("count", ""), units) for i in ITEMS.values()},
    }


def _load_facts(materials: Sequence[Material], units: str) -> dict[str, str]:
    """The words of the load: what is ordered, and what the sheets weigh as they are cut."""
    sheets_ft2 = sum(row.order for row in materials if row.key in ("liner", "stream_liner"))
    weight = {"liner_weight": _limit(sheets_ft2 * LINER_LB_FT2, units)} if sheets_ft2 else {}
    told = {key: words.replace(NOT_KNOWN, _ASK) for key, words in load_words(materials, units).items()}
    return told | weight


def _depths(levels: Levels | None, units: str) -> dict[str, str]:
    """The words for levels; each says that it is not known where there is no design, or no such level."""
    names = {
        "floor_level": "floor",
        "water_level": "water_line",
        "skimmer_level": "skimmer_seat",
        "skimmer_dig": "skimmer_pit",
        "box_level": "box_seat",
        "box_dig": "box_pit",
        "lip_level": "lip",
        "berm_level": "berm_top",
    }
    trim = USUAL_TRIM_IN if levels is None else levels.trim_in
    found = dict.fromkeys(["depth", "edge_left", "seam_lap", "gravel_deep", *names], UNKNOWN)
    found["trim"] = _tape(trim, units)
    if levels is None:
        return found
    found["depth"] = levels.deep_words(levels.floor, units)
    widths = {"edge_left": levels.overlap_in, "seam_lap": levels.lap_in, "gravel_deep": levels.gravel_in}
    found |= {word: _tape(width_in, units) for word, width_in in widths.items()}
    for word, name in names.items():
        level = getattr(levels, name)
        if level is not None:
            found[word] = levels.words(level, units)
    return found


def _tape(inches: float, units: str) -> str:
    amount, name = taped(inches, units)
    return f"{figure(amount, name)} {name}"


def _to_load(job: Job, item: str) -> float:
    """The item's amount; feet of pipe rounded up to whole feet, as they are cut from the roll."""
    amount = job.amount(item)
    return float(ceil(amount)) if ITEMS[item].unit == "ft" else amount


def ready(
    phase_list: PhaseList,
    job: Job,
    *,
    part: int,
    first_day: bool,
    people: int,
    units: str,
    levels: Levels | None = None,
    materials: Sequence[Material] = (),
) -> Ready:
    """The phase's checklist for `job`; part 0 means the phase is not split. levels: of its kept design.

    materials: what is ordered for the job; the load names it as it was ordered.
    """
    words = facts(job, people=people, units=units, levels=levels)
    ordered = words | _load_facts(materials, units)

    def fits(when: When) -> bool:
        return applies(when, job, part=part, first_day=first_day, levels=levels)

    def lines(entries: Sequence[Entry], known: Mapping[str, str] = words) -> tuple[str, ...]:
        return tuple(fill_in(entry.text, known, units) for entry in entries if fits(entry.when))

    return Ready(
        lines=tuple(_lines(phase_list.steps, job, fits, words, units, levels)),
        tools=lines(phase_list.tools),
        load=lines(phase_list.load, ordered),
        today=lines(phase_list.today),
        rain=lines(phase_list.rain),
        photos=lines(phase_list.photos),
        cautions=lines(phase_list.cautions),
    )


def texts(
    entries: Sequence[Entry],
    job: Job,
    *,
    part: int,
    first_day: bool,
    people: int,
    units: str,
    levels: Levels | None = None,
) -> tuple[str, ...]:
    """The entries that apply to `job`, filled in."""
    words = facts(job, people=people, units=units, levels=levels)
    return tuple(
        fill_in(e.text, words, units)
        for e in entries
        if applies(e.when, job, part=part, first_day=first_day, levels=levels)
    )


def deepest_in(job: Job, levels: Levels | None) -> float:
    """Deepest cut below grade that job or kept design names [in]; where they differ, the deeper one."""
    return max(job.depth_in, levels.deepest_in if levels else 0.0)


def applies(when: When, job: Job, *, part: int, first_day: bool, levels: Levels | None = None) -> bool:
    """True when an entry with this condition belongs on the sheet."""
    return (
        all(FLAGS[name](job, levels) == wish for name, wish in when.flags.items())
        and (not when.soils or job.soil.value in when.soils)
        and deepest_in(job, levels) >= when.from_depth_in
        and (part == 0 or when.part in (0, part))
        and (first_day or not when.first_day)
        and (not when.item or job.amount(when.item) > 0)
    )


def _lines(
    steps: Iterable[Step],
    job: Job,
    fits: Callable[[When], bool],
    words: Mapping[str, str],
    units: str,
    levels: Levels | None,
) -> Iterator[Line]:
    count = job.shelves if levels is None else len(levels.shelves)
    for step in steps:
        if not fits(step.entry.when):
            continue
        for n in range(1, count + 1) if step.each == "shelf" else (0,):
            own = {**words, **_shelf(n, levels, units)}
            yield Line(
                key=f"{step.key}-{n}" if n else step.key,
                text=fill_in(step.entry.text, own, units),
                hold=step.hold,
                wanted=_wanted(step.measure, _target(step.measure, n, job, levels, units), own, units)
                if step.measure
                else None,
            )


def _shelf(n: int, levels: Levels | None, units: str) -> dict[str, str]:
    """The words of shelf `n`: its number, its depth below the water line, its level below rim and water."""
    if levels is None or n == 0:
        return {"shelf": str(n), "shelf_depth": UNKNOWN, "shelf_level": UNKNOWN}
    shelf = levels.shelves[n - 1]
    below = levels.deep_words(shelf, units)
    return {"shelf": str(n), "shelf_depth": below, "shelf_level": levels.words(shelf, units)}


def _target(measure: Measure, n: int, job: Job, levels: Levels | None, units: str) -> float | None:
    """What the measure aims at, in the firm's units; None when nothing says it."""
    name = measure.target
    if not isinstance(name, str):
        return None if name is None else _seen(name, measure.unit, units)
    if name == "job_depth_in":
        return taped(job.depth_in, units)[0]
    if levels is None:
        return None
    if name == "shelf_depth_in":
        return levels.below_water(levels.shelves[n - 1], units) if n else None
    return READINGS[name](levels, units)


def _wanted(measure: Measure, target: float | None, words: Mapping[str, str], units: str) -> Wanted:
    """The measure with its band; a target that nothing says leaves a value to write down."""
    unit = as_seen(0.0, measure.unit, units)[1].replace("count", "")
    what = fill_in(measure.what, words, units)
    if isinstance(measure.target, str):
        if target is None:
            return Wanted(what, unit)
        low, high = (_off(width, measure.unit, units) for width in (measure.under, measure.over))
        below, above = (None if low is None else target - low), (None if high is None else target + high)
        return Wanted(what, unit, target, below, above)
    base = measure.target if measure.target is not None else 0.0
    low = None if measure.under is None else _seen(base - measure.under, measure.unit, units)
    high = None if measure.over is None else _seen(base + measure.over, measure.unit, units)
    return Wanted(what, unit, target, low, high)


def _off(width: float | None, unit: str, units: str) -> float | None:
    """A tolerance in the firm's units."""
    return None if width is None else _seen(width, unit, units)


def _seen(value: float, unit: str, units: str) -> float:
    """A measure in the firm's units, rounded as it is read there."""
    amount, name = as_seen(value, unit, units)
    return round(amount, 0 if name == "mm" and amount >= 10 else 1 if name in ("mm", "C") else 3)


def _limit(pounds: float, units: str) -> str:
    amount, name = to_shown(pounds, "lb", units)
    return f"{floor(amount):,} {name}"


#: Words that braces may hold besides measures; those of a shelf only in steps for each shelf.
WORDS: frozenset[str] = frozenset(facts(Job("", ""), people=3, units="us")) | set(_shelf(0, None, "us"))
