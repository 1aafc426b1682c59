"""Stored values, bytes of the file and the environment, spoilt at random: a line or an answer, never a trace.

The normal run spoils 60 of each; PLANNER_FUZZ=5000 spoils 5000, PLANNER_FUZZ_SEED another set of them.
"""

from __future__ import annotations

import os
import random
import sqlite3
from collections import Counter
from contextlib import closing
from pathlib import Path
from typing import Any

import pytest

from tests.fuzz.pools import DATES, NUMBERS, TEXTS, WORDS
from tests.fuzz.test_commands import SEED, folder, tried

__all__ = ["folder"]
COUNT = int(os.environ.get("PLANNER_FUZZ", "60"))

#: Reading and writing commands; each meets each kind of spoilt content.
COMMANDS = (
    "today",
    "board --week 2027-W14",
    "sheet North 2027-04-05",
    "job list",
    "job show P-1 --json",
    "estimate P-1",
    "plan list",
    "plan show",
    "plan why",
    "history list",
    "history undo --yes",
    "log list",
    "rates show",
    "rates refit",
    "crew list",
    "machine list",
    "firm show",
    "office list",
    "season",
    "calendar --crew North",
    "chance show --seasons 5",
    "export firm",
    "db check",
    "db state",
    "db backup",
    "db upgrade",
    "log add P-1 dig North 1 --day 2027-04-05 --share 50",
    "job change P-2 --notes x",
    "job cancel P-3",
    "lost rain 2027-04-07",
    "replan --quick",
    "promise ask P-3",
    "plan make --seconds 0.1",
)
_VALUES: tuple[Any, ...] = (
    None, 0, -1, 1, 7, 2**31, 2**63 - 1, 1e300, -1e-300, float("inf"), 0.5, b"", b"\x00", b"\xff\xfe", "",
    "[]", "{}", "[1]", '{"a": 1}', '"x"', "nul", "[[[", "2027-04-05 07:00:00.000000", "07:00:00",
    *TEXTS[:-2], *NUMBERS, *DATES, *WORDS,
)  # fmt: skip


def spoil_row(path: Path, chance: random.Random) -> str:
    """Put a value of any kind into a stored row, past the table's own checks; what was done."""
    with closing(sqlite3.connect(path)) as raw:
        raw.execute("PRAGMA ignore_check_constraints=ON")
        names = [r[0] for r in raw.execute("SELECT name FROM sqlite_master WHERE type = 'table'")]
        filled = [n for n in sorted(names) if raw.execute(f'SELECT 1 FROM "{n}"').fetchone()]
        table = chance.choice(filled)
        column = chance.choice([r[1] for r in raw.execute(f'PRAGMA table_info("{table}")')])
        rows = [r[0] for r in raw.execute(f'SELECT rowid FROM "{table}"')]
        row, value = chance.choice(rows), chance.choice(_VALUES)
        if chance.random() < 0.25:
            old = raw.execute(f'SELECT "{column}" FROM "{table}" WHERE rowid = {row}').fetchone()[0]
            value = _cut(chance, old)
        try:
            raw.execute(f'UPDATE "{table}" SET "{column}" = ? WHERE rowid = {row}', (value,))
            raw.commit()
        except (sqlite3.Error, UnicodeEncodeError):
            return f"{table}.{column}: kept"
    return f"{table}.{column} of row {row} = {value!r:.60}"


def _cut(chance: random.Random, old: Any) -> Any:
    """The stored value cut short, or one of its digits changed."""
    if isinstance(old, int | float):
        return -old if chance.random() < 0.5 else old * 1e6
    if not old:
        return "x"
    at = chance.randrange(len(old))
    return old[:at] if chance.random() < 0.5 else old[:at] + chance.choice('019x[-"') + old[at + 1 :]


