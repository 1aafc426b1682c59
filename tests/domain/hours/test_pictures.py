"""The pictures of what came back, on seasons with a known truth."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from math import exp
from random import Random

import pytest

from planner.domain.firm.phases import Phase
from planner.domain.hours.backtest import wilson
from planner.domain.hours.pictures import pictures
from tests.domain.hours.seasons_worked import seen


def test_nothing_finished_draws_nothing() -> None:
    assert pictures([]).points == ()
    assert pictures([replace(seen("A", Phase.DIG, 1.2), share=0.5)]).told_worked == ()


def test_a_drift_is_seen_month_by_month() -> None:
    """Hours rise by 5 % a month: the middles do too, and the bands hold the truth."""
    dice = Random(4)
    rows = [
        seen(f"J{m}{n}", Phase.ROCK, 1.05**m * exp(dice.gauss(0, 0.05)), on=date(2027, 3 + m, 3))
        for m in range(6)
        for n in range(12)
    ]
    drift = pictures(rows).drift
    assert [r.label for r in drift] == [f"2027-{m:02d}" for m in range(3, 9)]
    for m, r in enumerate(drift):
        assert r.low < 1.05**m < r.high or abs(r.middle / 1.05**m - 1) < 0.04
        assert r.quick <= r.middle <= r.slow


def test_coverage_counts_what_stayed_within_p80() -> None:
    """Told 8 h, P80 10 h: 1.25 times is the edge. 8 of 10 rocks stay within it."""
    rows = [seen(f"J{n}", Phase.ROCK, 1.0 if n < 8 else 1.5) for n in range(10)]
    rock, everything = pictures(rows).coverage
    assert (rock.held, rock.count, rock.share) == (8, 10, 0.8)
    assert (rock.low, rock.high) == wilson(8, 10)
    assert everything.label == "all phases"
    ratio = pictures(rows).told_worked[0]
    assert ratio.middle == pytest.approx(1.5**0.2)
