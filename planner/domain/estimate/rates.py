"""The rate book: every number that turns quantities into hours, by dated edition, each with its source.

One kind of row holds them all: labour-hours per unit, set-ups, measures of physics, and factors, each low /
likely / high. What logs have taught is kept apart from the rows (`Learned`), so that a published rate stays
readable beside what the firm's own days say. An edition is never changed; the next one is a new book.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from datetime import date
from enum import StrEnum
from math import exp, isfinite
from typing import Any

from planner.errors import BadInput

#: No number of a book lies outside of these, and no row's high is more than so many times its low: beyond
#: them hours and dates leave every calendar.
LEAST, MOST, WIDEST = 1e-9, 1e6, 1000.0
#: Largest size of a learned multiplier's logarithm, largest spread of one, largest scale of a spread.
_MOST_LOG, _MOST_SD, _MOST_SCALE = 7.0, 3.0, 1000.0

_APART = "hours and rates are worlds apart: check the rate book's rows and the logged hours"

#: How the source begins of a number that nobody has published or measured yet, and how it ends of one whose
#: low, likely or high is our own beside what was published.
DEFAULT, OUR_BAND = "default, to be calibrated", "our band"


class Basis(StrEnum):
    """What a row's numbers stand on, as its source tells."""

    CITED = "cited"
    OUR_BAND = "cited, our band"
    DEFAULT = "default"


class RowKind(StrEnum):
    """What a row's numbers are."""

    RATE = "rate"  # labour-hours per unit
    SETUP = "set-up"  # labour-hours once per phase
    MEASURE = "measure"  # physics: its own unit, read where a formula needs it
    FACTOR = "factor"  # multiplies hours


class LearnedKind(StrEnum):
    """What a learned multiplier belongs to.

    SIZE is no multiplier but a power: hours go with the size of a phase to the power 1 + log_mean.
    """

    FIRM = "firm"
    PHASE = "phase"
    CREW = "crew"
    SOIL = "soil"
    ACCESS = "access"
    SIZE = "size"


@dataclass(frozen=True, slots=True)
class Rate:
    """One row. low, likely, high: the 10th, 50th and 90th percentile of the value, in `unit`.

    unit of a rate: the quantity's unit ("cy": labour-hours per cubic yard); of a factor: "x".
    source: a published source, "refit ...", or a text that begins with `DEFAULT` or ends with `OUR_BAND`.
    """

    key: str
    kind: RowKind
    unit: str
    low: float
    likely: float
    high: float
    source: str
    words: str = ""

    def __post_init__(self) -> None:
        """Refuse numbers that are not a spread of positive values."""
        for name in ("low", "likely", "high"):
            value = getattr(self, name)
            if not isfinite(value) or value <= 0:
                raise BadInput(f"{self.key} {name}", value, "write a number above 0")
            if not LEAST <= value <= MOST:
                raise BadInput(f"{self.key} {name}", value, f"write a number from {LEAST:g} to {MOST:g}")
        if not self.low <= self.likely <= self.high:
            raise BadInput(
                f"{self.key} low, likely, high",
                f"{self.low:g}, {self.likely:g}, {self.high:g}",
                "write them in rising order",
            )
        if self.high > self.low * WIDEST:
            raise BadInput(
                f"{self.key} low, high",
                f"{self.low:g}, {self.high:g}",
                f"high may be at most {WIDEST:g} times low",
            )

    @property
    def is_default(self) -> bool:
        """True while the number is the shipped guess."""
        return self.basis is Basis.DEFAULT

    @property
    def basis(self) -> Basis:
        """What the numbers stand on. The firm's own rows are cited: from its own words."""
        if self.source.startswith(DEFAULT):
            return Basis.DEFAULT
        return Basis.OUR_BAND if self.source.endswith(OUR_BAND) else Basis.CITED

    @property
    def band(self) -> tuple[float, float, float]:
        """(low, likely, high)."""
        return (self.low, self.likely, self.high)


@dataclass(frozen=True, slots=True)
class Learned:
    """What logs say about one phase, crew, soil or access: a multiplier of hours, log-normally known.

    log_mean, log_sd: of the multiplier's natural logarithm; jobs: how many finished jobs it rests on.
    """

    kind: LearnedKind
    target: str
    log_mean: float
    log_sd: float
    jobs: int = 0

    def __post_init__(self) -> None:
        """Refuse multipliers that no site ever had."""
        what = f"what was learned about {self.kind.value} {self.target}"
        if not abs(self.log_mean) <= _MOST_LOG:
            raise BadInput(f"{what}, log_mean", self.log_mean, _APART)
        if not 0 <= self.log_sd <= _MOST_SD:
            raise BadInput(f"{what}, log_sd", self.log_sd, _APART)

    @property
    def factor(self) -> float:
        """The multiplier in use."""
        return exp(self.log_mean)


