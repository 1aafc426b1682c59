"""Standard streams that are closed, full or broken: nothing is lost, nothing twice, the code tells which.

Each command runs in a process of its own, started by a POSIX shell that closes or redirects its streams.
"""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from planner.store.engine import Store
from tests.conftest import NOW

LOG = "log add P-1 dig North 1 --day 2027-04-05 --share 50"
PLAN = "plan make --seconds 0.2"
READ = "job list"
REFUSED = "job show NONE"

pytestmark = pytest.mark.skipif(not Path("/dev/full").exists(), reason="needs /dev/full")


@pytest.fixture
def home(planned: Path, tmp_path: Path) -> Path:
    """A season of its own that is planned and published."""
    return Path(shutil.copytree(planned, tmp_path / "home"))


def typed(home: Path, line: str) -> tuple[int, str, str]:
    """A shell line with `planner` in it; pipes end with the code of the planner."""
    done = subprocess.run(
        ["bash", "-c", f"set -o pipefail; planner() {{ '{sys.executable}' -m planner \"$@\"; }}; {line}"],
        check=False,
        cwd=home,
        capture_output=True,
        text=True,
        timeout=120,
        env={
            **os.environ,
            "PLANNER_DB": str(home / "season.sqlite3"),
            "PLANNER_NOW": NOW,
            "PYTHONPATH": str(Path(__file__).parents[2]),
        },
    )
    assert "Traceback" not in done.stderr and "Exception ignored" not in done.stderr, done.stderr
    return done.returncode, done.stdout, done.stderr


def _logged(home: Path) -> int:
    with Store(home / "season.sqlite3").reading() as book:
        return len(book.logs())


@pytest.mark.parametrize(
    ("streams", "code"),
    [
        (">&-", 0),
        ("2>&-", 0),
        ("<&- >&- 2>&-", 0),
        (">/dev/full", 5),
        ("2>/dev/full", 5),
        (">/dev/full 2>&1", 5),
        ("| true", 0),
    ],
)
def test_hours_are_kept_once_and_the_code_says_so(home: Path, streams: str, code: int) -> None:
    before = _logged(home)
    told = typed(home, f"planner {LOG} {streams}")
    assert told[0] == code
    assert _logged(home) == before + 1
    if streams == ">/dev/full":
        assert "kept, but the answer could not be written" in told[2]


@pytest.mark.parametrize("streams", [">&-", "2>&-", "2>/dev/full", ">/dev/full", "| true"])
def test_a_plan_is_saved_whatever_becomes_of_the_talk(home: Path, streams: str) -> None:
    typed(home, f"planner {PLAN} {streams}")
    with Store(home / "season.sqlite3").reading() as book:
        assert [h.number for h in book.plans()] == [1, 2]


@pytest.mark.parametrize(
    ("line", "code"),
    [
        (f"planner {READ} >/dev/full", 1),
        (f"planner {READ} --json >/dev/full", 1),
        ("planner --version >/dev/full", 1),
        (f"planner {READ} 2>/dev/full", 0),
        (f"planner {READ} >&-", 0),
        (f"planner {REFUSED} >/dev/full", 2),
        (f"planner {REFUSED} 2>/dev/full", 2),
        (f"planner {REFUSED} 2>&-", 2),
        ("planner job cancel P-2 --even-so <&-", 0),
        ("planner return - <&-", 2),
        ("planner history undo <&-", 2),
    ],
)
def test_without_a_change_the_code_is_that_of_the_answer(home: Path, line: str, code: int) -> None:
    assert typed(home, line)[0] == code


@pytest.mark.parametrize("command", [READ, "export firm", "-h", "history list"])
def test_a_reader_that_goes_away_gives_one_code(home: Path, command: str) -> None:
    assert typed(home, f"planner {command} | true")[0] == 0


def test_no_file_gets_the_number_of_a_closed_stream(home: Path) -> None:
    """What is said after the database was opened does not land in it."""
    code, _, _ = typed(home, f"planner {LOG} <&- >&- 2>&-")
    assert code == 0
    assert (home / "season.sqlite3").read_bytes()[:15] == b"SQLite format 3"
    code, _, _ = typed(home, "planner export jobs out.csv >&- 2>&-")
    assert code == 0 and (home / "out.csv").read_text("utf-8-sig").startswith("code,")
