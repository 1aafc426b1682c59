"""The fit behind a refit: causes and error spreads from worked phases.

The logarithm of hours worked over bare hours is the sum of what the phase leans on (firm, crew, phase, size,
soil, access), one error common to the job and one of the phase's own. Each cause starts from the present
edition, so few jobs move it little: the conjugate normal update. The firm's pace may wander from month to
month (a random walk), so a season that drifts is followed; older jobs count less besides. Own errors far out
are damped, first like Huber's, then redescending; a number typed ten times off counts nothing from the start
(`slips`). The error spreads are learned with a prior of their own. Nothing depends on the order of logging.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date
from math import sqrt
from typing import TYPE_CHECKING

from planner.domain.estimate.rates import Learned, LearnedKind, RateBook, Spread
from planner.domain.estimate.unknown import ALL, Target, prior_log_sd, wander_var
from planner.domain.firm.phases import ORDER
from planner.domain.hours.observations import Observation
from planner.domain.hours.slips import Slip, first_weights, not_slipped, slips_among

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Vector = NDArray[np.float64]

#: Standard deviations beyond which an error is damped: at first, and once the fit has found its place.
_HUBER, _FAR = 2.5, 3.0
#: How much wider than the edition says an own spread may be where a slip is told from an honest error.
_HONEST = 1.2
#: Rounds in which damping is Huber's, before it redescends.
_GENTLE = 6
#: Weight of the shipped spreads, in observations: of all phases' common scale and of each about it, of the
#: job's.
_SPREAD_PRIOR, _COMMON_PRIOR, _JOB_PRIOR = 12.0, 6.0, 4.0
#: How much more or less than its book says a firm's pace may wander, with the chance of each before any log.
_WANDERS = ((0.3, 0.2), (0.8, 0.3), (1.3, 0.3), (2.0, 0.2))
#: Jobs on either side before soil or access is told apart from the rest.
_MIN_JOBS = 3
_ROUNDS = 30
#: Change of every cause and spread below which the fit stands.
_STILL = 2e-5
#: Least and most stretches in which the firm's pace wanders, and the days of one.
_STRETCH_D, _MOST_STRETCHES = 14.0, 40
#: Own spread that a share said of begun work brings along, as a part of the share.
_SHARE_SD = 0.15
_FIRM: Target = (LearnedKind.FIRM, ALL)
_ALWAYS = frozenset({LearnedKind.FIRM, LearnedKind.PHASE, LearnedKind.CREW, LearnedKind.SIZE})


@dataclass(frozen=True, slots=True)
class Fit:
    """The update: learned causes, their covariance, spreads, what was damped (job, phase, weight), slips."""

    learned: tuple[Learned, ...]
    covariance: tuple[tuple[float, ...], ...]
    spread: Spread
    damped: tuple[tuple[str, str, float], ...]
    slips: tuple[Slip, ...]


def prior_sd(book: RateBook, kind: LearnedKind) -> float:
    """Standard deviation of the logarithm of a multiplier that nobody has measured yet."""
    return prior_log_sd(book, kind)


def targets_of(book: RateBook, found: Sequence[Observation]) -> list[Target]:
    """The causes to fit, in a fixed order: soils and access only where they can be told apart."""
    held = {(x.kind, x.target) for x in book.learned}
    jobs: dict[Target, set[str]] = {}
    for o in found:
        for target in o.leaning:
            jobs.setdefault(target, set()).add(o.job)
    everyone = {o.job for o in found}

    def apart(target: Target) -> bool:
        if target[0] in _ALWAYS or target in held:
            return True
        return len(jobs[target]) >= _MIN_JOBS and len(everyone - jobs[target]) >= _MIN_JOBS

    kinds = list(LearnedKind)
    phases = [p.value for p in ORDER]
    return sorted(
        (t for t in jobs.keys() | held if apart(t)),
        key=lambda t: (kinds.index(t[0]), phases.index(t[1]) if t[1] in phases else -1, t[1]),
    )


def fit(book: RateBook, found: Sequence[Observation], made_on: date) -> Fit:
    """The posterior of every cause given the observations, starting from `book`."""
    import numpy as np

    rows = sorted(found, key=lambda o: (o.job, o.phase.rank, o.crew, o.first, o.worked_h))
    targets = targets_of(book, rows)
    walk = _Walk.over(book, rows, made_on)
    data = _Data.of(book, rows, targets, walk, made_on)
    prior_mean, prior_cov = _prior(book, targets, rows, walk, made_on)
    state = _Errors(
        book.spread.job_log_sd,
        np.array([book.spread.scale(p) for p in data.phases]),
        data.first_weights(prior_mean, book.spread.job_log_sd),
        np.zeros(len(rows)),
        np.ones(len(rows)),
    )
    mean, cov, wander = prior_mean, prior_cov, 1.0
    for turn in range(_ROUNDS):
        before, was = mean, state
        gram, pull = information(
            data.design,
            data.ratio - data.design @ prior_mean,
            data.blocks,
            data.own_var(state) * data.age,
            state.job_sd**2 * data.age,
        )
        wander = _wander(prior_cov, gram, pull, len(targets))
        gain, cov = _updated(_wandering(prior_cov, len(targets), wander), gram, pull)
        mean = prior_mean + gain
        state = _errors(book, state, data, mean, cov, gentle=turn < _GENTLE)
        moved = max(float(np.abs(mean - before).max()), float(np.abs(state.scale - was.scale).max()))
        if turn > _GENTLE and max(moved, abs(state.job_sd - was.job_sd)) < _STILL:
            break
    mean, cov = walk.today(mean, cov, len(targets), targets.index(_FIRM))
    spread = replace(
        book.spread,
        wander=book.spread.wander * wander,
        job_log_sd=state.job_sd,
        phase_scale={
            **book.spread.phase_scale,
            **dict(zip(data.phases, map(float, state.scale), strict=True)),
        },
    )
    damped = tuple(
        (o.job, o.phase.value, float(w)) for o, w in zip(rows, state.weight, strict=True) if w < 0.999
    )
    slips = slips_among([(o.job, o.phase.value, o.worked_h) for o in rows], state.own, state.honest)
    learned = _learned(book, targets, mean, cov, rows)
    lower = tuple(tuple(float(c) for c in cov[i, : i + 1]) for i in range(len(cov)))
    return Fit(learned, lower, spread, damped, slips)


@dataclass(frozen=True, slots=True)
class _Walk:
    """Stretches in which the firm's pace may wander: first day, days of one, how many, variance of one."""

    first: date
    days: float
    count: int
    variance: float

    @staticmethod
    def over(book: RateBook, rows: Sequence[Observation], made_on: date) -> _Walk:
        """From the edition's day, or the first job when nothing is learned, to the new edition's day."""
        first = book.made_on if book.learned else min(o.last for o in rows)
        span = float((made_on - first).days)
        count = min(_MOST_STRETCHES, int(span / _STRETCH_D))
        if count < 1 or wander_var(book, 1.0) == 0.0:
            return _Walk(first, 1.0, 0, 0.0)
        return _Walk(first, span / count, count, wander_var(book, span / count))

    def gone(self, day: date) -> Vector:
        """Share of each stretch that lies before `day`."""
        import numpy as np

        at = (day - self.first).days / self.days
        return np.clip(at - np.arange(self.count), 0.0, 1.0)

    def today(self, mean: Vector, cov: Vector, causes: int, firm: int) -> tuple[Vector, Vector]:
        """The causes as of the last day: all stretches are added to the firm's."""
        import numpy as np

        turn = np.eye(causes, len(mean))
        turn[firm, causes:] = 1.0
        return turn @ mean, turn @ cov @ turn.T


