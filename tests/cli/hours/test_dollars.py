"""What is not labor, beside it: the parts of each price at cost, and what of the material is ordered."""

from __future__ import annotations

import json
from typing import Any

import pytest

from tests.cli.conftest import Run

PARTS = {"materials": "materials_usd", "machines": "machines_usd", "haul": "haul_usd"}


def data(run: Run, *words: str) -> dict[str, Any]:
    code, out, err = run(*words, "--json")
    assert code == 0, err
    return dict(json.loads(out)["data"])


def test_what_is_not_labor_is_the_price_at_cost_and_ordered_follows_the_ticks(run: Run) -> None:
    """The price told part by part is the other way to the same figures; `office here` ticks every order."""
    (job,) = data(run, "hours", "P-2", "--dollars")["jobs"]
    mine = job["not_labor"]
    price = data(run, "price", "P-2")
    told = {part["part"]: part["cost_usd"] for part in price["parts"]}
    for name, key in PARTS.items():
        assert mine[key] == pytest.approx(told.get(name, 0.0), abs=0.01), name
    assert mine["visits_usd"] == pytest.approx(told.get("visits of others", 0.0), abs=0.01)
    assert mine["planned_usd"] == pytest.approx(sum(told.values()) - told["labor"], abs=0.02)
    assert job["end_with_all_usd"] == pytest.approx(job["end_usd"] + mine["planned_usd"])
    assert mine["unpriced"] == price["unpriced"]
    assert run("office", "here", "P-2")[0] == 0
    (job,) = data(run, "hours", "P-2", "--dollars")["jobs"]
    assert job["not_labor"]["ordered_usd"] == pytest.approx(mine["materials_usd"])
