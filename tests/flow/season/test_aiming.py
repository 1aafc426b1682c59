"""Plans that aim at what will happen: never dearer in life than the first, made again by their steps."""

from __future__ import annotations

from pathlib import Path

import pytest

from planner.domain.forecast.expected import Expected
from planner.flow.season.plans import make_plan
from planner.report.season.expected import expected_data, expected_lines
from tests.end_to_end.living.conftest import MORNING, season_db


@pytest.fixture
def tight(tmp_path: Path) -> str:
    """Eight ponds for one crew, promised three days apart."""
    location = str(tmp_path / "tight.sqlite3")
    season_db(location, jobs=8, crews=1)
    return location


def test_the_plan_of_least_expected_price_is_taken_and_made_again(tight: str) -> None:
    made, again = (make_plan(tight, MORNING, seconds=0, steps=1200, expected=True) for _ in range(2))
    found, other = made.aimed, again.aimed
    assert found is not None and other is not None
    assert made.plan.bookings == again.plan.bookings and found.expected == other.expected
    assert found.plan.search is not None and found.plan.search.steps == 1200
    # half of the steps go to the plan on paper
    on_paper = make_plan(tight, MORNING, seconds=0, steps=600, expected=True, on_paper=True).aimed
    assert on_paper is not None
    assert found.expected.mean_cents <= on_paper.expected.mean_cents
    if found.paper is not None:
        assert (found.paper, found.paper_steps) == (on_paper.expected, 600)
        assert found.expected.paper_cents >= found.paper.paper_cents


def test_a_gain_must_stand_out_of_the_error_of_the_same_seasons() -> None:
    """Paired, by hand: 100 dearer in each of four seasons is sure though these differ by thousands; a gain of
    250, -50, 250, -50 has a mean of 100 and an error of 173 / 2 = 87, which is under two of them.
    """
    base = (1000.0, 9000.0, 2000.0, 5000.0)

    def of(*more: float) -> Expected:
        cents = tuple(b + m for b, m in zip(base, more, strict=True))
        return Expected(0, 0, 0, 0, 0, 0.0, 0.0, 0, 4, cents)

    here = of(0, 0, 0, 0)
    assert here.surely_below(of(100, 100, 100, 100))
    assert not here.surely_below(of(250, -50, 250, -50))
    assert not here.surely_below(of(-100, -100, -100, -100)) and not here.surely_below(here)


def test_what_is_said_of_it(tight: str) -> None:
    made = make_plan(tight, MORNING, seconds=0, steps=600, expected=True)
    assert made.aimed is not None
    said = " ".join(expected_lines(made.aimed))
    data = expected_data(made.aimed)
    assert data is not None
    dollars = made.plan.cost.total_cents / 100
    assert f"On paper ${dollars:,.0f}, expected ${data['mean_cents'] / 100:,.0f}" in said
    assert "of 8" in said and "8 seasons of 10" in said
    assert ("--on-paper" in said) == (data["best_on_paper"] is not None)
    assert data["low_cents"] <= data["mean_cents"] <= data["high_cents"]
