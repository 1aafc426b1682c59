"""The interval of a share against scipy."""

import pytest
from scipy import stats

from planner.domain.hours.backtest import wilson


@pytest.mark.parametrize(("held", "count"), [(14, 20), (0, 5), (5, 5), (160, 200)])
def test_wilson_agrees_with_scipy(held: int, count: int) -> None:
    theirs = stats.binomtest(held, count).proportion_ci(0.95, method="wilson")
    assert wilson(held, count) == pytest.approx((theirs.low, theirs.high), abs=1e-9)
