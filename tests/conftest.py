"""What all tests share: a database with the newest schema and the shipped rates, made once and copied."""

from __future__ import annotations

from pathlib import Path

import pytest

from planner.flow.records import create_store


@pytest.fixture(scope="session")
def ready(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The file to copy: as `planner db create` leaves it."""
    path = tmp_path_factory.mktemp("ready") / "season.sqlite3"
    create_store(str(path), "ada")
    return path


@pytest.fixture
def new_season(tmp_path: Path, ready: Path) -> Path:
    """A new, empty season of the test's own."""
    path = tmp_path / "season.sqlite3"
    path.write_bytes(ready.read_bytes())
    path.chmod(0o600)
    return path
