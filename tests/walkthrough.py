"""The commands of README, then of the guide's topics, taken from their text and run in order.

`python -m tests.walkthrough` prints the answers.

A block marked `sh` is run, a block marked `toml NAME` or `csv NAME` is saved under that name first,
a block marked `output` is what the `sh` block before it printed, shortened where a line is "...". A comment
"exit N" after a command says that N is its exit code; all others succeed.
"""

from __future__ import annotations

import io
import os
import re
import shlex
import sys
import tempfile
from collections.abc import Iterator, Sequence
from contextlib import chdir, redirect_stderr, redirect_stdout
from dataclasses import dataclass
from datetime import date
from pathlib import Path

from planner.cli.main import main
from planner.domain.crew_day.ready import Line
from planner.domain.crew_day.returned import ReturnedSheet, ReturnedTask, encode
from planner.flow.crew_day.sheet import crew_sheets
from planner.store.shipped.guide import TOPICS

ROOT = Path(__file__).parents[1]
README = ROOT / "README.md"
#: What is walked, in this order: README, then the guide's topics as shipped.
PAPERS = (README, *(ROOT / "planner" / "data" / "guide" / f"{topic}.md" for topic in TOPICS))
#: How the answers in the papers were printed.
SETTING = {"COLUMNS": "92", "PLANNER_USER": "office"}
_FENCE = re.compile(r"^```([^\n]*)\n(.*?)^```$", re.MULTILINE | re.DOTALL)
_EXIT = re.compile(r"#.*\bexit (\d)")
_RETURNED = re.compile(r"day-(\w+)-(\d{4}-\d\d-\d\d)\.txt")


@dataclass(frozen=True)
class Block:
    """A fenced block: its kind ("sh", "csv" ...), the name after it, its text."""

    kind: str
    name: str
    text: str


@dataclass
class Ran:
    """A command line and what came of it. wanted: the exit code that the papers tell."""

    line: str
    wanted: int
    code: int = 0
    printed: str = ""


@dataclass
class Shown:
    """An output block beside all that the commands before it printed."""

    text: str
    printed: str = ""


def blocks(text: str) -> list[Block]:
    """Every fenced block in order."""
    found = []
    for info, body in _FENCE.findall(text):
        kind, _, name = info.strip().partition(" ")
        found.append(Block(kind, name.strip(), body))
    return found


def all_text() -> str:
    """README and the topics, one after the other."""
    return "\n".join(paper.read_text("utf-8") for paper in PAPERS)


def walk(text: str, folder: Path) -> Iterator[Ran | Shown]:
    """Save and run the blocks of `text` in `folder`, in order; the environment is put back by the caller."""
    printed = ""
    for block in blocks(text):
        if block.name and block.kind in ("toml", "csv"):
            (folder / block.name).write_text(block.text, encoding="utf-8")
        elif block.kind == "sh":
            printed = ""
            for ran in _lines(block.text):
                printed += ran.printed
                yield ran
        elif block.kind == "output":
            yield Shown(block.text, printed)


def _lines(text: str) -> Iterator[Ran]:
    for line in text.splitlines():
        words = shlex.split(line, comments=True)
        if not words:
            continue
        if words[0] == "export":
            os.environ.update(word.split("=", 1) for word in words[1:])
            continue
        assert words[0] == "planner", f"the papers ask for {line!r}, which the test cannot run"
        _phone(words)
        told = _EXIT.search(line)
        yield _run(Ran(line, int(told[1]) if told else 0), words[1:])


def _run(ran: Ran, words: Sequence[str]) -> Ran:
    out = io.StringIO()
    database = os.environ["PLANNER_DB"]
    with redirect_stdout(out), redirect_stderr(out):
        ran.code = main(list(words))
    os.environ["PLANNER_DB"] = database  # --db would stay
    ran.printed = out.getvalue()
    return ran


def _phone(words: Sequence[str]) -> None:
    """Make the returned sheet that a command asks for, as the crew lead's phone makes it."""
    for word in words:
        named = _RETURNED.fullmatch(word)
        if named and not Path(word).exists():
            Path(word).write_text(returned(named[1], date.fromisoformat(named[2])), encoding="utf-8")


def returned(crew: str, day: date) -> str:
    """A good day's return: hours and shares as planned, all ticked, one shelf too deep."""
    sheet = crew_sheets(os.environ["PLANNER_DB"], crew, [day])[0]
    tasks = tuple(
        ReturnedTask(
            job=task.job.code,
            phase=task.stint.key.phase,
            part=task.stint.key.part,
            crew_h=task.stint.crew_h,
            share_done=task.stint.share_after,
            done=task.stint.share_after >= 1,
            ticks=frozenset(line.key for line in task.ready.lines),
            asked=task.ready.lines,
            values=_measured(task.ready.lines),
        )
        for task in sheet.tasks
    )
    return encode(ReturnedSheet(crew, day, sheet.plan_number, sheet.mark, sheet.lead, tasks))


def _measured(lines: Sequence[Line]) -> dict[str, float]:
    """What was measured: the wanted value or the band's end, but the first shelf two inches too deep."""
    found = {}
    for line in lines:
        ends = (line.wanted.target, line.wanted.high, line.wanted.low) if line.wanted else ()
        value = next((end for end in ends if end is not None), None)
        if value is not None:
            found[line.key] = value
    return {key: value + 2 * (key == "shelf-1") for key, value in found.items()}


def show() -> None:
    """Print every command of the papers with its answer."""
    with tempfile.TemporaryDirectory() as folder, chdir(folder):
        os.environ.update(SETTING)
        for step in walk(all_text(), Path(folder)):
            if isinstance(step, Ran):
                sys.__stdout__.write(f"$ {step.line}   [{step.code}]\n{step.printed}\n")
                sys.__stdout__.flush()


if __name__ == "__main__":
    show()