@dataclass(frozen=True, slots=True)
class _Data:
    """Observations as arrays. phase_of: each row's place in `phases`; starts: first row of a job."""

    design: Vector
    ratio: Vector
    blocks: list[list[int]]
    starts: NDArray[np.intp]
    age: Vector
    base_var: Vector
    extra_var: Vector
    phases: list[str]
    phase_of: NDArray[np.intp]

    @staticmethod
    def of(
        book: RateBook, rows: Sequence[Observation], targets: Sequence[Target], walk: _Walk, made_on: date
    ) -> _Data:
        import numpy as np

        at = {t: i for i, t in enumerate(targets)}
        design = np.zeros((len(rows), len(targets) + walk.count))
        for n, o in enumerate(rows):
            for target, lean in o.leaning.items():
                if target in at:
                    design[n, at[target]] = lean
            if walk.count:
                design[n, len(targets) :] = walk.gone(o.last)
        half_life = book.value("refit.half_life_d")
        blocks = _blocks(rows)
        phases = sorted({o.phase.value for o in rows})
        taken = [book.part_learned.get(o.key, 0.0) for o in rows]
        shares = np.array([o.share * max(0.1, 1.0 - t / o.share) for o, t in zip(rows, taken, strict=True)])
        return _Data(
            design=design,
            ratio=np.array([o.log_ratio for o in rows]),
            blocks=blocks,
            starts=np.array([b[0] for b in blocks]),
            age=np.array([2.0 ** (max(0, (made_on - o.last).days) / half_life) for o in rows]),
            base_var=np.array([max(0.02, o.own_log_sd) ** 2 for o in rows]) / shares,
            extra_var=np.array([(_SHARE_SD / o.share) ** 2 if o.share < 1.0 else 0.0 for o in rows]),
            phases=phases,
            phase_of=np.array([phases.index(o.phase.value) for o in rows]),
        )

    def own_var(self, state: _Errors) -> Vector:
        """Variance of each row's own error, damped rows wider."""
        return (self.base_var * state.scale[self.phase_of] ** 2 + self.extra_var) / state.weight

    def first_weights(self, prior_mean: Vector, job_sd: float) -> Vector:
        """Weight of each row before the first round: next to none where the decimal point slipped."""
        import numpy as np

        job_of = np.repeat(np.arange(len(self.blocks)), [len(b) for b in self.blocks])
        sd = np.sqrt(self.base_var + self.extra_var + job_sd**2)
        return first_weights(self.ratio - self.design @ prior_mean, sd, job_of, self.phase_of)

    def by_job(self, values: Vector) -> Vector:
        """Sums over the rows of each job."""
        import numpy as np

        return np.add.reduceat(values, self.starts, axis=0)


