"""Commands as a person types them, in a season of the test's own."""

from __future__ import annotations

import shutil
from collections.abc import Callable
from pathlib import Path

import pytest

from planner.cli.main import main
from tests.conftest import NOW

Run = Callable[..., tuple[int, str, str]]


@pytest.fixture
def run(
    planned: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> Run:
    """Types a command into a season of its own that is planned and published."""
    home = tmp_path / "home"
    shutil.copytree(planned, home)
    monkeypatch.chdir(home)
    for name, value in (("PLANNER_NOW", NOW), ("PLANNER_USER", "ada"), ("PLANNER_DB", "season.sqlite3")):
        monkeypatch.setenv(name, value)
    for name in ("COLUMNS", "LINES"):  # workers of the test runner carry their own
        monkeypatch.delenv(name, raising=False)

    def typed(*words: str) -> tuple[int, str, str]:
        capsys.readouterr()
        code = main(list(words))
        told = capsys.readouterr()
        return code, told.out, told.err

    return typed
