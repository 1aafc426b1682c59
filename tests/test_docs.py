"""The papers: README and the guide name every command, and what they show can be run."""

from __future__ import annotations

import ast
import re
from importlib import import_module
from pathlib import Path
from typing import Any

import pytest
import typer

from planner.cli.main import app
from tests.test_house import ORDER
from tests.walkthrough import SETTING, Ran, Shown, all_text, blocks, walk

ROOT = Path(__file__).parents[1]
README = (ROOT / "README.md").read_text("utf-8")
DEVELOPERS = (ROOT / "DEVELOPERS.md").read_text("utf-8")
PAPERS = all_text()
#: What may follow the program's name in a sentence without being a command.
PROSE = {"again", "alone", "database", "reckons", "says"}


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
def test_every_command_has_help_with_an_example_and_a_place_in_the_papers(words: str, text: str) -> None:
    assert len(text.split()) >= 4, f"{words}: no help"
    assert "Example" in text, f"{words}: no example in its help"
    assert f"planner {words}" in PAPERS, f"neither README nor the guide shows  planner {words}"


def test_the_two_set_up_commands_are_in_the_readme() -> None:
    first_half = "python3 -m venv .venv && .venv/bin/pip install -e '.[test]' && "
    assert f"{first_half}.venv/bin/python -m seed_demo" in README
    assert f"{first_half}.venv/bin/pytest" in README


def test_the_papers_show_no_command_that_does_not_exist() -> None:
    known = {words for words, _ in commands()}
    groups = {words.split()[0] for words in known if " " in words}
    for line in re.findall(r"^(?:\$ )?planner ([a-z][a-z-]*(?: [a-z][a-z-]*)?)", PAPERS, re.MULTILINE):
        words = line.split()
        name = " ".join(words[:2]) if words[0] in groups else words[0]
        assert name in known, f"the papers show  planner {line}, which does not exist"


_NAMED_COMMAND = re.compile(r"(?<![\w/.-])planner ([a-z][a-z-]*(?: [a-z][a-z-]*)?(?: --[a-z-]+)?)")


def hints() -> list[tuple[str, str]]:
    """(file, command) for each `planner ...` that the program itself names to people."""
    found = []
    sources = [*(ROOT / "planner").rglob("*.py"), *(ROOT / "planner" / "data").rglob("*.html")]
    for path in sorted(sources):
        text = path.read_text("utf-8")
        if path.suffix == ".py":
            nodes = ast.walk(ast.parse(text))
            text = "\n".join(
                n.value for n in nodes if isinstance(n, ast.Constant) and isinstance(n.value, str)
            )
        for named in re.findall(
            r"(?<![\w/.-])planner ((?:[a-z][a-z-]*)(?: [a-z][a-z-]*)?(?: --[a-z-]+)?)", text
        ):
            found.append((path.name, named))
    return sorted(set(found))


def test_every_hint_names_a_command_that_exists() -> None:
    """A next step that the program tells can be typed: its command is there, and so is its option."""
    app_command = typer.main.get_command(app)
    groups: dict[str, Any] = dict(getattr(app_command, "commands", {}))
    wrong = []
    for place, named in hints():
        words = [w for w in named.split() if not w.startswith("--")]
        options = [w for w in named.split() if w.startswith("--")]
        if words[0] not in groups:
            wrong += [(place, named)] if words[0] not in PROSE else []
            continue
        command = groups[words[0]]
        members = getattr(command, "commands", None)
        if members is not None and len(words) > 1:
            if words[1] not in members:
                wrong.append((place, named))
                continue
            command = members[words[1]]
        known = {name for p in command.params for name in (*p.opts, *p.secondary_opts)}
        wrong += [(place, named) for option in options if option not in known and option != "--help"]
    assert wrong == []


def test_readme_and_developers_keep_their_size() -> None:
    assert len(README.splitlines()) <= 500
    assert len(DEVELOPERS.splitlines()) <= 350


def rows(text: str, heading: str) -> list[list[str]]:
    """The rows of all tables under a heading, their heads left out."""
    part = text.partition(f"\n## {heading}\n")[2].partition("\n## ")[0]
    lines = [line for line in part.splitlines() if line.startswith("|")]
    heads = {n - 1 for n, line in enumerate(lines) if line.startswith("|---")}
    kept = [line for n, line in enumerate(lines) if n not in heads and not line.startswith("|---")]
    return [[cell.strip() for cell in line.strip("|").split("|")] for line in kept]


