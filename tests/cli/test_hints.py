"""Every command that a text of the program names is there, with the options that the text gives it."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from functools import cache
from pathlib import Path
from typing import Any

from typer.main import get_command

from planner.cli.main import app

ROOT = Path(__file__).parents[2] / "planner"
#: "planner" and what follows it up to the end of a line, a quote or a mark of punctuation.
_HINT = re.compile(
    r"(?<![\w./-])planner ((?:-?-?[A-Za-z0-9][\w=./:+-]*|{}|\.\.\.)(?: (?:-?-?[A-Za-z0-9][\w=./:+-]*|{}))*)"
)
#: What may follow the word where a sentence speaks of the program itself.
PROSE = {"is", "does", "and", "with", "says", "reckons", "alone", "database", "again"}


def texts(path: Path) -> Iterator[tuple[int, str]]:
    """Each text of a module, the filled-in parts as {}; docstrings left out."""
    tree = ast.parse(path.read_text("utf-8"))
    docs = {
        id(node.body[0].value)
        for node in ast.walk(tree)
        if isinstance(node, ast.Module | ast.ClassDef) and node.body and isinstance(node.body[0], ast.Expr)
    }
    inside = {id(part) for node in ast.walk(tree) if isinstance(node, ast.JoinedStr) for part in node.values}
    for node in ast.walk(tree):
        if isinstance(node, ast.JoinedStr):
            parts = (str(p.value) if isinstance(p, ast.Constant) else "{}" for p in node.values)
            yield node.lineno, "".join(parts)
        elif isinstance(node, ast.Constant) and isinstance(node.value, str) and id(node) not in docs | inside:
            yield node.lineno, node.value


def hints() -> Iterator[tuple[str, str]]:
    """(where, words after "planner") of each text in the program, its pages and data."""
    for path in sorted(ROOT.rglob("*.py")):
        for line, text in texts(path):
            for found in _HINT.finditer(text):
                yield f"{path.relative_to(ROOT)}:{line}", found[1]
    for kind in ("html", "js", "toml"):
        for path in sorted((ROOT / "data").rglob(f"*.{kind}")):
            for found in _HINT.finditer(path.read_text("utf-8")):
                yield str(path.relative_to(ROOT)), found[1]


def wrong_with(words: list[str]) -> str:
    """What no command or option answers to; "" when all is there."""
    command: Any = whole()
    seen: list[str] = []
    while words and hasattr(command, "commands"):
        if words[0] in ("{}", "...", "COMMAND") or words[0].isupper():
            return ""
        if words[0].startswith("-"):
            break
        if words[0] not in command.commands:
            return f"{' '.join(['planner', *seen])} has no {words[0]}" if not seen or _named(command) else ""
        command = command.commands[words[0]]
        seen.append(words.pop(0))
    known = {option for one in command.params for option in one.opts + one.secondary_opts} | {"-h", "--help"}
    strange = [w for w in words if w.startswith("--") and w.split("=")[0].rstrip(".:,") not in known]
    return f"planner {' '.join(seen)} has no {strange[0]}" if strange else ""


@cache
def whole() -> Any:
    """All commands."""
    return get_command(app)


def _named(command: Any) -> bool:
    """Whether a group does nothing by itself, so that a word after it must be a command."""
    return not command.invoke_without_command


def test_hints_are_found() -> None:
    assert len(list(hints())) > 150


def test_every_hint_names_a_command_that_exists() -> None:
    wrong = []
    for where, told in hints():
        words = told.rstrip(".").split()
        if words[0].rstrip(":") in PROSE:
            continue
        if said := wrong_with(words):
            wrong.append(f"{where}: planner {told}: {said}")
    assert wrong == []


def test_a_hint_that_is_wrong_is_seen() -> None:
    assert wrong_with(["plan", "mend"]) == "planner plan has no mend"
    assert wrong_with(["plan", "make", "--secnds", "3"]) == "planner plan make has no --secnds"
    assert wrong_with(["plan", "make", "--seconds", "3"]) == ""
