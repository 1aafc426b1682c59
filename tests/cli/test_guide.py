"""`planner guide` against the code it tells of: nothing is missing, nothing stands there that is not."""

from __future__ import annotations

import ast
import json
import re
import shlex
import tomllib
from pathlib import Path

import pytest

import planner
from planner import errors
from planner.cli.keeping.guide import EXIT_CODES, VARIABLES, every_command
from planner.cli.main import STOPPED, UNHEARD, main
from planner.domain.design.declared import design_keys
from planner.domain.firm.fields import FIRM_FIELDS
from planner.flow.keeping.guide import meaning, settings_table, weights_table
from planner.flow.keeping.kinds import KINDS
from planner.store.shipped.guide import TOPICS, design_words
from planner.store.shipped.rates import shipped_rate_book

ROOT = Path(__file__).parents[2]


def told(capsys: pytest.CaptureFixture[str], topic: str) -> str:
    """The topic's text with its tables, as JSON carries it."""
    assert main(["guide", topic, "--json"]) == 0
    answer = json.loads(capsys.readouterr().out)
    text = answer["data"][topic]
    assert isinstance(text, str)
    return text


@pytest.mark.parametrize("topic", TOPICS)
def test_every_topic_is_shown_with_its_tables(topic, capsys):
    assert main(["guide", topic]) == 0
    out = capsys.readouterr().out
    assert len(out.splitlines()) > 5 and "@table" not in out


def test_on_a_narrow_screen_a_command_is_broken_as_a_shell_reads_it_and_a_sentence_at_its_spaces(
    capsys, monkeypatch
):
    def shown(width: str) -> list[str]:
        monkeypatch.setenv("COLUMNS", width)
        assert main(["guide", "friday"]) == 0 == main(["guide", "replan"])
        return capsys.readouterr().out.splitlines()

    wide, narrow = shown("400"), shown("80")
    assert any(len(row) > 80 for row in wide)
    long = [row for row in narrow if len(row) > 80]
    assert all("   " in row.strip() for row in long), "only columns stay as they were printed"

    def commands(rows: list[str]) -> list[list[str]]:
        lines = "\n".join(re.sub(r"  # .*$", "", row) for row in rows).replace("\\\n", " ").splitlines()
        return [shlex.split(line) for line in lines if line.startswith("  planner ")]

    assert commands(wide) == commands(narrow) != []


def test_without_a_topic_the_topics_are_listed(capsys):
    assert main(["guide"]) == 0
    listed = [line.split()[0] for line in capsys.readouterr().out.splitlines() if re.match(r"\S+ ", line)]
    assert listed[: len(TOPICS)] == list(TOPICS)


def test_an_unknown_topic_is_refused_in_one_line(capsys):
    assert main(["guide", "desing-file"]) == 2
    err = capsys.readouterr().err
    assert "design-file" in err and len(err.splitlines()) == 1


def test_the_commands_topic_holds_every_option_that_help_shows(capsys):
    text = told(capsys, "commands")
    for words, _ in every_command():
        assert f"**planner {words}**" in text
        assert main([*words.split(), "-h"]) == 0
        part = text.partition(f"**planner {words}**")[2].partition("| **planner ")[0]
        for option in re.findall(r"^\s+(?:-\w, )?(--[a-z-]+)", capsys.readouterr().out, re.MULTILINE):
            assert option == "--help" or option in part, f"planner {words}: {option}"


def test_the_files_topic_holds_every_column(capsys):
    text = told(capsys, "files")
    for kind in KINDS.values():
        row = next(line for line in text.splitlines() if line.startswith(f"| {kind.name} |"))
        for column in kind.columns("us"):
            assert re.search(rf"\b{column}\b", row), f"{kind.name}: {column}"


def test_every_key_of_the_design_file_has_its_meaning_and_no_meaning_is_without_a_key():
    keys = design_keys()
    assert all(meaning(design_words(), key) for key in keys)
    known = {(key.table.strip("[]") or "top", key.key) for key in keys}
    told_of = {(table, key) for table, rows in design_words().items() for key in rows}
    assert told_of - known == {("pump_line", "fitting_lengths")}  # a table whose keys are the firm's own


def test_the_readers_ask_for_no_key_that_the_guide_does_not_tell():
    """Read from the readers' source: each literal key given to a table's method."""
    known = {key.key for key in design_keys()}
    # every way in which a table is read
    methods = {"word", "text", "number", "whole", "measure", "need", "have"}
    methods |= {"row", "pairs", "numbers", "point"}
    for name in ("read", "parts"):
        tree = ast.parse((ROOT / "planner" / "domain" / "design" / f"{name}.py").read_text("utf-8"))
        for call in (n for n in ast.walk(tree) if isinstance(n, ast.Call)):
            if isinstance(call.func, ast.Attribute) and call.func.attr in methods and call.args:
                key = call.args[0]
                if isinstance(key, ast.Constant):
                    assert key.value in known, key.value


@pytest.mark.parametrize("path", sorted(ROOT.glob("seed_demo/designs/*.toml")), ids=lambda p: p.stem)
def test_every_key_of_the_sample_designs_is_told(path):
    names = {f"{k.key}_{e}" for k in design_keys() for e in k.endings} | {k.key for k in design_keys()}

    def keys(table):
        for key, value in table.items():
            parts = [value] if isinstance(value, dict) else value if isinstance(value, list) else []
            inside = [part for part in parts if isinstance(part, dict)]
            if inside:
                for part in inside:
                    yield from keys(part)
            else:
                yield key

    prices = tomllib.loads(path.read_text("utf-8")).get("prices", {})
    assert set(keys(tomllib.loads(path.read_text("utf-8")))) - set(prices) <= names


def test_every_setting_and_weight_has_its_meaning():
    rows = settings_table()[1:]
    assert [row[0] for row in rows] == [f.attr for f in FIRM_FIELDS]
    assert [row[0] for row in (*rows, *weights_table()[1:]) if not row[2]] == []


def test_the_rates_topic_holds_every_row_with_its_source(capsys):
    text = told(capsys, "rates")
    for key, rate in shipped_rate_book().rows.items():
        assert f"| {key} | {rate.kind}" in text and rate.source in text


def test_every_exit_code_is_told():
    kinds = [k for k in vars(errors).values() if isinstance(k, type) and issubclass(k, errors.PlannerError)]
    assert {k.exit_code for k in kinds} | {0, STOPPED, UNHEARD} == set(EXIT_CODES)


def test_every_environment_variable_that_is_read_is_told():
    source = "\n".join(path.read_text("utf-8") for path in (ROOT / "planner").rglob("*.py"))
    assert set(re.findall(r'"(PLANNER_[A-Z]+)"', source)) <= set(VARIABLES)


def test_the_changes_begin_with_this_version(capsys):
    assert re.search(r"^## (\S+),", told(capsys, "changes"), re.MULTILINE)[1] == planner.__version__


def test_the_page_holds_every_topic_and_its_links_lead_somewhere(tmp_path):
    page = tmp_path / "guide.html"
    assert main(["guide", "--html", str(page)]) == 0

    text = page.read_text("utf-8")
    ids = re.findall(r'<section id="([^"]+)"', text)
    assert ids == list(TOPICS)
    assert set(re.findall(r'href="#([^"]+)"', text)) == set(TOPICS)
