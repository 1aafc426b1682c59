"""The price by hand from its parts, the proposal's steps, what has no price, a wrong money.toml."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from planner.store.shipped.own_file import shipped_text
from tests.cli.conftest import Run

ALL = "[materials]\nliner = 0.9\nboulder_small = 120\n"


@pytest.fixture
def priced(run: Run) -> Run:
    Path("money.toml").write_text(shipped_text("money.toml").replace("[materials]\n", ALL), "utf-8")
    return run


def test_the_price_is_the_sum_of_its_parts_by_the_firms_percentages(priced: Run) -> None:
    code, out, err = priced("price", "P-2", "--json")
    assert code == 0, err
    price = json.loads(out)["data"]
    parts = {p["part"]: p for p in price["parts"]}
    assert parts["materials"]["cost_usd"] == pytest.approx(400 * 0.9 + 3 * 120)
    assert parts["materials"]["asked_usd"] == pytest.approx(720 * 1.15)
    assert parts["labor"]["cost_usd"] == pytest.approx(
        price["labour_h"] * price["burdened_labour_h_usd"], rel=1e-4
    )
    direct = sum(p["asked_usd"] for p in price["parts"])
    assert price["overhead_usd"] == pytest.approx(0.2 * direct, abs=0.02)
    before = direct * 1.2 / 0.85
    assert price["margin_usd"] == pytest.approx(0.15 * before, abs=0.02)
    assert price["asked_usd"] == pytest.approx(before / 0.95, abs=0.6)
    assert price["allowance_usd"] == pytest.approx(0.05 * price["asked_usd"], abs=0.05)
    assert price["unpriced"] == []
    paid = [p["amount_usd"] for p in price["payments"]]
    assert sum(paid) == pytest.approx(price["asked_usd"], abs=1e-9)
    assert [p["due"] for p in price["payments"]] == ["deposit", "dig", "rock", "finish"]
    days = [p["day"] for p in price["payments"]]
    booked = json.loads(priced("plan", "show", "--json")[1])["data"]["bookings"]
    finish = max(b["end"] for b in booked if b["job"] == "P-2")[:10]
    assert days[0] is None and days[1:] == sorted(days[1:]) and days[-1] == finish


def test_what_has_no_price_is_told_and_stops_the_proposal(run: Run) -> None:
    assert "! Not in the price, no price is known: " in run("price", "P-2")[1]
    code, out, err = run("proposal", "P-2")
    assert (code, out) == (2, "") and "--even-so" in err and err.count("\n") == 1
    code, out, _ = run("proposal", "P-2", "--even-so")
    assert code == 0 and "  - material and hours that are priced apart: liner" in out


def test_the_proposal_says_the_same_on_the_terminal_and_as_a_page(priced: Run) -> None:
    asked = json.loads(priced("price", "P-2", "--json")[1])["data"]
    text = priced("proposal", "P-2")[1]
    assert priced("proposal", "P-2", "--page", "p.html")[0] == 0
    page = Path("p.html").read_text("utf-8").partition("</style>")[2]
    for told in (f"${asked['asked_usd']:,.0f}", "deposit, to hold the days", "Not in it", "when dig is done"):
        assert told in text and told in page, told
    for step in asked["payments"]:
        assert f"{step['amount_usd']:,.2f}" in text and f"{step['amount_usd']:,.2f}" in page
    assert "[bold]" in page and "<script" not in page
    for secret in ("margin", "overhead", "burdened"):
        assert secret not in text.lower() and secret not in page.lower(), "the client sees no inner figures"


@pytest.mark.parametrize(
    ("was", "to", "says"),
    [
        ("margin = 0.15", "margin = 1.0", "[price] margin"),
        ("wage_usd_h = 24.0", 'wage_usd_h = "24"', "[labor] wage_usd_h"),
        ("unworked_h_year = 100", "unworked_h_year = 1800", "unworked_h_year"),
        ("finish = 0.1", "finish = 0.2", "add up to 1"),
        ("finish = 0.1", "party = 0.1", "[payments]"),
        ("[materials]", "[materials]\ngold = 3", "[materials]"),
        ("overhead = 0.20", "overheads = 0.20", "[price]"),
    ],
)
def test_a_wrong_money_file_is_one_line(run: Run, was: str, to: str, says: str) -> None:
    text = shipped_text("money.toml")
    assert was in text
    Path("money.toml").write_text(text.replace(was, to, 1), "utf-8")
    for words in (("price", "P-2"), ("hours", "--week")):
        code, out, err = run(*words)
        assert (code, out) == (2, "") and says in err and err.count("\n") == 1, err


def test_a_job_without_quantities_and_one_unknown_are_one_line(run: Run) -> None:
    assert run("job", "add", "P-9", "Lee")[0] == 0
    assert run("price", "P-9")[0] == 1
    assert run("price", "P-99")[0] == 2
