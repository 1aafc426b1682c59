"""How a begun job goes: what the hours so far say about the hours that are left.

The causes of a job's hours (its site, the firm, the crew) act on all its phases; a phase's own scatter acts
on each part of it anew. So hours worked at a known share are a measurement of the causes, noisy by the own
scatter of that part and by the guess in the share; the rest is what the measured causes leave, with the own
scatter of its part. All logarithms are normal, so the causes given the hours follow from conditioning a
normal vector (any textbook of multivariate statistics), which tests hold against draws.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from math import exp, log, sqrt

from planner.domain.estimate.labour import JobEstimate, with_daily_setup
from planner.domain.estimate.spread import LogNormal, Shifted, total
from planner.domain.firm.firm import Firm
from planner.domain.firm.phases import Phase

#: How far a stated share of a begun phase is off: standard deviation of its logarithm. A default.
SHARE_LOG_SD = 0.2
#: Least share that says something, and least part of a phase that its own scatter is divided by.
_LEAST = 0.1


@dataclass(frozen=True, slots=True)
class Reached:
    """Where a phase stands: share done 0 to 1, crew-hours worked, and whether it is finished."""

    share: float
    worked_h: float
    done: bool = False


@dataclass(frozen=True, slots=True)
class Going:
    """The hours left, given what was worked. rest: of the whole job, None when nothing is left.

    phases: each phase's hours left by themselves [crew-hours on site, set-up included].
    """

    worked_h: float
    rest: Shifted | None
    phases: Mapping[Phase, LogNormal]

    def left_at(self, percentile: float) -> float:
        """Crew-hours left that are not exceeded with `percentile` [percent]."""
        return self.rest.at(percentile) if self.rest else 0.0

    def chance_within(self, hours: float) -> float:
        """Chance that the job ends within so many crew-hours, those worked included."""
        if self.rest is None:
            return 1.0 if self.worked_h <= hours else 0.0
        return self.rest.below(hours - self.worked_h)


def going(found: JobEstimate, firm: Firm, reached: Mapping[Phase, Reached]) -> Going:
    """The hours left of an estimated job, judged by the hours so far."""
    import numpy as np

    order = list(found.phases)
    if not order:
        return Going(sum(r.worked_h for r in reached.values()), None, {})
    whole_h = [with_daily_setup(p.hours.median * exp(p.shift), firm) for p in found.phases.values()]
    own_var = [p.hours.log_sd**2 for p in found.phases.values()]
    job = found.job_log_sd**2
    common = np.array([[job + found.shared.get((a, b), 0.0) for b in order] for a in order])
    at, seen, noise = [], [], []
    for i, phase in enumerate(order):
        state = reached.get(phase)
        if state is None or state.worked_h <= 0 or (state.share < _LEAST and not state.done):
            continue
        share = 1.0 if state.done else state.share
        at.append(i)
        seen.append(log(state.worked_h / (whole_h[i] * share)))
        noise.append(own_var[i] / share + (0.0 if state.done else SHARE_LOG_SD**2))
    mean, covariance = np.zeros(len(order)), common
    if at:
        gain = common[:, at] @ np.linalg.pinv(common[np.ix_(at, at)] + np.diag(noise))
        mean, covariance = gain @ np.array(seen), common - gain @ common[at, :]
    parts: dict[int, LogNormal] = {}
    for i, phase in enumerate(order):
        state = reached.get(phase) or Reached(0.0, 0.0)
        left = 0.0 if state.done else 1.0 - state.share
        if left > 0:
            own = sqrt(own_var[i] / max(_LEAST, left))
            parts[i] = LogNormal(whole_h[i] * left * exp(float(mean[i])), own)
    shared = [[float(covariance[i, j]) for j in parts] for i in parts]
    worked_h = sum(r.worked_h for r in reached.values())
    alone = {order[i]: p.times(1.0, sqrt(max(0.0, shared[n][n]))) for n, (i, p) in enumerate(parts.items())}
    return Going(worked_h, total(list(parts.values()), shared) if parts else None, alone)
