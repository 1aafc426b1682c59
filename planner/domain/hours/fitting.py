"""The fit behind a refit: multipliers and error spreads from finished phases.

The logarithm of hours worked over bare hours is taken as the sum of what the phase, the crew, the soil (dig
only) and the access multiply, plus one error common to the job, plus one of the phase's own. Each multiplier
starts from the present edition (mean and spread), so few jobs move it little: the conjugate normal update.
Older jobs count less (their errors are widened), outliers are damped (Huber weights), and the two error
spreads are learned with a prior of their own. Nothing depends on the order of logging.
"""

from __future__ import annotations

from collections.abc import Sequence
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


@dataclass(frozen=True, slots=True)
class Evidence:
    """Observations as columns, sorted by job, so that a fit costs no more than a few sums over them.

    targets: every multiplier that acts on some row, in a fixed order; acts: row by target;
    job and phase: numbers of the row's job and phase (of `ORDER`); last: ordinal of the row's last day.
    """

    rows: tuple[Observation, ...]
    targets: tuple[Target, ...]
    acts: NDArray[np.bool_]
    job: NDArray[np.int_]
    phase: NDArray[np.int_]
    last: NDArray[np.int_]
    ratio: Vector
    base_sd: Vector

    def of_jobs(self, wanted: NDArray[np.bool_]) -> Evidence:
        """The rows of some jobs only. wanted: one flag a job, by its number."""
        kept = wanted[self.job]
        rows = tuple(o for o, keep in zip(self.rows, kept, strict=True) if keep)
        return Evidence(
            rows,
            self.targets,
            self.acts[kept],
            self.job[kept],
            self.phase[kept],
            self.last[kept],
            self.ratio[kept],
            self.base_sd[kept],
        )

    def jobs_with(self) -> NDArray[np.int_]:
        """How many jobs each target acts on."""
        import numpy as np

        starts = _starts(self.job)
        found: NDArray[np.int_] = np.logical_or.reduceat(self.acts, starts, axis=0).sum(axis=0)
        return found


def evidence(found: Sequence[Observation]) -> Evidence:
    """The observations as columns. At least one."""
    import numpy as np

    rows = sorted(found, key=lambda o: (o.job, o.phase.rank, o.crew, o.first, o.worked_h))
    kinds, phases = list(LearnedKind), [p.value for p in ORDER]
    acting = [o.targets for o in rows]
    targets = sorted(
        {t for several in acting for t in several},
        key=lambda t: (
            kinds.index(t[0]),
            phases.index(t[1]) if t[0] is LearnedKind.PHASE else 0,
            t[1],
        ),
    )
    column = {target: i for i, target in enumerate(targets)}
    acts = np.zeros((len(rows), len(targets)), dtype=bool)
    for i, several in enumerate(acting):
        acts[i, [column[t] for t in several]] = True
    codes = {code: n for n, code in enumerate(sorted({o.job for o in rows}))}
    return Evidence(
        rows=tuple(rows),
        targets=tuple(targets),
        acts=acts,
        job=np.array([codes[o.job] for o in rows]),
        phase=np.array([ORDER.index(o.phase) for o in rows]),
        last=np.array([o.last.toordinal() for o in rows]),
        ratio=np.array([o.log_ratio for o in rows]),
        base_sd=np.array([max(0.02, o.own_log_sd) for o in rows]),
    )


def _starts(numbers: NDArray[np.int_]) -> NDArray[np.int_]:
    """Where each run of equal numbers begins."""
    import numpy as np

    return np.concatenate([[0], np.flatnonzero(np.diff(numbers)) + 1])


def _apart(book: RateBook, seen: Evidence) -> list[int]:
    """The targets to fit: phases, crews, and the soils and kinds of access that can be told apart."""
    held = {(x.kind, x.target) for x in book.learned}
    count, every = seen.jobs_with(), len(_starts(seen.job))

    def apart(number: int) -> bool:
        target = seen.targets[number]
        if target[0] in {LearnedKind.PHASE, LearnedKind.CREW} or target in held:
            return True
        return bool(count[number] >= _MIN_JOBS and every - count[number] >= _MIN_JOBS)

    return [n for n in range(len(seen.targets)) if count[n] and apart(n)]


