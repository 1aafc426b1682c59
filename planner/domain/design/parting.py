"""Job and kept design: what a design settles in a job, and where the two have come to differ.

In: a job, the design kept with it. Out: `Parted` rows, which every screen that uses either shows until one is
brought to the other.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable
from dataclasses import dataclass, replace

from planner.domain.design.design import Design
from planner.domain.firm.jobs import ITEMS, Job, Line
from planner.domain.wording import figure, shown, taped
from planner.errors import BadInput

#: Facts of the job that a design settles, and their names on a screen.
SETTLED = {
    "depth_in": "depth",
    "shelves": "shelves",
    "waterfall": "waterfall",
    "soil": "soil",
    "access": "access",
    "wet": "wet ground",
}
#: Quantities that differ by no more than this share of the larger are the same figure, rounded.
SAME_SHARE = 0.01


@dataclass(frozen=True, slots=True)
class Parted:
    """One fact or quantity that job and kept design tell differently. unit: of both, "" for words."""

    name: str
    job: object
    design: object
    unit: str = ""

    def words(self, units: str) -> str:
        """ "depth 30 in, design 24 in"."""
        return (
            f"{self.name} {_said(self.job, self.unit, units)}, design {_said(self.design, self.unit, units)}"
        )


@dataclass(frozen=True, slots=True)
class Fact:
    """A fact that a take-off would settle: attribute, before, what the design says, after; kept: it stays."""

    name: str
    before: object
    design: object
    after: object

    @property
    def kept(self) -> bool:
        """True when the job's own value stays although the design says another."""
        return self.after == self.before


def settled(design: Design, job: Job) -> Job:
    """The job with the facts that the design settles; soil and access only where it states them."""
    return replace(
        job,
        depth_in=round(design.depth_in, 2),
        shelves=sum(step.shelf_in > 0.0 or bool(step.viewing_shelf_in) for step in design.steps),
        waterfall=design.falls is not None,
        soil=design.site.soil or job.soil,
        access=design.site.access or job.access,
        wet=job.wet or bool(design.ground_water and design.ground_water.days),
    )


def settle(
    job: Job, design: Design, before: Design | None, take: Collection[str] = ()
) -> tuple[Job, tuple[Fact, ...]]:
    """The job with the facts of `design`, but for those that somebody entered; and every fact that differs.

    A fact counts as entered when it is neither what the design kept `before` settled nor, without one, what a
    job has when nobody says anything. take: names of facts to take from the design all the same.
    """
    wish = settled(design, job)
    usual = Job("", "") if before is None else settled(before, job)
    found, changed = [], {}
    for name, short in SETTLED.items():
        was, said = getattr(job, name), getattr(wish, name)
        if was == said:
            continue
        if was == getattr(usual, name) or {name, short} & set(take):
            changed[name] = said
        found.append(Fact(name, was, said, changed.get(name, was)))
    return replace(job, **changed), tuple(found)


def parting(job: Job, design: Design, computed: Iterable[Line] = ()) -> tuple[Parted, ...]:
    """What job and kept design tell differently: facts, then the quantities of `computed` where given."""
    wish = settled(design, job)
    rows = [
        Parted(short, getattr(job, name), getattr(wish, name), "in" if name == "depth_in" else "")
        for name, short in SETTLED.items()
        if not _same(getattr(job, name), getattr(wish, name))
    ]
    said = {line.item: line.quantity for line in computed}
    for item in ITEMS.values() if said else ():
        mine, its = job.amount(item.key), said.get(item.key, 0.0)
        if abs(mine - its) > SAME_SHARE * max(mine, its) and abs(mine - its) > 0.01:
            rows.append(Parted(item.words, mine, its, item.unit))
    return tuple(rows)


#: How the office brings the two together.
_WAY_OUT = ". Bring one to the other: planner job change, or planner design take-off"


def parting_words(code: str, rows: Iterable[Parted], units: str) -> str:
    """One line for a screen; "" when nothing differs."""
    told = "; ".join(row.words(units) for row in rows)
    if not told:
        return ""
    return f"{code}: the job and its kept design differ: {told}{_WAY_OUT}"


def parting_for_the_crew(words: str) -> str:
    """The same line without the office's commands, which nobody types beside a hole.

    >>> parting_for_the_crew(f"P-1: the job and its kept design differ: depth 20 in, design 26 in{_WAY_OUT}")
    'P-1: the job and its kept design differ: depth 20 in, design 26 in'
    """
    return words.removesuffix(_WAY_OUT)


def told_apart(job: Job, kept: Design | str | None, units: str) -> str:
    """How the job's facts and its kept design differ, in one line; "" when they agree or none is kept.

    kept: a text says why the design cannot be read.
    """
    if kept is None:
        return ""
    if isinstance(kept, str):
        return f"{job.code}: the design kept with the job cannot be read: {kept}"
    return parting_words(job.code, parting(job, kept), units)


def _same(one: object, other: object) -> bool:
    """Depths are the same when a tape shows the same."""
    if isinstance(one, float) and isinstance(other, float):
        return taped(one, "us") == taped(other, "us")
    return one == other


def _said(value: object, unit: str, units: str) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    if not isinstance(value, int | float) or not unit:
        return str(value)
    if unit == "in":
        amount, name = taped(float(value), units)
        return f"{figure(amount, name)} {name}"
    rounded = float(round(value)) if abs(value) >= 100 else float(f"{value:.3g}")
    return shown(rounded, unit, units).removesuffix(" count")


def names_of(take: Iterable[str], items: Collection[str]) -> set[str]:
    """The names in `take` that are no facts; BadInput for one that is neither a fact nor an item."""
    facts = {*SETTLED, *SETTLED.values()}
    rest = {name for name in take if name not in facts}
    strangers = sorted(rest - set(items))
    if strangers:
        fix = f"name a fact ({', '.join(SETTLED.values())}) or items of the job: {', '.join(items)}"
        raise BadInput("take-computed", ", ".join(strangers), fix)
    return rest