FACTS = [row[1].strip("`") for row in rows(DEVELOPERS, "Where a fact lives")]


@pytest.mark.parametrize("name", FACTS)
def test_every_fact_lives_where_the_map_says(name: str) -> None:
    module, _, function = f"planner.{name}".rpartition(".")
    try:
        found = getattr(import_module(module), function)
    except AttributeError:
        found = import_module(f"planner.{name}")
    assert found.__doc__ or isinstance(found, dict)


def test_the_map_of_facts_is_not_empty() -> None:
    assert len(FACTS) > 20


def test_the_map_of_rooms_is_the_declared_order() -> None:
    rooms = [row[0].strip("`") for row in rows(DEVELOPERS, "The map of rooms")]
    assert tuple(room for room in rooms if room in ORDER["domain"]) == ORDER["domain"]


def test_the_glossary_of_the_guide_stands_in_developers_word_for_word() -> None:
    shipped = (ROOT / "planner" / "data" / "guide" / "glossary.md").read_text("utf-8")
    terms = [line for line in shipped.splitlines() if line.startswith("| ")][1:]
    assert len(terms) > 25
    for line in terms:
        assert line in DEVELOPERS
    words = [row[0] for row in rows(DEVELOPERS, "Glossary")]
    assert len(words) == len(set(words))


NAMED = sorted(set(re.findall(r"`((?:[a-z_]+/)+[a-z_A-Z0-9]+\.(?:py|toml|md))\b", DEVELOPERS)))


@pytest.mark.parametrize("name", NAMED)
def test_every_file_that_developers_names_is_there(name: str) -> None:
    if "TOPIC" not in name and "000N" not in name:
        assert (ROOT / name).exists() or (ROOT / "planner" / name).exists(), name


@pytest.fixture(scope="module")
def walked(tmp_path_factory: pytest.TempPathFactory) -> list[Ran | Shown]:
    """The commands of README and of the guide, all run in order, from an empty folder on."""
    folder = tmp_path_factory.mktemp("readme")
    with pytest.MonkeyPatch.context() as patch:
        patch.chdir(folder)
        for name in ("PLANNER_DB", "PLANNER_NOW"):
            patch.setenv(name, "")  # so that they are put back
        for name, value in SETTING.items():
            patch.setenv(name, value)
        return list(walk(PAPERS, folder))


def test_the_commands_of_the_papers_succeed_in_order(walked: list[Ran | Shown]) -> None:
    ran = [step for step in walked if isinstance(step, Ran)]
    assert len(ran) > 100
    assert [(r.line, r.printed[-300:]) for r in ran if r.code != r.wanted] == []


def test_no_screen_shows_a_day_as_machines_write_it(walked: list[Ran | Shown]) -> None:
    """The firm of the papers writes the month first; ISO 8601 stays in files for machines, names and keys."""
    iso = re.compile(r"(?<![\w.:='-])20\d\d-\d\d-\d\d(?![\w-])|20\d\d-\d\d-\d\dT")
    screens = [s for s in walked if isinstance(s, Ran) and s.code == 0 and "--json" not in s.line]
    assert [(s.line, found[0]) for s in screens if (found := iso.search(s.printed))] == []


def test_the_first_hour_ends_with_a_sheet_to_print(walked: list[Ran | Shown]) -> None:
    first_hour = README.partition("## A first hour")[2].partition("\n## ")[0]
    assert blocks(first_hour)[0].text.splitlines()[1] == "planner db create"
    lines = [line for b in blocks(first_hour) if b.kind == "sh" for line in b.text.splitlines()]
    assert any(line.startswith("planner sheet") and "--page" in line for line in lines)


def test_the_papers_show_what_the_commands_print(walked: list[Ran | Shown]) -> None:
    for shown in (step for step in walked if isinstance(step, Shown)):
        printed = iter([line.rstrip() for line in shown.printed.splitlines()])
        for line in shown.text.splitlines():
            if line != "..." and not line.startswith("$ "):
                assert line in printed, f"the papers show a line that was not printed there: {line!r}"


def test_every_command_is_one_that_is_run(walked: list[Ran | Shown]) -> None:
    """Each command stands in a block that the walk runs, not only in prose."""
    run = {step.line for step in walked if isinstance(step, Ran)}
    serving = {"open"}  # it runs until it is stopped: tests of its own start and stop it
    for words in {words for words, _ in commands()} - serving:
        assert any(line == f"planner {words}" or line.startswith(f"planner {words} ") for line in run), words
