"""What is compiled in the background: it ends, holds all that a search calls, and is kept while in use."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

from planner.schedule.search.filling import KEPT_S, long_unused


def test_compiling_in_the_background_comes_to_its_end_and_leaves_nothing_to_compile(tmp_path: Path) -> None:
    """As `compile_for_next_time` starts it; a real season searched after it adds nothing to what is kept."""
    pytest.importorskip("numba", reason="no compiler is installed: the search runs as plain Python")
    env = {**os.environ, "XDG_CACHE_HOME": str(tmp_path)}

    def run(wish: str, *words: str) -> list[Path]:
        done = {**env, "PLANNER_COMPILED": wish}
        subprocess.run([sys.executable, *words], env=done, capture_output=True, check=True)
        return sorted(tmp_path.rglob("*.nb?"))

    kept = run("1", "-m", "planner.schedule.search.filling")
    assert len(list(tmp_path.rglob("ready"))) == 1
    code = (
        "from planner.schedule.kernel.compiling import COMPILED; assert COMPILED;"
        "from tests.schedule.seasons import season; from planner.schedule.solve import solve;"
        "from planner.schedule.model.effort import Effort;"
        "solve(season(4, 2, 0.6, 3), effort=Effort(steps=200, exact_jobs=0, rounds=2))"
    )
    assert run("", "-c", code) == kept
    assert kept


def test_what_another_installation_compiled_is_kept_while_it_is_used(tmp_path: Path) -> None:
    mark = tmp_path / "ready"
    mark.touch()
    old = mark.stat().st_mtime - KEPT_S - 60
    os.utime(tmp_path, (old, old))
    assert not long_unused(tmp_path), "its mark is of today"
    os.utime(mark, (old, old))
    assert long_unused(tmp_path)
