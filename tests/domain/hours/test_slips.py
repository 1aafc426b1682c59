"""Hours typed ten times off: every tenth number of a season slips its decimal point, and the told hours stay.

The measure is the same season logged without a slip; the seasons are invented (`tests.bench.truths`).
"""

from dataclasses import replace
from datetime import timedelta
from math import log
from random import Random
from statistics import median

import numpy as np
import pytest

from planner.domain.estimate.rates import LearnedKind
from planner.domain.hours.observations import Observation
from planner.domain.hours.refit import refit
from planner.domain.hours.slips import first_weights, not_slipped
from tests.bench.truths import CREWS, MARCH, SEASON_D, Truth, logged, ponds
from tests.domain.estimate.ponds import BOOK, QUANTITIES, pond, told

_DAY = MARCH + timedelta(days=SEASON_D + 1)


def season(seed: int, jobs: int) -> list[Observation]:
    """A season of two crews, one 40 % slow and one 20 % quick, without a slip."""
    dice = Random(f"slips {seed}")
    crews = {(LearnedKind.CREW, "A"): log(1.4), (LearnedKind.CREW, "B"): log(0.8)}
    return logged(ponds(dice, jobs), Truth(crews), dice)


def multipliers(found: list[Observation]) -> dict[tuple[LearnedKind, str], float]:
    return {(x.kind, x.target): x.new for x in refit(BOOK, found, _DAY).lessons}


def likely_h(found: list[Observation]) -> list[float]:
    """Likely crew-hours of the usual pond for each crew, told by the edition that these hours teach."""
    book = refit(BOOK, found, _DAY).book
    assert book is not None
    return [told(pond("P", **QUANTITIES), crew, book).crew_h for crew in CREWS]


@pytest.mark.parametrize("factor", [10.0, 0.1])
def test_every_tenth_number_ten_times_off_moves_told_hours_by_less_than_a_tenth(factor: float) -> None:
    """At the middle of eight seasons; one multiplier of one season may move more (a phase often hit)."""
    moved = []
    for seed in range(8):
        clean, dice = season(seed, 24), Random(seed)
        typed = [replace(o, worked_h=o.worked_h * factor) if dice.random() < 0.1 else o for o in clean]
        moved += [abs(b / a - 1.0) for a, b in zip(likely_h(clean), likely_h(typed), strict=True)]
    assert median(moved) < 0.10


@pytest.mark.parametrize("factor", [10.0, 0.1])
@pytest.mark.parametrize("seed", range(4))
def test_one_number_ten_times_off_moves_no_multiplier_by_more_than_a_tenth(seed: int, factor: float) -> None:
    clean = season(seed, 24)
    at = 17 + 7 * seed
    typed = [*clean[:at], replace(clean[at], worked_h=clean[at].worked_h * factor), *clean[at + 1 :]]
    before, after = multipliers(clean), multipliers(typed)
    assert max(abs(after[t] / before[t] - 1.0) for t in before) <= 0.10


@pytest.mark.parametrize("seed", range(4))
def test_a_slipped_number_is_named_and_counts_nothing(seed: int) -> None:
    found = season(seed, 12)
    at = 17 + seed
    slipped = found[at]
    found[at] = replace(slipped, worked_h=slipped.worked_h * 10.0)
    weights = {(job, phase): w for job, phase, w in refit(BOOK, found, _DAY).damped}
    assert weights[slipped.job, slipped.phase.value] < 0.01


@pytest.mark.parametrize("factor", [10.0, 0.1])
@pytest.mark.parametrize("years", [0, 4])
def test_hours_typed_ten_times_off_are_asked_about_with_what_would_fit(years: int, factor: float) -> None:
    """Of an old season as of a new one: age makes a job count less, not its slips smaller."""
    found = season(2, 12)
    at = 20
    hours = found[at].worked_h
    found[at] = replace(found[at], worked_h=hours * factor)
    old = [
        replace(o, first=o.first - timedelta(days=365 * years), last=o.last - timedelta(days=365 * years))
        for o in found
    ]
    asked = refit(BOOK, old, _DAY).slips
    assert [(s.job, s.phase) for s in asked] == [(found[at].job, found[at].phase.value)]
    assert asked[0].logged_h == hours * factor
    assert asked[0].likely_h == pytest.approx(hours)


def test_a_season_without_slips_asks_about_nothing() -> None:
    for seed in range(4):
        assert refit(BOOK, season(seed, 24), _DAY).slips == ()


def test_work_that_is_three_times_dearer_throughout_is_no_slip() -> None:
    """A whole firm three times off the book is slow, not mistyped: it is learned."""
    usual = season(5, 12)
    slow = [replace(o, worked_h=o.worked_h * 3.0) for o in usual]
    for before, after in zip(likely_h(usual), likely_h(slow), strict=True):
        assert 2.5 < after / before < 3.2


def test_the_chance_is_even_where_an_honest_error_and_a_slip_are_as_likely() -> None:
    """By hand: with a spread of s and slips of 2 % each way, even at ln 10 / 2 + s^2 ln 48 / ln 10."""
    sd = 0.5
    even = log(10.0) / 2 + sd**2 * log(0.96 / 0.02) / log(10.0)
    assert not_slipped(np.array([even, -even]), np.array([sd, sd])) == pytest.approx([0.5, 0.5], abs=1e-4)
    assert not_slipped(np.array([0.0]), np.array([sd]))[0] > 0.999


def test_a_common_pace_is_taken_off_before_a_slip_is_seen() -> None:
    """Nine phases at e times their hours and one at 10 e: only the last begins with next to no weight."""
    error = np.ones(10)
    error[-1] += log(10.0)
    groups = np.zeros(10, dtype=np.intp)
    weight = first_weights(error, np.full(10, 0.5), groups, groups)
    assert weight[:-1].min() > 0.99
    assert weight[-1] < 0.01
