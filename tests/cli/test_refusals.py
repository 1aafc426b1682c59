"""A refusal in one style everywhere: one line with field, value and fix, or the same parts as JSON."""

from __future__ import annotations

import ast
import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from jsonschema import Draft202012Validator

from planner.cli.main import main
from planner.cli.refusals import rows_of
from planner.errors import (
    BadInput,
    BadInputs,
    NoPlanFits,
    NoPlanInTime,
    PlannerError,
    StoreTrouble,
    Unreadable,
)

ROOT = Path(__file__).parents[2]
#: What is typed, and the one line that answers.
MISTYPED = {
    "job lst": "planner: command = 'lst': did you mean list?",
    "why L01": "planner: command = 'why': did you mean planner plan why?",
    "cancel L01": "planner: command = 'cancel': did you mean planner job cancel?",
    "gate L01": "planner: command = 'gate': did you mean planner job gate?",
    "job list --jsn": "planner: --jsn = 'unknown': did you mean --json?",
    "log add Q01 dig Heron -3": "planner: number = '-3': write a number from 0 up; "
    "`planner log add -h` shows how",
    "job list --foo": "planner: --foo = 'unknown': `planner job list -h` shows what there is",
    "job show": "planner: code = 'missing': give it; `planner job show -h` shows how",
    "plan make --seconds x": "planner: --seconds = 'x': write a number",
    "history list --limit 0": "planner: --limit = '0': write a number of at least 1",
    "history list --limit 2.5": "planner: --limit = '2.5': write a whole number",
    "office list --days": "planner: --days = 'missing': write its value after it; `planner -h` shows how",
}


@pytest.mark.parametrize("typed", MISTYPED)
def test_a_mistyped_command_line_is_told_like_a_wrong_value(
    typed: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(typed.split()) == 2
    assert capsys.readouterr().err == MISTYPED[typed] + "\n"


def told(words: list[str], capsys: pytest.CaptureFixture[str]) -> tuple[int, Any]:
    """The exit code of a command line and the data on the last line of its stderr."""
    capsys.readouterr()
    code = main(words)
    out, err = capsys.readouterr()
    assert out == ""
    found = json.loads(err.splitlines()[-1])
    contract = json.loads((ROOT / "tests" / "contracts.json").read_text("utf-8"))["error"]
    Draft202012Validator(contract).validate(found)
    assert found["data"]["exit_code"] == code
    return code, found["data"]["faults"]


def test_after_json_a_refusal_is_data_too(new_season: Path, capsys: pytest.CaptureFixture[str]) -> None:
    db = ["--db", str(new_season)]
    code, faults = told([*db, "job", "show", "X", "--json"], capsys)
    assert (code, faults[0]["code"]) == (2, "wrong_input")
    assert (faults[0]["field"], faults[0]["value"]) == ("job", "X")
    assert faults[0]["fix"] in faults[0]["message"]
    code, faults = told([*db, "plan", "show", "--json"], capsys)
    assert (code, faults[0]["code"], faults[0]["fix"]) == (1, "refused", "make one with `planner plan make`")
    code, faults = told(["--db", str(new_season) + "no", "job", "list", "--json"], capsys)
    assert (code, faults[0]["code"]) == (1, "database")
    code, faults = told([*db, "job", "lst", "--json"], capsys)
    assert (code, faults[0]["field"], faults[0]["fix"]) == (2, "command", "did you mean list?")
    code, faults = told([*db, "job", "--json"], capsys)
    assert code == 2


def test_every_fault_of_a_file_is_one_row(
    new_season: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    table = tmp_path / "jobs.csv"
    table.write_text("code,client,promised,importance\nP1,A,14/5/2027,heavy\nP2,B,2027-04-05,x\n", "utf-8")
    code, faults = told(["--db", str(new_season), "import", "jobs", str(table), "--json"], capsys)
    assert code == 2
    assert [(f["field"], f["value"]) for f in faults] == [
        ("promised", "14/5/2027"),
        ("importance", "heavy"),
        ("importance", "x"),
    ]
    assert [f["where"].split(" column")[0] for f in faults] == ["jobs.csv line 2"] * 2 + ["jobs.csv line 3"]


@pytest.mark.parametrize(
    ("made", "codes"),
    [
        (lambda: BadInput("a", float("nan"), "fix"), ["wrong_input"]),
        (lambda: BadInputs([BadInput("a", 1, "b"), BadInput("c", None, "d")]), ["wrong_input"] * 2),
        (lambda: NoPlanFits(["one", "two"]), ["no_plan_fits"] * 2),
        (lambda: NoPlanInTime("none: allow more"), ["no_plan_in_time"]),
        (lambda: StoreTrouble("locked: wait"), ["database"]),
        (lambda: Unreadable("a row: check"), ["unreadable"]),
    ],
)
def test_each_refusal_has_a_code_of_its_own(made: Callable[[], PlannerError], codes: list[str]) -> None:
    rows = rows_of(made())
    assert [r["code"] for r in rows] == codes
    assert all(set(r) == {"code", "field", "value", "where", "fix", "message"} for r in rows)
    json.dumps(rows, allow_nan=False)


def test_every_refusal_in_words_says_what_to_do_after_a_colon() -> None:
    """Source read, not run: "why: what to do". BadInput has its fix as a part of its own."""
    bare = []
    for path in sorted((ROOT / "planner").rglob("*.py")):
        for node in ast.walk(ast.parse(path.read_text("utf-8"))):
            name = getattr(getattr(node, "func", None), "id", "")
            if name not in ("PlannerError", "StoreTrouble", "Unreadable", "NoPlanInTime", "OlderForm"):
                continue
            assert isinstance(node, ast.Call)
            words = node.args[0] if node.args else None
            if isinstance(words, ast.Constant | ast.JoinedStr):
                parts = [words] if isinstance(words, ast.Constant) else words.values
                texts = [str(p.value) for p in parts if isinstance(p, ast.Constant)]
                passed_on = {type(parts[0]), type(parts[-1])} & {
                    ast.FormattedValue
                }  # another refusal's words
                if not passed_on and not any(": " in text for text in texts):
                    bare.append(f"{path.relative_to(ROOT)}:{node.lineno}: {''.join(texts)}")
    assert not bare, "\n".join(bare)