@dataclass(frozen=True, slots=True)
class Spread:
    """How far hours scatter when the rates are right, as standard deviations of natural logarithms.

    job_log_sd: common to all phases of one job (a bad site is bad in every phase).
    phase_scale: Phase value -> multiplies the spread that the rows' low and high give; 1 when missing.
    jobs: finished jobs it rests on, 0 for the shipped default. wander: multiplies the row `refit.wander`, how
    far the firm's pace wanders in a year.
    """

    job_log_sd: float = 0.15
    phase_scale: Mapping[str, float] = field(default_factory=dict)
    jobs: int = 0
    wander: float = 1.0

    def __post_init__(self) -> None:
        """Refuse spreads that no site ever had."""
        if not 0 <= self.job_log_sd <= _MOST_SD:
            raise BadInput("spread of a job", self.job_log_sd, _APART)
        for phase, scale in self.phase_scale.items():
            if not 0 <= scale <= _MOST_SCALE:
                raise BadInput(f"spread of {phase}", scale, _APART)
        if not 0 <= self.wander <= _MOST_SCALE:
            raise BadInput("wander of a firm", self.wander, _APART)

    def scale(self, phase: str) -> float:
        """The multiplier of a phase's own spread."""
        return self.phase_scale.get(phase, 1.0)

    def of_phase(self, phase: str, log_sd: float) -> float:
        """The spread of a phase whose rows give `log_sd`, at most twentyfold either way."""
        return min(_MOST_SD, log_sd * self.scale(phase))


@dataclass(frozen=True, slots=True)
class RateBook:
    """One dated edition.

    edition: its name, like "2027-01"; rows by key; learned multipliers; learned_from: codes of the jobs
    whose logs it already holds, so that no job counts twice; parent: the edition it was made from.
    covariance: of the learned logarithms, a row each up to its own place, () when none is kept; seen: causes
    that logs spoke of without telling them apart ("soil clay"); part_learned: "job phase" -> share of an
    unfinished job's phase that is taken in.
    """

    edition: str
    made_on: date
    rows: Mapping[str, Rate]
    note: str = ""
    learned: tuple[Learned, ...] = ()
    spread: Spread = field(default_factory=Spread)
    learned_from: tuple[str, ...] = ()
    parent: str = ""
    covariance: tuple[tuple[float, ...], ...] = ()
    seen: tuple[str, ...] = ()
    part_learned: Mapping[str, float] = field(default_factory=dict)

    def __post_init__(self) -> None:
        """Refuse a covariance that does not fit what was learned."""
        rows = self.covariance
        if not rows:
            return
        shape = [len(row) for row in rows]
        if shape != list(range(1, len(self.learned) + 1)):
            raise BadInput("covariance", f"{len(rows)} rows", "one row a lesson, each up to its own place")
        for i, row in enumerate(rows):
            if not all(abs(c) <= _MOST_SD**2 for c in row) or row[i] < 0:
                raise BadInput(
                    "covariance", f"row {i + 1}", f"numbers up to {_MOST_SD**2:g}, 0 or more at its end"
                )

    def row(self, key: str) -> Rate:
        """The row `key`; BadInput when the edition lacks it."""
        try:
            return self.rows[key]
        except KeyError:
            raise BadInput(
                "rate", key, f"edition {self.edition} has no such row; add it or use another edition"
            ) from None

    def value(self, key: str) -> float:
        """The likely value of a row."""
        return self.row(key).likely

    def of(self, kind: RowKind) -> list[Rate]:
        """The rows of one kind, in the book's order."""
        return [r for r in self.rows.values() if r.kind is kind]

    def lesson(self, kind: LearnedKind, target: str) -> Learned | None:
        """What was learned about `target`, or None."""
        return next((x for x in self.learned if x.kind is kind and x.target == target), None)

    def with_rows(self, rows: Iterable[Rate]) -> RateBook:
        """A copy in which `rows` replace or join the rows of the same key."""
        return replace(self, rows={**self.rows, **{r.key: r for r in rows}})

    def to_plain(self) -> dict[str, Any]:
        """The whole edition as numbers, texts, lists and dicts that JSON can hold."""
        return {
            "edition": self.edition,
            "made_on": self.made_on.isoformat(),
            "note": self.note,
            "parent": self.parent,
            "rows": [
                {
                    "key": r.key,
                    "kind": r.kind.value,
                    "unit": r.unit,
                    "low": r.low,
                    "likely": r.likely,
                    "high": r.high,
                    "source": r.source,
                    "words": r.words,
                }
                for r in self.rows.values()
            ],
            "learned": [
                {
                    "kind": x.kind.value,
                    "target": x.target,
                    "log_mean": x.log_mean,
                    "log_sd": x.log_sd,
                    "jobs": x.jobs,
                }
                for x in self.learned
            ],
            "spread": {
                "job_log_sd": self.spread.job_log_sd,
                "phase_scale": dict(self.spread.phase_scale),
                "jobs": self.spread.jobs,
                "wander": self.spread.wander,
            },
            "learned_from": list(self.learned_from),
            "covariance": [list(row) for row in self.covariance],
            "seen": list(self.seen),
            "part_learned": dict(self.part_learned),
        }

    @staticmethod
    def from_plain(plain: Mapping[str, Any]) -> RateBook:
        """The inverse of `to_plain`; BadInput on a row that makes no sense."""
        rows = [Rate(**{**row, "kind": RowKind(row["kind"])}) for row in plain["rows"]]
        spread = plain.get("spread", {})
        return RateBook(
            edition=plain["edition"],
            made_on=date.fromisoformat(str(plain["made_on"])),
            rows={r.key: r for r in rows},
            note=plain.get("note", ""),
            learned=tuple(Learned(**{**x, "kind": LearnedKind(x["kind"])}) for x in plain.get("learned", ())),
            spread=Spread(**spread),
            learned_from=tuple(plain.get("learned_from", ())),
            parent=plain.get("parent", ""),
            covariance=tuple(tuple(float(c) for c in row) for row in plain.get("covariance", ())),
            seen=tuple(plain.get("seen", ())),
            part_learned=dict(plain.get("part_learned", {})),
        )