def fit(book: RateBook, found: Sequence[Observation] | Evidence, made_on: date) -> Fit:
    """The posterior of every multiplier given the observations, starting from `book`."""
    import numpy as np

    seen = found if isinstance(found, Evidence) else evidence(found)
    chosen = _apart(book, seen)
    targets = [seen.targets[n] for n in chosen]
    design = seen.acts[:, chosen].astype(float)
    prior_mean, prior_var = _prior(book, targets, made_on)
    starts = _starts(seen.job)
    days = np.maximum(0, made_on.toordinal() - seen.last)
    age = 2.0 ** (days / book.value("refit.half_life_d"))
    scale = np.array([book.spread.scale(p.value) for p in ORDER])
    state = _Errors(book.spread.job_log_sd, scale, np.ones(len(seen.rows)))
    mean, cov = prior_mean, np.diag(prior_var)
    for _ in range(_ROUNDS):
        own_var = (seen.base_sd * state.scale[seen.phase]) ** 2 / state.weight
        mean, cov = _updated(
            design, seen.ratio, prior_mean, prior_var, starts, own_var * age, state.job_sd**2 * age
        )
        state = _errors(book, state, seen, seen.ratio - design @ mean, design, cov, starts, age)
    met = np.unique(seen.phase)
    spread = Spread(
        job_log_sd=state.job_sd,
        phase_scale={
            **book.spread.phase_scale,
            **dict(sorted((ORDER[n].value, float(state.scale[n])) for n in met)),
        },
        jobs=book.spread.jobs,
    )
    damped = tuple(
        (o.job, o.phase.value, float(w)) for o, w in zip(seen.rows, state.weight, strict=True) if w < 0.999
    )
    return Fit(_learned(book, seen, chosen, mean, cov), spread, damped)


@dataclass(frozen=True, slots=True)
class _Errors:
    """Spread of the job error, scale of each phase's own (by `ORDER`), weight of each row (1: full)."""

    job_sd: float
    scale: Vector
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

    order = np.concatenate([np.asarray(block) for block in blocks])
    starts = np.cumsum([0, *(len(block) for block in blocks[:-1])])
    return _updated(
        design[order], ratio[order], prior_mean, prior_var, starts, own_var[order], job_var[order]
    )


def _updated(
    design: Vector,
    ratio: Vector,
    prior_mean: Vector,
    prior_var: Vector,
    starts: NDArray[np.int_],
    own_var: Vector,
    job_var: Vector,
) -> tuple[Vector, Vector]:
    """The conjugate update for rows that stand job by job, each job beginning at one of `starts`.

    A job's covariance is diagonal plus a constant, so its inverse is closed (Sherman and Morrison, Annals of
    Mathematical Statistics, 1950; from memory).
    """
    import numpy as np

    weight = 1.0 / own_var
    weighed = design * weight[:, None]
    sums = np.add.reduceat(weighed, starts)
    shared = job_var[starts]
    common = shared / (1.0 + shared * np.add.reduceat(weight, starts))
    precision = np.diag(1.0 / prior_var) + design.T @ weighed - sums.T @ (sums * common[:, None])
    pull = prior_mean / prior_var + weighed.T @ ratio
    pull -= sums.T @ (common * np.add.reduceat(weight * ratio, starts))
    cov = np.linalg.inv(precision)
    return cov @ pull, (cov + cov.T) / 2.0


def _errors(
    book: RateBook,
    state: _Errors,
    seen: Evidence,
    residual: Vector,
    design: Vector,
    cov: Vector,
    starts: NDArray[np.int_],
    age: Vector,
) -> _Errors:
    """One round of expectation and maximisation for the error spreads, and fresh weights."""
    import numpy as np

    sure = np.sum((design @ cov) * design, axis=1)
    own_var = (seen.base_sd * state.scale[seen.phase]) ** 2 / state.weight
    sizes = np.diff(np.append(starts, len(residual)))
    of_job = np.repeat(age[starts], sizes)
    r = residual / np.sqrt(of_job)
    precision = 1.0 / state.job_sd**2 + np.add.reduceat(1.0 / own_var, starts)
    job_error = np.add.reduceat(r / own_var, starts) / precision
    job_sq = float(np.sum(job_error**2 + 1.0 / precision))
    own = r - np.repeat(job_error, sizes)
    own_sq = own**2 + np.repeat(1.0 / precision, sizes) + sure / of_job
    weight_of_prior = _SPREAD_PRIOR + book.spread.jobs
    job_var = (weight_of_prior * book.spread.job_log_sd**2 + job_sq) / (weight_of_prior + len(starts))
    gone = np.bincount(seen.phase, weights=state.weight * own_sq / seen.base_sd**2, minlength=len(ORDER))
    prior = np.array([book.spread.scale(p.value) for p in ORDER])
    count = np.bincount(seen.phase, minlength=len(ORDER))
    scale = np.sqrt((weight_of_prior * prior**2 + gone) / (weight_of_prior + count))
    z = np.abs(own) / (seen.base_sd * scale[seen.phase])
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


def _learned(
    book: RateBook, seen: Evidence, chosen: Sequence[int], mean: Vector, cov: Vector
) -> tuple[Learned, ...]:
    """The edition's lessons with the fitted ones replaced or added."""
    fresh, count = {}, seen.jobs_with()
    for i, number in enumerate(chosen):
        kind, target = seen.targets[number]
        before = book.lesson(kind, target)
        jobs = int(count[number]) + (before.jobs if before else 0)
        fresh[kind, target] = Learned(kind, target, float(mean[i]), sqrt(float(cov[i, i])), jobs)
    kept = [x for x in book.learned if (x.kind, x.target) not in fresh]
    return (*kept, *fresh.values())
