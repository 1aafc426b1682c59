"""Trucks through the commands: kept, put into the shop, taken back, written out and read in again."""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest

from planner.cli.main import main


@dataclass(frozen=True)
class Done:
    code: int
    out: str
    err: str


Run = Callable[..., Done]


@pytest.fixture
def firm(
    new_season: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> Run:
    """Types a command into a firm with a crew, an excavator on its trailer and two trucks."""
    monkeypatch.setenv("PLANNER_DB", str(new_season))
    monkeypatch.setenv("PLANNER_USER", "ada")
    monkeypatch.setenv("PLANNER_NOW", "2027-04-01T06:45")
    monkeypatch.chdir(tmp_path)

    def run(*words: str, code: int = 0) -> Done:
        capsys.readouterr()
        done = Done(main(list(words)), *capsys.readouterr())
        assert done.code == code, done.err
        return done

    run("crew", "add", "North", "--lead", "Ada")
    run("machine", "add", "excavator", "mini excavator", "--towed", "9800lb")
    run("truck", "add", "dump1", "dump truck", "--tows", "12000lb", "--payload", "5000lb", "--tows-day", "2")
    run("truck", "add", "pickup", "pickup", "--tows", "3175kg", "--crew", "North")
    return run


def trucks(run: Run) -> dict[str, dict[str, Any]]:
    return {row["key"]: row for row in json.loads(run("truck", "list", "--json").out)["data"]}


def rounded(truck: dict[str, Any]) -> dict[str, Any]:
    """A table writes some digits of a weight."""
    return {**truck, "tows_lb": round(truck["tows_lb"])}


def test_a_truck_is_kept_changed_and_taken_back(firm: Run) -> None:
    # 3,175 kg / 0.45359237 kg a pound = 7,000 lb to a pound.
    assert trucks(firm)["pickup"]["tows_lb"] == pytest.approx(7_000, abs=1)
    firm("truck", "shop", "dump1", "2027-06-07", "2027-06-08", "--why", "brakes")
    assert trucks(firm)["dump1"]["out"] == [{"first": "2027-06-07", "last": "2027-06-08", "why": "brakes"}]
    firm("history", "undo", "--yes")
    assert trucks(firm)["dump1"]["out"] == []
    firm("truck", "change", "pickup", "--crew", "")
    assert trucks(firm)["pickup"]["crew"] == ""
    firm("truck", "remove", "pickup", "--yes")
    assert list(trucks(firm)) == ["dump1"]
    firm("history", "undo", "--yes")
    assert trucks(firm)["pickup"]["crew"] == ""
    assert "truck removed" in firm("history", "list").out


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("truck", "add", "Big One", "x"), "truck = 'Big One'"),
        (("truck", "add", "van", "van", "--tows", "heavy"), "write a number in lb"),
        (("truck", "add", "van", "van", "--tows", "-5"), "use a number from 0"),
        (("truck", "add", "van", "van", "--tows-day", "0"), "tows_day"),
        (("truck", "add", "van", "van", "--crew", "Nort"), "did you mean North?"),
        (("truck", "change", "dump2", "--tows", "5"), "did you mean dump1?"),
        (("truck", "shop", "dump1", "2027-06-09", "2027-06-08"), "days in the shop"),
        (("machine", "change", "excavator", "--towed", "1e9"), "towed_lb"),
    ],
)
def test_what_cannot_be_is_refused_in_one_line(firm: Run, words: tuple[str, ...], said: str) -> None:
    before = firm("export", "firm").out
    refused = firm(*words, code=2)
    assert said in refused.err
    assert len(refused.err.splitlines()) == 1
    assert firm("export", "firm").out == before


def test_tables_and_the_whole_firm_hold_trucks(firm: Run, tmp_path: Path) -> None:
    firm("truck", "shop", "dump1", "2027-06-07", "--why", "brakes")
    kept = trucks(firm)
    for kind in ("crews", "machines", "trucks", "days-off"):
        (tmp_path / f"{kind}.csv").write_text(firm("export", kind).out, "utf-8")
    (tmp_path / "firm.json").write_text(firm("export", "firm").out, "utf-8")
    other = tmp_path / "other.sqlite3"
    firm("--db", str(other), "db", "create")
    for kind in ("crews", "machines", "trucks", "days-off"):
        firm("--db", str(other), "import", kind, str(tmp_path / f"{kind}.csv"))
    again = json.loads(firm("--db", str(other), "truck", "list", "--json").out)["data"]
    assert [rounded(row) for row in again] == [rounded(row) for row in kept.values()]
    whole = tmp_path / "whole.sqlite3"
    firm("--db", str(whole), "db", "create")
    firm("--db", str(whole), "import", "firm", str(tmp_path / "firm.json"))
    assert firm("--db", str(whole), "export", "firm").out == firm("export", "firm").out
