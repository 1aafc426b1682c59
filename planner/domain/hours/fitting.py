"""The fit behind a refit: multipliers and error spreads from finished phases.

The logarithm of hours worked over bare hours is taken as the sum of what the phase, the crew, the soil (dig
only) and the access multiply, plus one error common to the job, plus one of the phase's own. Each multiplier
starts from the present edition (mean and spread), so few jobs move it little: the conjugate normal update.
Older jobs count less (their errors are widened), outliers are damped (Huber weights), and the two error
spreads are learned with a prior of their own. Nothing depends on the order of logging.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from math import sqrt
from typing import TYPE_CHECKING

from planner.domain.estimate.rates import Learned, LearnedKind, RateBook, Spread
from planner.domain.firm.phases import ORDER
from planner.domain.hours.observations import Observation, Target

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Vector = NDArray[np.float64]

#: Standard deviations beyond which an error is damped.
_HUBER = 2.5
#: Weight of the shipped spreads, in observations.
_SPREAD_PRIOR = 12.0
#: Jobs on either side before soil or access is told apart from the rest.
_MIN_JOBS = 3
_ROUNDS = 25


@dataclass(frozen=True, slots=True)
class Fit:
    """The update: learned multipliers, spreads, and the observations damped (job, phase, weight)."""

    learned: tuple[Learned, ...]
    spread: Spread
    damped: tuple[tuple[str, str, float], ...]


def prior_sd(book: RateBook, kind: LearnedKind) -> float:
    """Standard deviation of the logarithm of a multiplier that nobody has measured yet."""
    return book.value(f"refit.prior.{kind.value}")


def targets_of(book: RateBook, found: Sequence[Observation]) -> list[Target]:
    """The multipliers to fit, in a fixed order: phases, crews, soils and access that can be told apart."""
    held = {(x.kind, x.target) for x in book.learned}
    jobs: dict[Target, set[str]] = {}
    for o in found:
        for target in o.targets:
            jobs.setdefault(target, set()).add(o.job)
    everyone = {o.job for o in found}

    def apart(target: Target) -> bool:
        if target[0] in {LearnedKind.PHASE, LearnedKind.CREW} or target in held:
            return True
        return len(jobs[target]) >= _MIN_JOBS and len(everyone - jobs[target]) >= _MIN_JOBS

    kinds = list(LearnedKind)
    phases = [p.value for p in ORDER]
    return sorted(
        (t for t in jobs if apart(t)),
        key=lambda t: (
            kinds.index(t[0]),
            phases.index(t[1]) if t[0] is LearnedKind.PHASE else 0,
            t[1],
        ),
    )


def fit(book: RateBook, found: Sequence[Observation], made_on: date) -> Fit:
    """The posterior of every multiplier given the observations, starting from `book`."""
    import numpy as np

    rows = sorted(found, key=lambda o: (o.job, o.phase.rank, o.crew, o.first, o.worked_h))
    targets = targets_of(book, rows)
    design = np.array([[float(t in o.targets) for t in targets] for o in rows])
    prior_mean, prior_var = _prior(book, targets, made_on)
    ratio = np.array([o.log_ratio for o in rows])
    blocks = _blocks(rows)
    age = np.array([2.0 ** (max(0, (made_on - o.last).days) / book.value("refit.half_life_d")) for o in rows])
    base_sd = np.array([max(0.02, o.own_log_sd) for o in rows])
    phase_of = [o.phase.value for o in rows]
    state = _Errors(
        book.spread.job_log_sd, {p: book.spread.scale(p) for p in set(phase_of)}, np.ones(len(rows))
    )
    mean, cov = prior_mean, np.diag(prior_var)
    for _ in range(_ROUNDS):
        own_var = (base_sd * np.array([state.scale[p] for p in phase_of])) ** 2 / state.weight
        mean, cov = posterior(
            design, ratio, prior_mean, prior_var, blocks, own_var * age, state.job_sd**2 * age
        )
        state = _errors(book, state, ratio - design @ mean, design, cov, blocks, age, base_sd, phase_of)
    learned = _learned(book, targets, mean, cov, rows)
    spread = Spread(
        job_log_sd=state.job_sd,
        phase_scale={**book.spread.phase_scale, **dict(sorted(state.scale.items()))},
        jobs=book.spread.jobs,
    )
    damped = tuple(
        (o.job, o.phase.value, float(w)) for o, w in zip(rows, state.weight, strict=True) if w < 0.999
    )
    return Fit(learned, spread, damped)


@dataclass(frozen=True, slots=True)
class _Errors:
    """Spread of the job error, scale of each phase's own, and the weight of each observation (1: full)."""

    job_sd: float
    scale: Mapping[str, float]
    weight: Vector


