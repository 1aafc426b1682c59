"""A reference for the hours: a hierarchical fit with Student-t errors by scipy, on the same observations.

Firm, crews, phases, powers of size, soils and job errors are normal about 0 with the book's priors; own
errors are Student-t with 4 degrees of freedom; the job's spread and one scale of all own spreads are found
too. The posterior's top by L-BFGS, its spread by Laplace, the hours of a job by 600 draws. It shares no code
with the planner's fit.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy import optimize

from planner.domain.estimate.labour import JobEstimate
from planner.domain.estimate.rates import RateBook
from planner.domain.estimate.unknown import prior_log_sd
from planner.domain.hours.observations import Observation

Vector = NDArray[np.float64]
_NU, _DRAWS = 4.0, 600
#: Scale of a Student-t with 4 degrees that spreads like a normal of 1 between its 10th and 90th percentile.
_LIKE_NORMAL = 1.2815515655446004 / 1.5332062740589438


@dataclass(frozen=True)
class Reference:
    """Causes at the posterior's top with their covariance, the job's log spread, the own spreads' scale."""

    names: list[tuple[str, str]]
    mean: Vector
    cov: Vector
    job_sd: float
    scale: float
    book: RateBook

    @staticmethod
    def fitted(book: RateBook, rows: Sequence[Observation]) -> Reference:
        """The fit to these observations; the priors alone when there are none."""
        names = sorted({(k.value, t) for o in rows for k, t in o.leaning})
        if not rows:
            return Reference([], np.zeros(0), np.zeros((0, 0)), book.spread.job_log_sd, 1.0, book)
        jobs = sorted({o.job for o in rows})
        n, j = len(names), len(jobs)
        x = np.zeros((len(rows), n + j))
        for i, o in enumerate(rows):
            for (kind, target), lean in o.leaning.items():
                x[i, names.index((kind.value, target))] = lean
            x[i, n + jobs.index(o.job)] = 1.0
        z, own = np.array([o.log_ratio for o in rows]), np.array([o.own_log_sd for o in rows]) * _LIKE_NORMAL
        prior = np.array([_prior(book, name, rows) for name in names]) ** 2

        def energy(at: Vector) -> tuple[float, Vector]:
            job_sd, scale = np.exp(at[-2]), np.exp(at[-1])
            variance = np.concatenate([prior, np.full(j, job_sd**2)])
            r, s = z - x @ at[:-2], own * scale
            t = r / s
            value = float(
                np.sum((_NU + 1) / 2 * np.log1p(t**2 / _NU) + np.log(s))
                + np.sum(at[:-2] ** 2 / variance) / 2
                + j * at[-2]
                + 8.0 * ((at[-2] - np.log(book.spread.job_log_sd)) ** 2 + at[-1] ** 2)
            )
            pull = (_NU + 1) * t / (_NU + t**2)
            slope = np.empty_like(at)
            slope[:-2] = -x.T @ (pull / s) + at[:-2] / variance
            slope[-2] = (
                -np.sum(at[n:-2] ** 2) / job_sd**2 + j + 16.0 * (at[-2] - np.log(book.spread.job_log_sd))
            )
            slope[-1] = float(np.sum(1.0 - pull * t)) + 16.0 * at[-1]
            return value, slope

        start = np.concatenate([np.zeros(n + j), [np.log(book.spread.job_log_sd), 0.0]])
        bounds = [(None, None)] * (n + j) + [(np.log(0.06), np.log(0.6)), (np.log(0.3), np.log(3.0))]
        top = optimize.minimize(energy, start, jac=True, method="L-BFGS-B", bounds=bounds).x
        job_sd, scale = float(np.exp(top[-2])), float(np.exp(top[-1]))
        t2 = ((z - x @ top[:-2]) / (own * scale)) ** 2
        weight = (_NU + 1) / (_NU + t2) / (own * scale) ** 2
        precision = x.T @ (weight[:, None] * x) + np.diag(
            1.0 / np.concatenate([prior, np.full(j, job_sd**2)])
        )
        return Reference(names, top[:n], np.linalg.inv(precision)[:n, :n], job_sd, scale, book)

    def told(self, bare: JobEstimate) -> tuple[float, float, float]:
        """Likely, P50 and P80 of a future job's hours [crew-hours, without set-up]."""
        dice = np.random.default_rng(11)
        causes = (
            dice.multivariate_normal(self.mean, self.cov, _DRAWS) if self.names else np.zeros((_DRAWS, 0))
        )
        whole, likely = np.zeros(_DRAWS), 0.0
        site = dice.normal(0.0, self.job_sd, _DRAWS)
        fresh: dict[tuple[str, str], Vector] = {}
        for p in bare.phases.values():
            shared, middle = site.copy(), 0.0
            for (kind, target), lean in p.leaning.items():
                name = (kind.value, target)
                if name in self.names:
                    at = self.names.index(name)
                    shared, middle = shared + lean * causes[:, at], middle + lean * float(self.mean[at])
                else:
                    if name not in fresh:
                        fresh[name] = dice.normal(0.0, prior_log_sd(self.book, kind), _DRAWS)
                    shared = shared + lean * fresh[name]
            own = dice.normal(0.0, p.hours.log_sd * self.scale, _DRAWS)
            whole += p.crew_h * np.exp(shared + own)
            likely += p.crew_h * float(np.exp(middle))
        return likely, float(np.median(whole)), float(np.percentile(whole, 80))


def _prior(book: RateBook, name: tuple[str, str], rows: Sequence[Observation]) -> float:
    """Prior log spread of a cause, of a phase with its rows' bands."""
    kind = next(k for o in rows for k, _ in o.leaning if k.value == name[0])
    bands = [o.rows_log_sd**2 for o in rows if name == ("phase", o.phase.value)]
    return float(np.sqrt(prior_log_sd(book, kind) ** 2 + (np.mean(bands) if bands else 0.0)))
