"""The worked examples in the docstrings are true."""

from __future__ import annotations

import doctest
from importlib import import_module
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
MODULES = [
    ".".join(path.relative_to(ROOT).with_suffix("").parts)
    for path in sorted((ROOT / "planner").rglob("*.py"))
    if ">>> " in path.read_text("utf-8")
]


@pytest.mark.parametrize("name", MODULES)
def test_examples_in_docstrings(name: str) -> None:
    result = doctest.testmod(import_module(name))
    assert result.attempted > 0, "an example that is not run"
    assert result.failed == 0
