"""Numbers typed ten times off: hours whose decimal point slipped, told from hours that only were many or few.

A worked phase comes either from its own error or, rarely, from one shifted by ln 10 up or down. What speaks
against the slip is the weight that the fit gives the phase.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import log
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Sequence

    import numpy as np
    from numpy.typing import NDArray

    Vector = NDArray[np.float64]

_TEN = log(10.0)
#: Share of numbers that slip, either way, before anything is seen: our guess, no published source.
_SLIPS = 0.02
#: Log spread below which no phase's error is believed to lie, and the least weight a phase keeps.
_LEAST_SD, _LEAST = 0.2, 1e-4
#: Numbers as likely as none that a median is shrunk by, and how often jobs and phases are leveled by turns.
_SHRINK, _TURNS = 2.0, 2
#: Chance of no slip below which somebody is asked what was meant.
_ASKED = 0.5


@dataclass(frozen=True, slots=True)
class Slip:
    """A phase whose hours look typed ten times off: logged_h stand there, likely_h would fit [crew-hours]."""

    job: str
    phase: str
    logged_h: float
    likely_h: float


def slips_among(rows: Sequence[tuple[str, str, float]], error: Vector, honest: Vector) -> tuple[Slip, ...]:
    """The rows (job, phase, crew-hours) to ask about, by the log error of each and its chance of no slip."""
    found = []
    for (job, phase, hours), off, sure in zip(rows, error, honest, strict=True):
        if sure < _ASKED:
            found.append(Slip(job, phase, hours, hours / 10.0 if off > 0 else hours * 10.0))
    return tuple(found)


def not_slipped(error: Vector, log_sd: Vector) -> Vector:
    """Chance that each log error is no slip of the decimal point, given the spread of honest ones."""
    import numpy as np

    sd = np.maximum(log_sd, _LEAST_SD)
    slip = np.zeros(len(error))
    for shift in (_TEN, -_TEN):
        gain = (error**2 - (error - shift) ** 2) / (2.0 * sd**2)
        slip += _SLIPS / (1.0 - 2.0 * _SLIPS) * np.exp(np.clip(gain, -50.0, 50.0))
    return np.maximum(_LEAST, 1.0 / (1.0 + slip))


def first_weights(
    error: Vector, log_sd: Vector, job_of: NDArray[np.intp], phase_of: NDArray[np.intp]
) -> Vector:
    """Weights to begin a fit with: medians of jobs and phases, which few slips can't move, are taken off.

    error: log hours over those that the edition tells; job_of, phase_of: group number of each row.
    """
    import numpy as np

    left = error.copy()
    for _ in range(_TURNS):
        for groups in (phase_of, job_of):
            order = np.argsort(groups, kind="stable")
            _, starts, sizes = np.unique(groups[order], return_index=True, return_counts=True)
            for start, size in zip(starts, sizes, strict=True):
                rows = order[start : start + size]
                left[rows] -= float(np.median(left[rows])) * size / (size + _SHRINK)
    return not_slipped(left, log_sd)
