"""The spread of hours against printed PERT figures, scipy, and a large seeded simulation."""

from math import sqrt
from statistics import NormalDist

import numpy as np
import pytest
from scipy import stats

from planner.domain.estimate.spread import Z90, LogNormal, Split, from_moments, log_sd_of_band, moments, total

PERT = {1: (5, 8, 17), 2: (7, 10, 13), 3: (3, 5, 7), 4: (1, 3, 5), 5: (4, 6, 8), 6: (3, 3, 3), 7: (3, 4, 5)}


def test_sum_of_independent_parts_gives_the_printed_pert_answer() -> None:
    """Management science textbook, flylib.com/books/en/3.287.1.117 (seen).

    Path 1-3-5-7, mean (a + 4m + b)/6 and variance ((b - a)/6)^2 per activity: mean 24 weeks, P(28) 0.9633.
    """
    parts = [((a + 4 * m + b) / 6, ((b - a) / 6) ** 2) for a, m, b in (PERT[i] for i in (1, 3, 5, 7))]
    mean, variance = moments(parts)
    assert mean == pytest.approx(24.0)
    assert variance == pytest.approx(5.0)
    z = round((28 - mean) / sqrt(variance), 2)
    assert NormalDist().cdf(z) == pytest.approx(0.9633, abs=5e-5)
    # Hours are right-skewed here, so the log-normal of the same moments needs a little more than 28 weeks.
    assert 28.0 < from_moments(mean, variance).at(96.33) < 28.5


@pytest.mark.parametrize("log_sd", [0.05, 0.3, 0.8])
def test_log_normal_agrees_with_scipy(log_sd: float) -> None:
    ours, theirs = LogNormal(12.0, log_sd), stats.lognorm(s=log_sd, scale=12.0)
    assert ours.mean == pytest.approx(theirs.mean())
    assert ours.sd == pytest.approx(theirs.std())
    for percentile in (10, 50, 80, 90):
        assert ours.at(percentile) == pytest.approx(theirs.ppf(percentile / 100))


def test_low_and_high_are_the_10th_and_90th_percentile() -> None:
    log_sd = log_sd_of_band(6.0, 24.0)
    assert LogNormal(12.0, log_sd).at(10) == pytest.approx(6.0)
    assert LogNormal(12.0, log_sd).at(90) == pytest.approx(24.0)
    assert pytest.approx(1.2815515655446004) == Z90


def test_from_moments_gives_them_back() -> None:
    found = from_moments(24.0, 5.0)
    assert (found.mean, found.variance) == (pytest.approx(24.0), pytest.approx(5.0))


@pytest.mark.parametrize("common", [0.0, 0.15, 0.30])
def test_closed_sum_agrees_with_simulation(common: float) -> None:
    """Six phases as the shipped book spreads them, 400,000 seeded jobs: quantiles within 1 %."""
    parts = [
        LogNormal(m, s)
        for m, s in ((6.0, 0.28), (2.3, 0.37), (4.1, 0.42), (11.2, 0.36), (3.1, 0.38), (2.9, 0.43))
    ]
    dice = np.random.default_rng(7)
    jobs = 400_000
    site = np.exp(dice.normal(0.0, common, jobs))
    hours = site * sum(p.median * np.exp(dice.normal(0.0, p.log_sd, jobs)) for p in parts)
    closed = total(parts, [[common**2] * len(parts)] * len(parts))
    assert closed.mean == pytest.approx(float(hours.mean()), rel=0.003)
    assert closed.sd == pytest.approx(float(hours.std()), rel=0.02)
    for percentile in (50, 80, 90):
        assert closed.at(percentile) == pytest.approx(float(np.percentile(hours, percentile)), rel=0.01)


@pytest.mark.parametrize(("firm", "phase"), [(0.0, 0.2), (0.3, 0.2), (0.4, 0.3)])
def test_sum_with_shared_causes_agrees_with_simulation(firm: float, phase: float) -> None:
    """Causes common to all phases and to each: 400,000 seeded jobs, P10 to P90 within 1 %."""
    parts = [LogNormal(m, s) for m, s in ((6.0, 0.28), (2.3, 0.37), (4.1, 0.42), (11.2, 0.36), (3.1, 0.38))]
    shared = np.full((5, 5), firm**2) + np.diag([phase**2] * 5)
    dice = np.random.default_rng(11)
    causes = dice.multivariate_normal(np.zeros(5), shared, 400_000)
    own = dice.standard_normal((400_000, 5)) * np.array([p.log_sd for p in parts])
    hours = (np.array([p.median for p in parts]) * np.exp(causes + own)).sum(axis=1)
    closed = total(parts, shared.tolist())
    assert closed.mean == pytest.approx(float(hours.mean()), rel=0.005)
    for percentile in (10, 50, 80, 90):
        assert closed.at(percentile) == pytest.approx(float(np.percentile(hours, percentile)), rel=0.01)


def test_a_skewed_band_keeps_its_three_percentiles_and_its_moments() -> None:
    """0.007 / 0.011 / 0.020: low, likely and high back; mean and spread of 400,000 draws within 1 %."""
    band = Split.of(0.007, 0.011, 0.020)
    assert [band.at(p) for p in (10, 50, 90)] == pytest.approx([0.007, 0.011, 0.020])
    z = np.random.default_rng(5).standard_normal(400_000)
    drawn = 0.011 * np.exp(z * np.where(z < 0, band.low_sd, band.high_sd))
    assert band.mean == pytest.approx(float(drawn.mean()), rel=0.01)
    assert band.variance == pytest.approx(float(drawn.var()), rel=0.03)
    logs = np.log(drawn / 0.011)
    assert band.log_mean == pytest.approx(float(logs.mean()), abs=0.003)
    assert band.log_variance == pytest.approx(float(logs.var()), rel=0.01)


def test_certain_hours_have_no_spread() -> None:
    assert LogNormal(5.0, 0.0).at(90) == 5.0
