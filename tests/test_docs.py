"""The papers: README names every command, and what it shows can be run."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
import typer

from planner.cli.main import app

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
