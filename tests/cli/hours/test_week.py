"""The owner's week: paid, planned, worked, idle by hand; who is silent; the next four weeks."""

from __future__ import annotations

import json
from typing import Any

import pytest

from tests.cli.conftest import Run


def week(run: Run) -> dict[str, Any]:
    code, out, err = run("hours", "--week", "--json")
    assert code == 0, err
    return dict(json.loads(out)["data"])


def test_paid_hours_without_work_are_told_in_dollars(run: Run) -> None:
    """Monday April 5: North logged 4 h today; five days of 8 h are paid to each crew."""
    seen = week(run)
    usd_h = seen["burdened_labour_h_usd"]
    crews = {row["crew"]: row for row in seen["crews"]}
    north, south = crews["North"], crews["South"]
    assert (north["paid_crew_h"], north["worked_crew_h"]) == (40, 4)
    assert north["idle_ahead_crew_h"] == 36 - north["planned_crew_h"] and north["idle_so_far_crew_h"] == 0
    idle_h = 40 - south["planned_crew_h"]
    assert south["idle_ahead_crew_h"] == idle_h
    assert south["idle_usd"] == pytest.approx(idle_h * south["people"] * usd_h, abs=0.01)
    assert len(seen["ahead"]) == 4 and seen["ahead"][0]["monday"] == "2027-04-12"
    for one in seen["ahead"]:
        assert one["idle_crew_h"] <= one["paid_crew_h"]
        assert one["paid_crew_h"] - one["planned_crew_h"] == pytest.approx(one["idle_crew_h"])


def test_a_planned_day_without_hours_is_silent_and_not_idle(
    run: Run, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("PLANNER_NOW", "2027-04-15T06:45")
    crews = {row["crew"]: row for row in week(run)["crews"]}
    silent = crews["North"]["not_reported"]
    assert "2027-04-12" in silent and "2027-04-15" not in silent
    assert "! North has not reported Mon Apr 12" in run("hours", "--week")[1]
    assert run("log", "add", "P-2", "dig", "North", "5", "--day", "2027-04-12")[0] == 0
    north = {row["crew"]: row for row in week(run)["crews"]}["North"]
    assert "2027-04-12" not in north["not_reported"]
    assert north["idle_so_far_crew_h"] >= 3


def test_the_last_four_weeks_tell_what_reported_days_left_idle(
    run: Run, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Two weeks on: North logged 4 h of a paid day of 8 h on April 5; nobody else reported."""
    monkeypatch.setenv("PLANNER_NOW", "2027-04-19T06:45")
    seen = week(run)
    assert [one["monday"] for one in seen["behind"]][:2] == ["2027-04-12", "2027-04-05"]
    first = seen["behind"][1]
    people = {row["crew"]: row["people"] for row in seen["crews"]}
    assert (first["paid_crew_h"], first["worked_crew_h"], first["idle_crew_h"]) == (8, 4, 4)
    assert first["idle_usd"] == pytest.approx(4 * people["North"] * seen["burdened_labour_h_usd"], abs=0.01)
    assert first["not_reported_crew_days"] == 5 * len(people) - 1
    assert "the last four weeks" in run("hours", "--week")[1]
