"""Every command against hostile and random words: no traceback, a right code, nothing changed on refusal.

The normal run tries 250 command lines; PLANNER_FUZZ=5000 tries 5000, PLANNER_FUZZ_SEED another set of them.
"""

from __future__ import annotations

import io
import os
import shutil
import signal
import sys
import traceback
from collections import Counter
from contextlib import redirect_stderr, redirect_stdout
from pathlib import Path
from types import FrameType

import pytest

from planner.cli.main import main
from planner.store.safekeeping.health import file_faults
from tests.conftest import NOW
from tests.fuzz.pools import commands, lines

COUNT = int(os.environ.get("PLANNER_FUZZ", "250"))
SEED = int(os.environ.get("PLANNER_FUZZ_SEED", "1"))
CODES = {0, 1, 2, 3, 4}
LONGEST_S = 60


class _TooLong(BaseException):
    """A command that does not end."""


def _stop(_: int, __: FrameType | None) -> None:
    raise _TooLong


def tried(words: list[str], folder: Path) -> tuple[int | None, str, str]:
    """Run one command line in `folder`; its exit code (None when an exception came out), stdout, stderr."""
    out = io.TextIOWrapper(io.BytesIO(), encoding="utf-8", write_through=True)
    err = io.TextIOWrapper(io.BytesIO(), encoding="utf-8", errors="backslashreplace", write_through=True)
    signal.signal(signal.SIGALRM, _stop)
    signal.alarm(LONGEST_S)
    code: int | None = None
    try:
        with redirect_stdout(out), redirect_stderr(err):
            code = main(words)
    except (Exception, _TooLong):
        err.write(traceback.format_exc())
    finally:
        signal.alarm(0)
    told = (out.buffer.getvalue().decode("utf-8"), err.buffer.getvalue().decode("utf-8"))  # type: ignore[attr-defined]
    return code, *told


def wrong(words: list[str], code: int | None, err: str, before: bytes, database: Path) -> str:
    """What is wrong with how a command ended; empty when nothing is."""
    if code is None or "Traceback" in err:
        return err.strip().splitlines()[-1] if err.strip() else "an exception"
    if code not in CODES:
        return f"exit code {code}"
    if not database.is_file() or file_faults(database):
        return "the database is gone or damaged"
    health = words[:2] == ["db", "check"]
    if code != 0 and database.read_bytes() != before:
        return "refused, but the database changed"
    if code != 0 and not err.strip() and not health:
        return "refused without a word"
    return ""


@pytest.fixture
def folder(planned: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A season of its own to work in; what is typed is nobody's."""
    home = tmp_path / "inner" / "home"
    shutil.copytree(planned, home)
    monkeypatch.chdir(home)
    monkeypatch.setattr(sys, "stdin", io.StringIO(""))
    monkeypatch.setattr("uvicorn.Server.run", lambda *_, **__: None)  # `open` would serve until stopped
    monkeypatch.setattr("webbrowser.open", lambda *_: True)
    for name, value in (
        ("PLANNER_NOW", NOW),
        ("PLANNER_USER", "ada"),
        ("COLUMNS", "100"),
        ("HOME", str(home)),
    ):
        monkeypatch.setenv(name, value)
    return home


def test_every_command_is_among_those_tried() -> None:
    assert len(commands()) > 60
    assert len({" ".join(words[:2]) for words in lines(1, 3000)}) > 60


def test_hostile_words(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    database = folder / "season.sqlite3"
    pristine = database.read_bytes()
    codes: Counter[int | None] = Counter()
    found: list[str] = []
    for words in lines(SEED, COUNT):
        monkeypatch.setenv("PLANNER_DB", str(database))
        if not database.is_file() or database.read_bytes() != pristine:
            database.write_bytes(pristine)
        code, _, err = tried(words, folder)
        codes[code] += 1
        if complaint := wrong(words, code, err, pristine, database):
            found.append(f"{[w[:60] for w in words]}: {complaint}")
    assert found == [], f"{len(found)} of {COUNT} ({dict(codes)}):\n" + "\n".join(found[:40])
    assert codes[0] > COUNT // 20 and codes[2] > COUNT // 10