@dataclass(frozen=True, slots=True)
class _Errors:
    """Spread of the job error, scale of each phase's own, and the weight of each observation (1: full).

    own: log error of each observation itself; honest: its chance to be no slip of the decimal point.
    """

    job_sd: float
    scale: Vector
    weight: Vector
    own: Vector
    honest: Vector


def posterior(
    design: Vector,
    ratio: Vector,
    prior_mean: Vector,
    prior_cov: Vector,
    blocks: Sequence[Sequence[int]],
    own_var: Vector,
    job_var: Vector,
) -> tuple[Vector, Vector]:
    """Mean and covariance of causes after normal data: the conjugate update.

    design: one row an observation, how it leans on each cause; prior_cov: matrix, or variances alone;
    blocks: rows of the same job, whose errors share job_var on top of each row's own_var (Sherman and
    Morrison's inverse).
    """
    import numpy as np

    gram, pull = information(design, ratio - design @ prior_mean, blocks, own_var, job_var)
    gain, cov = _updated(np.diag(prior_cov) if prior_cov.ndim == 1 else prior_cov, gram, pull)
    return prior_mean + gain, cov


def information(
    design: Vector, apart: Vector, blocks: Sequence[Sequence[int]], own_var: Vector, job_var: Vector
) -> tuple[Vector, Vector]:
    """What the observations say: precision of the causes, and the pull of `apart`, the prior's errors."""
    import numpy as np

    order = np.concatenate([np.asarray(b) for b in blocks])
    starts = np.cumsum([0, *(len(b) for b in blocks[:-1])])
    x, weight = design[order], 1.0 / own_var[order]
    both = np.column_stack([x, apart[order]]) * weight[:, None]
    sums = np.add.reduceat(both, starts, axis=0)
    job = job_var[order][starts]
    damped = (sums[:, :-1] * (job / (1.0 + job * np.add.reduceat(weight, starts)))[:, None]).T
    return x.T @ both[:, :-1] - damped @ sums[:, :-1], x.T @ both[:, -1] - damped @ sums[:, -1]


def _updated(cov: Vector, gram: Vector, pull: Vector) -> tuple[Vector, Vector]:
    """Move and covariance after the update: (cov^-1 + gram)^-1, also for a prior that is singular."""
    import numpy as np

    after = np.linalg.solve(np.eye(len(cov)) + cov @ gram, cov)
    after = (after + after.T) / 2.0
    return after @ pull, after


def _wandering(prior_cov: Vector, causes: int, wander: float) -> Vector:
    """The prior with the stretches' spread times `wander`."""
    found = prior_cov.copy()
    found[causes:, causes:] *= wander**2
    return found


def _wander(prior_cov: Vector, gram: Vector, pull: Vector, causes: int) -> float:
    """How much the pace wanders against the book: each chance weighed by how well it foretells the hours."""
    import numpy as np

    if len(prior_cov) == causes:
        return 1.0
    logs = []
    for wander, chance in _WANDERS:
        cov = _wandering(prior_cov, causes, wander)
        gain, _ = _updated(cov, gram, pull)
        _, log_det = np.linalg.slogdet(np.eye(len(cov)) + cov @ gram)
        logs.append(np.log(chance) + (pull @ gain - log_det) / 2.0)
    weight = np.exp(np.array(logs) - max(logs))
    squares = np.array([wander**2 for wander, _ in _WANDERS])
    return sqrt(float(weight @ squares / weight.sum()))


