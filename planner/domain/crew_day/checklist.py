"""The phase checklists as data: steps in order, measures with tolerances, hold points, cautions.

A checklist is read from a file (see `store.shipped_checklists`) and says its edition. `domain.ready` makes
it ready for one job: an entry may ask for a waterfall, a machine, a soil, a depth; a step may repeat for
each shelf. Words in braces are filled in: `{shelves}` is a fact of the job, `{24 in}` a measure.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from planner.domain.firm.phases import Phase


@dataclass(frozen=True, slots=True)
class When:
    """When an entry applies: flags of the job that must match, soils (empty: any), a depth range [in].

    part: only this part of a phase that is split by unattended hours, 0 for any; first_day: only on the
    first day of the phase; item: only when the job has some of this quantity, "" for any.
    """

    flags: Mapping[str, bool] = field(default_factory=dict)
    soils: frozenset[str] = frozenset()
    from_depth_in: float = 0.0
    part: int = 0
    first_day: bool = False
    item: str = ""


@dataclass(frozen=True, slots=True)
class Entry:
    """A line of text with its condition."""

    text: str
    when: When = field(default_factory=When)


@dataclass(frozen=True, slots=True)
class Measure:
    """What a step measures. The tolerance band runs from target - under to target + over, in `unit`.

    target: a number or the name of a fact ("shelf_depth_in"); under, over: None leaves that side open;
    both None with no target: a value that is only written down.
    """

    what: str
    unit: str
    target: float | str | None = None
    under: float | None = None
    over: float | None = None


@dataclass(frozen=True, slots=True)
class Step:
    """One step. key: stable within the phase; each: "shelf" repeats it; hold: nothing goes on before it."""

    key: str
    entry: Entry
    hold: bool = False
    each: str = ""
    measure: Measure | None = None


@dataclass(frozen=True, slots=True)
class PhaseList:
    """The checklist of one phase."""

    steps: tuple[Step, ...]
    tools: tuple[Entry, ...] = ()
    load: tuple[Entry, ...] = ()
    today: tuple[Entry, ...] = ()
    rain: tuple[Entry, ...] = ()
    photos: tuple[Entry, ...] = ()
    cautions: tuple[Entry, ...] = ()


@dataclass(frozen=True, slots=True)
class Checklist:
    """All six phases. edition: changes with every edit that matters; basis: where the content comes from."""

    edition: str
    basis: str
    phases: Mapping[Phase, PhaseList]
    every_day: tuple[Entry, ...] = ()