def spoil_bytes(path: Path, chance: random.Random) -> str:
    """Change bytes of the file as a bad disk, a cut copy or a careless tool would; what was done."""
    content = bytearray(path.read_bytes())
    way = chance.choice(("flip", "flip", "page", "zero", "cut", "swap", "grow", "head"))
    page = 4096 * chance.randrange(len(content) // 4096)
    if way == "flip":
        for _ in range(chance.choice((1, 4, 40))):
            content[chance.randrange(len(content))] ^= 1 << chance.randrange(8)
    elif way == "page":
        content[page : page + 4096] = chance.randbytes(4096)
    elif way == "zero":
        content[page : page + 4096] = bytes(4096)
    elif way == "cut":
        del content[chance.randrange(1, len(content)) :]
    elif way == "swap":
        other = 4096 * chance.randrange(len(content) // 4096)
        content[page : page + 4096], content[other : other + 4096] = (
            content[other : other + 4096],
            content[page : page + 4096],
        )
    elif way == "grow":
        content += chance.randbytes(5000)
    else:
        content[chance.randrange(100)] = chance.randrange(256)
    path.write_bytes(content)
    return f"{way} at {page}"


def _play(
    folder: Path, monkeypatch: pytest.MonkeyPatch, spoil: Any, seed: int, count: int
) -> tuple[list[str], Counter[int | None]]:
    database = folder / "season.sqlite3"
    monkeypatch.setenv("PLANNER_DB", str(database))
    assert tried(["db", "backup"], folder)[0] == 0
    pristine = database.read_bytes()
    chance = random.Random(seed)
    found: list[str] = []
    codes: Counter[int | None] = Counter()
    for _ in range(count):
        for beside in folder.glob("season.*"):
            if beside.is_file():
                beside.unlink()
        database.write_bytes(pristine)
        what = spoil(database, chance)
        words = chance.choice(COMMANDS).split()
        before = database.read_bytes()
        code, _, err = tried(words, folder)
        codes[code] += 1
        if code is None or "Traceback" in err:
            found.append(f"{words} after {what}: {err.strip().splitlines()[-1]}")
        elif code not in (0, 1, 2, 3, 4):
            found.append(f"{words} after {what}: exit code {code}")
        elif code and words[0] != "db" and database.read_bytes() != before:
            found.append(f"{words} after {what}: refused, but the database changed")
        elif code and not err.strip() and words[:2] != ["db", "check"]:
            found.append(f"{words} after {what}: refused without a word")
    return found, codes


def test_spoilt_values(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    found, codes = _play(folder, monkeypatch, spoil_row, SEED, COUNT)
    assert found == [], f"{len(found)} of {COUNT} ({dict(codes)}):\n" + "\n".join(found[:40])
    assert codes[1] > COUNT // 10


def test_spoilt_bytes(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    found, codes = _play(folder, monkeypatch, spoil_bytes, SEED, COUNT)
    assert found == [], f"{len(found)} of {COUNT} ({dict(codes)}):\n" + "\n".join(found[:40])
    assert codes[1] > COUNT // 10


ENVIRONMENT = (
    "PLANNER_DB", "PLANNER_USER", "PLANNER_NOW", "COLUMNS", "LINES", "TZ", "LANG", "LC_ALL", "HOME", "TERM",
    "NO_COLOR", "FORCE_COLOR", "XDG_DATA_HOME", "USER", "TMPDIR", "PYTHONIOENCODING",
)  # fmt: skip


def test_spoilt_environment(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    database = folder / "season.sqlite3"
    pristine = database.read_bytes()
    chance = random.Random(SEED)
    found: list[str] = []
    usual = dict(os.environ)
    for _ in range(COUNT):
        if database.read_bytes() != pristine:
            database.write_bytes(pristine)
        monkeypatch.setenv("PLANNER_DB", str(database))
        spoilt = {}
        for name in chance.sample(ENVIRONMENT, 3):
            value = str(chance.choice((*TEXTS[:-2], *NUMBERS, *DATES, *WORDS))).replace("\0", "")
            spoilt[name] = value[:3000]
            monkeypatch.setenv(name, spoilt[name])
        words = chance.choice(COMMANDS).split()
        code, _, err = tried(words, folder)
        if code not in (0, 1, 2, 3, 4) or "Traceback" in err:
            found.append(f"{words} with {spoilt}: {code} {err.strip().splitlines()[-1:]}")
        elif code and database.read_bytes() != pristine:
            found.append(f"{words} with {spoilt}: refused, but the database changed")
        for name in spoilt:
            if name in usual:
                monkeypatch.setenv(name, usual[name])
            else:
                monkeypatch.delenv(name, raising=False)
    assert found == [], f"{len(found)} of {COUNT}:\n" + "\n".join(found[:40])
