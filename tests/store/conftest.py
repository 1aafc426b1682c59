"""A fresh store for each test."""

from datetime import datetime
from pathlib import Path

import pytest

from planner.store.engine import Store
from planner.store.migrate import create


@pytest.fixture
def store(tmp_path: Path) -> Store:
    """A new SQLite database whose clock stands still."""
    made = Store(tmp_path / "season.sqlite3", clock=lambda: datetime(2027, 4, 1, 6, 45))
    create(made)
    return made
