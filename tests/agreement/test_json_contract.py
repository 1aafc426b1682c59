"""Every `--json` answer keeps its contract: the envelope, the fields, a unit for each measured number.

Outside judge: JSON Schema, draft 2020-12, by the jsonschema package.
"""

from __future__ import annotations

import json
import os
import re
from collections import defaultdict
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
import typer.main
from jsonschema import Draft202012Validator

from planner.cli.main import app
from tests.agreement.contracts import filled_in, schema_of, without_unit
from tests.agreement.desk import Desk
from tests.agreement.seasons import Shelf

#: Name of an answer -> its schema.
CONTRACTS = Path(__file__).parents[1] / "contracts.json"
SEASONS = (
    "published",
    "begun",
    "metric",
    "a place is held",
    "promises late and tight",
    "visits between the installs",
    "walk of the marks missed",
    "people by name, the operator away",
    "one truck for two excavators",
)
#: What is asked in each season; DESIGN and TABLE stand for files, WEEK for the first week of the plan.
ASKED = """
today / board / board --week WEEK / sheet Red / season / calendar --out FILE / estimate L02
estimate L02 --explain / log list / office list --all / office locate OH / lost list / plan list
plan show / plan show 1 / plan diff 1 1 / plan why L01 / promise ask L09 / promise list
chance show --seasons 50 / chance station / design check DESIGN
design take-off DESIGN L01 --dry-run / design materials DESIGN / design pump DESIGN / rates list
rates show / rates refit / job list / job show L01 / crew list / people list / machine list / firm show
truck list
history list / db state / db check / plan make --steps 300 / replan --quick
hours / hours --week / hours --dollars / hours --done / hours --pictures
rates import TABLE --dry-run / import jobs JOBS --dry-run / log add L02 dig Red 3 / job show L09
job like L02 L77 Copy --size 1.5 / visit list / log clock CLOCK --dry-run
weather show / today / deliveries list --days 300 / price L02
"""
#: Commands that need more than a season to answer (a returned sheet, an overtime question), and the guide.
ELSEWHERE = {"return", "what-if", "guide"}


def contracts() -> dict[str, Any]:
    return dict(json.loads(CONTRACTS.read_text("utf-8")))


def commands() -> list[tuple[str, ...]]:
    return [tuple(words.split()) for words in re.split(r" / |\n", ASKED.strip())]


def with_files(desk: Desk, words: tuple[str, ...]) -> tuple[str, ...]:
    (desk.folder / "rates.csv").write_text(
        "key,low,likely,high,source\nrock.set.two,2,3,5,our own\n", "utf-8"
    )
    (desk.folder / "jobs.csv").write_text("code,client\nL02,Client 2 (invented)\n", "utf-8")
    at = f"{desk.now:%Y-%m-%d}"
    clocked = f"crew,in,out,job,phase\nRed,{at} 05:00,{at} 06:00,L02,fill\n"
    (desk.folder / "clock.csv").write_text(clocked, "utf-8")
    if words == ("weather", "show"):  # so that one `today` is told without a forecast and one with it
        cells = f'{at},90,1.5,35,60,8,,"Columbus, OH",{at}\n'
        head = "date,rain_chance,rain_in,low_f,high_f,wind_mph,humidity,place,made\n"
        (desk.folder / "forecast.csv").write_text(head + cells, "utf-8")
    names = {
        "CLOCK": str(desk.folder / "clock.csv"),
        "DESIGN": str(desk.folder / "L01.toml"),
        "TABLE": str(desk.folder / "rates.csv"),
        "JOBS": str(desk.folder / "jobs.csv"),
        "FILE": str(desk.folder / "out.ics"),
        "WEEK": "2027-04-05",
    }
    return tuple(names.get(word, word) for word in words)


