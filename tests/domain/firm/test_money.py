"""Burdened labor, markup and margin: against published rates, printed tables and a second reckoning."""

from __future__ import annotations

import itertools
from dataclasses import replace
from decimal import Decimal

import pytest

from planner.domain.firm.money import Labor, margin_of, markup_of, price_of
from planner.errors import BadInput

BARE = Labor(
    wage_usd_h=20.0,
    paid_h_year=2000.0,
    unworked_h_year=0.0,
    compensation=0.0,
    liability=0.0,
    federal_unemployment=0.0,
    state_unemployment=0.0,
    benefits_usd_year=0.0,
)


def test_the_employers_federal_taxes_are_765_cents_of_a_hundred_dollars() -> None:
    """IRS Publication 15 (2024): 6.2 % social security and 1.45 % medicare, 7.65 % together; from memory."""
    assert BARE.burdened_usd_h == pytest.approx(20.0 * 1.0765)


def test_federal_unemployment_is_at_most_42_dollars_a_person_and_year() -> None:
    """IRS Publication 15 (2024), s. 14: 6.0 less 5.4 % on $7,000 is $42; from memory."""
    taxed = replace(BARE, federal_unemployment=0.006)
    assert (taxed.burdened_usd_h - BARE.burdened_usd_h) * 2000 == pytest.approx(42.0)
    short = replace(taxed, paid_h_year=100.0)  # $2,000 of wages: 0.6 % of those alone
    assert short.burdened_usd_h - 20 * 1.0765 == pytest.approx(0.006 * 20)


def test_hours_that_are_paid_and_not_worked_make_the_worked_ones_dearer() -> None:
    """Reckoned by hand: 2,080 h paid, 160 h of leave and holidays: the hour costs 2080/1920 of it."""
    leave = replace(BARE, paid_h_year=2080.0, unworked_h_year=160.0)
    assert leave.burdened_usd_h == pytest.approx(20 * 1.0765 * 2080 / 1920)


def test_the_default_burden_lies_where_the_sba_puts_it() -> None:
    """US Small Business Administration: an employee costs 1.25 to 1.4 times the wage; from memory."""
    usual = Labor()
    assert 1.25 <= usual.burdened_usd_h / usual.wage_usd_h <= 1.40


def test_a_year_reckoned_week_by_week_comes_to_the_same() -> None:
    """Another method: week by week in exact decimals, each tax stopping at its own base."""
    usual = Labor()
    weeks, hours = 50, Decimal(usual.paid_h_year) / 50
    earned = paid = Decimal(0)
    for _ in range(weeks):
        wages = hours * Decimal(str(usual.wage_usd_h))
        for share in (usual.social_security, usual.medicare, usual.compensation, usual.liability):
            paid += wages * Decimal(str(share))
        for share, base in (
            (usual.federal_unemployment, usual.federal_base_usd),
            (usual.state_unemployment, usual.state_base_usd),
        ):
            left = max(Decimal(0), Decimal(base) - earned)
            paid += min(wages, left) * Decimal(str(share))
        earned += wages
        paid += wages
    paid += Decimal(usual.benefits_usd_year)
    worked = Decimal(usual.paid_h_year - usual.unworked_h_year)
    assert usual.burdened_usd_h == pytest.approx(float(paid / worked), rel=1e-12)


@pytest.mark.parametrize(
    ("margin", "markup"),
    # The table that trade handbooks print, margin of the price against markup on cost; common knowledge.
    [
        (0.10, 0.1111),
        (0.15, 0.1765),
        (0.20, 0.25),
        (0.25, 0.3333),
        (0.30, 0.4286),
        (0.40, 0.6667),
        (0.50, 1.0),
    ],
)
def test_markup_against_margin_is_the_printed_table(margin: float, markup: float) -> None:
    assert markup_of(margin) == pytest.approx(markup, abs=5e-5)
    assert margin_of(markup_of(margin)) == pytest.approx(margin)
    assert price_of(100.0, margin) == pytest.approx(100.0 * (1 + markup_of(margin)))


def test_a_margin_is_never_as_large_as_its_markup_and_both_rise_together() -> None:
    markups = [markup_of(m / 100) for m in range(1, 95)]
    assert all(a < b for a, b in itertools.pairwise(markups))
    assert all(m > margin_of(m) for m in markups)


def test_a_margin_of_all_the_price_is_refused() -> None:
    for odd in (1.0, 1.5, -0.1):
        with pytest.raises(BadInput):
            price_of(100.0, odd)
    with pytest.raises(BadInput):
        margin_of(-0.2)
