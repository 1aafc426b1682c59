"""How sure an hour is: log-normal phases, their sum, and what a bad site does to all of them.

A rate's low, likely and high are read as the 10th, 50th and 90th percentile of a log-normal: hours are
positive, errors multiply, and the right tail is long, as logged hours show. What is common to a job is one
more log-normal factor on all its phases. The sum of phases is closed by matching mean and variance (Fenton,
IRE Transactions on Communications Systems, 1960; from memory); tests hold it against simulation.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from math import exp, log, sqrt
from statistics import NormalDist

_Z = NormalDist()
#: Standard deviations from the middle to the 90th percentile.
Z90 = _Z.inv_cdf(0.90)


@dataclass(frozen=True, slots=True)
class LogNormal:
    """A positive quantity whose logarithm is normal. median in the quantity's unit; log_sd a pure number."""

    median: float
    log_sd: float

    @property
    def mean(self) -> float:
        """Expected value."""
        return self.median * exp(self.log_sd**2 / 2.0)

    @property
    def variance(self) -> float:
        """Variance, in the unit squared."""
        return self.mean**2 * (exp(self.log_sd**2) - 1.0)

    @property
    def sd(self) -> float:
        """Standard deviation."""
        return sqrt(self.variance)

    def at(self, percentile: float) -> float:
        """The value that is not exceeded with `percentile` [percent, between 0 and 100].

        >>> LogNormal(10.0, 0.3).at(50)
        10.0
        """
        return self.median * exp(_Z.inv_cdf(percentile / 100.0) * self.log_sd)

    def times(self, factor: float, log_sd: float = 0.0) -> LogNormal:
        """The product with an independent log-normal factor of median `factor`."""
        return LogNormal(self.median * factor, sqrt(self.log_sd**2 + log_sd**2))


def log_sd_of_band(low: float, high: float) -> float:
    """Standard deviation of the logarithm when low and high are the 10th and 90th percentile."""
    return log(high / low) / (2.0 * Z90)


def moments(parts: Iterable[tuple[float, float]]) -> tuple[float, float]:
    """Mean and variance of a sum of independent parts, each given as (mean, variance)."""
    means, variances = 0.0, 0.0
    for mean, variance in parts:
        means, variances = means + mean, variances + variance
    return means, variances


def from_moments(mean: float, variance: float) -> LogNormal:
    """The log-normal with this mean and variance."""
    log_variance = log(1.0 + variance / mean**2)
    return LogNormal(mean / exp(log_variance / 2.0), sqrt(log_variance))


def total(parts: Iterable[LogNormal], common_log_sd: float) -> LogNormal:
    """The sum of independent parts, all multiplied by one common log-normal factor of median 1."""
    own = from_moments(*moments((p.mean, p.variance) for p in parts))
    return own.times(1.0, common_log_sd)