@pytest.fixture(scope="module")
def answers(tmp_path_factory: pytest.TempPathFactory) -> dict[str, list[Any]]:
    """Name of an answer -> every envelope that the seasons gave. A refusal is no answer."""
    shelf = Shelf(tmp_path_factory.mktemp("seasons"))
    found: dict[str, list[Any]] = defaultdict(list)
    for season in SEASONS:
        kept = shelf.desk(season)
        desk = kept.copied(season, shelf.folder / f"asked {season}", kept.now)  # some commands change it
        for words in commands():
            code, out, _ = desk._typed((*with_files(desk, words), "--json"))
            if out:
                assert code in (0, 1), (season, words, code)
                envelope = json.loads(out)
                found[envelope["planner"]].append(envelope)
    if os.environ.get("REWRITE_CONTRACTS"):
        fresh = {name: schema_of(name, [e["data"] for e in told]) for name, told in found.items()}
        kept = contracts()
        fresh = {name: filled_in(schema, kept.get(name, {})) for name, schema in fresh.items()}
        every = dict(sorted(({"error": kept["error"]} | fresh).items()))
        CONTRACTS.write_text(json.dumps(every, indent=1, ensure_ascii=False) + "\n", "utf-8")
    return found


def test_every_answer_keeps_its_schema(answers: dict[str, list[Any]]) -> None:
    wrong = []
    for name, told in answers.items():
        schema = contracts()[name]
        Draft202012Validator.check_schema(schema)
        judge = Draft202012Validator(schema)
        for envelope in told:
            wrong += [f"{name}: {e.json_path}: {e.message[:200]}" for e in judge.iter_errors(envelope)]
    assert not wrong, "\n".join(sorted(set(wrong))[:40])


def test_every_schema_is_answered_and_every_answer_has_one(answers: dict[str, list[Any]]) -> None:
    assert set(contracts()) == {"error", *answers}


def test_every_command_with_json_is_asked() -> None:
    def leaves(command: Any, path: tuple[str, ...]) -> Iterator[tuple[str, ...]]:
        for name, inner in getattr(command, "commands", {}).items():
            yield from leaves(inner, (*path, name))
        if any("--json" in p.opts for p in command.params):
            yield path

    known = {" ".join(words) for words in leaves(typer.main.get_command(app), ())}
    asked = {name for words in commands() for n in (1, 2) if (name := " ".join(words[:n])) in known}
    assert known - asked == ELSEWHERE


@pytest.mark.parametrize("name", contracts())
def test_every_measured_number_tells_its_unit(name: str) -> None:
    schema = contracts()[name]
    bare = list(without_unit(schema["properties"]["data"], schema["title"]))
    assert not bare, bare


def test_a_key_without_its_unit_is_found() -> None:
    assert list(without_unit(schema_of("x", [{"depth": 3.5}])["properties"]["data"], "x")) == ["x.depth"]
    for told in ({"depth_in": 3.5}, {"quantity": 3.5, "unit": "cy"}, {"crew_h": {"p80": 2.0}}, {"jobs": 3}):
        assert not list(without_unit(schema_of("x", [told])["properties"]["data"], "x"))


def test_a_list_that_happens_to_be_empty_keeps_its_schema() -> None:
    full = [{"lines": [{"depth_in": 3.5, "more": [1]}], "note": "x", "gone": 1}]
    kept = schema_of("x", full)
    for silent in ({"lines": []}, {"lines": [], "note": None}, {"lines": [{"depth_in": 3.5, "more": []}]}):
        data = filled_in(schema_of("x", [silent]), kept)["properties"]["data"]["properties"]
        assert data["lines"] == kept["properties"]["data"]["properties"]["lines"]
        assert "gone" not in data
        assert data.get("note") in (None, {"type": "string"})
    either = schema_of("x", [{"lines": None}, *full])
    again = filled_in(schema_of("x", [{"lines": None}, {"lines": []}]), either)
    assert (
        again["properties"]["data"]["properties"]["lines"]
        == either["properties"]["data"]["properties"]["lines"]
    )
    assert filled_in(kept, kept) == kept