def _errors(
    book: RateBook, state: _Errors, data: _Data, mean: Vector, cov: Vector, *, gentle: bool
) -> _Errors:
    """One round of expectation and maximisation for the error spreads, and fresh weights."""
    import numpy as np

    residual = (data.ratio - data.design @ mean) / np.sqrt(data.age)
    own_var = data.own_var(state)
    precision = 1.0 / max(state.job_sd, 1e-6) ** 2 + data.by_job(1.0 / own_var)
    job_error = data.by_job(residual / own_var) / precision
    job_lean = data.by_job(data.design / own_var[:, None]) / precision[:, None]
    sizes = np.diff([*data.starts, len(residual)])
    own = residual - np.repeat(job_error, sizes)
    own_unsure = _unsure(data.design - np.repeat(job_lean, sizes, axis=0), cov) / data.age
    own_sq = own**2 + np.repeat(1.0 / precision, sizes) + own_unsure
    weight_of_prior = _SPREAD_PRIOR + book.spread.jobs
    job_unsure = _unsure(job_lean, cov) / data.age[data.starts]
    of_jobs = float(np.sum(job_error**2 + 1.0 / precision + job_unsure))
    weight_of_job = _JOB_PRIOR + book.spread.jobs
    job_var = (weight_of_job * book.spread.job_log_sd**2 + of_jobs) / (weight_of_job + len(data.starts))
    told = data.base_var + data.extra_var
    gone = np.bincount(data.phase_of, state.weight * own_sq / told, len(data.phases))
    cases = np.bincount(data.phase_of, np.sqrt(state.weight), len(data.phases))
    before = np.array([book.spread.scale(p) for p in data.phases])
    weight_of_common = _COMMON_PRIOR + book.spread.jobs
    common = (weight_of_common + float(np.sum(gone / before**2))) / (weight_of_common + float(np.sum(cases)))
    scale = np.sqrt((weight_of_prior * before**2 * common + gone) / (weight_of_prior + cases))
    z = np.abs(own) / np.sqrt(data.base_var * scale[data.phase_of] ** 2 + data.extra_var)
    near = np.maximum(z, 1e-9)
    weight = np.minimum(1.0, _HUBER / near) if gentle else np.minimum(1.0, (_FAR / near) ** 4)
    believed = np.minimum(scale, before * _HONEST)[data.phase_of]
    as_typed = own * np.sqrt(data.age)  # an old slip is as far off as a new one
    honest = not_slipped(as_typed, np.sqrt(data.base_var * believed**2 + data.extra_var))
    return _Errors(sqrt(job_var), scale, np.minimum(weight, honest), as_typed, honest)


def _unsure(leaning: Vector, cov: Vector) -> Vector:
    """Variance of each row's sum of causes."""
    import numpy as np

    return np.einsum("ij,ij->i", leaning @ cov, leaning)  # type: ignore[no-any-return]


def _prior(
    book: RateBook, targets: Sequence[Target], rows: Sequence[Observation], walk: _Walk, made_on: date
) -> tuple[Vector, Vector]:
    """Where each cause starts: the edition's lesson, a little less sure for every year since."""
    import numpy as np

    years = max(0.0, (made_on - book.made_on).days / 365.25)
    drift = book.value("refit.drift") ** 2 * years
    at = {(x.kind, x.target): i for i, x in enumerate(book.learned)}
    bands = {p: [o.rows_log_sd**2 for o in rows if o.phase is p] for p in ORDER}
    n = len(targets)
    mean, cov = np.zeros(n + walk.count), np.zeros((n + walk.count, n + walk.count))
    for a, one in enumerate(targets):
        i = at.get(one)
        if i is None:
            cov[a, a] = prior_sd(book, one[0]) ** 2
            if one[0] is LearnedKind.PHASE:
                mine = next(v for p, v in bands.items() if p.value == one[1])
                cov[a, a] += sum(mine) / len(mine)
            continue
        mean[a] = book.learned[i].log_mean
        for b, other in enumerate(targets[: a + 1]):
            j = at.get(other)
            if j is not None and book.covariance:
                cov[a, b] = cov[b, a] = book.covariance[max(i, j)][min(i, j)]
        if not book.covariance:
            cov[a, a] = book.learned[i].log_sd ** 2
        cov[a, a] += drift
    cov[range(n, n + walk.count), range(n, n + walk.count)] = walk.variance
    return mean, cov


def _blocks(rows: Sequence[Observation]) -> list[list[int]]:
    """Indices of the observations of each job."""
    found: dict[str, list[int]] = {}
    for i, o in enumerate(rows):
        found.setdefault(o.job, []).append(i)
    return list(found.values())


def _learned(
    book: RateBook, targets: Sequence[Target], mean: Vector, cov: Vector, rows: Sequence[Observation]
) -> tuple[Learned, ...]:
    """The edition's lessons with the fitted ones replaced or added, in the order of the covariance."""
    jobs: dict[Target, set[str]] = {}
    for o in rows:
        for target in o.leaning:
            jobs.setdefault(target, set()).add(o.job)
    found = []
    for i, (kind, name) in enumerate(targets):
        before = book.lesson(kind, name)
        count = len(jobs.get((kind, name), ())) + (before.jobs if before else 0)
        found.append(Learned(kind, name, float(mean[i]), sqrt(max(0.0, float(cov[i, i]))), count))
    return tuple(found)
