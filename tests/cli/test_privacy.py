"""What each output carries: a crew's papers hold no phone number, price or office note.

Each private thing is a word that occurs nowhere else; the outputs are searched for it. The table below is the
one in the README ("What each output carries").
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from planner.cli.main import main
from tests.conftest import SKILLS, WORK

#: What an outsider must not read -> the word that stands for it.
PRIVATE = {
    "phone": "5550199",
    "office notes": "quarrelsome",
    "region": "farshire",
    "reason of a blackout": "divorce",
    "note of a gate": "halfpaid",
    "importance": "7.7531",
    "price of a move": "871.25",
    "money weight": "913.75",
    "line of another crew's client": "Zebulon",
}
#: output -> the private things it may carry
MAY_CARRY: dict[str, set[str]] = {
    "sheet North 2027-04-05": set(),
    "sheet North 2027-04-05 --json": set(),
    "sheet North 2027-04-05 --page {out}": set(),
    "calendar --crew North --out {out}": set(),
    "calendar --job P-1 --out {out}": set(),
    "calendar --machine excavator --out {out}": {"line of another crew's client"},
    "board --week 2027-04-05": {"line of another crew's client"},
    "board --week 2027-04-05 --csv": {"line of another crew's client"},
    "board --week 2027-04-05 --page {out}": {"line of another crew's client"},
}


@pytest.fixture(scope="module")
def season(tmp_path_factory: pytest.TempPathFactory, ready: Path) -> Path:
    """Two jobs of two crews, planned and published; everything private is a word of its own."""
    path = tmp_path_factory.mktemp("private") / "season.sqlite3"
    path.write_bytes(ready.read_bytes())
    commands = [
        ["crew", "add", "North", "--lead", "Ada", "--skills", SKILLS],
        ["crew", "add", "South", "--lead", "Bo", "--skills", SKILLS],
        ["machine", "add", "excavator", "excavator", "--units", "2", "--move-cost", "871.25"],
        ["firm", "set", "--weight", "crew_change=913.75", "--state", "OH"],
        ["job", "add", "P-1", "Marsh", "--address", "1 Hill Road", "--phone", "5550199",
         "--notes", "quarrelsome", "--region", "farshire", "--importance", "7.7531",
         "--promised", "2027-05-20", *WORK],
        ["job", "add", "P-2", "Zebulon", "--phone", "5550199", "--notes", "quarrelsome", *WORK],
        ["job", "blackout", "P-1", "2027-06-01", "--why", "divorce"],
        ["job", "gate", "P-1", "deposit", "2027-03-01", "--met", "--note", "halfpaid"],
        ["job", "gate", "P-1", "utility locate", "2027-04-01", "--met"],
        ["job", "gate", "P-2", "utility locate", "2027-04-01", "--met"],
        ["job", "pin", "P-1", "dig", "--crew", "North", "--start", "2027-04-05T07:00"],
        ["job", "pin", "P-2", "dig", "--crew", "South", "--start", "2027-04-05T07:00"],
        ["plan", "make", "--seconds", "1"],
        ["plan", "publish"],
    ]  # fmt: skip
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("PLANNER_NOW", "2027-04-01T06:45")
        for words in commands:
            assert main(["--db", str(path), *words]) == 0, words
    return path


@pytest.fixture
def written(
    season: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> Callable[[str], str]:
    """Runs a command; gives everything it wrote to screen and file."""

    def run(command: str) -> str:
        monkeypatch.setenv("PLANNER_NOW", "2027-04-05T06:45")
        monkeypatch.setenv("COLUMNS", "140")
        out = tmp_path / "out"
        assert main(["--db", str(season), *command.format(out=out).split()]) == 0
        return capsys.readouterr().out + (out.read_text("utf-8") if out.exists() else "")

    return run


@pytest.mark.parametrize("command", MAY_CARRY)
def test_what_each_output_carries(written: Callable[[str], str], command: str) -> None:
    text = written(command)
    # the code is for the office and its crews; the client's own calendar tells the site and no code
    assert ("1 Hill Road" in text and "P-1" not in text) if "--job" in command else "P-1" in text
    found = {what for what, word in PRIVATE.items() if word in text.replace("\r\n ", "")}
    assert found <= MAY_CARRY[command]


def test_the_office_finds_everything_in_its_own_files(written: Callable[[str], str]) -> None:
    text = written("export firm")
    assert {what for what, word in PRIVATE.items() if word not in text} == set()
