"""The hours left of a begun job, against draws of the same model made with numpy."""

from __future__ import annotations

from math import exp

import numpy as np
import pytest

from planner.domain.estimate.labour import with_daily_setup
from planner.domain.firm.phases import Phase
from planner.domain.hours.going import SHARE_LOG_SD, Reached, going
from tests.domain.estimate.ponds import FIRM, pond, told

DRAWS = 400_000


def drawn(reached: dict[Phase, Reached]) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Hours left of the whole job and of the rock in 400,000 draws, each weighted by what was worked.

    Causes are drawn with the estimate's covariance; a draw weighs as much as it makes the worked hours likely
    (importance weights), which needs no formula of the conditional normal.
    """
    found, dice = told(pond()), np.random.default_rng(11)
    order = list(found.phases)
    job = found.job_log_sd**2
    shared = np.array([[job + found.shared[a, b] for b in order] for a in order])
    causes = dice.multivariate_normal(np.zeros(len(order)), shared, DRAWS)
    weight, left, rock = np.zeros(DRAWS), np.zeros(DRAWS), np.zeros(DRAWS)
    for i, phase in enumerate(order):
        p = found.phases[phase]
        whole = with_daily_setup(p.hours.median * exp(p.shift), FIRM)
        state = reached.get(phase, Reached(0.0, 0.0))
        share = 1.0 if state.done else state.share
        if state.worked_h > 0:
            noise = p.hours.log_sd**2 / share + (0.0 if state.done else SHARE_LOG_SD**2)
            weight -= (np.log(state.worked_h / (whole * share)) - causes[:, i]) ** 2 / (2 * noise)
        if share < 1:
            own = dice.normal(0.0, p.hours.log_sd / (1 - share) ** 0.5, DRAWS)
            rest = whole * (1 - share) * np.exp(causes[:, i] + own)
            left += rest
            rock += rest if phase is Phase.ROCK else 0.0
    return left, rock, np.exp(weight - weight.max())


def quantile(values: np.ndarray, weights: np.ndarray, share: float) -> float:
    at = np.argsort(values)
    return float(values[at][np.searchsorted(np.cumsum(weights[at]) / weights.sum(), share)])


SLOW = {
    Phase.DIG: Reached(1.0, 14.0, done=True),
    Phase.SET_FILTERS: Reached(1.0, 5.0, done=True),
    Phase.LINER: Reached(1.0, 8.0, done=True),
    Phase.ROCK: Reached(0.4, 12.0),
}


@pytest.mark.parametrize("reached", [{}, {Phase.DIG: Reached(1.0, 6.0, done=True)}, SLOW])
def test_the_rest_is_what_weighted_draws_give(reached: dict[Phase, Reached]) -> None:
    ours = going(told(pond()), FIRM, reached)
    left, rock, weights = drawn(reached)
    for percentile in (50, 80, 90):
        assert ours.left_at(percentile) == pytest.approx(quantile(left, weights, percentile / 100), rel=0.02)
        printed = quantile(rock, weights, percentile / 100)
        assert ours.phases[Phase.ROCK].at(percentile) == pytest.approx(printed, rel=0.02)
    limit = ours.worked_h + ours.left_at(65)
    within = float(weights[left <= limit - ours.worked_h].sum() / weights.sum())
    assert ours.chance_within(limit) == pytest.approx(within, abs=0.015)


def test_without_hours_it_is_the_estimate_with_its_set_up() -> None:
    """8 paid hours with 0.75 h of set-up: 8 / 7.25 of the estimate's P80."""
    found = told(pond())
    assert going(found, FIRM, {}).left_at(80) == pytest.approx(found.crew_h_at(80) * 8 / 7.25, rel=1e-6)


def test_more_hours_for_the_same_share_leave_more_and_are_kept_less() -> None:
    found = told(pond())
    rows = [going(found, FIRM, {Phase.ROCK: Reached(0.5, hours)}) for hours in (4.0, 8.0, 16.0, 32.0)]
    assert [r.left_at(80) for r in rows] == sorted(r.left_at(80) for r in rows)
    sold = found.crew_h_at(80) * 8 / 7.25
    chances = [r.chance_within(sold) for r in rows]
    assert chances == sorted(chances, reverse=True)
    assert chances[0] > 0.8 > 0.5 > chances[-1]


def test_a_finished_job_has_nothing_left() -> None:
    found = told(pond())
    done = {phase: Reached(1.0, 5.0, done=True) for phase in found.phases}
    ended = going(found, FIRM, done)
    assert ended.rest is None and ended.left_at(90) == 0.0 and ended.phases == {}
    assert ended.chance_within(29.9) == 0.0 and ended.chance_within(30.0) == 1.0
