"""The papers: README names every command, and what it shows can be run."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
import typer

from planner.cli.main import app
from tests.walkthrough import SETTING, Ran, Shown, blocks, walk

ROOT = Path(__file__).parents[1]
README = (ROOT / "README.md").read_text("utf-8")


def commands() -> list[tuple[str, str]]:
    """(words of the command, its help) for every command, groups joined to their members."""
    found: list[tuple[str, str]] = []

    def walk(command: object, words: str) -> None:
        members = getattr(command, "commands", None)
        if members:
            for name, member in members.items():
                walk(member, f"{words} {name}".strip())
        else:
            found.append((words, getattr(command, "help", "") or ""))

    walk(typer.main.get_command(app), "")
    return found


@pytest.mark.parametrize(("words", "text"), commands(), ids=lambda v: v if len(v) < 40 else "")
def test_every_command_has_help_with_an_example_and_a_place_in_the_readme(words: str, text: str) -> None:
    assert len(text.split()) >= 4, f"{words}: no help"
    assert "Example" in text, f"{words}: no example in its help"
    assert f"planner {words}" in README, f"README does not show  planner {words}"


def test_the_two_set_up_commands_are_in_the_readme() -> None:
    first_half = "python3 -m venv .venv && .venv/bin/pip install -e '.[test]' && "
    assert f"{first_half}.venv/bin/python -m seed_demo" in README
    assert f"{first_half}.venv/bin/pytest" in README


def test_readme_shows_no_command_that_does_not_exist() -> None:
    known = {words for words, _ in commands()}
    groups = {words.split()[0] for words in known if " " in words}
    for line in re.findall(r"^(?:\$ )?planner ([a-z][a-z-]*(?: [a-z][a-z-]*)?)", README, re.MULTILINE):
        words = line.split()
        name = " ".join(words[:2]) if words[0] in groups else words[0]
        assert name in known, f"README shows  planner {line}, which does not exist"


@pytest.fixture(scope="module")
def walked(tmp_path_factory: pytest.TempPathFactory) -> list[Ran | Shown]:
    """README's commands, all run in order, from an empty folder on."""
    folder = tmp_path_factory.mktemp("readme")
    with pytest.MonkeyPatch.context() as patch:
        patch.chdir(folder)
        for name in ("PLANNER_DB", "PLANNER_NOW"):
            patch.setenv(name, "")  # so that they are put back
        for name, value in SETTING.items():
            patch.setenv(name, value)
        return list(walk(README, folder))


def test_the_commands_of_the_readme_succeed_in_order(walked: list[Ran | Shown]) -> None:
    ran = [step for step in walked if isinstance(step, Ran)]
    assert len(ran) > 100
    assert [(r.line, r.printed[-300:]) for r in ran if r.code != r.wanted] == []


def test_the_first_hour_ends_with_a_sheet_to_print(walked: list[Ran | Shown]) -> None:
    first_hour = README.partition("## A first hour")[2].partition("\n## ")[0]
    assert blocks(first_hour)[0].text.splitlines()[1] == "planner db create"
    lines = [line for b in blocks(first_hour) if b.kind == "sh" for line in b.text.splitlines()]
    assert any(line.startswith("planner sheet") and "--page" in line for line in lines)


def test_the_readme_shows_what_the_commands_print(walked: list[Ran | Shown]) -> None:
    for shown in (step for step in walked if isinstance(step, Shown)):
        printed = iter([line.rstrip() for line in shown.printed.splitlines()])
        for line in shown.text.splitlines():
            if line != "..." and not line.startswith("$ "):
                assert line in printed, f"README shows a line that was not printed there: {line!r}"


def test_every_command_of_the_readme_is_one_that_is_run(walked: list[Ran | Shown]) -> None:
    """Each command stands in a block that the walk runs, not only in prose."""
    run = {step.line for step in walked if isinstance(step, Ran)}
    for words, _ in commands():
        assert any(line == f"planner {words}" or line.startswith(f"planner {words} ") for line in run), words
