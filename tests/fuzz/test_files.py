"""Files of every kind, spoilt at random: no traceback, a right exit code, nothing changed on refusal.

Valid files are cut, doubled, mixed and salted with hostile cells and bytes. The normal run spoils 160 files;
PLANNER_FUZZ=5000 spoils 5000, PLANNER_FUZZ_SEED another set of them.
"""

from __future__ import annotations

import json
import os
import random
from collections import Counter
from datetime import date
from pathlib import Path
from typing import Any

import pytest

from planner.cli.main import main
from planner.domain.crew_day.returned import ReturnedSheet, ReturnedTask, encode
from planner.domain.firm.phases import ORDER
from tests.fuzz.pools import EVERYTHING
from tests.fuzz.test_commands import SEED, folder, tried, wrong

__all__ = ["folder"]
DATA = Path(__file__).parents[2] / "planner" / "data"
COUNT = int(os.environ.get("PLANNER_FUZZ", "160"))
BYTES = (
    b"\0",
    b"\xff",
    b"\xfe\xff",
    b"\xef\xbb\xbf",
    b'"',
    b",",
    b";",
    b"\n",
    b"\r",
    b"\x1b[2J",
    b"\xed\xa0\x80",
    b"\t",
)
LONG = "x" * 300_000

#: how the file is named -> the commands that read it
READERS: dict[str, tuple[list[str], ...]] = {
    "jobs.csv": (["import", "jobs"],),
    "quantities.csv": (["import", "quantities"],),
    "gates.csv": (["import", "gates"],),
    "crews.csv": (["import", "crews"],),
    "people.csv": (["import", "people"],),
    "machines.csv": (["import", "machines"],),
    "days-off.csv": (["import", "days-off"],),
    "firm.json": (["--db", "empty.sqlite3", "import", "firm"],),
    "rates.csv": (["rates", "import"],),
    "climate.csv": (["chance", "station"],),
    "pond.toml": (["design", "check"], ["design", "materials"], ["design", "take-off", "--yes", "P-3"]),
    "sheet.txt": (["return", "--yes", "--accept"],),
}


@pytest.fixture
def sound(folder: Path, monkeypatch: pytest.MonkeyPatch) -> dict[str, bytes]:
    """Name -> content of a valid file of each kind."""
    monkeypatch.setenv("PLANNER_DB", str(folder / "season.sqlite3"))
    assert main(["crew", "away", "North", "2027-06-01", "--why", "rest"]) == 0
    assert main(["people", "add", "Ada", "--crew", "North", "--may", "excavator"]) == 0
    assert main(["job", "gate", "P-1", "deposit", "2027-04-01"]) == 0
    for kind in ("quantities", "gates", "crews", "people", "machines", "days-off"):
        assert main(["export", kind, f"{kind}.csv"]) == 0
    assert main(["rates", "export", "rates.csv"]) == 0
    assert main(["--db", "empty.sqlite3", "db", "create"]) == 0
    rows = "".join(f"{month},{9 + month % 3}\n" for month in range(1, 13))
    (folder / "climate.csv").write_text("month,wet_days\n" + rows)
    return {name: (folder / name).read_bytes() for name in READERS if name != "sheet.txt"} | {
        "sheet.txt": b""
    }


def spoilt(chance: random.Random, name: str, content: bytes) -> bytes:
    """The file with one to three things wrong with it."""
    if name == "sheet.txt":
        content = _returned(chance)
    for _ in range(chance.choice((1, 1, 2, 3))):
        way = chance.choice((_cut, _salt, _cell, _cell, _cell, _double, _mix))
        content = way(chance, content)
    return content


def _returned(chance: random.Random) -> bytes:
    """A return whose check sum is right and whose content is not."""

    def figure(*plain: Any) -> Any:
        return chance.choice((*plain, -1, 1e308, 10**9, 0.333))

    task = ReturnedTask(
        job=chance.choice(("P-1", "P-2", "P-9", "", "[bold]", "n" * 5000)),
        phase=chance.choice(list(ORDER)),
        part=chance.choice((1, 2, 9)),
        crew_h=figure(None, 4.0, 24.0),
        people=figure(0, 3),
        share_done=chance.choice((None, 0.5, -0.01, 1e6)),
        done=chance.random() < 0.3,
        lost_h=figure(0.0, 1.0),
        why=chance.choice(("", "rain", "\x1b[31m", "=1+1")),
        note=chance.choice(("", "[/]", "a\nMISSED b", "🪨")),
        ticks=frozenset({"locate", "[bold]", "\x1b[31m"}),
        values={"depth": figure(24.0)},
    )
    day = chance.choice((date(2027, 4, 5), date(2000, 1, 1), date(2100, 1, 1)))
    crew = chance.choice(("North", "Nobody", "[red]", ""))
    return encode(ReturnedSheet(crew, day, chance.choice((1, 2, 0)), "0" * 8, "", (task,))).encode()


def _cut(chance: random.Random, content: bytes) -> bytes:
    at = chance.randrange(len(content) + 1)
    return content[:at] if chance.random() < 0.5 else content[at:]


def _salt(chance: random.Random, content: bytes) -> bytes:
    at = chance.randrange(len(content) + 1)
    return content[:at] + chance.choice(BYTES) * chance.choice((1, 1, 50)) + content[at:]