def posterior(
    design: Vector,
    ratio: Vector,
    prior_mean: Vector,
    prior_var: Vector,
    blocks: Sequence[Sequence[int]],
    own_var: Vector,
    job_var: Vector,
) -> tuple[Vector, Vector]:
    """Mean and covariance of multipliers after normal data: the conjugate update.

    design: one row an observation, 1 where a multiplier acts; blocks: rows of the same job, whose errors
    share job_var on top of each row's own_var.
    """
    import numpy as np

    precision = np.diag(1.0 / prior_var)
    pull = prior_mean / prior_var
    for block in blocks:
        x, z = design[list(block)], ratio[list(block)]
        noise = np.diag(own_var[list(block)]) + job_var[block[0]]
        weighed = np.linalg.solve(noise, np.column_stack([x, z]))
        precision = precision + x.T @ weighed[:, :-1]
        pull = pull + x.T @ weighed[:, -1]
    cov = np.linalg.inv(precision)
    return cov @ pull, (cov + cov.T) / 2.0


def _errors(
    book: RateBook,
    state: _Errors,
    residual: Vector,
    design: Vector,
    cov: Vector,
    blocks: Sequence[Sequence[int]],
    age: Vector,
    base_sd: Vector,
    phase_of: Sequence[str],
) -> _Errors:
    """One round of expectation and maximisation for the error spreads, and fresh weights."""
    import numpy as np

    sure = np.einsum("ij,jk,ik->i", design, cov, design)
    own_var = (base_sd * np.array([state.scale[p] for p in phase_of])) ** 2 / state.weight
    own = np.zeros(len(residual))
    own_sq = np.zeros(len(residual))
    job_sq = 0.0
    for block in blocks:
        rows = list(block)
        root = sqrt(age[rows[0]])
        r = residual[rows] / root
        precision = 1.0 / state.job_sd**2 + float(np.sum(1.0 / own_var[rows]))
        job_error = float(np.sum(r / own_var[rows])) / precision
        job_sq += job_error**2 + 1.0 / precision
        own[rows] = r - job_error
        own_sq[rows] = own[rows] ** 2 + 1.0 / precision + sure[rows] / age[rows[0]]
    weight_of_prior = _SPREAD_PRIOR + book.spread.jobs
    job_var = (weight_of_prior * book.spread.job_log_sd**2 + job_sq) / (weight_of_prior + len(blocks))
    scale = {}
    for phase in state.scale:
        mine = [i for i, p in enumerate(phase_of) if p == phase]
        gone = float(np.sum(state.weight[mine] * own_sq[mine] / base_sd[mine] ** 2))
        scale[phase] = sqrt(
            (weight_of_prior * book.spread.scale(phase) ** 2 + gone) / (weight_of_prior + len(mine))
        )
    sd = base_sd * np.array([scale[p] for p in phase_of])
    z = np.abs(own) / sd
    weight = np.where(z > _HUBER, _HUBER / np.maximum(z, 1e-9), 1.0)
    return _Errors(sqrt(job_var), scale, weight)


def _prior(book: RateBook, targets: Sequence[Target], made_on: date) -> tuple[Vector, Vector]:
    """Where each multiplier starts: the edition's lesson, a little less sure for every year since."""
    import numpy as np

    years = max(0.0, (made_on - book.made_on).days / 365.25)
    drift = book.value("refit.drift") ** 2 * years
    means, variances = [], []
    for kind, target in targets:
        lesson = book.lesson(kind, target)
        means.append(lesson.log_mean if lesson else 0.0)
        variances.append(lesson.log_sd**2 + drift if lesson else prior_sd(book, kind) ** 2)
    return np.array(means), np.array(variances)


def _blocks(rows: Sequence[Observation]) -> list[list[int]]:
    """Indices of the observations of each job."""
    found: dict[str, list[int]] = {}
    for i, o in enumerate(rows):
        found.setdefault(o.job, []).append(i)
    return list(found.values())


def _learned(
    book: RateBook, targets: Sequence[Target], mean: Vector, cov: Vector, rows: Sequence[Observation]
) -> tuple[Learned, ...]:
    """The edition's lessons with the fitted ones replaced or added."""
    fresh = {}
    for i, (kind, target) in enumerate(targets):
        before = book.lesson(kind, target)
        jobs = len({o.job for o in rows if (kind, target) in o.targets}) + (before.jobs if before else 0)
        fresh[kind, target] = Learned(kind, target, float(mean[i]), sqrt(float(cov[i, i])), jobs)
    kept = [x for x in book.learned if (x.kind, x.target) not in fresh]
    return (*kept, *fresh.values())
