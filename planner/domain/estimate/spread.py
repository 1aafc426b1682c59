"""How sure an hour is: log-normal phases, their sum, and what a bad site does to all of them.

A rate's low, likely and high are read as the 10th, 50th and 90th percentile of a log-normal: hours are
positive, errors multiply, and the right tail is long, as logged hours show. What is common to a job is one
more log-normal factor on all its phases. The sum of phases is closed by matching mean and variance (Fenton,
IRE Transactions on Communications Systems, 1960; from memory) and the third moment, which a shifted
log-normal carries; tests hold it against simulation.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from math import exp, log, pi, sqrt
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

    def below(self, value: float) -> float:
        """Chance of no more than `value`, 0 to 1."""
        return Shifted(0.0, self.median, self.log_sd).below(value)

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


@dataclass(frozen=True, slots=True)
class Split:
    """A positive quantity whose logarithm spreads differently below its median and above it.

    low_sd, high_sd: standard deviations of the logarithm on either side; half of the cases lie on each.
    """

    median: float
    low_sd: float
    high_sd: float

    @staticmethod
    def of(low: float, likely: float, high: float) -> Split:
        """The split log-normal with these 10th, 50th and 90th percentiles.

        >>> round(Split.of(0.5, 1.0, 3.0).at(90), 9)
        3.0
        """
        return Split(likely, log(likely / low) / Z90, log(high / likely) / Z90)

    def at(self, percentile: float) -> float:
        """The value that is not exceeded with `percentile` [percent, between 0 and 100]."""
        z = _Z.inv_cdf(percentile / 100.0)
        return self.median * exp(z * (self.low_sd if z < 0 else self.high_sd))

    def _raw(self, power: int) -> float:
        a, b = power * self.low_sd, power * self.high_sd
        return self.median**power * (exp(a * a / 2.0) * _Z.cdf(-a) + exp(b * b / 2.0) * _Z.cdf(b))

    @property
    def mean(self) -> float:
        """Expected value: each half of the normal curve integrated by itself."""
        return self._raw(1)

    @property
    def variance(self) -> float:
        """Variance, in the unit squared."""
        return max(0.0, self._raw(2) - self._raw(1) ** 2)

    @property
    def log_mean(self) -> float:
        """Mean of the logarithm, the median's logarithm taken off."""
        return (self.high_sd - self.low_sd) / sqrt(2.0 * pi)

    @property
    def log_variance(self) -> float:
        """Variance of the logarithm."""
        return (self.low_sd**2 + self.high_sd**2) / 2.0 - self.log_mean**2


@dataclass(frozen=True, slots=True)
class Shifted:
    """A log-normal moved by `shift`, like a sum of log-normals. shift, scale in the quantity's unit."""

    shift: float
    scale: float
    log_sd: float

    @property
    def mean(self) -> float:
        """Expected value."""
        return self.shift + self.scale * exp(self.log_sd**2 / 2.0)

    @property
    def sd(self) -> float:
        """Standard deviation."""
        return LogNormal(self.scale, self.log_sd).sd

    @property
    def median(self) -> float:
        """The middle."""
        return self.shift + self.scale

    def at(self, percentile: float) -> float:
        """The value that is not exceeded with `percentile` [percent, between 0 and 100]; never below 0."""
        return max(0.0, self.shift + self.scale * exp(_Z.inv_cdf(percentile / 100.0) * self.log_sd))

    def below(self, value: float) -> float:
        """Chance of no more than `value`, 0 to 1.

        >>> Shifted(1.0, 2.0, 0.3).below(3.0)
        0.5
        """
        if value <= self.shift or value <= 0:
            return 0.0
        if self.log_sd == 0:
            return 1.0 if value >= self.median else 0.0
        return _Z.cdf(log((value - self.shift) / self.scale) / self.log_sd)


#: Least skewness that a sum is given, so that its log-normal stays finite.
_LEAST_SKEW = 0.01


def total(parts: Sequence[LogNormal], shared: Sequence[Sequence[float]]) -> Shifted:
    """The sum of parts whose own errors are independent and whose shared log errors have a covariance.

    shared: covariance of the parts' shared logarithms, one row a part. Mean, variance and third moment are
    exact (products of log-normals are log-normal) and carried by a shifted log-normal.
    """
    n = range(len(parts))
    own, means = [p.log_sd**2 for p in parts], [p.median for p in parts]

    def log_cov(i: int, j: int) -> float:
        return shared[i][j] + (own[i] if i == j else 0.0)

    first = [means[i] * exp(log_cov(i, i) / 2.0) for i in n]
    pair = [[exp(log_cov(i, j)) for j in n] for i in n]
    mean = sum(first)
    square = sum(first[i] * first[j] * pair[i][j] for i in n for j in n)
    cube = sum(
        first[i] * first[j] * first[k] * pair[i][j] * pair[i][k] * pair[j][k] for i in n for j in n for k in n
    )
    variance = square - mean**2
    if variance <= 1e-12 * mean**2:
        return Shifted(0.0, mean, 0.0)
    sd = sqrt(variance)
    skew = max(_LEAST_SKEW, (cube - 3.0 * mean * variance - mean**3) / sd**3)
    root = (1.0 + skew**2 / 2.0 + skew * sqrt(1.0 + skew**2 / 4.0)) ** (1.0 / 3.0)
    w = root + 1.0 / root - 1.0
    scale = sd / sqrt(w * (w - 1.0))
    return Shifted(mean - scale * sqrt(w), scale, sqrt(log(w)))