def _cell(chance: random.Random, content: bytes) -> bytes:
    """One word of the file replaced by a hostile one."""
    word = chance.choice((*EVERYTHING, LONG)).encode("utf-8", "surrogatepass")
    marks = [i for i, byte in enumerate(content) if byte in b',:=\n"']
    if not marks:
        return word
    first = chance.choice(marks)
    later = [m for m in marks if m > first]
    return content[: first + 1] + word + content[later[0] if later else len(content) :]


def _double(chance: random.Random, content: bytes) -> bytes:
    lines = content.split(b"\n")
    at = chance.randrange(len(lines))
    return b"\n".join(lines[: at + 1] + lines[at:])


def _mix(chance: random.Random, content: bytes) -> bytes:
    lines = content.split(b"\n")
    chance.shuffle(lines)
    return b"\n".join(lines) if len(lines) < 400 else content[::-1]


def test_spoilt_files(folder: Path, sound: dict[str, bytes], monkeypatch: pytest.MonkeyPatch) -> None:
    database = folder / "season.sqlite3"
    pristine = {name: (folder / name).read_bytes() for name in ("season.sqlite3", "empty.sqlite3")}
    chance = random.Random(SEED)
    codes: Counter[int | None] = Counter()
    found: list[str] = []
    for _ in range(COUNT):
        for name, content in pristine.items():
            if (folder / name).read_bytes() != content:
                (folder / name).write_bytes(content)
        monkeypatch.setenv("PLANNER_DB", str(database))
        name = chance.choice(sorted(READERS))
        content = spoilt(chance, name, sound[name])
        (folder / f"bad-{name}").write_bytes(content)
        words = list(chance.choice(READERS[name]))
        at = 2 if words[:2] == ["design", "take-off"] else len(words)
        words.insert(at, f"bad-{name}")
        code, _, err = tried(words, folder)
        codes[code] += 1
        used = folder / ("empty.sqlite3" if name == "firm.json" else "season.sqlite3")
        if complaint := wrong(words, code, err, pristine[used.name], used):
            kept = folder.parent / f"{len(found)}-{name}"
            kept.write_bytes(content)
            found.append(f"{words} ({kept}): {complaint}")
    assert found == [], f"{len(found)} of {COUNT} ({dict(codes)}):\n" + "\n".join(found[:40])
    assert codes[2] > COUNT // 4


def test_a_deep_or_huge_file_ends_soon(folder: Path, sound: dict[str, bytes]) -> None:
    for name, content in (
        ("deep.json", b"[" * 200_000),
        ("deep.toml", b"a = " + b"[" * 20_000),
        ("wide.csv", b"code,client\n" + b"A,b\n" * 30_000),
        ("keys.json", json.dumps({"planner_firm": 1, "jobs": [{"code": "A" * 10**6}]}).encode()),
    ):
        (folder / name).write_bytes(content)
    for words in (
        ["--db", "empty.sqlite3", "import", "firm", "deep.json"],
        ["--db", "empty.sqlite3", "import", "firm", "keys.json"],
        ["design", "check", "deep.toml"],
        ["import", "jobs", "wide.csv"],
        ["import", "jobs", "/dev/zero"],
        ["design", "check", "/dev/zero"],
        ["return", "/dev/zero"],
        ["rates", "import", "/dev/zero"],
        ["chance", "station", "/dev/zero"],
    ):
        code, _, err = tried(words, folder)
        assert code == 2 and "Traceback" not in err, (words, err[-300:])


#: the firm's own copy of a shipped file -> a command that reads it
OWN: dict[str, list[str]] = {
    "phase_rules.toml": ["board"],
    "lead_times.toml": ["office", "list"],
    "locates.toml": ["office", "list"],
    "checklists.toml": ["sheet", "North", "2027-04-05"],
    "climate.csv": ["chance", "show", "--seasons", "5"],
}
KINDS_OF_VALUE = (
    b"1",
    b"-1",
    b'"x"',
    b"[]",
    b"{}",
    b"nan",
    b"inf",
    b"true",
    b"1e999",
    b"2026-02-30",
    b"[[1]]",
    b'""',
)


def test_the_firms_own_files(folder: Path, sound: dict[str, bytes], monkeypatch: pytest.MonkeyPatch) -> None:
    """A value of the wrong kind in a file beside the database is that file's fault, told in one line."""
    database = folder / "season.sqlite3"
    chance = random.Random(SEED + 1)
    found: list[str] = []
    for _ in range(COUNT // 4):
        monkeypatch.setenv("PLANNER_DB", str(database))
        name = chance.choice(sorted(OWN))
        shipped = sound[name] if name.endswith("csv") else (DATA / name).read_bytes()
        content = _value(chance, shipped) if chance.random() < 0.7 else spoilt(chance, name, shipped)
        (folder / name).write_bytes(content)
        before = database.read_bytes()
        code, _, err = tried(OWN[name], folder)
        if complaint := wrong(OWN[name], code, err, before, database):
            kept = folder.parent / f"{len(found)}-{name}"
            kept.write_bytes(content)
            found.append(f"{name} ({kept}): {complaint}")
        (folder / name).unlink()
    assert found == [], "\n".join(found[:40])


def _value(chance: random.Random, content: bytes) -> bytes:
    """One value of a TOML file replaced by one of another kind."""
    lines = content.split(b"\n")
    places = [i for i, line in enumerate(lines) if b" = " in line]
    if not places:
        return _cell(chance, content)
    at = chance.choice(places)
    lines[at] = lines[at].split(b" = ")[0] + b" = " + chance.choice(KINDS_OF_VALUE)
    return b"\n".join(lines)
