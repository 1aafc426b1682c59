"""A morning on each kind of store through the commands: the one setting is where the database is."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from planner.cli.main import main
from tests.conftest import NOW

WORK = ["-q", "dig_machine_cy=12", "-q", "liner_ft2=400", "-q", "boulder_small_ton=3", "-q", "fill_gal=1500"]
MORNING = [
    ["db", "create"],
    ["db", "upgrade"],
    ["crew", "add", "North", "--lead", "Ada", "--skills", "excavator,stonework,plumbing"],
    ["machine", "add", "excavator", "excavator", "--units", "2"],
    ["firm", "set", "--state", "OH"],
    ["job", "add", "P-1", "Łąka [bold] 🪨", "--promised", "2027-05-20", *WORK],
    ["job", "add", "P-3", "Mere", "--status", "inquiry", *WORK],
    ["estimate", "P-1"],
    ["plan", "make", "--seconds", "0.3"],
    ["plan", "publish"],
    ["board", "--week", "2027-W14"],
    ["sheet", "North", "2027-04-05"],
    ["calendar", "--crew", "North"],
    ["log", "add", "P-1", "dig", "North", "4", "--day", "2027-04-05", "--share", "0.4"],
    ["lost", "rain", "2027-04-06"],
    ["replan", "--quick"],
    ["plan", "publish"],
    ["office", "list"],
    ["promise", "ask", "P-3"],
    ["season"],
    ["today"],
    ["history", "list"],
    ["history", "undo", "--yes"],
    ["db", "state"],
]


def test_a_morning(
    location: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    for name, value in (("PLANNER_DB", location), ("PLANNER_NOW", NOW), ("PLANNER_USER", "ada")):
        monkeypatch.setenv(name, value)
    monkeypatch.chdir(tmp_path)
    for words in MORNING:
        code = main(words)
        told = capsys.readouterr()
        assert code == 0, (words, told.err)
        assert "Traceback" not in told.err
    assert main(["job", "show", "P-1", "--json"]) == 0
    assert json.loads(capsys.readouterr().out)["data"]["client"] == "Łąka [bold] 🪨"
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "data"))
    assert main(["db", "backup"]) == 0
