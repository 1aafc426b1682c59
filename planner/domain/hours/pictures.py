"""What an owner sees of the hours that came back: told against worked, drift over time, coverage.

In: observations of finished phases. Out: plain numbers to draw. The hours told are those of the edition that
the job was estimated with, so the pictures judge what was said then, not what the book says now.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date
from math import exp, log, sqrt
from statistics import NormalDist

from planner.domain.firm.phases import ORDER, Phase
from planner.domain.hours.backtest import wilson
from planner.domain.hours.observations import Observation

_Z95 = NormalDist().inv_cdf(0.975)


@dataclass(frozen=True, slots=True)
class Ratio:
    """Worked over told of some phases: the middle (geometric mean) and where it may lie with 95 %.

    label: the phase or the month; count: how many; quick, slow: the smallest and the largest ratio.
    """

    label: str
    count: int
    middle: float
    low: float
    high: float
    quick: float
    slow: float


@dataclass(frozen=True, slots=True)
class Held:
    """How many phases stayed within their told P80, and what the long run may be with 95 % (Wilson)."""

    label: str
    count: int
    held: int
    low: float
    high: float

    @property
    def share(self) -> float:
        """Share that stayed within, 0 to 1."""
        return self.held / self.count


@dataclass(frozen=True, slots=True)
class Pictures:
    """The three pictures, empty without finished phases. points: (last day, worked over told) of each."""

    told_worked: tuple[Ratio, ...]
    drift: tuple[Ratio, ...]
    coverage: tuple[Held, ...]
    points: tuple[tuple[date, float], ...]


def pictures(found: Sequence[Observation]) -> Pictures:
    """The pictures of the finished phases."""
    done = sorted((o for o in found if o.share >= 1.0), key=lambda o: (o.last, o.key))
    phases = [p for p in ORDER if any(o.phase is p for o in done)]
    months = sorted({(o.last.year, o.last.month) for o in done})

    def of_phase(phase: Phase) -> Callable[[Observation], bool]:
        return lambda o: o.phase is phase

    def of_month(month: tuple[int, int]) -> Callable[[Observation], bool]:
        return lambda o: (o.last.year, o.last.month) == month

    by_phase = [(p.words, [o for o in done if of_phase(p)(o)]) for p in phases]
    by_month = [
        (f"{year}-{month:02d}", [o for o in done if of_month((year, month))(o)]) for year, month in months
    ]
    everything = [("all phases", done)] if done else []
    return Pictures(
        told_worked=tuple(_ratio(*row) for row in (*by_phase, *everything)),
        drift=tuple(_ratio(*row) for row in by_month),
        coverage=tuple(_held(*row) for row in (*by_phase, *everything)),
        points=tuple((o.last, o.worked_h / o.told_h) for o in done),
    )


def _ratio(label: str, rows: Sequence[Observation]) -> Ratio:
    logs = [log(o.worked_h / o.told_h) for o in rows]
    middle = sum(logs) / len(logs)
    spread = sqrt(sum((x - middle) ** 2 for x in logs) / max(1, len(logs) - 1) / len(logs))
    ends = (middle - _Z95 * spread, middle + _Z95 * spread)
    low, high = (exp(x) for x in ends)
    return Ratio(label, len(logs), exp(middle), low, high, exp(min(logs)), exp(max(logs)))


def _held(label: str, rows: Sequence[Observation]) -> Held:
    held = sum(o.worked_h <= o.told_p80_h for o in rows)
    low, high = wilson(held, len(rows))
    return Held(label, len(rows), held, low, high)
