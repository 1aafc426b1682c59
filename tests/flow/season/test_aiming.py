"""Plans that aim at what will happen: never dearer in life than the first, made again by their steps."""

from __future__ import annotations

from pathlib import Path

import pytest

from planner.domain.season.facts import season_of
from planner.flow.forecast.expecting import Judge
from planner.flow.forecast.playing import basis_of
from planner.flow.season.aiming import Limits, aimed, first_steps
from planner.flow.season.plans import make_plan
from planner.flow.stored.facts import load_facts
from planner.report.season.expected import expected_data, expected_lines
from tests.end_to_end.living.conftest import MORNING, season_db


@pytest.mark.parametrize("first", [1, 2, 3, 10, 299, 300, 301, 40_000])
def test_all_steps_lead_back_to_those_of_the_first_plan(first: int) -> None:
    assert first_steps(first + 2 * (first // 3)) == first


@pytest.fixture
def tight(tmp_path: Path) -> str:
    """Eight ponds for one crew, promised three days apart."""
    location = str(tmp_path / "tight.sqlite3")
    season_db(location, jobs=8, crews=1)
    return location


def test_the_plan_of_least_expected_price_is_taken_and_made_again(tight: str) -> None:
    facts = load_facts(tight)
    season, basis = season_of(facts, MORNING), basis_of(tight, facts, MORNING.date())
    judge = Judge(facts, season, basis, seed=1)
    found, again = (aimed(season, judge, Limits(0.0, 1200, 1, 1)) for _ in range(2))
    assert found.plan.bookings == again.plan.bookings and found.expected == again.expected
    assert found.plan.search is not None and found.plan.search.steps == 1200
    best_on_paper = make_plan(tight, MORNING, seconds=0, steps=720, expected=True, on_paper=True)
    assert best_on_paper.aimed is not None
    assert found.expected.mean_cents <= best_on_paper.aimed.expected.mean_cents
    if found.paper is not None:
        assert found.paper == best_on_paper.aimed.expected
        assert found.expected.paper_cents >= found.paper.paper_cents


def test_what_is_said_of_it(tight: str) -> None:
    made = make_plan(tight, MORNING, seconds=0, steps=600, expected=True)
    assert made.aimed is not None
    said = " ".join(expected_lines(made.aimed, made.plan))
    data = expected_data(made.aimed)
    assert data is not None
    assert (
        f"On paper ${made.plan.cost.total_cents / 100:,.0f}, expected ${data['mean_cents'] / 100:,.0f}"
        in said
    )
    assert "of 8" in said and "8 seasons of 10" in said
    assert ("--on-paper" in said) == (data["best_on_paper"] is not None)
    assert data["low_cents"] <= data["mean_cents"] <= data["high_cents"]
