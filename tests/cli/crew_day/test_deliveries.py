"""The list of deliveries: by day and supplier, merged for the yard, on hand first, told on the sheet."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from planner.store.shipped.own_file import shipped_text
from tests.cli.conftest import Run


def listed(run: Run, *words: str) -> list[dict[str, Any]]:
    code, out, err = run("deliveries", "list", "--days", "60", "--json", *words)
    assert code == 0, err
    return list(json.loads(out)["data"]["deliveries"])


@pytest.fixture
def asked(run: Run) -> Run:
    """Nothing lies in the yard yet: the orders' ticks are taken back."""
    for code in ("P-1", "P-2"):
        for order in ("liner", "stone"):
            assert run("office", "untick", f"here:{code}:{order}")[0] == 0
    return run


def test_what_is_here_comes_no_more(run: Run) -> None:
    assert listed(run) == []
    assert "No delivery is to come" in run("deliveries", "list")[1]


def test_liner_of_two_jobs_comes_to_the_yard_as_one_and_stone_to_each_site(asked: Run) -> None:
    found = listed(asked)
    liner = [d for d in found if d["order"] == "liner"]
    assert [([j["job"] for j in d["jobs"]], d["to"], d["loads"], d["loads_one_by_one"]) for d in liner] == [
        (["P-1", "P-2"], "yard", 1, 2)
    ]
    stone = [d for d in found if d["order"] == "stone"]
    assert [[j["job"] for j in d["jobs"]] for d in stone] == [["P-1"], ["P-2"]]
    assert all((d["to"], d["loads"], d["weight_ton"]) == ("site", 1, 3.0) for d in stone)
    assert [r["quantity"] for r in stone[0]["jobs"][0]["rows"]] == [3.0]


def test_what_is_on_hand_goes_to_the_job_that_needs_it_first(asked: Run) -> None:
    assert asked("deliveries", "on-hand", "boulder_small", "4")[0] == 0
    stone = [d for d in listed(asked) if d["order"] == "stone"]
    assert [[r["quantity"] for r in d["jobs"][0]["rows"]] for d in stone] == [[2.0]]
    assert "From the yard" in asked("deliveries", "list", "--days", "60")[1]
    assert asked("deliveries", "on-hand", "boulder_small", "0")[0] == 0
    assert len([d for d in listed(asked) if d["order"] == "stone"]) == 2


def test_a_confirmed_day_stands_on_the_sheet_of_that_day(asked: Run) -> None:
    booked = json.loads(asked("plan", "show", "--json")[1])["data"]["bookings"]
    last = max((b for b in booked if b["job"] == "P-2"), key=lambda b: b["end"])
    day, crew = last["end"][:10], last["crews"][0]
    before, after = (str(np.busday_offset(day, n)) for n in (-1, 1))
    assert asked("office", "arrives", "P-2", "stone", "--on", day)[0] == 0
    (stone,) = [d for d in listed(asked) if d["order"] == "stone" and d["jobs"][0]["job"] == "P-2"]
    assert (stone["day"], stone["day_is_told"], stone["received_by"]) == (day, True, crew)
    sheet = asked("sheet", crew, day)[1]
    assert "ARRIVES TODAY" in sheet and "P-2: boulders and waterfall stone" in sheet
    assert "1 truckload" in sheet
    assert "ARRIVES TODAY" not in asked("sheet", crew, after)[1]
    assert "Load this evening: " in asked("sheet", crew, before)[1]


def test_suppliers_lend_their_yard_and_lead_and_one_without_a_lead_is_one_line(asked: Run) -> None:
    own = shipped_text("lead_times.toml")
    stone = own[own.index('key = "stone"') : own.index('key = "gravel"')]
    named = stone.replace("lead_days = 7", 'supplier = "Hill Quarry (invented)"')
    quarry = '[[supplier]]\nname = "Hill Quarry (invented)"\nyard = "12 Quarry Road"\nlead_days = 4\n'
    Path("lead_times.toml").write_text(own.replace(stone, named) + quarry, "utf-8")
    told = asked("deliveries", "list", "--days", "60")[1]
    assert "Hill Quarry (invented), from 12 Quarry Road" in told
    for text, says in (
        (own.replace(stone, named) + quarry.replace("lead_days = 4\n", ""), "give supplier Hill Quarry"),
        (own.replace(stone, named), "add a [[supplier]] of that name"),
        (own.replace("ton = 12.5", "ton = 0"), "one truckload carries"),
        (own.replace('to = "site"', 'to = "moon"', 1), "write site or yard"),
    ):
        Path("lead_times.toml").write_text(text, "utf-8")
        code, out, err = asked("deliveries", "list")
        assert (code, out) == (2, "") and says in err and err.count("\n") == 1, err


def test_wrong_words_are_one_line(run: Run) -> None:
    for words in (("on-hand", "gold", "3"), ("on-hand", "gravel", "-1"), ("list", "--days", "0")):
        code, out, err = run("deliveries", *words)
        assert (code, out) == (2, "") and err.count("\n") == 1, err
    assert not Path("on_hand.csv").exists()
