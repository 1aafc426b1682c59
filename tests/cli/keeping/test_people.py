"""People by name through the commands: named, moved, lent, away, removed, taken back; bad input one line."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from planner.cli.main import main

Run = Callable[..., tuple[int, str, str]]


@pytest.fixture
def run(
    new_season: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> Run:
    monkeypatch.setenv("PLANNER_DB", str(new_season))
    monkeypatch.chdir(tmp_path)

    def typed(*words: str) -> tuple[int, str, str]:
        code = main(list(words))
        told = capsys.readouterr()
        return code, told.out, told.err

    typed("crew", "add", "North", "--lead", "Ada", "--size", "3", "--skills", "excavator")
    typed("crew", "add", "South", "--lead", "Dot", "--size", "2")
    typed("machine", "add", "excavator", "mini excavator")
    typed("people", "add", "Ada", "--crew", "North", "--may", "excavator,tow")
    typed("people", "add", "Ben", "--crew", "North", "--counts", "0.5")
    return typed


def people(run: Run) -> dict[str, dict[str, Any]]:
    return {row["name"]: row for row in json.loads(run("people", "list", "--json")[1])["data"]}


def test_people_are_named_moved_lent_away_and_removed(run: Run) -> None:
    held = people(run)
    assert (held["Ada"]["crew"], held["Ada"]["leads"], held["Ada"]["may"]) == (
        "North",
        True,
        ["excavator", "tow"],
    )
    assert (held["Ben"]["leads"], held["Ben"]["counts"]) == (False, 0.5)
    assert run("people", "lend", "Ada", "South", "2027-06-14")[0] == 0
    assert run("people", "away", "Ada", "2027-06-21", "2027-06-25", "--why", "course")[0] == 0
    assert people(run)["Ada"]["lent"][0]["to"] == "South"
    assert "(course)" in run("people", "list")[1]
    assert (
        run("people", "change", "Ada", "--crew", "South", "--lead")[0] == 2
    )  # lent to where they now belong
    assert run("people", "lend", "Ada", "South", "2027-06-14", "--drop")[0] == 0
    assert run("people", "change", "Ada", "--crew", "South", "--lead")[0] == 0
    crews = {c["name"]: c for c in json.loads(run("crew", "list", "--json")[1])["data"]}
    assert (crews["South"]["lead"], crews["North"]["lead"]) == ("Ada", "Ben")
    assert run("people", "remove", "Ada", "--yes")[0] == 0
    assert "Ada" not in people(run)
    assert run("history", "undo", "--yes")[0] == 0
    assert people(run)["Ada"]["crew"] == "South"


@pytest.mark.parametrize(
    ("words", "told"),
    [
        ("add Ada --crew South", "person = 'Ada': is of North already"),
        ("add Cy", "crew = ''"),
        ("add Cy --crew Nort", "crew = 'Nort': did you mean North?"),
        ("add Cy --crew North --may excavater", "may = 'excavater': did you mean excavator?"),
        ("add Cy --crew North --counts 2", "counts = 2.0: use a number above 0, up to 1"),
        ("change Adda --may tow", "person = 'Adda': did you mean Ada?"),
        ("lend Ada North 2027-06-14", "lent to = 'North': Ada belongs to North"),
        ("lend Ada West 2027-06-14", "crew = 'West'"),
        ("away Ada 2027-06-14 2027-06-10", "days away"),
        ("away Ada 2027-06-14 --drop", "first day"),
    ],
)
def test_bad_input_is_one_line_and_changes_nothing(run: Run, words: str, told: str) -> None:
    before = run("export", "firm")[1]
    code, _, err = run("people", *words.split())
    assert (code, told in err, len(err.splitlines())) == (2, True, 1), err
    assert run("export", "firm")[1] == before


def test_days_of_two_crews_at_once_are_refused(run: Run) -> None:
    assert run("people", "away", "Ben", "2027-06-14", "2027-06-18")[0] == 0
    code, _, err = run("people", "lend", "Ben", "South", "2027-06-16")
    assert code == 2 and "Ben is away or lent then" in err


def test_a_crew_names_no_more_people_than_it_has_hands(run: Run) -> None:
    assert run("people", "add", "Cy", "--crew", "North")[0] == 0
    code, _, err = run("people", "add", "Dee", "--crew", "North")
    assert code == 2 and "North has 3 hands: raise its size first" in err


def test_people_move_between_crews_by_file(run: Run, tmp_path: Path) -> None:
    assert run("export", "people", "p.csv")[0] == 0
    text = (tmp_path / "p.csv").read_text()
    assert text.splitlines()[1:] == ["Ada,North,yes,excavator tow,1", "Ben,North,no,,0.5"]
    (tmp_path / "p.csv").write_text("name,crew,leads,may,counts\nBen,South,yes,stonework,1\n")
    assert run("import", "people", "p.csv")[0] == 0
    held = people(run)["Ben"]
    assert (held["crew"], held["leads"], held["may"]) == ("South", True, ["stonework"])
    (tmp_path / "p.csv").write_text("name,crew,may\nBen,Sooth,stonewrk\n")
    code, _, err = run("import", "people", "p.csv")
    assert (code, len(err.splitlines())) == (2, 2), err
